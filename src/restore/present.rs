//! Going back to an older revision of a bike that stands here now: what that revision tells, and what only the file of
//! today does.

use std::collections::BTreeSet;

use crate::catalogue::table::{BAR_MATERIAL, BAR_ROLL, BAR_SUPPLIED_WIDTH, BAR_WIDTH, FLOOR};
use crate::catalogue::{Catalogue, Gravity, MeasureId, joint};
use crate::check::{forgotten, lines, not_to_ride};
use crate::compare::{self, Replaced, Shorter};
use crate::geometry::state::{Layer, State};
use crate::metrology::reading::Reading;
use crate::metrology::show;
use crate::metrology::unit::Unit;
use crate::metrology::verdict::Verdict;
use crate::setup::model::{Mark, Opened, Recorded, Setup, Value};
use crate::setup::span::Span;
use crate::setup::torque::Torque;
use crate::torque::old_part;

use super::evidence;
use super::plan::Plan;

/// The setup that a bike goes back to: everything where it stood then; its lines as they are drawn now, and what limits
/// its clamps as the file of today has it, but for the parts that were others then.
pub fn target(catalogue: &Catalogue, then: &Setup, now: &Setup) -> Setup {
    let mut target = then.clone();
    target.marks = now.marks.iter().map(|mark| on_the_bar(catalogue, then, now, mark)).collect();
    let replaced = compare::replaced(catalogue, now, then, Shorter::Another);
    let parts: &[&str] = replaced.as_ref().map_or(&[], |replaced: &Replaced| &replaced.parts);
    // A line drawn since then has one half on a part that goes: nothing meets it any more.
    let crosses = |name: &str| replaced.iter().any(|replaced| replaced.marks.iter().any(|mark| mark == name));
    let is_old = |mark: &Mark| then.mark(&mark.name.value).is_some_and(|old| old.drawn_on == mark.drawn_on);
    for mark in target.marks.iter_mut().filter(|mark| crosses(&mark.name.value) && !is_old(mark)) {
        mark.drawn.clear();
    }
    target.torques = now.torques.iter().map(|torque| as_limited_then(torque, then, parts)).collect();
    // Of what the file of today says nothing the old one's figure is better than none.
    let is_said = |torque: &&Torque| now.torque(&torque.joint.value).is_some();
    target.torques.extend(then.torques.iter().filter(|torque| !is_said(torque)).cloned());
    let material = MeasureId::bike(BAR_MATERIAL);
    let bar = catalogue.measure(BAR_MATERIAL).part();
    let is_same_bar = !parts.contains(&bar);
    if let Some(recorded) = now.readings.get(&material).filter(|_| is_same_bar) {
        target.readings.insert(material, recorded.clone());
    }
    // A sheet of today is read with the instruments of today.
    let is_known = |name: &str| now.instruments.iter().any(|instrument| &*instrument.name == name);
    target.instruments.retain(|instrument| !is_known(&instrument.name));
    target.instruments.extend(now.instruments.iter().cloned());
    target
}

/// A line of today with the roll at which it was drawn: as today's file knows it, or as the revision does that had the same
/// line. One of which neither does stands for no angle.
fn on_the_bar(catalogue: &Catalogue, then: &Setup, now: &Setup, mark: &Mark) -> Mark {
    let is_the_same = |old: &&Mark| old.drawn_on == mark.drawn_on;
    let old = || {
        let old = then.mark(&mark.name.value).filter(is_the_same)?;
        lines::with_its_roll(catalogue, then, old)
    };
    if let Some(known) = lines::with_its_roll(catalogue, now, mark) {
        return known;
    }
    let mut line = mark.clone();
    match old() {
        Some(old) => line.roll = old.roll,
        None => line.drawn.retain(|(id, _)| !joint::is_control_angle(id.row)),
    }
    line
}

/// A joint's torque as today, but for what the makers of those parts said of it that were others then.
fn as_limited_then(today: &Torque, then: &Setup, parts: &[&str]) -> Torque {
    let Some(old) = then.torque(&today.joint.value) else { return today.clone() };
    let is_of_then = |part: &str| parts.contains(&part);
    if old_part::voids_range(parts, &today.joint.value) {
        return old.clone();
    }
    let mut torque = today.clone();
    torque.ceilings.retain(|ceiling| !is_of_then(&ceiling.part.value));
    torque.ceilings.extend(old.ceilings.iter().filter(|ceiling| is_of_then(&ceiling.part.value)).cloned());
    // That a part's limits are void goes with the part that is fitted now.
    torque.cautions.retain(|caution| old_part::told(&caution.value).is_none() || parts.is_empty());
    torque
}

/// What is known of a bike that goes back to another revision: what a sheet found, and where it is silent what the file
/// of today has elsewhere than that revision, unless the sheet shows it to have been let go since.
pub fn known(catalogue: &Catalogue, target: &Setup, now: &Setup, sheet: &Setup) -> Setup {
    let now = &*forgotten::remembered(catalogue, now, sheet);
    let sheet = &*evidence::telling(catalogue, now, sheet);
    let evidence = evidence::weigh(catalogue, now, sheet);
    let recorded = State::recorded(catalogue, now);
    let found = recorded.found(sheet, Some(&evidence.turns));
    let since = evidence.settled(compare::as_written(recorded, found), &found);
    let opened = since.opened();
    let is_let_go = |id: &MeasureId| now.joint_of(catalogue, id).is_some_and(|joint| opened.contains(joint));
    // Nobody knows how controls stand to the level on a bar that was let go, nor angles beside others on unread ground.
    let is_roll_unknown = compare::is_let_go(&found);
    let against_gravity = |id: &MeasureId| catalogue.measure(id.row).gravity != Gravity::None;
    let is_ground_open =
        sheet.reading(&MeasureId::bike(FLOOR)).is_none() && sheet.readings.keys().any(against_gravity);
    let is_unknown = |id: &MeasureId| {
        found.layer(id) == Layer::Recorded && is_let_go(id)
            || is_roll_unknown && (joint::is_control_angle(id.row) || id.row == BAR_ROLL)
            || is_ground_open && against_gravity(id)
    };
    let between = compare::as_written(State::recorded(catalogue, target), recorded);
    // What only goes along with a part is where the part is.
    let differs = between.changes.iter().filter(|change| change.verdict == Verdict::Moved);
    let differs = differs.filter(|change| !catalogue.measure(change.id.row).goes_along());
    let mut known = sheet.clone();
    let mut is_level = false;
    for id in differs.map(|change| &change.id).filter(|id| sheet.recorded(id).is_none() && !is_unknown(id)) {
        is_level |= against_gravity(id);
        known.readings.extend(as_on_the_sheet(&found, id).map(|recorded| (id.clone(), recorded)));
    }
    // A file that tells of a bar that is cut has it from its own supplied width.
    let (width, supplied) = (MeasureId::bike(BAR_WIDTH), MeasureId::bike(BAR_SUPPLIED_WIDTH));
    if sheet.recorded(&width).is_none()
        && known.recorded(&width).is_some()
        && known.recorded(&supplied).is_none()
    {
        known.readings.extend(now.recorded(&supplied).map(|recorded| (supplied, recorded.clone())));
    }
    // What is taken over is to the level, and no reading that could vote on the ground.
    if is_level && sheet.reading(&MeasureId::bike(FLOOR)).is_none() {
        known.readings.extend(level().map(|recorded| (MeasureId::bike(FLOOR), recorded)));
    }
    // A clamp that slipped back to where it stood then slipped all the same.
    let slipped = slipped_back(&State::recorded(catalogue, target), &known, &opened);
    // Seen from that revision its controls may not read alike: it is said as of a bar that was let go.
    let rolled = since.unknown_roll.iter().map(|roll| roll.joint.clone());
    let slipped = slipped.into_iter().chain(rolled.filter(|joint| !opened.contains(&**joint)));
    known.opened.extend(slipped.map(Opened::of));
    known
}

/// Why a bike that stands here now is not to be ridden, on its way back to another revision: what the file of today tells of
/// it, for that it stood elsewhere once is no danger; and what is wrong with the place it goes `back` to.
pub fn headline(today: &Plan, back: &Plan) -> Option<String> {
    let mut said = today.said.clone();
    said.extend(back.stops.iter().filter(|stop| !today.said.contains(stop)).cloned());
    not_to_ride::verdict(&said)
}

/// The joints that were opened since, where nothing that is known of them shows it.
fn slipped_back(then: &State, known: &Setup, opened: &BTreeSet<&str>) -> Vec<String> {
    let comparison = compare::as_written(*then, then.found(known, None));
    let shown = comparison.opened();
    let is_shown = |joint: &&str| known.tells_open(joint) || shown.contains(joint);
    opened.iter().filter(|joint| !is_shown(joint)).map(|joint| (*joint).to_owned()).collect()
}

/// Level ground, exactly.
fn level() -> Option<Recorded> {
    let reading = Reading::new([0.0], ["0".to_owned()], Unit::Degree, Unit::Degree, 0.0)?;
    Some(Recorded { value: Value::Reading(reading), span: Span::default(), node: Span::default() })
}

/// What a measure would read on the ground of the sheet.
fn as_on_the_sheet(found: &State, id: &MeasureId) -> Option<Recorded> {
    let recorded = found.setup().recorded(id)?;
    let Value::Reading(reading) = &recorded.value else { return Some(recorded.clone()) };
    let measure = found.catalogue().measure(id.row);
    if measure.gravity == Gravity::None && found.layer(id) == Layer::Recorded {
        return Some(recorded.clone());
    }
    let floor = found.sheet()?.value(&MeasureId::bike(FLOOR)).unwrap_or(0.0);
    let (value, unit) = (found.value_on_ground(id, floor)?, measure.unit());
    let read = Reading::new([value], [show::plain(value, 1)], unit, unit, reading.half_width())?;
    Some(Recorded { value: Value::Reading(read), ..recorded.clone() })
}
