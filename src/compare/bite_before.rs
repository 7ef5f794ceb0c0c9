//! Where a brake bites, read before its lever was set nearer to the grip or further from it. The screw that sets the reach
//! usually takes the bite along (common practice, no source), so that the old figure tells neither its place nor its share.

use crate::catalogue::MeasureId;
use crate::catalogue::table::{LEVER_BITE, LEVER_REACH};
use crate::geometry::state::Difference;
use crate::metrology::verdict::Verdict;

use super::anew::is_read_again;
use super::measures::Change;
use super::read_before::ReadBefore;

/// The bites that two setups hold as one and the same reading, of levers whose reach moved in between.
pub(super) fn left(difference: &Difference, changes: &[Change]) -> Vec<ReadBefore> {
    let (catalogue, from, to) = (difference.from.catalogue(), difference.from.setup(), difference.to.setup());
    if difference.to.sheet().is_some() || from.name.value != to.name.value {
        return Vec::new();
    }
    let was_set = |change: &&Change| change.id.row == LEVER_REACH && change.verdict == Verdict::Moved;
    let bites = changes.iter().filter(was_set).filter_map(|change| {
        let bite = MeasureId { row: LEVER_BITE, subject: change.id.subject.clone() };
        let is_in_both = from.reading(&bite).is_some() && to.reading(&bite).is_some();
        (is_in_both && !is_read_again(difference, &bite, &change.id))
            .then(|| ReadBefore::of(catalogue, &bite))
    });
    bites.collect()
}
