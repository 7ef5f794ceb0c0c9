//! As-found sheets to fill in: what can have moved, in the order a person walks round the bike.
//!
//! Makes the text and the list of questions; refuses to know who fills them in, and where the text goes.

use chrono::NaiveDate;
use std::collections::BTreeSet;
use std::fmt::Write as _;

use crate::catalogue::joint::{self, Occasion};
use crate::catalogue::table::FLOOR;
use crate::catalogue::{Catalogue, Gravity, HeldBy, Kind, MeasureId, Row, Shape, Side, Weight};
use crate::check::planned;
use crate::metrology::reading::Reading;
use crate::metrology::unit::Unit;
use crate::setup::edit::number::quoted;
use crate::setup::model::{Instrument, InstrumentKind, Setup, Value};

use super::evidence;
use super::holder::Holder;

/// No line of a sheet is wider, in characters.
const WIDEST: usize = 100;

/// What a question asks for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Asked {
    /// A measure.
    Measure(MeasureId),
    /// A mark, by its name.
    Mark(String),
    /// Whether a part or joint is as it should be, by its written name.
    Look(String),
}

/// One thing to look at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Question {
    /// What for.
    pub asked: Asked,
    /// In plain words.
    pub title: String,
    /// How to look.
    pub how: String,
    /// The recorded value as typed, with its unit.
    pub recorded: Option<String>,
    /// The instrument it was read with, or what stood there before it was planned.
    pub instrument: Option<String>,
    /// Whether what is recorded was read with that.
    pub was_read: bool,
    /// The setup's instruments that can read it.
    pub instruments: Vec<String>,
    /// The unit of a plain number.
    pub unit: Option<Unit>,
    /// The unit that the recorded value is written in, if that is another one.
    pub recorded_unit: Option<Unit>,
    /// The words to choose from.
    pub choices: &'static [&'static str],
    /// Which way of a turn counts as plus on a mark, where it shows one.
    pub plus: Option<&'static str>,
}

/// What is looked over by eye and hand: no figure tells of it.
pub fn looks(setup: &Setup, after: Option<Occasion>) -> Vec<Question> {
    let all = after.into_iter().flat_map(joint::looked_over);
    let there = all.filter(|(_, joint, _)| setup.has_joint(joint));
    there
        .map(|(on, _, good)| Question {
            title: joint::title(&on),
            asked: Asked::Look(on),
            how: good.to_owned(),
            recorded: None,
            instrument: None,
            was_read: false,
            instruments: Vec::new(),
            unit: None,
            recorded_unit: None,
            choices: &[],
            plus: None,
        })
        .collect()
}

/// Everything worth measuring, the ground first, the marks last.
pub fn questions(catalogue: &Catalogue, setup: &Setup, after: Option<Occasion>) -> Vec<Question> {
    // What was only planned is worth a reading, whatever happened to the bike.
    let planned = planned::listed(catalogue, setup);
    let is_planned = |id: &MeasureId| planned.contains(id) && catalogue.measure(id.row).shape == Shape::Node;
    let wanted = |id: &&MeasureId| is_planned(id) || is_wanted(catalogue, setup, id, after);
    let mut ids: Vec<&MeasureId> = setup.readings.keys().filter(wanted).collect();
    ids.sort_by_key(|id| walk(catalogue, id));
    let floor = MeasureId::bike(FLOOR);
    let needs_floor = ids.iter().any(|id| catalogue.measure(id.row).gravity != Gravity::None);
    let mut questions: Vec<Question> = needs_floor
        .then_some(&floor)
        .into_iter()
        .chain(ids)
        .map(|id| ask(catalogue, setup, &planned, id))
        .collect();
    for mark in &setup.marks {
        let plus = mark.on.as_ref().and_then(|on| evidence::plus(catalogue, &on.value));
        let on = mark.on.as_ref().map(|on| joint::title(&on.value)).unwrap_or_default();
        let reads = mark.reads.clone().unwrap_or_else(|| "do the two halves of the line meet?".to_owned());
        questions.push(Question {
            asked: Asked::Mark(mark.name.value.clone()),
            title: format!("mark {} on the {on}", mark.name.value),
            how: reads,
            recorded: None,
            instrument: None,
            was_read: false,
            instruments: Vec::new(),
            unit: None,
            recorded_unit: None,
            choices: &["aligned", "off=…", "broken", "missing"],
            plus,
        });
    }
    questions
}

/// The order of a walk round the bike: the table's, but one side of the bar after the other.
fn walk(catalogue: &Catalogue, id: &MeasureId) -> (u8, Option<Side>, Row) {
    let first_of_a_side = catalogue.rows().find(|(_, measure)| measure.is_sided());
    let before = first_of_a_side.is_some_and(|(row, _)| id.row < row);
    let stretch = if id.subject.side.is_some() { 1 } else { 2 * u8::from(!before) };
    (stretch, id.subject.side, id.row)
}

fn is_wanted(catalogue: &Catalogue, setup: &Setup, id: &MeasureId, after: Option<Occasion>) -> bool {
    let measure = catalogue.measure(id.row);
    if !measure.can_move() || measure.held_by == HeldBy::Cutting || measure.shape == Shape::Property {
        return false;
    }
    let holder = Holder::of(catalogue, setup, id);
    match after {
        None => true,
        Some(Occasion::Loan) => measure.weight != Weight::Record,
        Some(Occasion::Flight) => {
            let opened = holder.as_ref().and_then(Holder::joint).and_then(joint::find);
            let travels = opened.is_some_and(|(_, joint)| joint.opened_for_travel);
            travels && !measure.is_of_the_part() || holder == Some(Holder::Adjuster("tyres".to_owned()))
        }
    }
}

fn ask(catalogue: &Catalogue, setup: &Setup, planned: &BTreeSet<MeasureId>, id: &MeasureId) -> Question {
    let measure = catalogue.measure(id.row);
    let reading = setup.reading(id);
    let recorded = match setup.recorded(id).map(|recorded| &recorded.value) {
        Some(Value::Reading(reading)) => Some(crate::compare::typed(reading)),
        Some(Value::Choice(word)) => Some((*word).to_owned()),
        Some(Value::Unmeasured) | None => None,
    };
    let read_with = reading.and_then(Reading::instrument);
    let is_planned = planned.contains(id);
    let usual = || is_planned.then(|| planned::usual_instrument(catalogue, setup, id)).flatten();
    Question {
        asked: Asked::Measure(id.clone()),
        title: catalogue.title(id),
        how: measure.how.to_owned(),
        recorded,
        instrument: read_with.or_else(usual).map(str::to_owned),
        was_read: read_with.is_some(),
        instruments: match measure.kind {
            Kind::Choice(_) => Vec::new(),
            Kind::Reading { unit, .. } => fitting(setup, unit),
        },
        unit: matches!(measure.kind, Kind::Reading { .. }).then(|| measure.unit()),
        recorded_unit: reading.map(Reading::unit).filter(|unit| *unit != measure.unit()),
        choices: match measure.kind {
            Kind::Choice(words) => words,
            Kind::Reading { .. } => &[],
        },
        plus: None,
    }
}

/// The instruments whose half-width can be one of a reading in that unit.
fn fitting(setup: &Setup, unit: Unit) -> Vec<String> {
    let fits = |instrument: &&Instrument| match &instrument.kind {
        InstrumentKind::Reads(tolerance) => {
            tolerance.unit.is_none_or(|own| own.quantity() == unit.quantity())
        }
        InstrumentKind::Wrench(_) => false,
    };
    setup.instruments.iter().filter(fits).map(|instrument| instrument.name.to_string()).collect()
}

/// A sheet with nothing on it yet.
pub fn empty(setup: &Setup, date: NaiveDate) -> String {
    format!("found {} format=1 {{\n    measured \"{date}\"\n}}\n", quoted(&setup.name.value))
}

/// A sheet to fill in by hand: every line stands as a comment until a number takes the place of its `?`.
pub fn template(catalogue: &Catalogue, setup: &Setup, after: Option<Occasion>, date: NaiveDate) -> String {
    let mut text = String::from(
        "// As found. Take the // off a line and put what you read in place of the ?;\n\
         // a line left alone was not looked at.\n\
         // Torn, bent or scored: damage on=\"bar\" \"…\", with what you see in place of the …\n\
         // Still apart, or opened: opened \"stem-face\"\n\
         // Tightened again: torque \"stem-face\" { applied 4.5 }\n",
    );
    let _ = write!(text, "found {} format=1 {{\n    measured \"{date}\"\n", quoted(&setup.name.value));
    if after == Some(Occasion::Flight) {
        apart(&mut text, setup);
    }
    look(&mut text, &looks(setup, after));
    let mut open: Vec<String> = Vec::new();
    let mut marks = String::new();
    for question in questions(catalogue, setup, after) {
        match &question.asked {
            Asked::Measure(id) => {
                let path = catalogue.path(id);
                let mut words: Vec<String> = path.split('.').map(str::to_owned).collect();
                let word = words.pop().unwrap_or_default();
                regroup(&mut text, &mut open, words);
                line(&mut text, open.len() + 1, &word, &question);
            }
            Asked::Mark(name) => {
                comment(&mut marks, 1, &format!("{}: {}", question.title, question.how));
                comment(
                    &mut marks,
                    1,
                    "One of: aligned, broken, missing, or off= the mm between its halves.",
                );
                if let Some(plus) = question.plus {
                    let sign = format!("off= is + if the half on the loosened part turned {plus}, - if not.");
                    comment(&mut marks, 1, &sign);
                }
                let _ = writeln!(marks, "    // mark {} ?", quoted(name));
            }
            Asked::Look(_) => {}
        }
    }
    regroup(&mut text, &mut open, Vec::new());
    text.push_str(&marks);
    text.push_str("}\n");
    text
}

/// Lines for the joints that travel opens, in working order.
fn apart(text: &mut String, setup: &Setup) {
    comment(text, 1, "Still apart, or opened and not tightened to a known torque: take the // off its line.");
    for name in joint::names().iter().filter(|name| setup.has_joint(name)) {
        if joint::find(name).is_some_and(|(_, joint)| joint.opened_for_travel) {
            let _ = writeln!(text, "    // opened {}", quoted(name));
        }
    }
}

/// Lines for damage, each with what to look at.
fn look(text: &mut String, looks: &[Question]) {
    if !looks.is_empty() {
        comment(
            text,
            1,
            "Look at these. Where one is not so, take the // off its line and say what you see.",
        );
    }
    for look in looks {
        let Asked::Look(on) = &look.asked else { continue };
        comment(text, 1, &format!("{}: {}", look.title, look.how));
        let _ = writeln!(text, "    // damage on={} \"…\"", quoted(on));
    }
}

/// Closes the groups that end here and opens the new ones.
fn regroup(text: &mut String, open: &mut Vec<String>, wanted: Vec<String>) {
    let shared = open.iter().zip(&wanted).take_while(|(is, wanted)| is == wanted).count();
    while open.len() > shared {
        open.pop();
        let _ = writeln!(text, "{}}}", "    ".repeat(open.len() + 1));
    }
    for word in wanted.into_iter().skip(shared) {
        let _ = writeln!(text, "{}{word} {{", "    ".repeat(open.len() + 1));
        open.push(word);
    }
}

fn line(text: &mut String, depth: usize, word: &str, question: &Question) {
    let indent = "    ".repeat(depth);
    let recorded = question.recorded.as_deref().unwrap_or("nothing");
    let by = question.instrument.as_ref().filter(|_| question.was_read);
    let by = by.map(|name| format!(", by {name}")).unwrap_or_default();
    comment(text, depth, &question.how);
    if !question.choices.is_empty() {
        comment(text, depth, &format!("One of: {}.", question.choices.join(", ")));
    }
    // The blank counts as the value above it does: a plain number under 13.1 bar would be psi.
    let (unit, other) = match (question.recorded_unit, question.unit) {
        (Some(own), Some(plain)) => {
            let (own, plain) = (own.word(), plain.word());
            (format!("({own})"), format!(" If you read {plain}, put ({plain}) in place of ({own})."))
        }
        _ => (String::new(), String::new()),
    };
    comment(text, depth, &format!("Recorded: {recorded}{by}.{other}"));
    let with = question.instrument.as_ref().map(|name| format!(" with={name}")).unwrap_or_default();
    let _ = writeln!(text, "{indent}// {word} {unit}?{with}");
}

/// A comment in lines of at most [`WIDEST`] characters, as long as its words allow that.
pub(crate) fn comment(text: &mut String, depth: usize, words: &str) {
    let before = format!("{}//", "    ".repeat(depth));
    let mut line = before.clone();
    for word in words.split_whitespace() {
        let is_begun = line.len() > before.len();
        if is_begun && line.chars().count() + 1 + word.chars().count() > WIDEST {
            let _ = writeln!(text, "{line}");
            line.clone_from(&before);
        }
        line.push(' ');
        line.push_str(word);
    }
    let _ = writeln!(text, "{line}");
}
