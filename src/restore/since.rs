//! What a sheet tells that nobody has told since: each thing by its own day, for a sheet may be older than its setup and have
//! seen something later, and what was recorded of it is no news any more.
//!
//! What was told on the very day it was seen may be from before: then it is held against the setup.

use chrono::NaiveDate;

use crate::catalogue::table::FLOOR;
use crate::catalogue::{Catalogue, MeasureId, Weight, joint};
use crate::check::{damage, not_to_ride, opened};
use crate::setup::model::{Note, Setup};

use super::evidence::is_noted;

/// A sheet without what its setup, or another sheet of that, has of the same thing since.
pub fn not_told_since(catalogue: &Catalogue, setup: &Setup, sheet: &Setup, others: &[&Setup]) -> Setup {
    let around = Around { catalogue, setup, sheet, others };
    let mut left = sheet.clone();
    left.readings.retain(|id, _| id.row == FLOOR || !around.is_read_since(id));
    left.marks = sheet.marks.iter().filter(|mark| !around.is_mark_told(&mark.name.value)).cloned().collect();
    left.opened.retain(|opened| !around.is_tightened_or_noted(&opened.joint.value));
    left.torques = sheet
        .torques
        .iter()
        .filter(|torque| !around.is_torque_told(&left, &torque.joint.value))
        .cloned()
        .collect();
    drop_kept(setup, &mut left);
    left
}

/// Takes out of a sheet what its setup keeps against riding in the same words.
pub fn drop_kept(setup: &Setup, sheet: &mut Setup) {
    let is_kept = |note: &Note| {
        not_to_ride::notes(setup).any(|kept| kept.text.value.contains(note.text.value.as_str()))
    };
    sheet.damages.retain(|damage| {
        !damage::is_noted(setup, damage) && !setup.damages.iter().any(|kept| kept.is(damage))
    });
    if sheet.notes.iter().any(is_kept) {
        sheet.notes = sheet.notes.iter().filter(|note| !is_kept(note)).cloned().collect();
    }
}

/// The last day on which a sheet saw anything; none if it gives no day.
pub fn last_seen(sheet: &Setup) -> Option<NaiveDate> {
    let read = sheet.readings.keys().filter(|id| id.row != FLOOR).map(|id| sheet.day_of(sheet.reading(id)));
    let marks = sheet.marks.iter().map(|mark| sheet.day_seen(&mark.name.value));
    let opened = sheet.opened.iter().map(|opened| sheet.day_opened(&opened.joint.value));
    let damages = sheet.damages.iter().map(|damage| damage.read.or(sheet.day()));
    let torques = sheet.torques.iter().map(|torque| applied_on(sheet, &torque.joint.value));
    let versions = sheet.versions.iter().map(last_seen);
    let all = read.chain(marks).chain(opened).chain(damages).chain(torques).chain(versions);
    all.max().flatten().or_else(|| sheet.day())
}

/// The day on which a joint was tightened, as a setup or a sheet tells it.
fn applied_on(of: &Setup, joint: &str) -> Option<NaiveDate> {
    let applied = of.torque(joint)?.applied.as_ref()?;
    applied.read.or_else(|| of.day())
}

struct Around<'a> {
    catalogue: &'a Catalogue,
    setup: &'a Setup,
    sheet: &'a Setup,
    others: &'a [&'a Setup],
}

impl Around<'_> {
    /// Whether a measure was read after the sheet read it, and its clamp is as tight as it was drawn since: it was opened to
    /// move what stands elsewhere. What is planned nobody read; and of a clamp of which the setup has no torque it says so.
    fn is_read_since(&self, id: &MeasureId) -> bool {
        let Some(found) = self.sheet.day_of(self.sheet.reading(id)) else { return false };
        let is_since = |of: &&Setup| of.reading(id).is_some_and(|read| of.day_of(Some(read)) > Some(found));
        let joint = self.setup.joint_of(self.catalogue, id);
        let is_tight = |of: &Setup| joint.is_none_or(|joint| self.is_tight_since(of, joint, found));
        let has_none = joint.is_none_or(|joint| applied_on(self.setup, joint).is_none());
        !self.setup.is_planned() && is_since(&self.setup) && (has_none || is_tight(self.setup))
            || self.others.iter().copied().filter(is_since).any(is_tight)
    }

    /// Whether a line is another since, or was looked at again; or the setup keeps how it was found.
    fn is_mark_told(&self, name: &str) -> bool {
        let (Some(found), Some(seen)) = (self.sheet.day_seen(name), self.sheet.seen(name)) else {
            return false;
        };
        let Some(mark) = self.setup.mark(name) else { return false };
        let is_tight =
            |of: &Setup| mark.on.as_ref().is_some_and(|on| self.is_tight_since(of, &on.value, found));
        let is_drawn_since = mark.drawn_on > Some(found);
        let is_kept =
            is_noted(self.setup, mark, self.sheet, seen) && (mark.drawn.is_empty() || is_drawn_since);
        let is_seen_since = |other: &&Setup| other.seen(name).is_some() && other.day_seen(name) > Some(found);
        is_kept
            || is_drawn_since && is_tight(self.setup)
            || self.others.iter().copied().filter(is_seen_since).any(is_tight)
    }

    /// Whether a joint was tightened, and what it holds read, after it was seen open, or a note of the setup keeps that it was.
    fn is_tightened_or_noted(&self, joint: &str) -> bool {
        let Some(found) = self.sheet.day_opened(joint) else { return false };
        let is_kept = opened::noted(self.setup)
            .any(|noted| noted.joint == joint && !noted.is_planned && noted.day >= Some(found));
        let is_settled =
            |of: &Setup| applied_on(of, joint) > Some(found) && self.is_read_at(of, joint, found);
        is_kept || is_settled(self.setup) || self.others.iter().copied().any(is_settled)
    }

    /// Whether all that a joint holds was read after that day: whatever is tight may stand elsewhere.
    fn is_read_at(&self, of: &Setup, joint: &str, day: NaiveDate) -> bool {
        let is_since = |id: &MeasureId| of.reading(id).is_some_and(|read| of.day_of(Some(read)) > Some(day));
        let held = self.catalogue.held_by(joint).iter().map(|(_, id)| id);
        held.filter(|id| self.setup.reading(id).is_some()).all(is_since)
    }

    /// Whether a joint that nothing left of the sheet shows to have been opened was tightened again since.
    fn is_torque_told(&self, left: &Setup, joint: &str) -> bool {
        let Some(found) = applied_on(self.sheet, joint) else { return false };
        let is_at = |id: &MeasureId| self.setup.joint_of(self.catalogue, id) == Some(joint);
        let is_open = left.opened.iter().any(|opened| opened.joint.value == joint);
        let is_lined = |name: &str| {
            let on = self.setup.mark(name).and_then(|mark| mark.on.as_ref());
            on.is_some_and(|on| self.setup.clamp_of(&on.value) == joint)
        };
        let is_shown = is_open
            || left.readings.keys().any(is_at)
            || left.marks.iter().any(|mark| is_lined(&mark.name.value));
        let mut all = std::iter::once(self.setup).chain(self.others.iter().copied());
        !is_shown && all.any(|of| applied_on(of, joint) > Some(found))
    }

    /// Whether a clamp was tightened after that day, where it holds steering or brakes.
    fn is_tight_since(&self, of: &Setup, joint: &str, day: NaiveDate) -> bool {
        let joint = self.setup.clamp_of(joint);
        joint::weight(&joint) != Weight::SteeringAndBrakes || applied_on(of, &joint) > Some(day)
    }
}
