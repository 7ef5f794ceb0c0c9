//! What of a sheet tells something by itself, and what is set aside until another thing is read.

use std::borrow::Cow;

use crate::catalogue::Catalogue;
use crate::compare::{self, control_angles};
use crate::geometry::state::{Difference, State};
use crate::setup::model::Setup;

use super::weigh;

/// The sheet to be compared: where it leaves the bar's roll open, what a gauge reads on the controls is set aside, and
/// their own lines tell of their clamps. Whoever weighs a sheet weighs this one.
pub fn telling<'s>(catalogue: &Catalogue, setup: &Setup, sheet: &'s Setup) -> Cow<'s, Setup> {
    let whole = sheet.whole();
    if control_angles(&whole).next().is_none() {
        return whole;
    }
    let mut without = whole.clone().into_owned();
    for id in control_angles(&whole) {
        without.aside.extend(without.readings.remove(id).map(|recorded| (id.clone(), recorded)));
    }
    let turns = weigh(catalogue, setup, &without).turns;
    let from = State::recorded(catalogue, setup);
    let is_open = compare::unknown_roll(&Difference { from, to: from.found(&whole, Some(&turns)) }).is_some();
    if is_open { Cow::Owned(without) } else { whole }
}
