//! What a merge left undecided in a setup, as a reason not to ride: what any version of it forbids is forbidden until
//! somebody decides, and so is what of steering and brakes nobody knows for it.

use chrono::NaiveDate;

use crate::catalogue::{MeasureId, Weight, joint};
use crate::geometry::state::{Layer, State};
use crate::setup::model::Setup;
use crate::setup::undecided::{InConflict, as_either_has_it};

use super::not_to_ride::{self, Reads};

/// The measures that are not `said` to read so already, of the joints those that are not `told` of; in the order of
/// danger: what a version forbids, then what is open.
pub fn reasons(
    state: &State,
    said: impl Fn(&str) -> bool,
    told: impl Fn(&str, Option<NaiveDate>) -> bool,
) -> Vec<String> {
    let setup = state.setup();
    if setup.versions.is_empty() {
        return Vec::new();
    }
    let mut reasons = by_version(setup, |setup| forbidden_as(&state.on(setup), &said, &told));
    reasons.extend(open(state));
    reasons
}

/// What a version of a file tells that does not stand in it as decided; with whose it is, unless both tell it.
pub(super) fn by_version(setup: &Setup, tells: impl Fn(&Setup) -> Vec<String>) -> Vec<String> {
    let known = tells(setup);
    let new = |version| tells(version).into_iter().filter(|words| !known.contains(words)).collect();
    as_either_has_it(&setup.versions.iter().map(new).collect::<Vec<Vec<String>>>())
}

/// What a setup reads, and how its joints were last tightened. Notes are told of both versions as they are.
fn forbidden_as(
    state: &State,
    said: &impl Fn(&str) -> bool,
    told: &impl Fn(&str, Option<NaiveDate>) -> bool,
) -> Vec<String> {
    let is_said = |reads: &Reads| reads.finding.measure.as_deref().is_some_and(said);
    let read = not_to_ride::by_reading(state).into_iter().filter(|reads| !is_said(reads));
    let tight = not_to_ride::badly_tightened(state.setup(), told);
    read.map(|reads| reads.words).chain(tight).collect()
}

/// The measures and torques of steering and brakes that stand in a conflict, but for what a sheet reads: that is told
/// beside its reading.
fn open(state: &State) -> Vec<String> {
    let (catalogue, setup): (_, &Setup) = (state.catalogue(), state.setup());
    let is_dangerous = |id: &MeasureId| catalogue.measure(id.row).weight == Weight::SteeringAndBrakes;
    let measures = setup
        .undecided
        .iter()
        .filter(|(id, _)| is_dangerous(id) && state.layer(id) == Layer::Recorded)
        .map(|(id, versions)| format!("{} not decided, {}", catalogue.title(id), versions.in_words()));
    let torque = |one: &InConflict| {
        let name = one.joint.as_deref().filter(|_| one.torque().is_some())?;
        let is_dangerous = joint::weight(name) == Weight::SteeringAndBrakes;
        let words = || format!("torque of {} not decided, {}", joint::title(name), one.versions.in_words());
        is_dangerous.then(words)
    };
    measures.chain(setup.in_conflict.iter().filter_map(torque)).collect()
}
