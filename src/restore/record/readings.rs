//! Which readings of a sheet are written, and why the rest is not.
//!
//! Of the lines, torques and notes beside them it knows nothing.

use std::collections::BTreeSet;

use serde::Serialize;

use crate::catalogue::table::{BAR_SUPPLIED_WIDTH, BAR_WIDTH, FLOOR};
use crate::catalogue::{Catalogue, MeasureId, joint};
use crate::check;
use crate::compare::{self, Comparison};
use crate::geometry::state::State;
use crate::metrology::verdict::Verdict;
use crate::setup::edit::{Edit, EditError};
use crate::setup::model::{Setup, Value};

use super::carried;
use super::let_go;
use super::older::{self, Older};
use super::set_back;
use super::taken::Taken;
use super::unread_ground::{self, OnUnreadGround};
use super::unridable::{self, Unridable};
use super::{Options, Recording};
use crate::restore::contradiction::unsettled;
use crate::restore::evidence::{self, Evidence, MarkVerdict};
use crate::restore::moves::Way;

/// A joint at which nothing was written.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct HeldBack {
    /// Its name.
    pub joint: String,
    /// In plain words.
    pub title: String,
    /// Whether the sheet contradicts itself at this very joint, and not at another that this one depends on.
    pub belied: bool,
}

/// What of a sheet's readings was written, and why the rest was not.
pub(super) struct Readings {
    pub(super) evidence: Evidence,
    pub(super) comparison: Comparison,
    pub(super) on_unread_ground: Vec<OnUnreadGround>,
    pub(super) held_back: Vec<HeldBack>,
    pub(super) older: Vec<Older>,
    pub(super) unridable: Vec<Unridable>,
    pub(super) taken: Taken,
    /// What was planned before, and not read.
    pub(super) unread: BTreeSet<MeasureId>,
    /// What the text now has otherwise.
    pub(super) changed: Vec<MeasureId>,
}

impl Readings {
    /// What is recorded so far of a setup as it was `before`.
    pub(super) fn recording(&self, before: &Setup) -> Recording {
        let Comparison { contradictions, narrower, common_shift, unknown_roll, unread_ground, .. } =
            &self.comparison;
        Recording {
            schema: "clampmark.record/1",
            setup: before.name.value.clone(),
            contradictions: contradictions.clone(),
            held_back: self.held_back.clone(),
            older: self.older.clone(),
            unridable: self.unridable.clone(),
            narrower: narrower.clone(),
            common_shift: common_shift.clone(),
            unknown_roll: unknown_roll.clone(),
            unread_ground: unread_ground.clone(),
            on_unread_ground: self.on_unread_ground.clone(),
            ..Recording::default()
        }
    }
}

/// What a sheet tells, weighed.
fn weighed(recorded: &State, sheet: &Setup) -> (Evidence, Comparison) {
    let evidence = evidence::weigh(recorded.catalogue(), recorded.setup(), sheet);
    let found = recorded.found(sheet, Some(&evidence.turns));
    let comparison = evidence.settled(compare::compare(*recorded, found), &found);
    (evidence, comparison)
}

/// Writes the readings of a sheet, as far as they were read on known ground; what is told of the `whole` sheet stays told.
pub(super) fn write(
    recorded: &State,
    edit: &mut Edit,
    (whole, sheet): (&Setup, &Setup),
    options: &Options,
) -> Result<Readings, EditError> {
    let (catalogue, before) = (recorded.catalogue(), recorded.setup());
    let written = edit.setup().clone();
    let unread =
        if options.put_back { BTreeSet::new() } else { check::planned::unread(catalogue, edit.setup()) };
    let (mut evidence, mut comparison) = weighed(recorded, sheet);
    let mut on_unread_ground = Vec::new();
    if whole.readings.len() > sheet.readings.len() {
        let told = weighed(recorded, whole);
        on_unread_ground =
            left_on_unread_ground(recorded, &written, (whole, sheet), &told, (&unread, options));
        let Comparison { contradictions, common_shift, unknown_roll, unread_ground, .. } = told.1;
        comparison = Comparison { contradictions, common_shift, unknown_roll, unread_ground, ..comparison };
    }
    // Who has the marks drawn anew says that the line is another than the one that was struck out that day.
    if options.redraw {
        let undrawn = evidence::lines_up_undrawn(catalogue, before, sheet);
        comparison.contradictions.retain(|one| !undrawn.contains(one));
    }
    let held_back = held_back(catalogue, before, sheet, &evidence, &comparison);
    let is_held = |id: &MeasureId| {
        before.joint_of(catalogue, id).is_some_and(|on| held_back.iter().any(|held| held.joint == on))
    };
    evidence.turns.retain(|id, _| !is_held(id));
    // A line on a bar that stands nobody knows how tells no angle to the level.
    if compare::is_let_go(&recorded.found(sheet, Some(&evidence.turns))) {
        evidence.turns.retain(|id, _| !joint::is_control_angle(id.row));
    }
    let turns = evidence.turns.clone();
    let found = recorded.found(sheet, Some(&turns));
    let way = Way { recorded: *recorded, found: Some(found), comparison: Some(comparison.clone()) };
    let mut all = to_write(edit, &way, sheet, &evidence, (&unread, options));
    // What stands as it was planned took nothing along.
    let is_as_planned = |id: &&MeasureId| {
        unread.contains(*id) && way.verdict_as_read(id).is_some_and(|verdict| verdict != Verdict::Moved)
    };
    let as_planned: Vec<MeasureId> = all.iter().filter(is_as_planned).cloned().collect();
    all.retain(|id| !is_held(id));
    // Beside a width that is not written, a place counted from the end of another would be a false one.
    if comparison.narrower.as_ref().is_some_and(|narrower| !narrower.is_cut) {
        let width = [BAR_WIDTH, BAR_SUPPLIED_WIDTH];
        all.retain(|id| !width.contains(&id.row) && !compare::is_from_the_end(id.row));
        evidence.turns.retain(|id, _| !compare::is_from_the_end(id.row));
    }
    let mut older = older::older(catalogue, &written, (sheet, &evidence.turns), &all);
    all.retain(|id| !older.iter().any(|one| one.id == *id));
    let mut on_the_bar = set_back::read_on_it(&way, sheet, &all, &as_planned);
    on_the_bar.retain(|id| !is_held(id));
    older.extend(older::older(catalogue, &written, (sheet, &evidence.turns), &on_the_bar));
    on_the_bar.retain(|id| !older.iter().any(|one| one.id == *id));
    if !on_the_bar.is_empty() {
        all.extend(on_the_bar);
        all.sort();
    }
    evidence.turns.retain(|id, _| !older.iter().any(|one| one.id == *id));
    let worn: Vec<MeasureId> = all.iter().filter(|id| comparison.is_worn(id)).cloned().collect();
    let all = (&*all, &*as_planned);
    let whole = Taken::of(recorded, sheet, &evidence.turns, all, &[]);
    let unridable = unridable::unridable(edit, &whole.folding(recorded, sheet), &options.even_so, &worn)?;
    let mut taken = Taken::of(recorded, sheet, &evidence.turns, all, &unridable);
    let is_joint_held = |joint: &str| {
        held_back.iter().any(|held| held.joint == joint) || older::is_at(catalogue, before, &older, joint)
    };
    let found = recorded.found(sheet, Some(&evidence.turns));
    taken.forget(let_go::unknown(&found, (&evidence, &comparison), is_joint_held));
    taken.forget(older::not_read_since(before, sheet, &options.unread));
    let changed = taken.folding(recorded, sheet).write_all(edit)?.into_iter().cloned().collect();
    Ok(Readings {
        evidence,
        comparison,
        on_unread_ground,
        held_back,
        older,
        unridable,
        taken,
        unread,
        changed,
    })
}

/// What would be written of the `whole` sheet, had anybody read the ground it was read on.
fn left_on_unread_ground(
    recorded: &State,
    written: &Setup,
    (whole, sheet): (&Setup, &Setup),
    (evidence, told): &(Evidence, Comparison),
    (unread, options): (&BTreeSet<MeasureId>, &Options),
) -> Vec<OnUnreadGround> {
    let found = Some(recorded.found(whole, Some(&evidence.turns)));
    let way = Way { recorded: *recorded, found, comparison: Some(told.clone()) };
    let is_due = |id: &MeasureId| {
        !sheet.readings.contains_key(id) && wanted(&way, written, whole, id, (unread, options.all))
    };
    unread_ground::held_back(recorded.catalogue(), recorded.setup(), whole, told, is_due)
}

/// The joints at which nothing is written.
fn held_back(
    catalogue: &Catalogue,
    before: &Setup,
    sheet: &Setup,
    evidence: &Evidence,
    comparison: &Comparison,
) -> Vec<HeldBack> {
    let belied: Vec<String> = comparison.contradictions.iter().map(|one| one.joint.clone()).collect();
    let recorded = State::recorded(catalogue, before);
    let found = Some(recorded.found(sheet, Some(&evidence.turns)));
    let way = Way { recorded, found, comparison: Some(comparison.clone()) };
    let is_rolled = way.verdict_as_read(&carried::roll()) == Some(Verdict::Moved);
    let held = unsettled(catalogue, before, &belied, is_rolled);
    held.into_iter()
        .map(|joint| HeldBack {
            title: crate::catalogue::joint::title(&joint),
            belied: belied.contains(&joint),
            joint,
        })
        .collect()
}

/// What is written: what is wanted, and where the sheet reads all that stands on one node, all of it.
fn to_write(
    edit: &Edit,
    way: &Way,
    sheet: &Setup,
    evidence: &Evidence,
    (unread, options): (&BTreeSet<MeasureId>, &Options),
) -> Vec<MeasureId> {
    let turned = way.found.iter().flat_map(State::turned);
    let mut ids: Vec<&MeasureId> = sheet.readings.keys().chain(turned).filter(|id| id.row != FLOOR).collect();
    ids.dedup();
    let read: Vec<MeasureId> = sheet.readings.keys().cloned().collect();
    let drawn_from = drawn_from(&way.recorded, sheet, evidence, options);
    let is_wanted = |id: &MeasureId| {
        let is_same = || options.all && read.contains(id) && way.verdict_as_read(id) == Some(Verdict::Same);
        let within_reading = options.all || drawn_from.contains(id);
        wanted(way, edit.setup(), sheet, id, (unread, within_reading)) || is_same()
    };
    let wanted: Vec<&MeasureId> = ids.iter().copied().filter(|id| is_wanted(id)).collect();
    let goes_along = |id: &MeasureId| {
        let beside = wanted.iter().any(|other| *other != id && edit.is_beside(id, other));
        beside && read.contains(id) && edit.stands_alone(id, &read)
    };
    ids.into_iter().filter(|id| wanted.contains(id) || goes_along(id)).cloned().collect()
}

/// What lines are drawn anew from, whose joints were found to have moved: where the part was set again is its place from now
/// on, also within reading, and tells the sheet it was read on from any other of that day.
fn drawn_from(
    recorded: &State,
    sheet: &Setup,
    evidence: &Evidence,
    options: &Options,
) -> BTreeSet<MeasureId> {
    let reports = evidence.marks.iter().filter(|report| options.redraw && report.overruled);
    let lost = reports.filter(|report| {
        matches!(report.state, MarkVerdict::Broken | MarkVerdict::Missing | MarkVerdict::Off)
    });
    let marks = lost.filter_map(|report| recorded.setup().mark(&report.name));
    let shown = marks.map(|mark| evidence::shown(recorded.catalogue(), recorded.setup(), mark));
    shown.filter(|shown| shown.iter().all(|id| sheet.readings.contains_key(id))).flatten().collect()
}

/// Whether the file has an angle that was read before the bar was rolled, and the sheet reads it since.
fn is_read_on_this_bar(way: &Way, before: &Setup, sheet: &Setup, id: &MeasureId) -> bool {
    let old = check::before_the_roll::read_before(way.recorded.catalogue(), before, id);
    old.is_some_and(|old| old.since.or(old.read).zip(sheet.day()).is_some_and(|(since, day)| day >= since))
}

/// Whether what was found of a measure is to be written, be it also where it differs only `within_reading`.
fn wanted(
    way: &Way,
    before: &Setup,
    sheet: &Setup,
    id: &MeasureId,
    (unread, within_reading): (&BTreeSet<MeasureId>, bool),
) -> bool {
    let is_read = sheet.readings.contains_key(id);
    if is_read && is_read_on_this_bar(way, before, sheet, id) {
        return true;
    }
    match before.recorded(id).map(|recorded| &recorded.value) {
        None | Some(Value::Unmeasured) if is_read => true,
        _ => match way.verdict_as_read(id) {
            Some(Verdict::Moved) => true,
            // A planned figure is no reading, whatever a reading of it comes to.
            Some(Verdict::WithinReading | Verdict::Same) if is_read && unread.contains(id) => true,
            Some(Verdict::WithinReading) => within_reading && is_read,
            _ => false,
        },
    }
}
