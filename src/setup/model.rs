//! One setup, or one as-found sheet, in memory: what the file says, well-formed, each value with its place.
//!
//! Knows nothing of text formats, files or revisions. What exists here has been checked by the reader:
//! units fit, spans hold, torque ranges are the right way round.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::fmt;
use std::sync::Arc;

use chrono::NaiveDate;

use crate::catalogue::table::{BAR_MATERIAL, CARBON, FLOOR};
use crate::catalogue::{MeasureId, Side};
use crate::metrology::NEGLIGIBLE;
use crate::metrology::reading::Reading;

use super::shared::Shared;
use super::span::Span;
use super::torque::{Applied, Torque, TorqueFigure};
use super::undecided::{InConflict, Undecided};

/// A value with its place in the text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Written<T> {
    /// The value.
    pub value: T,
    /// Where it stands.
    pub span: Span,
}

/// Whether the file records a setup or what was found on a bike.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// `setup`: the state to come back to.
    Setup,
    /// `found`: the few readings taken on a bike just unboxed or returned.
    Found,
}

/// When and by whom a file was measured.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Measured {
    /// The day.
    pub date: NaiveDate,
    /// By whom, on what.
    pub by: Option<String>,
    /// Where it stands.
    pub span: Span,
}

/// An instrument the file defines.
#[derive(Clone, Debug, PartialEq)]
pub struct Instrument {
    /// The word after `with=`.
    pub name: Arc<str>,
    /// What it is good for, and how well.
    pub kind: InstrumentKind,
    /// Where it stands.
    pub span: Span,
}

impl Instrument {
    /// The wrench, if it is one.
    pub fn wrench(&self) -> Option<&Wrench> {
        match &self.kind {
            InstrumentKind::Wrench(wrench) => Some(wrench),
            InstrumentKind::Reads(_) => None,
        }
    }
}

/// What an instrument is good for.
#[derive(Clone, Debug, PartialEq)]
pub enum InstrumentKind {
    /// It reads measures with this half-width; for a value of another quantity than it was written in, the plain
    /// number counts in the measure's default unit.
    Reads(Tolerance),
    /// It sets a torque.
    Wrench(Wrench),
}

/// A torque wrench.
#[derive(Clone, Debug, PartialEq)]
pub struct Wrench {
    /// Permitted deviation of the setting relative to the true torque, as a fraction: 0.06 for 6 %.
    pub deviation: f64,
    /// The lowest setting it has.
    pub low: Option<TorqueFigure>,
    /// The highest setting it has.
    pub high: Option<TorqueFigure>,
}

/// A written half-width.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tolerance {
    /// The number.
    pub half_width: f64,
    /// Its unit, where one was written.
    pub unit: Option<crate::metrology::unit::Unit>,
}

/// What a measure holds.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// A number read from an instrument.
    Reading(Reading),
    /// One of the row's words.
    Choice(&'static str),
    /// It matters here but is not known yet.
    Unmeasured,
}

impl Value {
    /// Whether both say the very same: a reading and its copy, one word, or that nobody measured.
    pub fn is_written_like(&self, other: &Value) -> bool {
        match (self, other) {
            (Value::Reading(one), Value::Reading(other)) => one.is_same_reading(other),
            _ => self == other,
        }
    }
}

/// A recorded measure with its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Recorded {
    /// What.
    pub value: Value,
    /// The value (all of them, for a repeated reading).
    pub span: Span,
    /// The whole node or property.
    pub node: Span,
}

/// A group that stands in the file: a part the bike has.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    /// `left.shifter`, `hose.rear brake`, `fork`.
    pub path: String,
    /// Where it stands.
    pub span: Span,
}

/// A protective patch.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Guard {
    /// Where on the frame.
    pub place: Written<String>,
}

/// Free text, with the group it stands in (empty at the top).
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Note {
    /// The path of the group.
    pub on: String,
    /// The text.
    pub text: Written<String>,
}

impl Note {
    /// The part or joint at which it stands; nothing at the top of the file.
    pub fn place(&self) -> &str {
        self.on.strip_prefix("torque.").unwrap_or(&self.on)
    }
}

/// A reported damage (as-found sheets).
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Damage {
    /// Which part or joint.
    pub on: Written<String>,
    /// What is seen.
    pub text: Written<String>,
    /// When it was seen, if not on the sheet's day.
    pub read: Option<NaiveDate>,
}

impl Damage {
    /// What is seen, with its day if it has one of its own: "scored, seen 2026-05-09".
    pub fn said(&self) -> String {
        seen(&self.text.value, self.read)
    }

    /// Whether it is that one, whenever it was seen and however its words are written.
    pub fn is(&self, other: &Damage) -> bool {
        self.on.value == other.on.value && is_seen_alike(&self.text.value, &other.text.value)
    }
}

/// A joint that a sheet tells is apart or was opened.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Opened {
    /// Which.
    pub joint: Written<String>,
    /// When it was seen so, if not on the sheet's day.
    pub read: Option<NaiveDate>,
}

impl Opened {
    /// As a sheet tells it of its own day.
    pub fn of(joint: String) -> Opened {
        Opened { joint: Written { value: joint, span: Span::default() }, read: None }
    }
}

/// What was seen, with the day if it has one of its own.
pub fn seen(text: &str, day: Option<NaiveDate>) -> String {
    day.map_or_else(|| text.to_owned(), |day| format!("{text}, seen {day}"))
}

/// Whether two texts tell that the same was seen: a capital or a full stop makes no other damage of it.
pub fn is_seen_alike(one: &str, other: &str) -> bool {
    let words = |text: &str| text.trim().trim_end_matches('.').to_lowercase();
    words(one) == words(other)
}

/// An advice or caution the rider has read and accepts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Accepted {
    /// The code.
    pub code: Written<String>,
    /// The measure, part or joint that it is kept to; without its side, to both; all if none is said.
    pub on: Option<Written<String>>,
    /// Why.
    pub why: Written<String>,
}

impl Accepted {
    /// Whether it is about what was found under that code, of that measure or part.
    pub fn covers(&self, code: &str, about: Option<&str>) -> bool {
        let Some(on) = &self.on else { return self.code.value == code };
        let is_on = |about: &str| {
            about.strip_prefix(&*on.value).is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
        };
        let sideless = |about: &str| {
            about
                .split_once('.')
                .filter(|(side, _)| Side::parse(side).is_some())
                .is_some_and(|(_, of_it)| is_on(of_it))
        };
        self.code.value == code && about.is_some_and(|about| is_on(about) || sideless(about))
    }
}

/// How a mark was found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum MarkState {
    /// The two halves of the line meet.
    Aligned,
    /// The line is interrupted or scraped: it moved, nobody knows how far.
    Broken,
    /// The line is gone.
    Missing,
    /// The halves stand apart, in millimetres, + = the loosened part turned tip-down, forward or left.
    Off(f64),
}

impl MarkState {
    /// Halves that stand so many millimetres apart; at none at all they meet.
    pub fn of_apart(apart: f64) -> MarkState {
        if apart.abs() < NEGLIGIBLE { MarkState::Aligned } else { MarkState::Off(apart) }
    }

    /// How it was found, as a history tells it.
    pub const fn as_found(self) -> &'static str {
        match self {
            MarkState::Aligned => "found in line",
            MarkState::Off(_) => "found apart",
            MarkState::Broken => "found broken",
            MarkState::Missing => "found gone",
        }
    }

    /// Its word in a file; none of halves that stand apart, which have a property.
    pub fn word(self) -> Option<&'static str> {
        match self {
            MarkState::Aligned => Some("aligned"),
            MarkState::Broken => Some("broken"),
            MarkState::Missing => Some("missing"),
            MarkState::Off(_) => None,
        }
    }
}

/// As it is written in a file.
impl fmt::Display for MarkState {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            MarkState::Off(apart) => write!(f, "off={apart}"),
            other => f.write_str(other.word().unwrap_or_default()),
        }
    }
}

/// A witness mark.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// Its name.
    pub name: Written<String>,
    /// The joint it crosses; an as-found sheet may leave it to the setup.
    pub on: Option<Written<String>>,
    /// Its colour.
    pub colour: Option<String>,
    /// The line's width in millimetres, if written.
    pub width: Option<f64>,
    /// The positions it was drawn at.
    pub drawn: Vec<(MeasureId, Recorded)>,
    /// The bar's roll on that day: a control's angle is read along with it, and its line lies on the bar.
    pub roll: Option<Recorded>,
    /// When it was drawn.
    pub drawn_on: Option<NaiveDate>,
    /// What lines up with what.
    pub reads: Option<String>,
    /// How it was found (as-found sheets).
    pub state: Option<Written<MarkState>>,
    /// When it was found so, if not on the sheet's day.
    pub seen_on: Option<NaiveDate>,
}

/// One file's content.
#[derive(Clone, Debug, PartialEq)]
pub struct Setup {
    /// Setup or as-found sheet.
    pub kind: Kind,
    /// Its name; for a sheet, the setup it belongs to.
    pub name: Written<String>,
    /// When and by whom.
    pub measured: Option<Measured>,
    /// What it is for.
    pub purpose: Option<Written<String>>,
    /// The instruments defined here, or inherited by a sheet.
    pub instruments: Vec<Instrument>,
    /// Every measure, in the table's order.
    pub readings: BTreeMap<MeasureId, Recorded>,
    /// Of a sheet, what was read and tells nothing as long as another thing is not read: set aside, and not compared.
    pub aside: BTreeMap<MeasureId, Recorded>,
    /// Of the setup that a sheet is compared with, angles as its file has them: they were read before the bar was rolled, and
    /// count as the bar took them along, for so the sheet finds them and no line is told to meet. Of a text there are none.
    pub unsure: BTreeMap<MeasureId, Reading>,
    /// Measures that stand in a conflict and nowhere else: none of the versions counts, and neither does a natural value.
    pub undecided: BTreeMap<MeasureId, Undecided>,
    /// Marks and torques that stand in a conflict.
    pub in_conflict: Vec<InConflict>,
    /// Where anything stands in a conflict, the setups that the file becomes if all is as ours has it, and as theirs.
    pub versions: Vec<Setup>,
    /// Every group that stands in the file.
    pub parts: Shared<Part>,
    /// Protective patches.
    pub guards: Vec<Guard>,
    /// Torque ranges.
    pub torques: Shared<Torque>,
    /// Witness marks.
    pub marks: Shared<Mark>,
    /// Damage reported.
    pub damages: Vec<Damage>,
    /// Joints that a sheet tells are apart or were opened.
    pub opened: Vec<Opened>,
    /// Notes.
    pub notes: Shared<Note>,
    /// Acknowledged findings.
    pub accepted: Vec<Accepted>,
}

/// How the note begins that stands in a file with planned values.
pub const PLANNED: &str = "Planned with `";
/// How a note of damage begins, behind its day.
pub const DAMAGE_NOTED: &str = "damage";
/// What a note of an opened joint says, behind its day and its name.
pub const OPENED_NOTED: &str = "opened, torque not read";
/// What a note says of a measure that nobody knows any more, between the measure and why.
pub const FORGOTTEN_NOTED: &str = " no longer known: ";
/// How a note begins that forbids to ride, behind its day.
pub const RIDING_FORBIDDEN: &str = "do not ride";

impl Setup {
    /// The day it was measured.
    pub fn day(&self) -> Option<NaiveDate> {
        self.measured.as_ref().map(|measured| measured.date)
    }

    /// The day on which a reading of this file was taken: its own, else the file's.
    pub fn day_of(&self, reading: Option<&Reading>) -> Option<NaiveDate> {
        reading.and_then(Reading::read).or_else(|| self.day())
    }

    /// Whether some of it was worked out and written down, not measured: the note that is written with it says so.
    pub fn is_planned(&self) -> bool {
        self.notes.iter().any(|note| note.on.is_empty() && note.text.value.starts_with(PLANNED))
    }

    /// The sheet as it was written, with nothing set aside.
    pub fn whole(&self) -> Cow<'_, Setup> {
        if self.aside.is_empty() {
            return Cow::Borrowed(self);
        }
        let mut whole = self.clone();
        whole.readings.append(&mut whole.aside);
        Cow::Owned(whole)
    }

    /// The value of a measure, if recorded in any form.
    pub fn recorded(&self, id: &MeasureId) -> Option<&Recorded> {
        self.readings.get(id)
    }

    /// The reading of a measure, if it is a number and known.
    pub fn reading(&self, id: &MeasureId) -> Option<&Reading> {
        match &self.readings.get(id)?.value {
            Value::Reading(reading) => Some(reading),
            Value::Choice(_) | Value::Unmeasured => None,
        }
    }

    /// The mean of a measure in its default unit.
    pub fn value(&self, id: &MeasureId) -> Option<f64> {
        self.reading(id).map(Reading::value)
    }

    /// The chosen word of a measure.
    pub fn choice(&self, id: &MeasureId) -> Option<&'static str> {
        match self.readings.get(id)?.value {
            Value::Choice(word) => Some(word),
            Value::Reading(_) | Value::Unmeasured => None,
        }
    }

    /// Whether the bar is of the material that has rules of its own, as far as that is decided.
    pub fn has_carbon_bar(&self) -> bool {
        self.may_be(&MeasureId::bike(BAR_MATERIAL), CARBON)
    }

    /// Whether the group of that path stands in the file.
    pub fn has_part(&self, path: &str) -> bool {
        self.parts.iter().any(|part| part.path == path)
    }

    /// Where a note on a part goes: its own group, else the top of the file.
    pub fn group_or_top<'p>(&self, part: &'p str) -> &'p str {
        if self.has_part(part) { part } else { "" }
    }

    /// Lets a sheet tell of a recorded mark how it was found, whatever it told of it before.
    pub fn find_mark(&mut self, mark: &Mark, state: MarkState) {
        self.marks.retain(|known| known.name.value != mark.name.value);
        let state = Some(Written { value: state, span: Span::default() });
        self.marks.push(Mark { state, seen_on: None, ..mark.clone() });
    }

    /// Whether a sheet tells that a joint is apart or was opened.
    pub fn tells_open(&self, joint: &str) -> bool {
        self.opened.iter().any(|told| told.joint.value == joint)
    }

    /// The day on which a sheet tells that a joint was apart or opened: its own, else the sheet's.
    pub fn day_opened(&self, joint: &str) -> Option<NaiveDate> {
        let told = self.opened.iter().find(|told| told.joint.value == joint);
        told.and_then(|told| told.read).or_else(|| self.day())
    }

    /// The torque that a sheet tells a joint was tightened to, unless it was open on a later day.
    pub fn torque_since_opened(&self, joint: &str) -> Option<&Applied> {
        let applied = self.torque(joint)?.applied.as_ref()?;
        let is_before =
            self.tells_open(joint) && applied.read.or_else(|| self.day()) < self.day_opened(joint);
        (!is_before).then_some(applied)
    }

    /// The day on which a sheet saw a mark: its own, else the sheet's.
    pub fn day_seen(&self, mark: &str) -> Option<NaiveDate> {
        self.mark(mark).and_then(|mark| mark.seen_on).or_else(|| self.day())
    }

    /// Whether a sheet tells nothing of the bike yet: the slope of the ground alone does not.
    pub fn is_blank(&self) -> bool {
        let read = self.readings.keys().chain(self.aside.keys()).any(|id| id.row != FLOOR);
        let told = [self.marks.is_empty(), self.damages.is_empty(), self.opened.is_empty()];
        let open = [self.undecided.is_empty(), self.in_conflict.is_empty()];
        !read && told.into_iter().chain(open).all(|none| none) && self.torques.is_empty()
    }

    /// The names of the hoses, in the file's order.
    pub fn hoses(&self) -> impl Iterator<Item = &str> {
        self.parts.iter().filter_map(|part| part.path.strip_prefix("hose."))
    }

    /// The torque recorded for a joint.
    pub fn torque(&self, joint: &str) -> Option<&Torque> {
        self.torques.iter().find(|torque| torque.joint.value == joint)
    }

    /// The torque wrenches among the instruments.
    pub fn wrenches(&self) -> impl Iterator<Item = (&str, &Wrench)> {
        self.instruments
            .iter()
            .filter_map(|instrument| instrument.wrench().map(|wrench| (&*instrument.name, wrench)))
    }

    /// A mark by its name.
    pub fn mark(&self, name: &str) -> Option<&Mark> {
        self.marks.iter().find(|mark| mark.name.value == name)
    }

    /// How a sheet found a mark.
    pub fn seen(&self, mark: &str) -> Option<MarkState> {
        self.mark(mark)?.state.as_ref().map(|state| state.value)
    }

    /// The marks across a joint.
    pub fn marks_on<'a>(&'a self, joint: &'a str) -> impl Iterator<Item = &'a Mark> {
        self.marks.iter().filter(move |mark| mark.on.as_ref().is_some_and(|on| on.value == joint))
    }
}
