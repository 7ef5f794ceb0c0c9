//! A control that does not read as the others on its bar do, where nobody read the bar's roll.
//!
//! The bar takes all that sits on it along by as much, and so does the ground. What most angles on it agree on tells
//! nothing of a clamp; what one of them reads beyond that is its own turn, whatever the bar did.

use std::collections::BTreeMap;

use crate::catalogue::MeasureId;
use crate::catalogue::table::LEVER_ANGLE;
use crate::geometry::state::Difference;
use crate::metrology::NEGLIGIBLE;
use crate::metrology::verdict::{Verdict, judge};

use super::floor::{self, LeftOver};

/// The controls that a sheet reads otherwise than the rest on the bar, and by how much; with a lever, also what was read in
/// its clamp, however that stands to the rest. None where too few agree to be a rest.
pub fn off_the_rest(difference: &Difference) -> BTreeMap<MeasureId, LeftOver> {
    let mut off = BTreeMap::new();
    let Some(sheet) = difference.to.sheet() else { return off };
    let whole = sheet.whole();
    let as_read = Difference { from: difference.from, to: difference.to.with_sheet(&whole) };
    let Some(rest) = floor::on_the_bar(&as_read) else { return off };
    let moved = |left: &LeftOver| judge(left.delta, left.uncertainty) == Verdict::Moved;
    let of = |id: &MeasureId| rest.left_over(id).map(|left| (id.clone(), left));
    off.extend(whole.readings.keys().filter_map(of).filter(|(_, left)| moved(left)));
    let setup = difference.to.setup();
    let slots =
        setup.shared_controls().filter(|(side, _)| off.contains_key(&MeasureId::of(LEVER_ANGLE, *side)));
    let slots: Vec<_> = slots.filter_map(|(side, control)| of(&MeasureId::of(control.angle, side))).collect();
    off.extend(slots);
    off
}

/// Whether the turn that is known of a control was told by the rest on the bar, and by no line of its own.
pub(super) fn is_told_by(difference: &Difference, id: &MeasureId, left: &LeftOver) -> bool {
    let turn = difference.to.turn_of(id);
    turn.is_some_and(|turn| (turn.value() - left.delta).abs() < NEGLIGIBLE)
}
