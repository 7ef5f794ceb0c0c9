//! The measures that two setups do not hold in the very same words: of neighbours in a history only a few, found once
//! for all that is told of them.

use std::collections::BTreeMap;

use crate::catalogue::MeasureId;
use crate::geometry::state::Difference;
use crate::setup::model::{Recorded, Value};

/// A measure as either setup holds it.
pub(super) struct Differing<'a> {
    pub(super) id: &'a MeasureId,
    pub(super) was: Option<&'a Value>,
    pub(super) now: Option<&'a Value>,
}

impl<'a> Differing<'a> {
    /// What both of them hold.
    pub(super) fn both(&self) -> Option<(&'a Value, &'a Value)> {
        self.was.zip(self.now)
    }

    fn is_the_same(&self) -> bool {
        self.was == self.now
    }
}

/// Those that differ in anything, if only in how they were typed or read, in the table's order. What lies on top of a
/// setup is not weighed here.
pub(super) fn differing<'a>(difference: &Difference<'a>) -> Vec<Differing<'a>> {
    held(&difference.from.setup().readings, &difference.to.setup().readings)
        .filter(|held| !held.is_the_same())
        .collect()
}

/// All measures that either of the two setups holds, in the table's order.
pub(super) fn held<'a>(
    was: &'a BTreeMap<MeasureId, Recorded>,
    now: &'a BTreeMap<MeasureId, Recorded>,
) -> impl Iterator<Item = Differing<'a>> {
    let (mut was, mut now) = (was.iter().peekable(), now.iter().peekable());
    std::iter::from_fn(move || {
        let order = match (was.peek(), now.peek()) {
            (Some((was, _)), Some((now, _))) => was.cmp(now),
            (was, now) => now.is_some().cmp(&was.is_some()),
        };
        let was = if order.is_le() { was.next() } else { None };
        let now = if order.is_ge() { now.next() } else { None };
        let (id, _) = was.or(now)?;
        let value = |(_, recorded): (_, &'a Recorded)| &recorded.value;
        Some(Differing { id, was: was.map(value), now: now.map(value) })
    })
}
