//! One step of the way back, finished: every word and number that a page or JSON shows.

use serde::Serialize;

use crate::catalogue::Weight;
use crate::compare::{Held, Limits};

/// What sort of step.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum StepKind {
    /// Looking the bike over, before anything is clamped.
    Inspection,
    /// A joint is opened, set and tightened.
    Joint,
    /// Something is turned or filled without opening a joint.
    Adjuster,
    /// The standing checks at the end.
    Checks,
}

/// One thing to move within a step.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Move {
    /// Its written path.
    pub measure: String,
    /// In plain words.
    pub title: String,
    /// As found: the reading, or the word; none if nobody measured it.
    pub now: Option<Held>,
    /// As recorded.
    pub target: Held,
    /// The unit of the numbers.
    pub unit: &'static str,
    /// How far to go, target less found, angles on level ground; none if nobody measured it.
    pub delta: Option<f64>,
    /// What the instrument shows on this ground when the target is reached.
    pub shows: Option<f64>,
    /// How far and which way, in plain words.
    #[serde(rename = "move")]
    pub words: String,
    /// The mark to line up.
    pub mark: Option<String>,
}

/// A torque range, in newton metres.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct StepTorque {
    /// From.
    pub from: f64,
    /// To: the lowest of the joint's own limit and every ceiling.
    pub to: f64,
    /// The unit.
    pub unit: &'static str,
    /// Settings of a given wrench.
    pub settings: Option<Limits>,
    /// Whose ceiling is the lower one, if any is.
    pub limited_by: Option<String>,
}

/// One step.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Step {
    /// Counted from 1.
    pub number: usize,
    /// What sort.
    pub kind: StepKind,
    /// The joint that is opened; none where none is.
    pub joint: Option<String>,
    /// In plain words.
    pub title: String,
    /// What it does to a rider when it is wrong.
    pub weight: Weight,
    /// Why it is to be done.
    pub why: String,
    /// What must be right before it.
    pub first: Option<String>,
    /// The parts to fit, as a plan names them.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub fit: Vec<String>,
    /// The tool.
    pub tool: Option<String>,
    /// The torque.
    pub torque: Option<StepTorque>,
    /// What to move.
    pub moves: Vec<Move>,
    /// What was found in its place and is let go with the rest: where it stays.
    pub keeps: Vec<Move>,
    /// What nobody knows of what is set here, each with what to do about it.
    pub unknown: Vec<String>,
    /// What comes back along with it, and so has no step of its own, in sentences.
    pub along: Vec<String>,
    /// What the marks to line up read.
    pub line_up: Vec<String>,
    /// What to mind.
    pub cautions: Vec<String>,
    /// What proves it done.
    pub check: String,
    /// Whether the step cannot be done as long as what stops it stands: nothing is to be tightened there.
    pub blocked: bool,
    /// Why the step cannot make the bike safe to ride, if something before it is blocked.
    pub held_up: Option<String>,
}
