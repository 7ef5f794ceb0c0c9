//! What tells of danger and is not in the merged file: asked of the outcome, for a note or a damage may go in many ways:
//! alone, with its paragraph, with the group around it.

use std::collections::BTreeMap;

use crate::catalogue::Catalogue;
use crate::check::{forgotten, not_to_ride, opened, to_fit};
use crate::setup::model::{Damage, MarkState, Opened, Setup, Value};

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
}

impl Outcome<'_> {
    /// What is gone whatever becomes of the file: what a conflict holds in one of its versions is not.
    fn for_good<T: PartialEq>(&self, gone: impl Fn(&Setup) -> Vec<T>) -> Vec<T> {
        let Some((ours, others)) = self.setup.versions.split_first() else { return gone(self.setup) };
        let others: Vec<Vec<T>> = others.iter().map(&gone).collect();
        gone(ours).into_iter().filter(|one| others.iter().all(|other| other.contains(one))).collect()
    }
}

/// A sentence for each stop that a side has and the merged file has not, be it in other words.
pub fn gone(ours: &Setup, theirs: &Setup, outcome: &Outcome) -> Vec<String> {
    let mut said = Vec::new();
    for (had, taken_by) in [(ours, Side::Theirs), (theirs, Side::Ours)] {
        for Gone { path, text, now } in outcome.for_good(|now| without(outcome.catalogue, had, now)) {
            let now = now.map_or_else(|| "no longer there".to_owned(), |now| format!("\"{now}\" now"));
            said.push(format!(
                "`{path}`: \"{text}\" is {now}, {}: make sure that it is put right before anybody rides.",
                outcome.labels.as_has(taken_by)
            ));
        }
    }
    said.extend(softened(ours, theirs, outcome));
    for (had, taken_by) in [(ours, Side::Theirs), (theirs, Side::Ours)] {
        said.extend(outcome.for_good(|now| to_fit(had, now, &outcome.labels.as_has(taken_by))));
    }
    said
}

/// A sentence for each reading and torque of a side by which nobody is to ride, and of which the merged file is silent; each
/// thing named once.
fn softened(ours: &Setup, theirs: &Setup, outcome: &Outcome) -> Vec<String> {
    let reader = Reader { catalogue: outcome.catalogue, beside: outcome.beside };
    let mut told: Vec<String> = Vec::new();
    let mut said = Vec::new();
    for (had, side) in [(ours, Side::Ours), (theirs, Side::Theirs)] {
        for reason in outcome.for_good(|now| reader.gone(had, now)) {
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

/// A sentence for each reason not to ride that only both sides of a sheet together tell. Nothing is set on a sheet, so that
/// neither is taken back: both were seen.
pub fn together(versions: &[&Setup], outcome: &Outcome) -> Vec<String> {
    let reader = Reader { catalogue: outcome.catalogue, beside: outcome.beside };
    let reasons = reader.together(versions, outcome.setup).into_iter();
    reasons
        .map(|one| {
            format!(
                "Do not ride before it is looked at: what both sides saw says together that {}.",
                one.words
            )
        })
        .collect()
}

/// One stop that is gone, or that is something milder now: what it is now may differ from version to version.
struct Gone {
    path: String,
    text: String,
    now: Option<String>,
}

impl PartialEq for Gone {
    fn eq(&self, other: &Gone) -> bool {
        self.path == other.path && self.text == other.text
    }
}

impl Gone {
    fn of(path: &str, text: &str) -> Gone {
        Gone { path: path.to_owned(), text: in_one_line(text), now: None }
    }
}

/// The stops of one side that the file has not.
fn without(catalogue: &Catalogue, had: &Setup, now: &Setup) -> Vec<Gone> {
    let mut gone = notes_without(had, now);
    gone.extend(damages_without(had, now));
    gone.extend(marks_without(had, now));
    gone.extend(opened_without(had, now));
    gone.extend(forgotten_without(catalogue, had, now));
    gone
}

/// Notes may have changed in their words.
fn notes_without(had: &Setup, now: &Setup) -> Vec<Gone> {
    let (notes, others) = (notes(had), notes(now));
    let mut gone = Vec::new();
    for (path, texts) in notes {
        let here = others.get(&path).map(Vec::as_slice).unwrap_or_default();
        for (found, text) in matched(&texts, here).into_iter().zip(texts) {
            let now = found.map(|place| here[place].clone());
            // Other words may forbid it for something else: only what still says all of it is the same.
            if !now.as_ref().is_some_and(|now| now.contains(&text)) {
                gone.push(Gone { now, ..Gone::of(&path, &text) });
            }
        }
    }
    gone
}

/// A sentence for each part that is to be fitted, or compared before, and of which the file is silent.
fn to_fit(had: &Setup, now: &Setup, as_they_have: &str) -> Vec<String> {
    let texts = |setup: &Setup| -> Vec<String> {
        to_fit::noted(setup).map(|noted| in_one_line(&noted.note.text.value)).collect()
    };
    let lost = matched(&texts(had), &texts(now));
    let lost = lost.into_iter().zip(to_fit::noted(had)).filter(|(found, _)| found.is_none());
    let sentences = lost.map(|(_, noted)| {
        let done = if noted.is_doubt { "compared" } else { "fitted" };
        format!(
            "`{}`: \"{}\" is no longer there, {as_they_have}: make sure that it was {done}.",
            path_of(&noted.note.on),
            in_one_line(&noted.note.text.value),
        )
    });
    sentences.collect()
}

/// Each damage is one of its own.
fn damages_without(had: &Setup, now: &Setup) -> Vec<Gone> {
    // One that is told at greater length is the same.
    let says_it = |here: &Damage, damage: &Damage| {
        here.is(damage)
            || here.on.value == damage.on.value && here.text.value.contains(damage.text.value.as_str())
    };
    let lost = had.damages.iter().filter(|damage| !now.damages.iter().any(|here| says_it(here, damage)));
    lost.map(|damage| Gone::of("damage", &format!("{}: {}", damage.on.value, damage.text.value))).collect()
}

/// Lines that a sheet did not find whole and in line, and that the merged one tells milder, or not at all.
fn marks_without(had: &Setup, now: &Setup) -> Vec<Gone> {
    let seen = had.marks.iter().filter_map(|mark| Some((&mark.name.value, mark.state.as_ref()?.value)));
    let gone = seen.filter_map(|(name, was)| {
        let now = now.seen(name);
        let is_milder = now.map_or(was != MarkState::Aligned, |now| graveness(now) < graveness(was));
        is_milder.then(|| Gone {
            now: now.map(|now| now.to_string()),
            ..Gone::of(&format!("mark.{name}"), &was.to_string())
        })
    });
    gone.collect()
}

/// Joints that a sheet tells were opened, and those of which a note does, unless a torque answers it.
fn opened_without(had: &Setup, now: &Setup) -> Vec<Gone> {
    let is_tight = |one: &Opened| {
        let applied = now.torque(&one.joint.value).and_then(|torque| torque.applied.as_ref());
        applied.is_some_and(|applied| applied.read.or_else(|| now.day()) >= one.read.or_else(|| had.day()))
    };
    let told = had.opened.iter().filter(|one| !now.tells_open(&one.joint.value) && !is_tight(one));
    let told = told.map(|one| Gone::of("opened", &one.joint.value));
    let is_there = |joint: &str| opened::noted(now).any(|noted| noted.joint == joint);
    let noted =
        opened::open(had).filter(|noted| !is_there(noted.joint) && !opened::is_tightened_since(now, noted));
    told.chain(noted.map(|noted| Gone::of(&path_of(&noted.note.on), &noted.note.text.value))).collect()
}

/// What nobody knows any more, where the note that says so is gone and nobody read it again.
fn forgotten_without(catalogue: &Catalogue, had: &Setup, now: &Setup) -> Vec<Gone> {
    let is_open = |id| now.recorded(id).is_none_or(|recorded| recorded.value == Value::Unmeasured);
    let lost = forgotten::all(catalogue, had)
        .filter(|(id, _)| is_open(id) && forgotten::noted(catalogue, now, id).is_none());
    lost.map(|(id, noted)| Gone::of(&catalogue.path(id), &noted.words())).collect()
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
