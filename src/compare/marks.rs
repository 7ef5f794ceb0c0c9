//! Witness marks: those that came, went or were drawn anew, and how a sheet found them; and the damage it reports.

use std::borrow::Cow;

use chrono::NaiveDate;
use serde::Serialize;

use crate::catalogue::joint::CONTROLS;
use crate::catalogue::table::{BAR_ROLL, BAR_WIDTH};
use crate::catalogue::{Catalogue, MeasureId, Weight, joint};
use crate::check::lines;
use crate::geometry::state::{Difference, State};
use crate::metrology::NEGLIGIBLE;
use crate::metrology::verdict::Verdict;
use crate::setup::model::{Damage, Mark, MarkState, Setup, Value, seen};

use super::sawn::{cut_off, is_along_the_bar};

/// The angle of a line and the roll that it went along with are each written to a tenth of a degree, rounded.
const ROUNDED: f64 = 0.1;

/// What became of a witness mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Fate {
    /// Only the later state has it.
    Added,
    /// Only the earlier state has it.
    Gone,
    /// It was drawn at another place, across another joint, or on another day.
    DrawnAnew,
    /// Its place is no longer recorded: until it is drawn again it tells nothing.
    StruckOut,
    /// The two halves of its line meet.
    Aligned,
    /// The two halves stand apart.
    Off,
    /// The line is interrupted: the joint moved, nobody knows how far.
    Broken,
    /// The line cannot be found: nobody knows whether the joint held.
    Missing,
    /// It was drawn at another place than the recorded one: it tells nothing.
    Stale,
    /// It was drawn before the bar's roll was read, and nobody knows at which roll: it tells nothing.
    RollUnknown,
    /// The recorded angle beside it was read before the bar was rolled: it tells nothing of where that is wanted.
    AngleReadBefore,
    /// The line was drawn on a part that is not on the bike any more: it tells nothing.
    OnAnotherPart,
    /// The sheet that found it broken, gone or apart is older than the line, or of its day: nobody knows which line is meant.
    OldOrNew,
}

impl Fate {
    /// Whether it is how a sheet found the mark.
    pub fn is_found(self) -> bool {
        !matches!(self, Fate::Added | Fate::Gone | Fate::DrawnAnew | Fate::StruckOut)
    }
}

/// A witness mark that differs, or as a sheet found it.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct MarkChange {
    /// Its name.
    pub mark: String,
    /// The joint it crosses.
    pub joint: Option<String>,
    /// The joint in plain words.
    pub title: Option<String>,
    /// What became of it.
    pub fate: Fate,
    /// How far the halves stand apart, in mm, + = turned tip-down, forward or to the left.
    pub off: Option<f64>,
    /// What that says of the joint.
    pub verdict: Verdict,
    /// What the joint does to a rider when it slips.
    pub weight: Weight,
    /// When the sheet found it so, if not on its own day.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub read: Option<NaiveDate>,
    /// Of a line drawn anew, whether that was on the sheet's own day.
    #[serde(skip)]
    pub same_day: bool,
}

/// A mark and a reading of one sheet, or two marks, of which one must be false.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Contradiction {
    /// The mark's name.
    pub mark: String,
    /// The mark that says otherwise, where no reading does.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub other_mark: Option<String>,
    /// The joint it crosses.
    pub joint: String,
    /// What the joint does to a rider when it slips.
    pub weight: Weight,
    /// The written path of the measure.
    pub measure: String,
    /// The measure in plain words.
    pub title: String,
    /// All of it, without a full stop.
    pub words: String,
}

impl Contradiction {
    /// In few words: "mark L1 and left brake lever place contradict each other".
    pub fn in_short(&self) -> String {
        match &self.other_mark {
            Some(other) => format!("marks {} and {other} contradict each other", self.mark),
            None => format!("mark {} and {} contradict each other", self.mark, self.title),
        }
    }

    /// Whether it is about the mark of that name.
    pub fn is_of(&self, mark: &str) -> bool {
        self.mark == mark || self.other_mark.as_deref() == Some(mark)
    }
}

/// Damage that a sheet reports.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct DamageFound {
    /// On which part or joint.
    pub on: String,
    /// What is seen.
    pub text: String,
    /// When, if not on the sheet's day.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub read: Option<NaiveDate>,
}

impl DamageFound {
    /// As a sheet has it.
    pub fn of(damage: &Damage) -> DamageFound {
        let Damage { on, text, read } = damage;
        DamageFound { on: on.value.clone(), text: text.value.clone(), read: *read }
    }

    /// What is seen, with its day if it has one of its own: "scored, seen 2026-05-09".
    pub fn said(&self) -> String {
        seen(&self.text, self.read)
    }
}

/// The joints that a sheet tells are apart or were opened: in words, or because a control went onto the brake lever's
/// clamp or off it.
pub fn opened(difference: &Difference) -> Vec<String> {
    let setup = difference.to.setup();
    let told = difference.to.sheet().into_iter().flat_map(|sheet| &sheet.opened);
    let mut opened: Vec<String> = Vec::new();
    for joint in told.map(|one| setup.clamp_of(&one.joint.value)) {
        if !opened.iter().any(|known| *known == *joint) {
            opened.push(joint.into_owned());
        }
    }
    let sheet = difference.to.sheet().into_iter().flat_map(|sheet| sheet.readings.keys());
    let is_mount = |id: &&MeasureId| CONTROLS.iter().any(|control| control.mount == Some(id.row));
    let went_over = sheet.filter(is_mount).filter(|id| {
        let (was, now) = (difference.from.choice(id), difference.to.choice(id));
        was.is_some() && was != now
    });
    for side in went_over.filter_map(|id| id.subject.side) {
        let lever = format!("{side}.brake-lever");
        if setup.has_joint(&lever) && !opened.contains(&lever) {
            opened.push(lever);
        }
    }
    opened
}

/// The damage on the later state's sheet.
pub fn damages(difference: &Difference) -> Vec<DamageFound> {
    difference.to.sheet().map(noted_damages).unwrap_or_default()
}

/// The damage that only the later of two setups notes.
pub fn new_damages(before: &Setup, after: &Setup) -> Vec<DamageFound> {
    // A day of its own, which a merge gives it, makes no other of it.
    let is_known = |damage: &Damage| before.damages.iter().any(|known| known.is(damage));
    after.damages.iter().filter(|damage| !is_known(damage)).map(DamageFound::of).collect()
}

/// The damage that a text notes.
pub fn noted_damages(setup: &Setup) -> Vec<DamageFound> {
    setup.damages.iter().map(DamageFound::of).collect()
}

/// How a sheet found every line of which it tells, what moved first, of that the dangerous first.
pub fn noted_marks(sheet: &Setup) -> Vec<MarkChange> {
    let mut marks: Vec<MarkChange> = sheet.marks.iter().filter_map(|mark| found(mark, sheet)).collect();
    marks.sort_by_key(|change| (change.verdict != Verdict::Moved, change.weight));
    marks
}

/// The marks that differ, and every mark of the later state's sheet; what moved first, of that the dangerous first.
pub fn changes(difference: &Difference) -> Vec<MarkChange> {
    let (from, to) = (difference.from.setup(), difference.to.setup());
    let mut changes = Vec::new();
    let mut carry = Bar::of(&difference.from).until(Bar::of(&difference.to));
    carry.cut_off = cut_off(difference).unwrap_or(0.0);
    let catalogue = difference.from.catalogue();
    for mark in &to.marks {
        let earlier = named(from, mark).map(|earlier| beside(catalogue, from, earlier, mark));
        match earlier.as_deref() {
            // What a sheet newly tells of a line is how it was found, and not that it was drawn.
            None => changes.push(found(mark, to).unwrap_or_else(|| change(mark, to, Fate::Added, None))),
            Some(earlier) if mark.drawn.is_empty() && !earlier.drawn.is_empty() => {
                changes.push(change(mark, to, Fate::StruckOut, None));
            }
            Some(earlier) if !same_place(earlier, mark) && !went_along(earlier, mark, carry) => {
                changes.push(change(mark, to, Fate::DrawnAnew, None));
            }
            Some(_) => {}
        }
    }
    let is_open = |mark: &Mark| to.is_mark_in_conflict(&mark.name.value);
    let gone = from.marks.iter().filter(|mark| named(to, mark).is_none() && !is_open(mark));
    changes.extend(gone.map(|mark| change(mark, from, Fate::Gone, None)));
    for mark in difference.to.sheet().into_iter().flat_map(|sheet| &sheet.marks) {
        changes.extend(found(mark, to));
    }
    changes.sort_by_key(|change| (change.verdict != Verdict::Moved, change.weight));
    changes
}

/// How a sheet found a line; none where it does not tell.
fn found(mark: &Mark, setup: &Setup) -> Option<MarkChange> {
    let (fate, off) = match mark.state.as_ref()?.value {
        MarkState::Aligned => (Fate::Aligned, None),
        MarkState::Broken => (Fate::Broken, None),
        MarkState::Missing => (Fate::Missing, None),
        MarkState::Off(apart) => (Fate::Off, Some(apart)),
    };
    Some(change(mark, setup, fate, off))
}

/// An earlier line with the roll at which it was drawn, where the later one says its own.
fn beside<'m>(catalogue: &Catalogue, from: &Setup, earlier: &'m Mark, later: &Mark) -> Cow<'m, Mark> {
    let known = later.roll.as_ref().and_then(|_| lines::with_its_roll(catalogue, from, earlier));
    known.map_or(Cow::Borrowed(earlier), Cow::Owned)
}

fn named<'s>(setup: &'s Setup, mark: &Mark) -> Option<&'s Mark> {
    setup.mark(&mark.name.value)
}

fn change(mark: &Mark, setup: &Setup, fate: Fate, off: Option<f64>) -> MarkChange {
    let on = mark.on.as_ref().or_else(|| named(setup, mark)?.on.as_ref());
    let joint = on.map(|on| on.value.clone());
    MarkChange {
        mark: mark.name.value.clone(),
        title: joint.as_deref().map(joint::title),
        weight: joint.as_deref().map_or(Weight::Record, joint::weight),
        joint,
        fate,
        off,
        read: mark.seen_on.filter(|_| fate.is_found()),
        same_day: false,
        verdict: match fate {
            Fate::Added => Verdict::Recorded,
            Fate::Gone | Fate::StruckOut => Verdict::NotRecorded,
            // A mark drawn anew says nothing of whether the joint moved before.
            Fate::DrawnAnew => Verdict::ReRead,
            Fate::Aligned => Verdict::Same,
            Fate::Off | Fate::Broken => Verdict::Moved,
            Fate::Missing
            | Fate::Stale
            | Fate::RollUnknown
            | Fate::AngleReadBefore
            | Fate::OnAnotherPart
            | Fate::OldOrNew => Verdict::NotLookedAt,
        },
    }
}

fn same_place(was: &Mark, now: &Mark) -> bool {
    let joint = |mark: &Mark| mark.on.as_ref().map(|on| on.value.clone());
    let places = |mark: &Mark| -> Vec<_> {
        mark.drawn.iter().map(|(id, recorded)| (id.clone(), recorded.value.clone())).collect()
    };
    let alike = places(was)
        .iter()
        .zip(places(now))
        .all(|((id, was), (other, now))| *id == other && is_same_place(was, &now));
    let turned_alike = turned_on_the_bar(was, now).is_none_or(|turned| turned.abs() < NEGLIGIBLE);
    let is_same = alike && turned_alike;
    joint(was) == joint(now) && was.drawn.len() == now.drawn.len() && is_same && was.drawn_on == now.drawn_on
}

/// By how much one line lies elsewhere on the bar than the other, in degrees, where both say at which roll they were drawn.
fn turned_on_the_bar(was: &Mark, now: &Mark) -> Option<f64> {
    let on_the_bar = |mark: &Mark| {
        let angle = mark.drawn.iter().find(|(id, _)| joint::is_control_angle(id.row));
        match angle.map(|(_, recorded)| &recorded.value) {
            Some(Value::Reading(angle)) => Some(angle.value() - lines::said(mark)?.value()),
            _ => None,
        }
    };
    Some(on_the_bar(now)? - on_the_bar(was)?)
}

/// How a bar stands that lines are drawn on.
#[derive(Clone, Copy, Debug, Default)]
pub struct Bar {
    /// Its roll, in degrees.
    roll: Option<f64>,
    /// Its width, in mm.
    width: Option<f64>,
}

/// What a line on a bar goes along with from one state to the next.
#[derive(Clone, Copy, Debug, Default)]
pub struct Carry {
    /// By how much the bar was rolled, in degrees.
    rolled: f64,
    /// What was cut off the end that its place is counted from, in mm.
    cut_off: f64,
}

impl Bar {
    /// As a state has it.
    pub fn of(state: &State) -> Bar {
        let value = |row| state.level_value(&MeasureId::bike(row));
        Bar { roll: value(BAR_ROLL), width: value(BAR_WIDTH) }
    }

    /// What became of it until then.
    pub fn until(self, then: Bar) -> Carry {
        let cut_off = self.width.zip(then.width).map_or(0.0, |(was, now)| (was - now) / 2.0);
        Carry {
            rolled: self.roll.zip(then.roll).map_or(0.0, |(was, now)| now - was),
            cut_off: cut_off.max(0.0),
        }
    }
}

/// Whether a line is the one it was, and only reads otherwise because the bar it is on was rolled or cut: nobody drew it.
pub fn went_along(was: &Mark, now: &Mark, carry: Carry) -> bool {
    let joint = |mark: &Mark| mark.on.as_ref().map(|on| on.value.clone());
    let turned = turned_on_the_bar(was, now);
    let along = |was: &Value, now: &Value| match (was, now) {
        (Value::Reading(was), Value::Reading(now)) => {
            let turned = turned.unwrap_or(now.value() - was.value() - carry.rolled);
            turned.abs() < ROUNDED + NEGLIGIBLE
        }
        _ => false,
    };
    let nearer = |was: &Value, now: &Value| match (was, now) {
        (Value::Reading(was), Value::Reading(now)) => {
            (was.value() - carry.cut_off - now.value()).abs() < ROUNDED + NEGLIGIBLE
        }
        _ => false,
    };
    let alike = was.drawn.iter().zip(&now.drawn).all(|((id, was), (other, now))| {
        let (was, now) = (&was.value, &now.value);
        let is_angle = joint::is_control_angle(id.row);
        let is_there = is_same_place(was, now) && (turned.is_none() || !is_angle);
        let is_cut_nearer = carry.cut_off > 0.0 && is_along_the_bar(id.row) && nearer(was, now);
        id == other && (is_there || is_angle && along(was, now) || is_cut_nearer)
    });
    joint(was) == joint(now) && was.drawn.len() == now.drawn.len() && alike && was.drawn_on == now.drawn_on
}

/// The place itself, in whatever unit and to however many zeros it is written.
fn is_same_place(was: &Value, now: &Value) -> bool {
    match (was, now) {
        (Value::Reading(was), Value::Reading(now)) => (was.value() - now.value()).abs() < NEGLIGIBLE,
        _ => was == now,
    }
}
