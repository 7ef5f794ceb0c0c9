//! What a sheet reads for the first time since its clamp was let go, held against where it stood before: that it stands
//! elsewhere tells of that day, and not that somebody opened the clamp again.

use chrono::NaiveDate;

use crate::catalogue::MeasureId;
use crate::check::forgotten::{self, carried::is_by_the_bar};
use crate::geometry::state::State;

use super::Change;

/// One such measure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FirstRead {
    /// Which.
    pub id: MeasureId,
    /// Whether what was last applied to its joint was applied since it was let go.
    pub is_tightened: bool,
}

/// Those of these changes, of a setup in which the figures that notes keep stand as if they were recorded.
pub(super) fn first_read(from: &State, changes: &[Change]) -> Vec<FirstRead> {
    let one = |change: &Change| {
        let since = let_go(from, &change.id)?;
        let torque = change.joint.as_deref().and_then(|joint| from.setup().torque(joint));
        let applied = torque.and_then(|torque| torque.applied.as_ref()).and_then(|applied| applied.read);
        let is_tightened = applied.is_some_and(|applied| applied >= since);
        Some(FirstRead { id: change.id.clone(), is_tightened })
    };
    changes.iter().filter_map(one).collect()
}

/// The day since which nobody knows a measure whose figure is from before it. What the bar took along was not let go.
fn let_go(from: &State, id: &MeasureId) -> Option<NaiveDate> {
    let setup = from.setup();
    let notes = forgotten::notes(from.catalogue(), setup, id).map(|(noted, _)| noted);
    let since = notes.filter(|noted| !is_by_the_bar(noted.because)).filter_map(|noted| noted.since).max()?;
    let known = setup.day_of(setup.reading(id))?;
    (known < since).then_some(since)
}
