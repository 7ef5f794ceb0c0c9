//! What the changes did when the bars are turned: the controls' clearances and the hoses' slack.
//!
//! Each side is taken at the angle where its own least clearance, or its own least slack, falls: to first order
//! neither changes when its place moves.

use serde::Serialize;

use crate::catalogue::Side;
use crate::geometry::state::{Difference, DifferenceInput};
use crate::geometry::turning::{
    ClearancesAt, Course, Courses, FrameHose, HoseTurn, SlacksAt, SteeringAngle, courses, hoses_as_read,
};
use crate::metrology::propagate::Output;
use crate::metrology::unit::Unit;
use crate::metrology::verdict::{Verdict, judge};

use super::derived::settled;

/// The least clearance of one control, turned one way, in both states.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct ClearanceChange {
    /// `left.brake-lever`.
    pub control: String,
    /// In plain words.
    pub title: String,
    /// Which way the bars are turned.
    pub direction: Side,
    /// What happened to it.
    #[serde(flatten)]
    pub shift: Shift,
    /// The first contact there was, in degrees.
    pub contact_was: Option<f64>,
    /// The first contact there is.
    pub contact_now: Option<f64>,
}

/// A clearance or slack below this is worth a line of its own wherever it changed, in mm: common practice, no source.
const NEAR: f64 = 30.0;

/// And so is a change of this much.
const FAR: f64 = 5.0;

impl Shift {
    /// Whether a short page gives it a line: it moved, and by much or to somewhere near.
    pub fn stands_out(&self) -> bool {
        let near = self.now.is_some_and(|now| now < NEAR);
        let far = self.delta.is_some_and(|delta| delta.abs() >= FAR);
        matches!(self.verdict, Verdict::Moved | Verdict::Corrected) && (near || far)
    }
}

/// The slack of one hose at its tightest, in both states.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct SlackChange {
    /// The hose's name.
    pub hose: String,
    /// What happened to it.
    #[serde(flatten)]
    pub shift: Shift,
}

/// One length in both states.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Shift {
    /// What it was.
    pub was: Option<f64>,
    /// What it is.
    pub now: Option<f64>,
    /// Now minus was.
    pub delta: Option<f64>,
    /// Its expanded uncertainty: readings that both states share cancel.
    #[serde(rename = "U")]
    pub uncertainty: Option<f64>,
    /// The unit.
    pub unit: &'static str,
    /// The verdict.
    pub verdict: Verdict,
    /// The measures whose readings differ and reach it, strongest first.
    pub driven_by: Vec<String>,
    /// Whether first-order uncertainty is rough here.
    pub rough: bool,
}

impl Shift {
    /// On one side only.
    fn lone(was: Option<f64>, now: Option<f64>) -> Shift {
        let verdict = if now.is_some() { Verdict::Recorded } else { Verdict::NotRecorded };
        let unit = Unit::Millimetre.word();
        let driven_by = Vec::new();
        Shift { was, now, delta: None, uncertainty: None, unit, verdict, driven_by, rough: false }
    }

    /// On both sides, with the difference that was propagated.
    fn between(
        difference: &Difference,
        (was, now): (f64, f64),
        output: Option<&Output>,
        inputs: &[DifferenceInput],
    ) -> Shift {
        let mut shift = Shift::lone(Some(was), Some(now));
        shift.verdict = Verdict::WithinReading;
        let Some(output) = output else { return shift };
        shift.delta = Some(output.value);
        shift.uncertainty = Some(output.expanded_uncertainty());
        shift.rough = output.rough;
        let verdict = judge(output.value, Output::expanded_uncertainty(output));
        (shift.verdict, shift.driven_by) = settled(difference, Some(output), inputs, verdict);
        shift
    }
}

/// The clearances that either state has, in the order of its controls, bars turned left before right.
pub fn clearance_changes(difference: &Difference) -> Vec<ClearanceChange> {
    let (was, now) = (courses(&difference.from, |_| ()), courses(&difference.to, |_| ()));
    let pairs = pairs(&was, &now, |control: &Courses| &control.control);
    let both = pairs.iter().filter_map(|(was, now)| Some((was.as_ref()?, now.as_ref()?)));
    let (earlier, later): (Vec<_>, Vec<_>) = both
        .flat_map(|(was, now)| was.both.iter().zip(&now.both))
        .map(|(was, now)| ((&was.point, was.angle), (&now.point, now.angle)))
        .unzip();
    let (propagated, inputs) = difference.propagate_pair(&ClearancesAt(earlier), &ClearancesAt(later));
    let mut outputs = propagated.outputs.iter();
    let mut changes = Vec::new();
    for (was, now) in pairs {
        let Some(either) = now.or(was) else { continue };
        for direction in Side::BOTH {
            let (was, now) = (was.map(|was| was.to(direction)), now.map(|now| now.to(direction)));
            let shift = match (was, now) {
                (Some(was), Some(now)) => {
                    let output = outputs.next().and_then(Option::as_ref);
                    Shift::between(difference, (was.least(), now.least()), output, &inputs)
                }
                _ => Shift::lone(was.map(Course::least), now.map(Course::least)),
            };
            changes.push(ClearanceChange {
                control: either.control.clone(),
                title: either.title.clone(),
                direction,
                shift,
                contact_was: was.and_then(Course::contact),
                contact_now: now.and_then(Course::contact),
            });
        }
    }
    changes
}

/// The slack of the hoses that either state has, in the file's order; not of those that turn with the bars on both
/// sides.
pub fn slack_changes(difference: &Difference) -> Vec<SlackChange> {
    let was = hoses_as_read(&difference.from).hoses;
    let now = hoses_as_read(&difference.to).hoses;
    let pairs = pairs(&was, &now, |hose: &HoseTurn| &hose.name);
    let both = pairs.iter().filter_map(|(was, now)| Some((routed((*was)?)?, routed((*now)?)?)));
    let (earlier, later) = both.unzip();
    let (propagated, inputs) = difference.propagate_pair(&SlacksAt(earlier), &SlacksAt(later));
    let mut outputs = propagated.outputs.iter();
    let change = |(was, now): (Option<&HoseTurn>, Option<&HoseTurn>)| {
        let slack = |hose: Option<&HoseTurn>| hose.and_then(|hose| hose.slack);
        let shift = match (slack(was), slack(now)) {
            (None, None) => return None,
            (Some(was), Some(now)) => {
                let output = outputs.next().and_then(Option::as_ref);
                Shift::between(difference, (was, now), output, &inputs)
            }
            (was, now) => Shift::lone(was, now),
        };
        Some(SlackChange { hose: now.or(was)?.name.clone(), shift })
    };
    pairs.into_iter().filter_map(change).collect()
}

fn routed(hose: &HoseTurn) -> Option<(&FrameHose, SteeringAngle)> {
    Some((hose.routed.as_ref()?, hose.angle))
}

/// Both sides of everything with the same name: the later state's order, then what only the earlier has.
fn pairs<'a, T>(
    was: &'a [T],
    now: &'a [T],
    name: impl Fn(&T) -> &String,
) -> Vec<(Option<&'a T>, Option<&'a T>)> {
    let same = |side: &'a [T], one: &T| side.iter().find(|other| name(other) == name(one));
    let mut pairs: Vec<_> = now.iter().map(|now| (same(was, now), Some(now))).collect();
    let gone = was.iter().filter(|was| same(now, was).is_none());
    pairs.extend(gone.map(|was| (Some(was), None)));
    pairs
}
