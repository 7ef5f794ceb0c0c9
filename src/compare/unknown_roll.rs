//! Angles against gravity on a bar whose roll nobody knows.
//!
//! A gauge on a control reads the control's turn on the bar and the bar's roll together. Where the bar was let go, or
//! where all that sits on it reads otherwise by as much, and its roll was not read, that sum says nothing of any one
//! clamp: neither that it turned nor that it held. The readings are set aside until the roll is known. A line across a
//! control's own clamp knows nothing of the roll; with the gauge beside it, it tells the roll instead.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::catalogue::table::{BAR_ROLL, FLOOR};
use crate::catalogue::{MeasureId, Weight, joint};
use crate::check::marks::staleness;
use crate::geometry::state::{Difference, Layer, Level, State};
use crate::metrology::show::{plain, with_uncertainty};
use crate::metrology::verdict::{Verdict, judge};
use crate::setup::model::{Mark, MarkState, Setup, Value};

use super::floor::{self, ALL_ALIKE, CommonShift, LeftOver};
use super::off_the_rest::{is_told_by, off_the_rest};
use super::{on_bar, typed};

/// Why the roll is open.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum RollOpen {
    /// The bar moved in the stem, nobody knows how far.
    LetGo,
    /// All that sits on the bar reads otherwise by as much.
    AllAlike,
}

/// That the bar's roll is not known, and what tells nothing for that.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct UnknownRoll {
    /// The joint that holds the bar.
    pub joint: String,
    /// Why the roll is open.
    pub because: RollOpen,
    /// The angles that were read and tell nothing of their clamps.
    pub angles: Vec<SetAside>,
    /// The rolls that lines on controls and their angles tell between them.
    pub told: Vec<ToldRoll>,
    /// The line across the bar's clamp that was found to meet, and so speaks against a roll.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub line_that_meets: Option<String>,
    /// All of it, in sentences.
    pub words: String,
    /// Why the bar is to be worked on, in a few words.
    #[serde(skip)]
    pub why: String,
}

/// One angle that tells nothing of its clamp.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct SetAside {
    /// Its written path.
    pub measure: String,
    /// In plain words.
    pub title: String,
    /// What a slip at its joint does.
    pub weight: Weight,
    /// What it was, with its unit.
    pub was_written: Option<String>,
    /// What it reads, with its unit.
    pub now_written: Option<String>,
    #[serde(skip)]
    pub(super) id: MeasureId,
}

/// The roll that the line on a control and its angle tell between them.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct ToldRoll {
    /// The control's angle.
    pub measure: String,
    /// In plain words.
    pub title: String,
    /// By how much the bar has rolled, + = forward, in degrees.
    pub rolled: f64,
    /// Its expanded uncertainty.
    #[serde(rename = "U")]
    pub uncertainty: f64,
}

impl UnknownRoll {
    /// The angles on steering and brakes, by their titles.
    pub fn dangerous(&self) -> impl Iterator<Item = &str> {
        let dangerous = self.angles.iter().filter(|angle| angle.weight == Weight::SteeringAndBrakes);
        dangerous.map(|angle| angle.title.as_str())
    }

    /// All of them, by their titles.
    pub fn titles(&self) -> String {
        self.angles.iter().map(|angle| angle.title.as_str()).collect::<Vec<_>>().join(", ")
    }
}

/// Whether a sheet reads angles of controls and leaves the bar's roll open. The later state has the whole sheet on top,
/// and between the turns that the marks tell whatever a gauge reads beside them.
pub fn unknown_roll(difference: &Difference) -> Option<UnknownRoll> {
    let (found, sheet) = (&difference.to, difference.to.sheet()?);
    let roll = MeasureId::bike(BAR_ROLL);
    if found.layer(&roll) != Layer::Recorded {
        return None;
    }
    let joint = found.setup().joint_of(found.catalogue(), &roll)?.to_owned();
    let off = off_the_rest(difference);
    let is_off = |id: &MeasureId| off.get(id).is_some_and(|left| is_told_by(difference, id, left));
    let alone = off_words(difference, &off);
    let angles = control_angles(sheet).filter(|id| !is_off(id));
    let angles: Vec<SetAside> = angles.map(|id| set_aside(difference, id)).collect();
    if angles.is_empty() {
        return None;
    }
    let told: Vec<ToldRoll> = angles.iter().filter_map(|angle| told_roll(difference, &angle.id)).collect();
    let between = told_words(&told, sheet);
    let names = names(&angles);
    if let Some(why) = on_bar::let_go(found) {
        let words = format!(
            "{alone}The bar's roll was not read, and {why}: nobody knows how far it has rolled. {names} Read the roll, or set the \
             bar first; then read them again.{between}"
        );
        let because = RollOpen::LetGo;
        return Some(UnknownRoll { joint, because, angles, told, line_that_meets: None, words, why });
    }
    let (why, said) = alike(difference, &told)?;
    let line_that_meets = line_that_meets(difference, &joint);
    let against = line_that_meets.as_deref().map(against_a_roll).unwrap_or_default();
    let words = format!("{alone}{said}{against}{names} Read the roll first, then these again.{between}");
    Some(UnknownRoll { joint, because: RollOpen::AllAlike, angles, told, line_that_meets, words, why })
}

/// A line across the bar's clamp that meets where it was drawn. Where it was drawn at a roll, it tells the roll, and nothing
/// is open.
fn line_that_meets(difference: &Difference, joint: &str) -> Option<String> {
    let (setup, sheet) = (difference.to.setup(), difference.to.sheet()?);
    let meets = |mark: &&Mark| sheet.seen(&mark.name.value) == Some(MarkState::Aligned);
    let is_fresh = |mark: &&Mark| staleness(difference.to.catalogue(), setup, mark).is_none();
    let mut lines = setup.marks_on(joint).filter(|mark| !mark.drawn.is_empty());
    lines.find(|mark| meets(mark) && is_fresh(mark)).map(|mark| mark.name.value.clone())
}

fn against_a_roll(mark: &str) -> String {
    format!(
        "But mark {mark} across the bar's clamp meets, and speaks against a roll: before anybody opens the stem, look at {mark} \
         again and read the slope of the ground (floor) again. "
    )
}

/// The controls that do not read as the rest on the bar does, the dangerous first: "right brake lever angle reads 25.0 ± 0.4°
/// tip down off the rest on the bar: whatever the bar did, its clamp was turned. "
fn off_words(difference: &Difference, off: &BTreeMap<MeasureId, LeftOver>) -> String {
    let catalogue = difference.from.catalogue();
    let is_off = |left: &LeftOver| judge(left.delta, left.uncertainty) == Verdict::Moved;
    let mut off: Vec<_> = off.iter().filter(|(_, left)| is_off(left)).collect();
    off.sort_by_key(|(id, _)| catalogue.measure(id.row).weight);
    let words = off.into_iter().map(|(id, left)| {
        let (value, expanded) = with_uncertainty(left.delta.abs(), left.uncertainty, 1);
        let way = catalogue.measure(id.row).direction(left.delta);
        let what = if is_told_by(difference, id, left) {
            "whatever the bar did, this was turned"
        } else {
            "and its own line tells otherwise: look at both again"
        };
        format!("{} reads {value} ± {expanded}° {way} off the rest on the bar: {what}. ", catalogue.title(id))
    });
    words.map(|words| capitalised(&words)).collect()
}

fn capitalised(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// The angles of controls that a sheet reads.
pub fn control_angles(sheet: &Setup) -> impl Iterator<Item = &MeasureId> {
    let read = sheet.readings.iter().filter(|(_, recorded)| matches!(recorded.value, Value::Reading(_)));
    read.map(|(id, _)| id).filter(|id| joint::is_control_angle(id.row))
}

/// Why it looks as if the bar had rolled, for the reason of a step and in a sentence: all angles on it read alike
/// otherwise, or the lines and gauges of two clamps tell it.
fn alike(difference: &Difference, told: &[ToldRoll]) -> Option<(String, String)> {
    let is_floor_read = difference.from.floor().is_some() && difference.to.floor().is_some();
    let shared = floor::shared(difference).filter(|shift| !shift.is_the_ground);
    let why = |far: &str| format!("the angles on it read {far}{ALL_ALIKE}, and its roll was not read");
    if let Some(shift) = shared {
        let words = if is_floor_read { on_read_ground(&shift) } else { String::new() };
        return Some((why(&format!("{} at the tip", shift.far())), words));
    }
    let (first, rest) = told.split_first()?;
    let rolled = |one: &ToldRoll| judge(one.rolled, one.uncertainty) == Verdict::Moved;
    let agrees = |one: &ToldRoll| {
        let together = first.uncertainty.hypot(one.uncertainty);
        judge(one.rolled - first.rolled, together) != Verdict::Moved
    };
    let is_told = !rest.is_empty() && told.iter().all(rolled) && rest.iter().all(agrees);
    let far = format!("{}° otherwise than their lines tell", plain(first.rolled.abs(), 1));
    let said = "The lines on the controls and what a gauge reads there tell alike that the bar has rolled. "
        .to_owned();
    is_told.then(|| (why(&far), said))
}

fn on_read_ground(shift: &CommonShift) -> String {
    format!(
        "{} angles on the bar read {} at the tip, all alike, and the ground was read: the bar was rolled, unless every clamp on \
         it was turned by as much. ",
        shift.explains.len(),
        shift.far()
    )
}

fn set_aside(difference: &Difference, id: &MeasureId) -> SetAside {
    let catalogue = difference.from.catalogue();
    let written = |state: &State| state.number(id).map(typed);
    SetAside {
        measure: catalogue.path(id),
        title: catalogue.title(id),
        weight: catalogue.measure(id.row).weight,
        was_written: written(&difference.from),
        now_written: written(&difference.to),
        id: id.clone(),
    }
}

/// "What a gauge reads on the bar tells nothing of a clamp until then: right brake lever angle (was 32°, reads 42°)."
fn names(angles: &[SetAside]) -> String {
    let one = |angle: &SetAside| {
        let was = angle.was_written.as_ref().map(|was| format!("was {was}, ")).unwrap_or_default();
        let now = angle.now_written.as_deref().unwrap_or_default();
        format!("{} ({was}reads {now})", angle.title)
    };
    let names: Vec<String> = angles.iter().map(one).collect();
    format!("Until then what a gauge reads on the bar tells nothing of a clamp: {}.", names.join(", "))
}

/// What the gauge reads more than the control's own line tells of its clamp.
fn told_roll(difference: &Difference, id: &MeasureId) -> Option<ToldRoll> {
    let setup = difference.to.setup();
    // What shares a lever's clamp turns in its own slot, too.
    if setup.shared_controls().any(|(side, control)| MeasureId::of(control.angle, side) == *id) {
        return None;
    }
    let turn = difference.to.turn_of(id)?;
    let (propagated, _) = difference.propagate(&Level(id));
    let read = propagated.output(0)?;
    let catalogue = difference.from.catalogue();
    Some(ToldRoll {
        measure: catalogue.path(id),
        title: catalogue.title(id),
        rolled: read.value - turn.value(),
        uncertainty: read.expanded_uncertainty().hypot(turn.expanded_uncertainty()),
    })
}

/// The roll that is told between line and gauge, in sentences.
fn told_words(told: &[ToldRoll], sheet: &Setup) -> String {
    let Some(most) = told.iter().max_by(|one, other| one.rolled.abs().total_cmp(&other.rolled.abs())) else {
        return String::new();
    };
    let differs = |one: &&ToldRoll| {
        let together = most.uncertainty.hypot(one.uncertainty);
        judge(one.rolled - most.rolled, together) == Verdict::Moved
    };
    if let Some(other) = told.iter().find(differs) {
        return format!(
            " The line and the gauge tell another roll at the {} than at the {}: look at both again.",
            other.title, most.title
        );
    }
    let titles: Vec<&str> = told.iter().map(|one| one.title.as_str()).collect();
    let (value, expanded) = with_uncertainty(most.rolled.abs(), most.uncertainty, 1);
    let way = if most.rolled < 0.0 { "backward" } else { "forward" };
    let far = if judge(most.rolled, most.uncertainty) == Verdict::Moved {
        format!("has rolled {value} ± {expanded}° {way}")
    } else {
        // What they can tell apart is coarser than that: nobody is to read it as proof.
        format!("stands within {}° of where it was", plain(most.rolled.abs() + most.uncertainty, 1))
    };
    let ground =
        if sheet.reading(&MeasureId::bike(FLOOR)).is_some() { "" } else { ", if the ground is as it was" };
    format!(
        " By the line there and the gauge the bar {far}{ground}: {}. Read the roll to be sure.",
        titles.join(", ")
    )
}
