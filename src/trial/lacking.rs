//! What a change would do and nobody can say, and which measure that takes.

use std::collections::BTreeSet;

use crate::catalogue::table::GRIP_HAND;
use crate::catalogue::{Catalogue, MeasureId};
use crate::geometry::derived::{DERIVED, Derived, find};
use crate::geometry::grips::{Missing, missing as missing_of};
use crate::geometry::state::State;
use crate::setup::model::Setup;

/// The derived values that rest on what is changed and cannot be computed.
pub fn missing(state: &State, changed: &BTreeSet<MeasureId>) -> Vec<Missing> {
    let rests_on_it = |derived: &Derived| changed.iter().any(|id| derived.rests_on(id));
    let missing = missing_of(state).into_iter();
    missing.filter(|one| find(one.derived).is_some_and(|(_, derived)| rests_on_it(derived))).collect()
}

/// Why nothing went along with the bar: how it lies, before or after, is not known.
pub fn left_where_they_are(catalogue: &Catalogue, was: &Setup, now: &Setup) -> String {
    format!("Controls and hoses were left where they are: {}.", why(catalogue, was, now))
}

/// The same where the controls are set anyhow.
pub fn points_left_where_they_are(catalogue: &Catalogue, was: &Setup, now: &Setup) -> String {
    format!(
        "Lowest points of controls and hose ends were left as they are: {}. Read them once it is built.",
        why(catalogue, was, now)
    )
}

fn why(catalogue: &Catalogue, was: &Setup, now: &Setup) -> String {
    // What places the bar is what places the hands, but for where on it they are.
    let lacking = |setup: &Setup| {
        let grips = DERIVED.first().map(|grips| grips.lacking(&State::recorded(catalogue, setup)));
        let mut lacking = grips.unwrap_or_default();
        lacking.retain(|ids| ids.iter().all(|id| id.row != GRIP_HAND));
        lacking
    };
    let found = Some(lacking(was)).filter(|found| !found.is_empty()).unwrap_or_else(|| lacking(now));
    let title = |id: &MeasureId| catalogue.title(id);
    let either = |ids: &Vec<MeasureId>| ids.iter().map(title).collect::<Vec<_>>().join(" or ");
    let titles: Vec<String> = found.iter().map(either).collect();
    match titles[..] {
        [] => "the readings of the bar contradict each other".to_owned(),
        _ => format!("how the bar lies is not known, for want of {}", titles.join(", ")),
    }
}
