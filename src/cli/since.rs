//! What the time that a history is asked for begins with.

use crate::ledger::{Ancestry, HistoryEntry};

use super::calendar::{self, Written};
use super::session::{Failure, Session};

/// What was there already: behind a revision, on whatever line that lies, or before a day. What a branch brought is not new
/// to who asks from that branch; what was written before that day and came later is.
pub struct Since(Ancestry);

impl Since {
    /// As it was typed: a day, or a revision.
    pub fn of(session: &Session, text: &str) -> Result<Since, Failure> {
        let ledger = session.ledger()?;
        let revision = || -> Result<Since, Failure> { Ok(Since(ledger.ancestry(&ledger.revision(text)?)?)) };
        match calendar::day(text) {
            Written::Day(day) => Ok(Since(ledger.ancestry_before(day)?)),
            Written::Nothing => revision(),
            // A revision may be named like anything.
            Written::NoDay(why) => revision().map_err(|_| {
                Failure::new(format!("`{text}` is no date: {why}."), "Write a day as 2031-05-02.")
            }),
        }
    }

    /// Whether a commit is older.
    pub fn is_after(&self, commit: &HistoryEntry) -> bool {
        self.0.holds(&commit.revision)
    }

    /// Whether a merge brought something older to the line of its first parent.
    pub fn is_brought_by(&self, merge: &HistoryEntry) -> Result<bool, Failure> {
        Ok(self.0.is_brought_by(merge)?)
    }
}
