//! What tells of danger and is not in the merged file: asked of the outcome, for a note or a damage may go in many ways:
//! alone, with its paragraph, with the group around it.

use std::collections::BTreeMap;

use crate::catalogue::Catalogue;
use crate::check::{forgotten, not_to_ride, opened, to_fit};
use crate::setup::model::{MarkState, Setup, Value};

use super::labels::Labels;
use super::notes::{in_one_line, matched};
use super::session::Side;
use super::softened::Reader;

/// The merged file.
pub struct Outcome<'a> {
    pub catalogue: &'a Catalogue,
    /// Of a sheet the setup it belongs to, if that is at hand.
    pub beside: Option<&'a Setup>,
    pub labels: &'a Labels,
    pub setup: &'a Setup,
    /// The paths of what is undecided in it: of these nothing is gone.
    pub undecided: Vec<&'a str>,
}

/// A sentence for each stop that a side has and the merged file has not, be it in other words.
pub fn gone(ours: &Setup, theirs: &Setup, outcome: &Outcome) -> Vec<String> {
    let mut said = Vec::new();
    for (had, taken_by) in [(ours, Side::Theirs), (theirs, Side::Ours)] {
        for Gone { path, text, now } in outcome.without(had) {
            let now = now.map_or_else(|| "no longer there".to_owned(), |now| format!("\"{now}\" now"));
            said.push(format!(
                "`{path}`: \"{text}\" is {now}, {}: make sure that it is put right before anybody rides.",
                outcome.labels.as_has(taken_by)
            ));
        }
    }
    said.extend(softened(ours, theirs, outcome));
    for (had, taken_by) in [(ours, Side::Theirs), (theirs, Side::Ours)] {
        said.extend(outcome.to_fit(had, taken_by));
    }
    said
}

/// A sentence for each reading and torque of a side by which nobody is to ride, and of which the merged file is silent.
fn softened(ours: &Setup, theirs: &Setup, outcome: &Outcome) -> Vec<String> {
    let reader = Reader { catalogue: outcome.catalogue, beside: outcome.beside };
    let mut told: Vec<String> = Vec::new();
    let mut said = Vec::new();
    for (had, side) in [(ours, Side::Ours), (theirs, Side::Theirs)] {
        for reason in reader.gone(had, outcome.setup, &outcome.undecided) {
            if told.contains(&reason.about) {
                continue;
            }
            let whose = outcome.labels.whose(side);
            let (about, words) = (&reason.about, &reason.words);
            let about = if about.is_empty() { String::new() } else { format!("`{about}`: ") };
            said.push(format!(
                "{about}by {whose} nobody rides: {words}. The merged file no longer says so: make sure that it is put right \
                 before anybody rides.",
            ));
            told.push(reason.about);
        }
    }
    said
}

/// One stop that is gone, or that is something milder now.
struct Gone {
    path: String,
    text: String,
    now: Option<String>,
}

impl Gone {
    fn of(path: &str, text: &str) -> Gone {
        Gone { path: path.to_owned(), text: in_one_line(text), now: None }
    }
}

impl Outcome<'_> {
    /// The stops of one side that the merged file has not.
    fn without(&self, had: &Setup) -> Vec<Gone> {
        let mut gone = self.notes(had);
        gone.extend(self.damages(had));
        gone.extend(self.marks(had));
        gone.extend(self.opened(had));
        gone.extend(self.forgotten(had));
        gone
    }

    /// Notes may have changed in their words.
    fn notes(&self, had: &Setup) -> Vec<Gone> {
        let (notes, others) = (notes(had), notes(self.setup));
        let mut gone = Vec::new();
        for (path, texts) in notes {
            let here = others.get(&path).map(Vec::as_slice).unwrap_or_default();
            let lost = matched(&texts, here).into_iter().zip(texts).filter(|(found, _)| found.is_none());
            gone.extend(lost.map(|(_, text)| Gone::of(&path, &text)));
        }
        gone
    }

    /// A sentence for each part that is to be fitted, or compared before, and of which the merged file is silent.
    fn to_fit(&self, had: &Setup, taken_by: Side) -> Vec<String> {
        let texts = |setup: &Setup| -> Vec<String> {
            to_fit::noted(setup).map(|noted| in_one_line(&noted.note.text.value)).collect()
        };
        let lost = matched(&texts(had), &texts(self.setup));
        let lost = lost.into_iter().zip(to_fit::noted(had)).filter(|(found, _)| found.is_none());
        let sentences = lost.map(|(_, noted)| {
            let done = if noted.is_doubt { "compared" } else { "fitted" };
            format!(
                "`{}`: \"{}\" is no longer there, {}: make sure that it was {done}.",
                path_of(&noted.note.on),
                in_one_line(&noted.note.text.value),
                self.labels.as_has(taken_by)
            )
        });
        sentences.collect()
    }

    /// Each damage is one of its own.
    fn damages(&self, had: &Setup) -> Vec<Gone> {
        let is_there = |on: &str, text: &str| {
            self.setup.damages.iter().any(|damage| damage.on.value == on && damage.text.value == text)
        };
        let damages = had.damages.iter().map(|damage| (&damage.on.value, &damage.text.value));
        let lost = damages.filter(|(on, text)| !is_there(on, text));
        lost.map(|(on, text)| Gone::of("damage", &format!("{on}: {text}"))).collect()
    }

    /// Lines that a sheet did not find whole and in line, and that the merged one tells milder, or not at all.
    fn marks(&self, had: &Setup) -> Vec<Gone> {
        let seen = had.marks.iter().filter_map(|mark| Some((&mark.name.value, mark.state.as_ref()?.value)));
        let gone = seen.filter_map(|(name, was)| {
            let (path, now) = (format!("mark.{name}"), self.setup.seen(name));
            let is_milder = now.map_or(was != MarkState::Aligned, |now| graveness(now) < graveness(was));
            let is_open = self.undecided.contains(&&*path);
            (is_milder && !is_open)
                .then(|| Gone { now: now.map(|now| now.to_string()), ..Gone::of(&path, &was.to_string()) })
        });
        gone.collect()
    }

    /// Joints that a sheet tells were opened, and those of which a note does, unless a torque answers it.
    fn opened(&self, had: &Setup) -> Vec<Gone> {
        let is_tight = |joint: &str| self.setup.torque(joint).is_some_and(|torque| torque.applied.is_some());
        let told = had.opened.iter().map(|joint| &joint.value);
        let told = told.filter(|joint| !self.setup.tells_open(joint) && !is_tight(joint));
        let told = told.map(|joint| Gone::of("opened", joint));
        let is_there = |joint: &str| opened::noted(self.setup).any(|noted| noted.joint == joint);
        let noted = opened::open(had)
            .filter(|noted| !is_there(noted.joint) && !opened::is_tightened_since(self.setup, noted));
        told.chain(noted.map(|noted| Gone::of(&path_of(&noted.note.on), &noted.note.text.value))).collect()
    }

    /// What nobody knows any more, where the note that says so is gone and nobody read it again.
    fn forgotten(&self, had: &Setup) -> Vec<Gone> {
        let is_open = |id| match self.setup.recorded(id) {
            Some(recorded) => recorded.value == Value::Unmeasured,
            None => !self.setup.undecided.contains_key(id),
        };
        let lost = forgotten::all(self.catalogue, had)
            .filter(|(id, _)| is_open(id) && forgotten::noted(self.catalogue, self.setup, id).is_none());
        lost.map(|(id, noted)| Gone::of(&self.catalogue.path(id), &noted.words())).collect()
    }
}

/// How far from in line a mark was found, in millimetres; without end where nobody knows.
fn graveness(state: MarkState) -> f64 {
    match state {
        MarkState::Aligned => 0.0,
        MarkState::Off(apart) => apart.abs(),
        MarkState::Broken | MarkState::Missing => f64::INFINITY,
    }
}

/// The beginnings of the notes by which nobody is to ride, by the notes' paths: what a note says further on is not why.
fn notes(setup: &Setup) -> BTreeMap<String, Vec<String>> {
    let mut notes: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for note in not_to_ride::notes(setup) {
        let beginning = note.text.value.split("\n\n").next().unwrap_or_default();
        notes.entry(path_of(&note.on)).or_default().push(in_one_line(beginning));
    }
    notes
}

fn path_of(group: &str) -> String {
    if group.is_empty() { "note".to_owned() } else { format!("{group}.note") }
}
