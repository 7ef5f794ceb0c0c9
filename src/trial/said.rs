//! What `check` says of two setups, compared: what appears, what stands, what is said otherwise, what is gone.

use std::collections::BTreeSet;
use std::iter;

use serde::Serialize;

use crate::catalogue::Catalogue;
use crate::catalogue::code::{self, Severity};
use crate::check::{self, lines, planned};
use crate::compare::Replaced;
use crate::setup::finding::{Acknowledged, Finding};
use crate::setup::model::Setup;
use crate::setup::read::Read;

/// Something `check` says of one of the two and not of the other.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Said {
    /// Its code.
    pub code: &'static str,
    /// How bad.
    pub severity: Severity,
    /// What.
    pub message: String,
    /// What to do.
    pub help: String,
    /// Of which measure.
    pub measure: Option<String>,
    /// Whether nobody is to ride so, however bad it is for the file.
    pub unridable: bool,
}

impl Said {
    /// Whether who is told is to act: a fault, or what nobody is to ride with.
    pub fn is_to_act_on(&self) -> bool {
        self.severity == Severity::Fault || self.unridable
    }
}

/// Something `check` would find of the changed setup and not of this one, and that the file accepts.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct SaidAccepted {
    /// What.
    #[serde(flatten)]
    pub said: Said,
    /// Why it is accepted.
    pub why: String,
    /// Whether it keeps everybody from riding all the same.
    pub stands: bool,
}

/// Something `check` says of both, in the words that it has for the later.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct SaidStill {
    /// What.
    #[serde(flatten)]
    pub said: Said,
    /// What it says of the earlier, where that is not the same.
    pub was: Option<String>,
}

/// What `check` says of two setups, compared.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SaidOfBoth {
    /// What it says of the later alone.
    pub appears: Vec<Said>,
    /// What it says of both and keeps anybody from riding: faults, and whatever else is not to be ridden.
    pub stands: Vec<SaidStill>,
    /// What else it says of both, as bad and in other words.
    pub otherwise: Vec<SaidStill>,
    /// What it finds in the later and the file accepts, and did not have to accept in the earlier.
    pub accepted: Vec<SaidAccepted>,
    /// What nobody is to ride with, of both, and the file accepts.
    pub stands_accepted: Vec<SaidAccepted>,
    /// What it says of the earlier alone.
    pub disappears: Vec<Said>,
}

impl SaidOfBoth {
    /// Without marks called stale that stood on a part which goes: such a line is none any more, and written as none.
    pub fn but_of_lines_that_are_gone(mut self, replaced: Option<&Replaced>) -> SaidOfBoth {
        let gone = replaced.iter().flat_map(|replaced| &replaced.marks).map(|mark| format!("mark.{mark}"));
        let gone: BTreeSet<String> = gone.collect();
        let is_a_line = |said: &Said| {
            said.code == code::STALE_MARK.name
                && said.measure.as_ref().is_some_and(|mark| gone.contains(mark))
        };
        self.appears.retain(|said| !is_a_line(said));
        self.otherwise.retain(|still| !is_a_line(&still.said));
        self
    }
}

/// Whether a fault is among what stands.
pub fn a_fault_stands(stands: &[SaidStill]) -> bool {
    stands.iter().any(|still| still.said.severity == Severity::Fault)
}

/// Compares the two: the dangerous first. What the file accepts is not gone.
pub fn said(catalogue: &Catalogue, was: &Setup, now: &Setup) -> SaidOfBoth {
    let found = |setup: &Setup| {
        let read = Read { setup: Some(setup.clone()), findings: Vec::new() };
        check::check_with_accepted(catalogue, &read, None, None)
    };
    // A roll that is planned was read by nobody: no angle is older than it.
    let roll = lines::roll();
    let is_rolled = was.recorded(&roll).map(|one| &one.value) != now.recorded(&roll).map(|one| &one.value);
    let planned = is_rolled.then(|| planned::as_planned(catalogue, now, iter::once(&roll)));
    let now = planned.as_ref().unwrap_or(now);
    let ((before, accepted_before), (after, accepted_after)) = (found(was), found(now));
    let is_among = |finding: &Finding, those: &[Finding]| those.iter().any(|other| is_same(finding, other));
    let accepted = |accepted: &[Acknowledged]| -> Vec<Finding> {
        accepted.iter().map(|accepted| accepted.finding.clone()).collect()
    };
    let (was_accepted, is_accepted) = (accepted(&accepted_before), accepted(&accepted_after));
    let is_there = |finding: &Finding, those: &[Finding]| those.iter().any(|other| is_alike(finding, other));
    // That there was nothing to accept is no news where now there is.
    let said_before = before
        .iter()
        .filter(|finding| finding.code.name != code::ACCEPT_UNUSED.name && !is_among(finding, &after));
    let found_before = was_accepted.iter().filter(|finding| !is_there(finding, &after));
    let disappears = said_before.chain(found_before).filter(|finding| !is_there(finding, &is_accepted));
    let (newly, still): (Vec<_>, Vec<_>) =
        accepted_after.iter().partition(|one| !is_among(&one.finding, &was_accepted));
    let still = still.into_iter().filter(|one| one.finding.code.unridable);
    let said = |one: &Acknowledged| SaidAccepted {
        said: Said::from(&one.finding),
        why: one.why.clone(),
        stands: one.finding.code.stands_though_accepted(),
    };
    let mut newly: Vec<SaidAccepted> = newly.into_iter().map(said).collect();
    // What nobody is to ride with comes first, however bad it is for the file.
    newly.sort_by_key(|accepted| (!accepted.said.unridable, accepted.said.severity));
    let stands_accepted = still.map(said).collect();
    // What a plan makes of an angle that nobody read again settles nothing.
    let disappears =
        disappears.filter(|finding| planned.is_none() || finding.code.name != code::READ_BEFORE_ROLL.name);
    let mut disappears: Vec<Said> = disappears.map(Said::from).collect();
    disappears.sort_by_key(|said| said.severity);
    let (appears, stands, otherwise) = told_of_the_later(&before, &after);
    SaidOfBoth { appears, stands, otherwise, accepted: newly, stands_accepted, disappears }
}

/// What is said of the later: what the earlier has not got, what stands, and what else is said in other words.
fn told_of_the_later(before: &[Finding], after: &[Finding]) -> (Vec<Said>, Vec<SaidStill>, Vec<SaidStill>) {
    let (mut appears, mut stands, mut otherwise) = (Vec::new(), Vec::new(), Vec::new());
    let mut left: Vec<&Finding> = before.iter().collect();
    // What is said in the same words finds its like before what is said in others takes it.
    let (same, others): (Vec<&Finding>, Vec<&Finding>) = after.iter().partition(|finding| {
        before.iter().any(|was| is_same(finding, was) && finding.message == was.message)
    });
    for finding in same.into_iter().chain(others) {
        let like = left.iter().enumerate().filter(|(_, was)| is_same(finding, was));
        let nearest = like.max_by_key(|(_, was)| alike_from_the_start(&finding.message, &was.message));
        let Some(was) = nearest.map(|(place, _)| place).map(|place| left.swap_remove(place)) else {
            appears.push(Said::from(finding));
            continue;
        };
        let is_otherwise = was.message != finding.message;
        let still = SaidStill { said: Said::from(finding), was: is_otherwise.then(|| was.message.clone()) };
        if still.said.is_to_act_on() {
            stands.push(still);
        } else if is_otherwise {
            otherwise.push(still);
        }
    }
    appears.sort_by_key(|said| said.severity);
    for still in [&mut stands, &mut otherwise] {
        still.sort_by_key(|still| still.said.severity);
    }
    (appears, stands, otherwise)
}

/// How many characters two texts have in common before they part.
fn alike_from_the_start(one: &str, other: &str) -> usize {
    if one == other {
        return usize::MAX;
    }
    one.chars().zip(other.chars()).take_while(|(one, other)| one == other).count()
}

/// Whether both tell of the same thing, be it milder or worse.
fn is_alike(one: &Finding, other: &Finding) -> bool {
    one.code == other.code && one.measure == other.measure
}

fn is_same(one: &Finding, other: &Finding) -> bool {
    is_alike(one, other) && one.severity == other.severity
}

impl From<&Finding> for Said {
    fn from(finding: &Finding) -> Said {
        Said {
            code: finding.code.name,
            severity: finding.severity,
            message: finding.message.clone(),
            help: finding.help.clone(),
            measure: finding.measure.clone(),
            unridable: finding.code.unridable,
        }
    }
}
