//! The finished result of a comparison, with the names of what was compared.

use serde::Serialize;

use crate::check::dates::SheetDay;
use crate::metrology::verdict::Verdict;

use super::{Comparison, Fate, OpenedBefore, ReadBeforeOpen, TorqueChange};

/// One side of a comparison.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Point {
    /// How it was named: `now`, `HEAD~3`, a file.
    pub label: String,
    /// The revision's hash.
    pub revision: Option<String>,
    /// The revision's date, or the day the file says it was measured.
    pub date: Option<String>,
    /// Whether values of it are planned, not measured.
    pub planned: bool,
}

/// What the two sides are to one another.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Relation {
    /// One setup through time.
    Revisions,
    /// A setup and its bike as it was found.
    AsFound,
    /// Two setups, of one bike or of two: nothing moved from one to the other.
    Setups,
}

/// The finished result.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Report {
    /// clampmark.diff/1
    pub schema: &'static str,
    /// The setup's name.
    pub setup: String,
    /// From.
    pub from: Point,
    /// To.
    pub to: Point,
    /// What they are to one another.
    pub relation: Relation,
    /// Whether it runs from the newer point in time to the older one.
    #[serde(skip)]
    pub backwards: bool,
    /// One line to act on, if anything moved on steering or brakes, or the file keeps something against riding.
    pub headline: Option<String>,
    /// What is wrong with the day of the sheet, if anything is.
    pub sheet_day: Option<SheetDay>,
    /// What differs.
    #[serde(flatten)]
    pub comparison: Comparison,
    /// Of a sheet: the joints that notes of the setup keep as opened before it, and not tightened since.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub opened_before: Vec<OpenedBefore>,
    /// Of a sheet: what it read of a joint before it saw that open.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub read_before_open: Vec<ReadBeforeOpen>,
    /// Whether nothing was read on the sheet, so that it says nothing of the bike.
    pub blank: bool,
    /// What the sheet tells to have been looked over and to be good, in words.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub good: Vec<String>,
    /// Faults of either text, which may hide a difference.
    pub findings: Vec<String>,
    /// The cautions that go with it.
    pub cautions: Vec<&'static str>,
}

impl Report {
    /// Whether there is a difference to tell: something moved; of two setups also what nobody can move.
    pub fn has_difference(&self) -> bool {
        let comparison = &self.comparison;
        let figure = |verdict| matches!(verdict, Verdict::ReRead | Verdict::Corrected);
        let figures = || comparison.changes.iter().any(|change| figure(change.verdict));
        comparison.has_moved() || self.relation == Relation::Setups && figures()
    }

    /// Whether the later text has lost what the earlier one knew: a reading to go back to, a caution or a limit at a bolt, what
    /// it was tightened to, a line that shows whether it moved.
    fn has_lost(&self) -> bool {
        let comparison = &self.comparison;
        let forward = self.relation == Relation::Revisions && !self.backwards;
        forward
            && (comparison.changes.iter().any(|change| change.verdict == Verdict::NotRecorded)
                || comparison.notes.iter().any(|note| note.now.is_none() && note.is_caution())
                || comparison.torque.iter().any(TorqueChange::has_lost)
                || comparison.marks.iter().any(|mark| matches!(mark.fate, Fate::Gone | Fate::StruckOut)))
    }

    /// Whether there is anything to act on.
    pub fn is_to_act_on(&self) -> bool {
        self.comparison.is_to_act_on()
            || self.has_difference()
            || self.has_lost()
            || self.headline.is_some()
            || self.sheet_day.is_some()
            || !self.opened_before.is_empty()
            || self.comparison.partial && self.comparison.looked_at == 0
    }
}
