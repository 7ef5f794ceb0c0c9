//! What an as-found sheet leaves known of the torque of a joint: applied again within the range, outside it, or unknown
//! since the recorded day, because the joint was opened and nobody says how it was tightened.

use std::cmp::Ordering;
use std::collections::BTreeSet;

use chrono::NaiveDate;
use serde::Serialize;

use crate::catalogue::{MeasureId, Weight, joint};
use crate::geometry::state::State;
use crate::metrology::NEGLIGIBLE;
use crate::metrology::show::brief;
use crate::metrology::verdict::Verdict;
use crate::setup::model::{Setup, seen};
use crate::setup::torque::{Applied, Torque};
use crate::torque::old_part::{self, is_limited_by_one, loses_a_limit, still_holding, voids_range};
use crate::torque::{Conflict, Range, allowed};

use super::seen_open::{SeenOpen, seen_open};
use super::{Change, Comparison, Fate, Limits, MarkChange, Replaced};

/// What is known of a joint's torque.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Tightness {
    /// Tightened beyond what the weakest part allows.
    Above,
    /// Tightened less than the range begins with.
    Below,
    /// Tightened, and its limits contradict one another: no torque is right.
    Contradictory,
    /// The joint was opened, and nobody says how it was tightened again.
    Unknown,
    /// Tightened, and nothing is recorded to judge it by.
    NoRange,
    /// Tightened within the range.
    Within,
}

impl Tightness {
    /// Whether the joint is known not to be as it should.
    pub fn is_outside(self) -> bool {
        matches!(self, Tightness::Above | Tightness::Below)
    }
}

/// The torque of one joint as found.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct TorqueFound {
    /// The joint.
    pub joint: String,
    /// In plain words.
    pub title: String,
    /// What the joint does to a rider when it slips.
    pub weight: Weight,
    /// What is known.
    pub state: Tightness,
    /// What the sheet says was applied.
    pub applied: Option<f64>,
    /// What the recorded range and its ceilings allow.
    pub allowed: Option<Limits>,
    /// The day since which the torque is not known.
    pub since: Option<NaiveDate>,
    /// The day on which it was tightened so, or seen open, as far as the sheet tells.
    #[serde(skip)]
    pub day: Option<NaiveDate>,
    /// Whether the recorded range is that of a part that is gone.
    #[serde(skip)]
    pub of_the_old_part: bool,
    /// N·m.
    pub unit: &'static str,
    /// All of it, in words that follow the joint's name.
    pub words: String,
}

impl TorqueFound {
    /// Whether it was tightened, and not as it should be or by what nobody can say to be right.
    pub fn is_untrusted(&self) -> bool {
        self.state.is_outside() || self.state == Tightness::NoRange && self.of_the_old_part
    }

    /// What comes of a joint that is too slack, to follow its words: " (it may turn under braking)".
    pub fn if_slack(&self) -> String {
        joint::find(&self.joint).map(|(_, joint)| format!(" ({})", joint.if_slack)).unwrap_or_default()
    }
}

/// The joints that were opened, and those that the sheet gives a torque for; dangerous first.
pub fn found(comparison: &Comparison, state: &State) -> Vec<TorqueFound> {
    let Some(sheet) = state.sheet() else { return Vec::new() };
    let mut joints = opened(comparison);
    let tightened = sheet.torques.iter().filter(|torque| torque.applied.is_some());
    joints.extend(tightened.map(|torque| torque.joint.value.as_str()));
    let replaced = comparison.replaced.as_ref();
    let one = |joint| {
        let seen_open = seen_open(comparison, state.setup(), sheet, joint);
        let on = |setup: &Setup| one(joint, setup, (sheet, &seen_open), replaced);
        on_any_version(joint, state.setup(), on)
    };
    let mut found: Vec<TorqueFound> = joints.into_iter().map(one).collect();
    let place = |one: &TorqueFound| joint::find(&one.joint).map(|(place, _)| place);
    found.sort_by_key(|one| (!one.state.is_outside(), one.weight, one.state, place(one)));
    found
}

/// The lines that tell that their joint was open.
pub(super) fn lost_marks(comparison: &Comparison) -> impl Iterator<Item = &MarkChange> {
    comparison
        .marks
        .iter()
        .filter(|mark| mark.fate.is_found() && (mark.verdict == Verdict::Moved || mark.fate == Fate::Missing))
}

/// What moved at its joint, and was not read for the first time since that was tightened.
pub(super) fn moved(comparison: &Comparison) -> impl Iterator<Item = &Change> {
    let is_since = |id: &MeasureId| comparison.first_read.iter().any(|one| one.id == *id && one.is_tightened);
    comparison.moved_at_their_joint().filter(move |change| !is_since(&change.id))
}

/// The joints that cannot be as they were left: something they hold moved or is another part, their mark is broken or
/// gone, or the sheet says so.
pub fn opened(comparison: &Comparison) -> BTreeSet<&str> {
    let marks = lost_marks(comparison);
    let by_measure = moved(comparison).filter_map(|change| change.joint.as_deref());
    let by_part = comparison.replaced.iter().flat_map(|replaced| &replaced.joints).map(String::as_str);
    let sawn = comparison.narrower.iter().flat_map(|narrower| &narrower.opened);
    let told = comparison.opened.iter().chain(sawn).map(String::as_str);
    by_measure.chain(marks.filter_map(|mark| mark.joint.as_deref())).chain(by_part).chain(told).collect()
}

/// Of a joint whose torque a merge left undecided, what holds by the graver of its versions where it was tightened; no figure
/// to tighten it to is told of either.
fn on_any_version(joint: &str, setup: &Setup, on: impl Fn(&Setup) -> TorqueFound) -> TorqueFound {
    let known = on(setup);
    if known.applied.is_none() || !setup.is_torque_in_conflict(joint) {
        return known;
    }
    let mut versions: Vec<TorqueFound> = setup.versions.iter().map(on).collect();
    let differ = versions.iter().any(|one| one.words != versions[0].words);
    // The first of two alike is ours.
    versions.sort_by_key(|one| one.state);
    let Some(mut gravest) = versions.into_iter().next() else { return known };
    if differ {
        gravest.allowed = None;
        gravest.words.push_str(", and its range is not decided");
    }
    gravest
}

/// Of one joint. What a part that was replaced limits does not hold for the one that is fitted now; the rest does.
fn one(
    joint: &str,
    setup: &Setup,
    (sheet, seen_open): (&Setup, &SeenOpen),
    replaced: Option<&Replaced>,
) -> TorqueFound {
    let (recorded, day) = (setup.torque(joint), sheet.day());
    let sheet = sheet.torque(joint);
    let gone = gone(joint, recorded, replaced);
    let still = recorded.map(|torque| still_holding(torque, &gone));
    let loses_its_end =
        recorded.is_some_and(|torque| loses_a_limit(torque, &gone) || is_limited_by_one(&gone, joint));
    let void = (voids_range(&gone, joint) || loses_its_end).then(|| no_range(&gone));
    // The range of the setup counts; a sheet's own only where the setup has none, or one for another part.
    let ranged = still.clone().filter(|torque| torque.range.is_some()).or_else(|| {
        // What the parts allow that stayed on the bike cuts the new one's range as well.
        let mut own = sheet?.clone();
        own.ceilings.extend(still.iter().flat_map(|torque| torque.ceilings.iter().cloned()));
        Some(own)
    });
    let (range, conflict) = match ranged.as_ref().and_then(allowed) {
        Some(Ok(allowed)) => (Some(Limits { from: allowed.range.from, to: allowed.range.to }), None),
        Some(Err(conflict)) => (None, Some(conflict)),
        None => (None, None),
    };
    let is_void = void.is_some();
    // What was open after it was tightened is open.
    let last = sheet.and_then(|torque| torque.applied.as_ref());
    let (applied, before) = match last {
        Some(last) if last.read.or(day) < seen_open.day => (None, Some(last)),
        last => (last, None),
    };
    // What was never written is not unknown since some day.
    let since = recorded
        .and_then(|torque| torque.applied.as_ref())
        .and_then(|applied| applied.read.or_else(|| setup.day()));
    let (state, words) = match applied.map(|applied| (applied.figure.value.newton_metres(), applied)) {
        None => {
            let since = since.map(|day| format!(" since {day}")).unwrap_or_default();
            let goal = match (range, conflict) {
                (Some(range), _) => format!("; tighten to {}", said(range)),
                (None, Some(_)) => "; do not tighten, its limits contradict one another".to_owned(),
                (None, None) => void.map(|words| format!("; {words}")).unwrap_or_default(),
            };
            let opened = opened_in_words(before, day, seen_open.own);
            (Tightness::Unknown, format!("{opened}, torque unknown{since}{goal}"))
        }
        Some((newton_metres, applied)) => {
            let figure = applied.figure.value.said();
            let day = applied.read.map(|day| format!(" on {day}")).unwrap_or_default();
            let is_without = range.is_none() && conflict.is_none();
            let (state, against) = match void.filter(|_| is_without) {
                Some(words) => without_range(newton_metres, still.as_ref(), words),
                None => judged(newton_metres, range, conflict),
            };
            (state, format!("tightened to {figure}{day}, {against}"))
        }
    };
    TorqueFound {
        joint: joint.to_owned(),
        title: joint::title(joint),
        weight: joint::weight(joint),
        state,
        applied: applied.map(|applied| applied.figure.value.newton_metres()),
        allowed: range,
        since: since.filter(|_| applied.is_none()),
        day: applied.and_then(|applied| applied.read).or(seen_open.day.filter(|_| applied.is_none())).or(day),
        of_the_old_part: is_void,
        unit: "N-m",
        words,
    }
}

/// "opened", with the day if it has one of its own, and with what it was tightened to before that; where neither that nor the
/// `sheet` has a day, nobody says which came first.
fn opened_in_words(before: Option<&Applied>, sheet: Option<NaiveDate>, own: Option<NaiveDate>) -> String {
    let Some(applied) = before else { return seen("opened", own) };
    let figure = applied.figure.value.said();
    if applied.read.or(sheet).is_none() {
        return format!("tightened to {figure}, nobody says when, and {}", seen("opened", own));
    }
    let on = applied.read.map(|day| format!(" on {day}")).unwrap_or_default();
    format!("tightened to {figure}{on}, and {}", seen("opened after that", own))
}

/// Above the lowest limit is above, whatever the range begins with.
fn judged(newton_metres: f64, range: Option<Limits>, conflict: Option<Conflict>) -> (Tightness, String) {
    if let Some(conflict) = conflict {
        let limit = &conflict.ceiling.limit.value;
        let (said, part) = (limit.said(), &conflict.ceiling.part.value);
        return if newton_metres > limit.newton_metres() + NEGLIGIBLE {
            (Tightness::Above, format!("above the {said} that the {part} allows"))
        } else {
            let words = format!("and its limits contradict one another: the {part} allows only {said}");
            (Tightness::Contradictory, words)
        };
    }
    let Some(range) = range else {
        return (Tightness::NoRange, "and no range is recorded to judge it by".to_owned());
    };
    let (state, place) = match (Range { from: range.from, to: range.to }).place_of(newton_metres) {
        Ordering::Greater => (Tightness::Above, "above"),
        Ordering::Less => (Tightness::Below, "below"),
        Ordering::Equal => (Tightness::Within, "within"),
    };
    (state, format!("{place} the {} allowed", said(range)))
}

/// The parts that are not on the bike any more and limited this joint: as the sheet shows, or as a caution keeps since.
fn gone<'t>(joint: &str, torque: Option<&'t Torque>, replaced: Option<&'t Replaced>) -> Vec<&'t str> {
    let here = replaced.filter(|replaced| replaced.joints.iter().any(|name| name == joint));
    let mut gone: Vec<&str> = here.into_iter().flat_map(|replaced| replaced.parts.iter().copied()).collect();
    let kept = torque.into_iter().flat_map(old_part::gone).filter(|part| !gone.contains(part));
    gone.extend(kept.collect::<Vec<_>>());
    gone
}

/// Where the range is gone with its part, the limits of the parts that stayed are left.
fn without_range(newton_metres: f64, still: Option<&Torque>, no_range: String) -> (Tightness, String) {
    let ceilings = still.into_iter().flat_map(|torque| &torque.ceilings);
    let exceeded = ceilings
        .filter(|ceiling| newton_metres > ceiling.limit.value.newton_metres() + NEGLIGIBLE)
        .min_by(|one, other| one.limit.value.newton_metres().total_cmp(&other.limit.value.newton_metres()));
    match exceeded {
        Some(ceiling) => {
            let (limit, part) = (ceiling.limit.value.said(), &ceiling.part.value);
            (Tightness::Above, format!("above the {limit} that the {part} allows"))
        }
        None => (Tightness::NoRange, no_range),
    }
}

fn no_range(gone: &[&str]) -> String {
    format!("the recorded range is the old {}'s: take the new maker's figure", gone.join(" and "))
}

pub(super) fn said(range: Limits) -> String {
    format!("{}–{} N·m", brief(range.from), brief(range.to))
}
