//! The finished result of the ledger at a glance: one line a setup, and how it stands against what was last recorded.

use serde::Serialize;

use crate::check::dates::SheetDay;
use crate::metrology::verdict::Verdict;
use crate::setup::checked::Counts;

use super::{Comparison, DerivedChange};

/// The derived values that tell best what a change did to the hands.
const TELLING: [&str; 3] = ["grip-stack", "grip-reach", "hand-span"];

/// A derived value with its uncertainty.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Known {
    /// In millimetres.
    pub value: f64,
    /// Its expanded uncertainty.
    #[serde(rename = "U")]
    pub uncertainty: f64,
}

/// How a working file stands against its last recorded revision.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "state")]
pub enum Standing {
    /// There is no repository.
    NoRepository,
    /// The repository does not hold it yet.
    NeverRecorded,
    /// The repository held it once and does not any more; the file is here again.
    DeletedBefore,
    /// A merge stands still at it: one side deleted it, the other changed it.
    OneSideDeleted,
    /// Git has not settled a merge of it, and nothing in it is marked as undecided.
    Unmerged {
        /// Whether it is our version letter for letter.
        ours_alone: bool,
    },
    /// Something could not be read.
    Unknown {
        /// Why.
        why: String,
    },
    /// Nothing physically changed.
    Same,
    /// Readings differ, but by no more than reading them can explain.
    WithinReading,
    /// Only what was noted beside a torque differs: it was tightened again, or with another tool.
    TorqueNoted,
    /// Something changed.
    Differs(Differs),
}

/// What differs.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Differs {
    /// The derived value that tells most, if the hands moved.
    pub hands: Option<HandsMoved>,
    /// How many measures moved, came or went.
    pub measures: usize,
    /// Whether one of them belongs to steering or brakes.
    pub dangerous: bool,
    /// How many parts, torque ranges and marks came, went or changed.
    pub others: usize,
}

/// How far the hands moved, in the derived value that changed most.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct HandsMoved {
    /// Its name.
    pub name: &'static str,
    /// In plain words.
    pub title: &'static str,
    /// By how many millimetres.
    pub delta: f64,
    /// Its expanded uncertainty.
    #[serde(rename = "U")]
    pub uncertainty: f64,
    /// The word for it: "up".
    pub direction: &'static str,
}

impl Standing {
    /// What a comparison of the recorded revision with the working file comes to.
    pub fn of(comparison: &Comparison) -> Standing {
        let counts = |verdict| matches!(verdict, Verdict::Moved | Verdict::Recorded | Verdict::NotRecorded);
        let written = comparison.changes.iter().any(|change| counts(change.verdict));
        if !comparison.is_to_act_on() && !written && comparison.marks.is_empty() {
            return match (comparison.changes.is_empty(), comparison.torque.is_empty()) {
                (false, _) => Standing::WithinReading,
                (true, false) => Standing::TorqueNoted,
                (true, true) => Standing::Same,
            };
        }
        Standing::Differs(Differs {
            hands: hands_moved(comparison),
            measures: comparison.changes.iter().filter(|change| counts(change.verdict)).count(),
            dangerous: comparison.dangerous().next().is_some() || comparison.is_open_on_steering_or_brakes(),
            others: comparison.parts.len()
                + comparison.torque.len()
                + comparison.marks.len()
                + comparison.not_decided.len(),
        })
    }

    /// Whether there is something to look at.
    pub fn is_different(&self) -> bool {
        matches!(self, Standing::Differs(_) | Standing::OneSideDeleted | Standing::Unmerged { .. })
    }
}

fn hands_moved(comparison: &Comparison) -> Option<HandsMoved> {
    let moved = TELLING.iter().filter_map(|name| comparison.derived(name));
    let moved = moved.filter(|change| matches!(change.verdict, Verdict::Moved | Verdict::Corrected));
    let size = |change: &DerivedChange| change.delta.unwrap_or(0.0).abs();
    let most = moved.max_by(|one, other| size(one).total_cmp(&size(other)))?;
    Some(HandsMoved {
        name: most.name,
        title: most.title,
        delta: most.delta?,
        uncertainty: most.uncertainty?,
        direction: most.direction,
    })
}

/// An as-found sheet in the ledger.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Sheet {
    /// Its name in the ledger.
    pub name: String,
    /// The day it says it was measured.
    pub measured: Option<String>,
    /// Why the bike is not to be ridden as it was found, if so.
    pub stop: Option<String>,
    /// What is wrong with its day, if anything is.
    pub day: Option<SheetDay>,
    /// What `check` finds in it.
    pub findings: Counts,
}

/// One setup.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Line {
    /// Its name in the ledger.
    pub setup: String,
    /// The day it says it was measured.
    pub measured: Option<String>,
    /// The day of its newest reading, where that is later.
    pub last_read: Option<String>,
    /// Whether there is nothing in the file.
    pub empty: bool,
    /// What it is for.
    pub purpose: Option<String>,
    /// Why the bike is not to be ridden, if so: damage and joints left open that the file still tells of.
    pub stop: Option<String>,
    /// Grip reach in millimetres.
    pub grip_reach: Option<Known>,
    /// Grip stack in millimetres.
    pub grip_stack: Option<Known>,
    /// What `check` finds in it.
    pub findings: Counts,
    /// How it stands against its last recorded revision.
    pub recorded: Standing,
    /// The as-found sheets that belong to it.
    pub sheets: Vec<Sheet>,
    /// Why it could not be read, if so.
    pub unread: Option<String>,
}

/// The finished result.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Overview {
    /// clampmark.ledger/1
    pub schema: &'static str,
    /// The folder that holds `setups/`.
    pub ledger: String,
    /// Whether there is a repository around it.
    pub repository: bool,
    /// Every setup.
    pub setups: Vec<Line>,
    /// As-found sheets whose setup is not in the ledger.
    pub stray_sheets: Vec<Sheet>,
    /// Files that git holds and the working folder has lost.
    pub gone: Vec<Gone>,
    /// Whether git merges setups as an earlier version of this program told it.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub adopted_earlier: bool,
    /// Whether another clone of the ledger was adopted, and this one was not.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub adopted_elsewhere: bool,
    /// Files that would be setups but for capital letters in `.kdl`: no command reads them.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub passed_over: Vec<String>,
}

/// A file that git holds and the working folder has lost.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Gone {
    /// Its name in the ledger.
    pub setup: String,
    /// The command that brings it back, to be typed where the program was started.
    pub bring_back: String,
}

impl Overview {
    /// Whether something wants attention: a fault, an unreadable or lost file, or a setup that differs from what was recorded.
    pub fn wants_attention(&self) -> bool {
        let sheets = self.setups.iter().flat_map(|line| &line.sheets).chain(&self.stray_sheets);
        let bad = |line: &Line| {
            line.findings.fault > 0
                || line.stop.is_some()
                || line.unread.is_some()
                || line.recorded.is_different()
        };
        !self.gone.is_empty()
            || !self.passed_over.is_empty()
            || self.setups.iter().any(bad)
            || sheets.into_iter().any(|sheet| sheet.findings.fault > 0 || sheet.stop.is_some())
    }
}
