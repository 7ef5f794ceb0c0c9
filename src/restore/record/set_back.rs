//! What reads as before on a bar that does not stand as before: it was turned or slid on the bar until the instrument read the
//! old figure. Only the day of its reading tells so, and therefore it is written again.

use crate::catalogue::table::BAR_WIDTH;
use crate::catalogue::{MeasureId, joint};
use crate::compare;
use crate::geometry::state::Difference;
use crate::metrology::verdict::Verdict;
use crate::restore::moves::Way;
use crate::setup::model::Setup;

use super::carried::roll;

/// Beside `all` that is written: the angles on a bar whose roll is written as moved, and what is counted from the ends of one
/// that is written as cut, as far as the sheet reads it.
pub(super) fn read_on_it(
    way: &Way,
    sheet: &Setup,
    all: &[MeasureId],
    as_planned: &[MeasureId],
) -> Vec<MeasureId> {
    let is_rolled = all.contains(&roll())
        && !as_planned.contains(&roll())
        && way.verdict_as_read(&roll()) == Some(Verdict::Moved);
    let cut_off = || compare::cut_off(&Difference { from: way.recorded, to: way.found? });
    let is_cut = all.contains(&MeasureId::bike(BAR_WIDTH)) && cut_off().is_some();
    let is_on_it = |id: &&MeasureId| {
        is_rolled && joint::is_control_angle(id.row) || is_cut && compare::is_from_the_end(id.row)
    };
    sheet.readings.keys().filter(is_on_it).filter(|id| !all.contains(id)).cloned().collect()
}

/// How a control stands on a bar that moved below it, where it was moved there: "3.3° tip up on the bar".
pub(super) fn on_the_bar(comparison: &compare::Comparison, id: &MeasureId) -> Option<String> {
    let change = comparison.changes.iter().find(|change| change.id == *id)?;
    change.moved.clone().filter(|_| change.moved_on_bar())
}
