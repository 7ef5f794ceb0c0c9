//! What the time that a history is asked for begins with.

use chrono::NaiveDate;

use crate::ledger::{Ancestry, HistoryEntry};

use super::calendar::{self, Written};
use super::session::{Failure, Session};

/// A day, itself included, or what a revision has behind it, on whatever line that lies: what a branch brought is not new to
/// who asks from that branch.
pub enum Since {
    Day(NaiveDate),
    Revision(Box<Ancestry>),
}

impl Since {
    /// As it was typed.
    pub fn of(session: &Session, text: &str) -> Result<Since, Failure> {
        let revision = || -> Result<Since, Failure> {
            let ledger = session.ledger()?;
            Ok(Since::Revision(Box::new(ledger.ancestry(&ledger.revision(text)?)?)))
        };
        match calendar::day(text) {
            Written::Day(day) => Ok(Since::Day(day)),
            Written::Nothing => revision(),
            // A revision may be named like anything.
            Written::NoDay(why) => revision().map_err(|_| {
                Failure::new(format!("`{text}` is no date: {why}."), "Write a day as 2031-05-02.")
            }),
        }
    }

    /// Whether a commit is older.
    pub fn is_after(&self, commit: &HistoryEntry) -> bool {
        match self {
            Since::Day(day) => commit.revision.date.date_naive() < *day,
            Since::Revision(known) => known.holds(&commit.revision),
        }
    }

    /// Whether a merge brought something older to the line of its first parent. Of a day that is not asked: a merge is
    /// of the day on which it was made.
    pub fn is_brought_by(&self, merge: &HistoryEntry) -> Result<bool, Failure> {
        match self {
            Since::Day(_) => Ok(false),
            Since::Revision(known) => Ok(known.is_brought_by(merge)?),
        }
    }
}
