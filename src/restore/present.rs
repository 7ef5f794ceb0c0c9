//! Going back to an older revision of a bike that stands here now: what that revision tells, and what only the file of
//! today does.

use crate::catalogue::table::{BAR_MATERIAL, FLOOR};
use crate::catalogue::{Catalogue, Gravity, MeasureId};
use crate::compare::{self, Replaced, Shorter};
use crate::geometry::state::{Layer, State};
use crate::metrology::reading::Reading;
use crate::metrology::show;
use crate::metrology::verdict::Verdict;
use crate::setup::model::{Recorded, Setup, Value};

use super::evidence;

/// The setup that a bike goes back to: everything where it stood then; its lines as they are drawn now, and what limits
/// its clamps as the file of today has it, but for the parts that were others then.
pub fn target(catalogue: &Catalogue, then: &Setup, now: &Setup) -> Setup {
    let mut target = then.clone();
    target.marks.clone_from(&now.marks);
    let replaced = compare::replaced(catalogue, now, then, Shorter::Another);
    let is_of_then = |joint: &str| {
        replaced.as_ref().is_some_and(|replaced: &Replaced| replaced.joints.iter().any(|name| name == joint))
    };
    let today = now.torques.iter().filter(|torque| !is_of_then(&torque.joint.value));
    let then_only = then.torques.iter().filter(|torque| is_of_then(&torque.joint.value));
    target.torques = today.chain(then_only).cloned().collect();
    let material = MeasureId::bike(BAR_MATERIAL);
    let bar = catalogue.measure(BAR_MATERIAL).part();
    let is_same_bar = replaced.as_ref().is_none_or(|replaced| !replaced.parts.contains(&bar));
    if let Some(recorded) = now.readings.get(&material).filter(|_| is_same_bar) {
        target.readings.insert(material, recorded.clone());
    }
    // A sheet of today is read with the instruments of today.
    let is_known = |name: &str| now.instruments.iter().any(|instrument| &*instrument.name == name);
    target.instruments.retain(|instrument| !is_known(&instrument.name));
    target.instruments.extend(now.instruments.iter().cloned());
    target
}

/// What is known of a bike that goes back to another revision: what a sheet found, and where it is silent what the file
/// of today has elsewhere than that revision, unless the sheet shows it to have been let go since.
pub fn known(catalogue: &Catalogue, target: &Setup, now: &Setup, sheet: &Setup) -> Setup {
    let evidence = evidence::weigh(catalogue, now, sheet);
    let recorded = State::recorded(catalogue, now);
    let found = recorded.found(sheet, Some(&evidence.turns));
    let mut since = compare::as_written(recorded, found);
    evidence.settle(&mut since, &found);
    let opened = since.opened();
    let is_let_go = |id: &MeasureId| now.joint_of(catalogue, id).is_some_and(|joint| opened.contains(joint));
    let between = compare::as_written(State::recorded(catalogue, target), recorded);
    let differs = between.changes.iter().filter(|change| change.verdict == Verdict::Moved);
    let mut known = sheet.clone();
    for id in differs.map(|change| &change.id).filter(|id| sheet.recorded(id).is_none()) {
        if found.layer(id) == Layer::Recorded && is_let_go(id) {
            continue;
        }
        known.readings.extend(as_on_the_sheet(&found, id).map(|recorded| (id.clone(), recorded)));
    }
    known
}

/// What a measure would read on the ground of the sheet.
fn as_on_the_sheet(found: &State, id: &MeasureId) -> Option<Recorded> {
    let recorded = found.setup().recorded(id)?;
    let Value::Reading(reading) = &recorded.value else { return Some(recorded.clone()) };
    let measure = found.catalogue().measure(id.row);
    let floor = found.sheet()?.value(&MeasureId::bike(FLOOR)).unwrap_or(0.0);
    let level = found.level_value(id)?;
    let value = match measure.gravity {
        Gravity::None if found.layer(id) == Layer::Recorded => return Some(recorded.clone()),
        Gravity::None => level,
        Gravity::TipDown => level - floor,
        Gravity::NoseUp => level + floor,
    };
    let unit = measure.unit();
    let read = Reading::new([value], [show::plain(value, 1)], unit, unit, reading.half_width())?;
    Some(Recorded { value: Value::Reading(read), ..recorded.clone() })
}
