//! Why nobody is to ride, in one line of the overview: by a setup, by a sheet beside it, by a sheet alone.

use crate::catalogue::table::FLOOR;
use crate::catalogue::{Catalogue, Weight};
use crate::check::dates::not_ahead;
use crate::check::not_to_ride::{self, Reads, in_one_line};
use crate::check::on_sheet;
use crate::check::{between_marks, damage};
use crate::compare::{Comparison, dangerous_moves};
use crate::geometry::state::{Layer, State};
use crate::ledger::SetupFile;
use crate::restore::evidence::told_of;
use crate::restore::since::{drop_kept, last_seen, not_told_since};
use crate::restore::untold;
use crate::setup::model::{Damage, Setup, Value};
use crate::setup::shared::Shared;
use crate::setup::torque::Torque;

use super::diff::open_sheet;
use super::session::Session;
use super::today::today;

/// What a text keeps against riding in which a merge by lines left its marks.
pub fn between(catalogue: &Catalogue, bytes: &[u8]) -> Option<String> {
    in_one_line(&between_marks::reasons(catalogue, bytes))
}

/// What a setup file keeps against riding, and what it says that nobody rides with.
pub fn kept(catalogue: &Catalogue, setup: &Setup) -> Option<String> {
    in_one_line(&not_to_ride::kept(catalogue, setup))
}

/// What a sheet tells against riding, as `diff` has it, beside the other sheets of that setup; one that is older than it is history.
pub fn stop(
    session: &Session,
    file: &SetupFile,
    setup: &Setup,
    found: &Setup,
    others: &[&Setup],
) -> Option<String> {
    let sheet = open_sheet(session, &file.name, setup);
    let Some(found) = sheet.as_ref().ok().and_then(|sheet| sheet.setup().ok()) else {
        return says_alone(session.catalogue(), found);
    };
    on_setup(session.catalogue(), setup, found, others)
}

/// The same of a sheet that was read with its setup's instruments: what it tells that neither the setup nor another sheet of
/// it has since.
pub fn on_setup(catalogue: &Catalogue, setup: &Setup, found: &Setup, others: &[&Setup]) -> Option<String> {
    let seen = if is_older(setup, found) { seen_since(setup, found) } else { Vec::new() };
    let told =
        news(catalogue, setup, found, others).and_then(|news| told_of(catalogue, setup, &news, found_so).1);
    in_one_line(&seen.into_iter().chain(told).collect::<Vec<_>>())
}

/// What of a sheet neither its setup nor another of its sheets has since; of one that is older than its setup only what was
/// seen later. None where nothing is left.
pub fn news(catalogue: &Catalogue, setup: &Setup, sheet: &Setup, others: &[&Setup]) -> Option<Setup> {
    // A day to come is a slip, and answers nothing.
    let is_past = |other: &&Setup| last_seen(other).is_none_or(|day| not_ahead(day, today()));
    let others: Vec<&Setup> = others.iter().copied().filter(is_past).collect();
    let left = not_told_since(catalogue, setup, sheet, &others);
    if is_older(setup, sheet) { read_since(setup, &left) } else { Some(left) }
}

/// Of an older sheet what bears a later day than the setup, and the ground it was read on: a merge writes it so. None where
/// it has nothing such.
fn read_since(setup: &Setup, sheet: &Setup) -> Option<Setup> {
    let recorded = setup.day()?;
    let is_since = |value: &Value| match value {
        Value::Reading(reading) => reading.read().is_some_and(|read| read > recorded),
        Value::Choice(_) | Value::Unmeasured => false,
    };
    let mut since = sheet.clone();
    since.readings.retain(|id, recorded| id.row == FLOOR || is_since(&recorded.value));
    // What was seen on the very day of the setup may be from after it, as on a sheet of that day.
    since.marks = sheet.marks.iter().filter(|mark| mark.seen_on >= Some(recorded)).cloned().collect();
    since.opened.retain(|opened| opened.read >= Some(recorded));
    let is_answer = |torque: &&Torque| torque.applied.as_ref().is_some_and(|one| one.read >= Some(recorded));
    since.torques = sheet.torques.iter().filter(is_answer).cloned().collect();
    // What else it tells bears no day of its own, or is told as damage.
    (since.notes, since.damages, since.versions) = (Shared::default(), Vec::new(), Vec::new());
    let is_read = since.readings.keys().any(|id| id.row != FLOOR);
    (is_read || !since.marks.is_empty() || !since.opened.is_empty()).then_some(since)
}

/// What a sheet tells against riding in words, damage and what its notes forbid, in one line; one that is older than its
/// setup, or that the setup was recorded from once all was put back, tells no more than the setup does not keep.
pub fn in_words(catalogue: &Catalogue, setup: Option<&Setup>, sheet: &Setup) -> Option<String> {
    let told = on_sheet::told(sheet);
    let Some(setup) = setup else { return not_to_ride::verdict(&told) };
    if is_older(setup, sheet) {
        return not_to_ride::verdict(&seen_since(setup, sheet));
    }
    let is_put_back = told_of(catalogue, setup, sheet, was_put_back).1;
    not_to_ride::verdict(&if is_put_back { not_kept(setup, sheet) } else { told })
}

/// What a sheet tells against riding in words and the setup does not keep: somebody wrote it on the sheet after that was
/// recorded, or a merge did.
fn not_kept(setup: &Setup, sheet: &Setup) -> Vec<String> {
    let mut left = sheet.clone();
    drop_kept(setup, &mut left);
    on_sheet::told(&left)
}

/// The damage on an older sheet that was seen on a later day than the setup's, in either version of it, and that no note of
/// the setup tells.
fn seen_since(setup: &Setup, sheet: &Setup) -> Vec<String> {
    let is_new = |damage: &Damage| {
        let is_since = damage.read.zip(setup.day()).is_some_and(|(seen, recorded)| seen >= recorded);
        is_since && !damage::is_noted(setup, damage)
    };
    let mut words: Vec<String> = Vec::new();
    for version in std::iter::once(sheet).chain(&sheet.versions) {
        let mut since = version.clone();
        since.notes.clear();
        since.damages.retain(is_new);
        not_to_ride::add_new(&mut words, not_to_ride::damages(&since, None));
    }
    words
}

fn is_older(setup: &Setup, sheet: &Setup) -> bool {
    setup.day().zip(sheet.day()).is_some_and(|(recorded, found)| found < recorded)
}

/// What a sheet tells against riding that is compared with no setup: it has none, or that one bears another name.
pub fn says_alone(catalogue: &Catalogue, sheet: &Setup) -> Option<String> {
    let said = in_one_line(&not_to_ride::by_sheet_alone(catalogue, sheet))?;
    Some(format!("{said}; compared with no setup"))
}

/// Whether the setup holds, as of the sheet's day, every torque of the joints that the sheet shows to have been open: it was
/// recorded from that sheet once all of it was put back.
fn was_put_back(comparison: &Comparison, now: &State) -> bool {
    let Some(sheet) = now.sheet() else { return false };
    let day = sheet.day();
    let is_held = |joint: &&str| {
        let applied = |setup: &Setup| setup.torque(joint).and_then(|torque| torque.applied.clone());
        // What was open after it was tightened is open.
        let is_open = comparison.tightened.iter().any(|one| one.joint == **joint && one.applied.is_none());
        let (ours, theirs) = (applied(now.setup()), applied(sheet).filter(|_| !is_open));
        // Of a joint without a recorded torque the file can hold none.
        let is_open = now.setup().is_torque_in_conflict(joint);
        if now.setup().torque(joint).is_none() && theirs.is_some() && !is_open {
            return true;
        }
        let same = ours.zip(theirs).filter(|(ours, theirs)| ours.figure.value == theirs.figure.value);
        same.is_some_and(|(ours, theirs)| ours.read == theirs.read.or(day))
    };
    let mut opened = comparison.opened();
    opened.extend(comparison.unknown_roll.iter().map(|roll| roll.joint.as_str()));
    !opened.is_empty() && comparison.contradictions.is_empty() && opened.iter().all(is_held)
}

/// What a comparison with a sheet leaves to be looked at, once what was put back is.
pub enum Left {
    /// Nothing.
    Nothing,
    /// What turns nobody's steering and fails no brake.
    Other,
    /// Something of steering or brakes.
    SteeringOrBrakes,
}

/// What is left of what `news` of a sheet tells.
pub fn left(catalogue: &Catalogue, setup: &Setup, news: &Setup) -> Left {
    let tell = |comparison: &Comparison, now: &State| {
        if was_put_back(comparison, now) {
            return if untold(comparison).is_empty() { Left::Nothing } else { Left::Other };
        }
        let mut clashes = comparison.contradictions.iter();
        let is_dangerous = comparison.dangerous().next().is_some()
            || comparison.dangerous_marks().next().is_some()
            || comparison.is_open_on_steering_or_brakes()
            || clashes.any(|one| one.weight == Weight::SteeringAndBrakes);
        match comparison.is_to_act_on() || !comparison.contradictions.is_empty() {
            true if is_dangerous => Left::SteeringOrBrakes,
            true => Left::Other,
            false => Left::Nothing,
        }
    };
    told_of(catalogue, setup, news, tell).1
}

/// What of steering and brakes no torque tells to be put back, and the sheet still reads otherwise.
fn still_read(comparison: &Comparison) -> Option<String> {
    let untold = untold(comparison).into_iter().filter(|one| one.weight == Weight::SteeringAndBrakes);
    in_one_line(&untold.map(|one| one.in_short()).collect::<Vec<_>>())
}

/// What moved on steering and brakes, and what nobody rides with by what the sheet reads: but for that, the setup tells it.
fn found_so(comparison: &Comparison, now: &State) -> Option<String> {
    let recorded = not_to_ride::by_reading(&State::recorded(now.catalogue(), now.setup()));
    let is_new = |reads: &Reads| {
        let measure = reads.finding.measure.as_deref();
        let id = measure.and_then(|measure| now.catalogue().find(measure));
        let is_read = id.is_some_and(|id| now.layer(&id) != Layer::Recorded);
        let is_told = recorded.iter().any(|told| told.words == reads.words);
        (is_read || !is_told) && !measure.is_some_and(|measure| comparison.says_dangerous(measure))
    };
    let read = not_to_ride::by_reading(now).into_iter().filter(is_new).map(|reads| reads.words);
    let (moves, noted) = if was_put_back(comparison, now) {
        (still_read(comparison), now.sheet().map(|sheet| not_kept(now.setup(), sheet)).unwrap_or_default())
    } else {
        (dangerous_moves(comparison, now), now.sheet().map(on_sheet::but_damage).unwrap_or_default())
    };
    in_one_line(&moves.into_iter().chain(noted).chain(read).collect::<Vec<_>>())
}
