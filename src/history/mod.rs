//! What physically changed from revision to revision of one setup, and when its witness marks went stale.
//!
//! Takes the contents of a file in the order of its history, newest first, and judges neighbours with
//! [`crate::compare`]. It refuses to know where contents come from: no files, no git, no screens.

mod against_riding;
mod entry;
mod held;
mod judged;
mod marks;
mod merged;
mod not_taken;
mod series;
#[cfg(test)]
mod tests;
mod wanted;

use std::sync::Arc;

use chrono::{DateTime, FixedOffset};
use serde::Serialize;

use crate::catalogue::code::Severity;
use crate::compare::Change;
use crate::setup::model::Setup;
use crate::setup::read::Read;

pub use against_riding::{Forbidding, LeftOpen};
pub use entry::{Compared, Entry, Event, Joined};
pub use held::{Held, Kept, Known};
pub use judged::entry;
pub use marks::{Angles, Ground, MarkEvent, MarkHistory, Marks, What};
pub use not_taken::NotTaken;
pub use series::{Place, Series, series};
pub use wanted::{Unknown, Wanted, wanted};

/// Everything `history` has to say of one setup.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Report {
    /// `clampmark.history/1`.
    pub schema: &'static str,
    /// The setup's name.
    pub setup: String,
    /// The revisions that changed the file, newest first.
    pub entries: Vec<Entry>,
    /// The named measures and derived values over the revisions, newest first.
    pub series: Vec<Series>,
    /// The witness marks, if asked for.
    pub marks: Vec<MarkHistory>,
    /// Whether no revision at all holds the file.
    pub never_recorded: bool,
    /// Whether a merge stands still at it: one side deleted it, the other changed it.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub one_side_deleted: bool,
}

/// Which revision, when, by whom, and in what words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stamp {
    /// The full hash.
    pub revision: String,
    /// The shortened hash.
    pub short: String,
    /// When its author wrote it.
    pub date: DateTime<FixedOffset>,
    /// When it was committed as it stands: after a rebase another day.
    pub committed: DateTime<FixedOffset>,
    /// The author's name.
    pub author: String,
    /// The first line of the message.
    pub subject: String,
    /// The file's path after it.
    pub path: String,
    /// The file's path before it, if it was renamed.
    pub renamed_from: Option<String>,
    /// The path it was given, if that is why it is no longer under this one.
    pub renamed_to: Option<String>,
    /// Whether the clone is shallow and ends here: what was before is not in it.
    pub cut: bool,
    /// Whether it is a merge that brought what the revision asked from had already.
    pub reaches_before: bool,
}

/// One content of the file, read once however many revisions hold it.
#[derive(Clone, Debug)]
pub struct Content {
    /// What was read.
    pub read: Read,
    /// Of a sheet what it found to have moved, against its setup as that was when the sheet was recorded.
    pub moved: Vec<Change>,
}

impl Content {
    /// The setup; or in one sentence why this content cannot be compared.
    pub fn setup(&self) -> Result<&Setup, String> {
        let mut faults = self.read.findings.iter().filter(|finding| finding.severity == Severity::Fault);
        match (&self.read.setup, faults.next()) {
            (Some(setup), None) => Ok(setup),
            (_, Some(fault)) => Err(match faults.count() {
                0 => fault.message.clone(),
                1 => format!("{} And 1 more fault.", fault.message),
                rest => format!("{} And {rest} more faults.", fault.message),
            }),
            (None, None) => Err("It holds no setup.".to_owned()),
        }
    }
}

/// What a merge joined.
#[derive(Clone, Debug)]
pub struct Merge {
    /// The first parent's full hash.
    pub first: String,
    /// The other parents that have the file, by their full hash, and what they held.
    pub beside: Vec<(String, Arc<Content>)>,
    /// What the file held where the parents parted, none if it was not there; at several places, if they had merged one
    /// another before.
    pub parted: Vec<Option<Arc<Content>>>,
    /// Whether it took the file whole from the only parent that had changed it.
    pub only_passes_on: bool,
}

/// One revision with what the file held before and after it.
#[derive(Clone, Debug)]
pub struct Step {
    /// The revision.
    pub stamp: Stamp,
    /// The nearest earlier content that can be read; none if there was none.
    pub before: Option<Arc<Content>>,
    /// The content it left; none if it deleted the file.
    pub after: Option<Arc<Content>>,
    /// Of a merge whose other parents are followed, too: what it joined.
    pub merge: Option<Merge>,
    /// How many unreadable revisions lie between the two.
    pub stepped_over: usize,
    /// Whether the file was deleted between the two.
    pub back: bool,
}

impl Step {
    /// A revision by itself, compared with nothing.
    pub fn alone(stamp: Stamp, after: Option<Arc<Content>>) -> Step {
        Step { stamp, before: None, after, merge: None, stepped_over: 0, back: false }
    }
}
