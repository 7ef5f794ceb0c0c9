//! One line to act on: why the bike is not to be ridden.

use crate::catalogue::table::RIDER_FRONT_BRAKE;
use crate::catalogue::{Catalogue, MeasureId, Weight};
use crate::check::not_to_ride::{self, Reads};
use crate::check::{damage, forbidden};
use crate::compare::{Narrower, Tightness};
use crate::geometry::state::State;
use crate::setup::model::Setup;

use super::super::keep::MarkLost;
use super::written::UNMEASURED;
use super::{KnownAgain, NoLongerKnown, OnUnreadGround, Recording};

/// Everything for which the bike is not to be ridden, the damage first.
pub(super) fn headline(
    catalogue: &Catalogue,
    after: &Setup,
    sheet: &Setup,
    recording: &Recording,
    unread: Vec<String>,
) -> Option<String> {
    let Recording { damages, lost, tightened, no_longer_known: unknown, unridable, .. } = recording;
    let mut lines = Vec::new();
    let damaged: Vec<String> =
        damages.iter().map(|damage| format!("{}: {}", damage.title, damage.text)).collect();
    if !damaged.is_empty() {
        let until = "Do not ride on it until it is replaced or a qualified mechanic has passed it:";
        lines.push(format!("{until} {}.", damaged.join("; ")));
    }
    let marks = lost.iter().filter(|mark| mark.is_open() && mark.weight == Weight::SteeringAndBrakes);
    let torques = tightened
        .iter()
        .filter(|one| one.found.is_untrusted() && one.found.weight == Weight::SteeringAndBrakes);
    // The note on the bar tells it as well.
    let kept = |narrower: &Narrower| forbidden::noted(after).any(|noted| narrower.is_told_by(noted.why));
    let narrower = recording.narrower.iter().filter(|narrower| !narrower.is_cut && !kept(narrower));
    let mut loose: Vec<String> = narrower.map(Narrower::in_short).collect();
    loose.extend(unridable.iter().map(|one| format!("{} {}", one.title, one.found)));
    let untold = recording.not_told_back.iter().filter(|one| one.weight == Weight::SteeringAndBrakes);
    loose.extend(untold.map(|one| format!("{}, not read since", one.in_short())));
    loose.extend(swapped(catalogue, after, recording));
    loose.extend(marks.map(MarkLost::in_short));
    loose.extend(torques.map(|one| {
        let slack = if one.found.state == Tightness::Below { one.found.if_slack() } else { String::new() };
        format!("{} {}{slack}", one.found.title, one.found.words)
    }));
    loose.extend(KnownAgain::dangerous(&recording.known_again));
    loose.extend(NoLongerKnown::dangerous(unknown));
    let is_said = |id: &MeasureId| unknown.iter().any(|one| one.measure == catalogue.path(id));
    loose.extend(not_to_ride::no_longer_known(catalogue, after, is_said));
    loose.extend(unread);
    loose.extend(not_level(recording));
    let open = || tightened.iter().filter(|one| one.found.state == Tightness::Unknown);
    let dangerous = open().filter(|one| one.found.weight == Weight::SteeringAndBrakes);
    let titles: Vec<&str> = dangerous.map(|one| one.found.title.as_str()).collect();
    if !titles.is_empty() {
        loose.push(format!("opened, torque unknown: {}", titles.join(", ")));
    }
    loose.extend(not_to_ride::damages(after, Some(&damage::named_as_noted(after, sheet))));
    loose.extend(not_to_ride::forbidden(after));
    let is_told = |reads: &Reads| {
        let about = reads.finding.measure.as_deref();
        unridable.iter().any(|one| about == Some(one.measure.as_str()))
    };
    let kept = not_to_ride::by_reading(&State::recorded(catalogue, after));
    loose.extend(kept.into_iter().filter(|reads| !is_told(reads)).map(|reads| reads.words));
    let is_tightened = |joint: &str| tightened.iter().any(|one| one.found.joint == joint);
    loose.extend(not_to_ride::badly_tightened(after, |joint, _| is_tightened(joint)));
    loose.extend(not_to_ride::left_open(after, |joint, _| open().any(|one| one.found.joint == joint)));
    lines.extend(not_to_ride::verdict(&loose));
    (!lines.is_empty()).then(|| lines.join(" "))
}

/// What of steering and brakes would have moved, had it been read on level ground.
fn not_level(recording: &Recording) -> Option<String> {
    let dangerous = |one: &&OnUnreadGround| one.moved && one.weight == Weight::SteeringAndBrakes;
    let all = recording.on_unread_ground.iter().filter(dangerous);
    let titles: Vec<&str> = all.map(|one| one.title.as_str()).collect();
    let ground =
        if recording.is_ground_of_the_file() { "under the file's own angles not known" } else { "not read" };
    (!titles.is_empty())
        .then(|| format!("slope of the ground {ground}, and so not known: {}", titles.join(", ")))
}

/// That the other hand pulls the front brake: who rides next is to know before.
fn swapped(catalogue: &Catalogue, after: &Setup, recording: &Recording) -> Option<String> {
    let front = MeasureId::bike(RIDER_FRONT_BRAKE);
    let path = catalogue.path(&front);
    let is_known = |was: &Option<String>| was.as_deref().is_some_and(|was| was != UNMEASURED);
    recording.changes.iter().find(|change| change.measure == path && is_known(&change.was))?;
    Some(format!("the front brake is on the {} hand now", after.choice(&front)?))
}
