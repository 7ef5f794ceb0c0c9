//! A sheet after the way back: the bike stands as recorded again, and what was tightened meanwhile is known.

use std::collections::BTreeSet;

use serde::Serialize;

use crate::catalogue::table::{FLOOR, LEVER_ANGLE};
use crate::catalogue::{Catalogue, HeldBy, MeasureId, Weight, joint};
use crate::check::{before_the_roll, forgotten, not_to_ride, planned};
use crate::compare::{self, Change, Comparison};
use crate::geometry::state::{Layer, State, Turns};
use crate::metrology::verdict::Verdict;
use crate::setup::model::{MarkState, Opened, Setup, Value};

use super::evidence;

/// Why a bike cannot be told to stand as recorded again.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NotPutBack {
    /// What the sheet says against itself, in one sentence without its full stop.
    Contradiction(String),
    /// What another part or a mechanic brings back, and no setting: by its title.
    NoStep(String),
}

/// A bike that stands as recorded again.
#[derive(Clone, Debug)]
pub struct PutBack {
    /// What the sheet would tell.
    pub sheet: Setup,
    /// What it read on a bar that nobody knew how it stood, and nobody has read since the bar is back.
    pub unread: Vec<MeasureId>,
    /// What it reads otherwise, where nothing but another reading tells that it was put back.
    pub untold: Vec<Untold>,
}

/// What a sheet reads otherwise and no bolt holds: no torque tells that it was put back.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Untold {
    /// Its written path.
    pub measure: String,
    /// In plain words.
    pub title: String,
    /// How much it matters.
    pub weight: Weight,
    /// What the sheet reads, with its unit.
    pub found: String,
    /// What is recorded, with its unit.
    pub recorded: String,
}

impl Untold {
    /// "right brake lever reach 50 mm on the sheet, recorded 62 mm".
    pub fn in_short(&self) -> String {
        format!("{} {} on the sheet, recorded {}", self.title, self.found, self.recorded)
    }
}

/// What moved without a bolt that is tightened for it: the reach of a lever, a pressure, the hand that pulls the front brake.
pub fn untold(comparison: &Comparison) -> Vec<Untold> {
    let is_free = |change: &&Change| {
        change.verdict == Verdict::Moved && change.joint.is_none() && change.carried.is_none()
    };
    let told = |change: &Change| Untold {
        measure: change.measure.clone(),
        title: change.title.clone(),
        weight: change.weight,
        found: change.now_written.clone().unwrap_or_default(),
        recorded: change.was_written.clone().unwrap_or_else(|| "nothing".to_owned()),
    };
    comparison.changes.iter().filter(is_free).map(told).collect()
}

/// A measure that no step puts back: a part that is another or was cut, and what wear or a defect changed.
fn no_step(comparison: &Comparison, found: &State) -> Option<String> {
    let catalogue = found.catalogue();
    let moved = comparison.changes.iter().filter(|change| change.verdict == Verdict::Moved);
    let mut beyond = moved.filter(|change| {
        catalogue.measure(change.id.row).held_by == HeldBy::Cutting || comparison.is_worn(&change.id)
    });
    let is_read_first =
        |id: &MeasureId| found.layer(id) == Layer::Found && found.setup().recorded(id).is_none();
    let unridable = || {
        let mut reads = not_to_ride::by_reading(found).into_iter();
        reads.find_map(|reads| catalogue.find(&reads.finding.measure?).filter(is_read_first))
    };
    beyond.next().map(|change| change.title.clone()).or_else(|| unridable().map(|id| catalogue.title(&id)))
}

/// What a sheet would tell once everything on it was put back: readings as recorded, at every joint that was open, too;
/// lines that stood apart meet. Broken lines, damage, torques and notes stay, and so does what was opened. A bar whose roll
/// was open was set in its stem, and what a gauge read on it before still tells nothing of a clamp: that is unread.
///
/// # Errors
/// What the sheet says against itself: nobody knows then what was to be put back. And what no step puts back.
pub fn put_back(catalogue: &Catalogue, setup: &Setup, sheet: &Setup) -> Result<PutBack, NotPutBack> {
    let setup = &*forgotten::remembered(catalogue, setup, sheet);
    let setup = &*planned::as_the_part_has_it(catalogue, setup, sheet);
    let sheet = &*evidence::telling(catalogue, setup, sheet);
    let evidence = evidence::weigh(catalogue, setup, sheet);
    let recorded = State::recorded(catalogue, setup);
    let found = recorded.found(sheet, Some(&evidence.turns));
    let comparison = evidence.settled(compare::as_written(recorded, found), &found);
    if let Some(one) = comparison.contradictions.first() {
        return Err(NotPutBack::Contradiction(one.words.clone()));
    }
    if let Some(title) = no_step(&comparison, &found) {
        return Err(NotPutBack::NoStep(title));
    }
    let mut opened: BTreeSet<String> = comparison.opened().into_iter().map(str::to_owned).collect();
    let roll = comparison.unknown_roll.as_ref();
    opened.extend(roll.filter(|roll| roll.line_that_meets.is_none()).map(|roll| roll.joint.clone()));
    let unread = unread(&recorded, sheet, &evidence.turns, &opened);
    let mut back = sheet.clone();
    back.aside.clear();
    let is_set = |id: &&MeasureId| {
        let at = setup.joint_of(catalogue, id);
        let is_read = sheet.readings.contains_key(id) || sheet.aside.contains_key(id);
        let is_set = is_read || at.is_some_and(|at| opened.contains(at)) || id.row == FLOOR;
        // Nobody puts a lever back to a figure of which nobody knows on which bar it was read.
        let is_known =
            || before_the_roll::read_before(catalogue, setup, id).is_none_or(|old| old.then.is_none());
        is_set && !unread.contains(id) && is_known()
    };
    let as_recorded = setup.readings.iter().filter(|(id, _)| is_set(id));
    back.readings = as_recorded.map(|(id, reading)| (id.clone(), reading.clone())).collect();
    let stood_apart = |state: MarkState| matches!(state, MarkState::Off(_));
    back.marks.retain(|mark| !mark.state.as_ref().is_some_and(|state| stood_apart(state.value)));
    // What came apart was open, whatever its readings say now: a line to what turned freely there meets nothing more.
    let apart = setup.marks.iter().filter(|mark| evidence::loose_half(&recorded, mark, sheet).is_some());
    opened.extend(apart.filter_map(|mark| mark.on.as_ref()).map(|on| on.value.clone()));
    say_open(&mut back, (&comparison, setup, sheet), &opened);
    Ok(PutBack { sheet: back, unread, untold: untold(&comparison) })
}

/// Tells of every joint that was open the last day on which the sheet knew it so, for it was put back after that; what stands
/// as recorded again does so since.
fn say_open(
    back: &mut Setup,
    (comparison, setup, sheet): (&Comparison, &Setup, &Setup),
    opened: &BTreeSet<String>,
) {
    let more = opened.iter().filter(|joint| !sheet.tells_open(joint) && joint::find(joint).is_some());
    back.opened.extend(more.map(|joint| Opened::of(joint.clone())));
    let mut since = None;
    for one in &mut back.opened {
        let last = comparison.last_open(setup, sheet, &setup.clamp_of(&one.joint.value));
        if last.is_some() {
            one.read = last.filter(|_| last != sheet.day());
        }
        since = since.max(last);
    }
    let Some(since) = since else { return };
    for recorded in back.readings.values_mut() {
        if let Value::Reading(reading) = &recorded.value
            && reading.read().or(sheet.day()) < Some(since)
        {
            recorded.value = Value::Reading(reading.clone().read_on(since));
        }
    }
}

/// What was set aside and is told by nothing else: no line of its own or of the lever whose clamp it shares, nor a step
/// that set it.
fn unread(recorded: &State, sheet: &Setup, turns: &Turns, opened: &BTreeSet<String>) -> Vec<MeasureId> {
    let setup = recorded.setup();
    let is_set =
        |id: &MeasureId| setup.joint_of(recorded.catalogue(), id).is_some_and(|at| opened.contains(at));
    let told =
        setup.shared_controls().filter(|(side, _)| turns.contains_key(&MeasureId::of(LEVER_ANGLE, *side)));
    let with_its_lever: Vec<MeasureId> =
        told.map(|(side, control)| MeasureId::of(control.angle, side)).collect();
    let is_told = |id: &MeasureId| turns.contains_key(id) || with_its_lever.contains(id);
    let is_open = |id: &&MeasureId| setup.reading(id).is_some() && !is_told(id) && !is_set(id);
    sheet.aside.keys().filter(is_open).cloned().collect()
}
