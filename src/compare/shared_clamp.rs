//! Controls that share the brake lever's clamp: turned with the lever, they turn along, read or not.

use crate::catalogue::MeasureId;
use crate::catalogue::table::LEVER_ANGLE;
use crate::geometry::state::{Difference, Layer, Level};
use crate::metrology::verdict::{Verdict, judge};

use super::measures::{Carrier, Change, Held, goal, unjudged};

/// How the page names what was not read itself.
const BY_THE_LEVER: &str = "by the brake lever";

/// Marks those of the changes that only went along with the lever, and gives those that nobody read.
pub fn along(difference: &Difference, changes: &mut [Change]) -> Vec<Change> {
    if difference.to.sheet().is_none() {
        return Vec::new();
    }
    let setup = difference.to.setup();
    let mut unread = Vec::new();
    for (side, control) in setup.shared_controls() {
        let lever = MeasureId::of(LEVER_ANGLE, side);
        let lever = changes.iter().find(|change| change.id == lever && change.verdict == Verdict::Moved);
        let Some(lever) = lever.cloned() else { continue };
        let id = MeasureId::of(control.angle, side);
        match changes.iter_mut().find(|change| change.id == id) {
            Some(read) if turned_as(read, &lever) => read.carried = Some(Carrier::Lever),
            Some(read) if stayed_behind(difference, &id, &lever) => in_its_slot(difference, read, &lever),
            Some(_) => {}
            None if stayed_behind(difference, &id, &lever) => {
                let mut read = unjudged(difference, &id);
                in_its_slot(difference, &mut read, &lever);
                unread.push(read);
            }
            None => unread.extend(not_read(difference, &id, &lever)),
        }
    }
    unread
}

/// Whether a control was read and, beyond reading, did not turn as the lever did.
fn stayed_behind(difference: &Difference, id: &MeasureId, lever: &Change) -> bool {
    let sheet = difference.to.sheet();
    // Read on a bar that nobody knows how it stands, it was told by the rest there.
    let is_aside =
        difference.to.turn_of(id).is_some() && sheet.is_some_and(|sheet| sheet.aside.contains_key(id));
    let is_read = lever.carried.is_none() && (difference.to.layer(id) == Layer::Found || is_aside);
    let own = is_read.then(|| difference.propagate(&Level(id)).0);
    let own = own.as_ref().and_then(|propagated| propagated.output(0));
    let (Some(own), Some((turn, doubt))) = (own, lever.delta.zip(lever.uncertainty)) else { return false };
    judge(own.value - turn, own.expanded_uncertainty().hypot(doubt)) == Verdict::Moved
}

/// A control that was read and did not turn as its lever did: whatever it reads, it turned in its slot.
fn in_its_slot(difference: &Difference, read: &mut Change, lever: &Change) {
    let Some(goal) = goal(difference, &read.id) else { return };
    let by = lever.moved.as_deref().unwrap_or_default();
    read.in_its_slot = true;
    read.verdict = Verdict::Moved;
    read.moved = Some(format!("in its slot: its lever moved {by}"));
    read.put_back = Some(format!("in its slot by its own bolt, to {goal} once the lever is back"));
}

/// Whether a control that was told itself turned as its lever did, within reading.
fn turned_as(read: &Change, lever: &Change) -> bool {
    let own = read.delta.zip(read.uncertainty);
    let (Some((own, doubt)), Some((lever, of_lever))) = (own, lever.delta.zip(lever.uncertainty)) else {
        return false;
    };
    let is_free = read.verdict == Verdict::Moved && read.carried.is_none();
    is_free && judge(own - lever, doubt.hypot(of_lever)) != Verdict::Moved
}

/// The turn of a lever as a gauge shows it, on whatever ground each side stood.
fn as_read(lever: &Change) -> Option<f64> {
    match (&lever.was, &lever.now) {
        (Some(Held::Number(was)), Some(Held::Number(now))) => Some(now - was),
        _ => lever.delta,
    }
}

/// The turn of a control that nobody read: that of the lever on whose clamp it sits.
fn not_read(difference: &Difference, id: &MeasureId, lever: &Change) -> Option<Change> {
    let recorded = difference.to.layer(id) == Layer::Recorded;
    let was = difference.from.value(id).filter(|_| recorded)?;
    let goal = goal(difference, id)?;
    let carried = lever.carried.unwrap_or(Carrier::Lever);
    Some(Change {
        now: Some(Held::Number(was + as_read(lever)?)),
        now_written: Some(BY_THE_LEVER.to_owned()),
        delta: lever.delta,
        uncertainty: lever.uncertainty,
        on_bar: lever.on_bar,
        verdict: Verdict::Moved,
        moved: lever.moved.clone(),
        put_back: Some(format!("nothing of its own: it comes back with the brake lever, to {goal}")),
        carried: Some(carried),
        ..unjudged(difference, id)
    })
}
