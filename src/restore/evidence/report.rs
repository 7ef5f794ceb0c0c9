//! One mark and what it says.

use chrono::NaiveDate;
use serde::Serialize;

use crate::catalogue::Weight;
use crate::metrology::reading::Reading;
use crate::metrology::verdict::{Verdict, judge};

use super::turns::is_beyond_its_width;

/// What a mark says.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum MarkVerdict {
    /// Its halves stand apart.
    Off,
    /// It is interrupted: the joint moved, nobody knows how far.
    Broken,
    /// It is gone.
    Missing,
    /// It was drawn at another position than the recorded one: no evidence.
    Stale,
    /// It was drawn on a part that is not the one on the bike: no evidence.
    OnAnotherPart,
    /// The sheet names a mark that the setup does not have.
    Unknown,
    /// Its line was drawn anew after the sheet was read, or when the sheet was recorded.
    DrawnSince,
    /// Its halves meet.
    Aligned,
    /// The sheet does not speak of it.
    NotLookedAt,
}

/// One mark and what it says.
#[expect(clippy::struct_excessive_bools, reason = "each says another thing of it")]
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct MarkReport {
    /// Its name.
    pub name: String,
    /// The joint it crosses.
    pub joint: Option<String>,
    /// The joint in plain words.
    pub title: Option<String>,
    /// What slipping there does.
    pub weight: Weight,
    /// What it says.
    pub state: MarkVerdict,
    /// The rotation it tells, if any.
    pub measure: Option<String>,
    /// By how much the part has turned from the recorded position, in degrees.
    pub turned: Option<f64>,
    /// Its expanded uncertainty.
    #[serde(rename = "U")]
    pub uncertainty: Option<f64>,
    /// How far its halves stand apart, where they do, with what its width lets nobody tell.
    #[serde(skip)]
    pub apart: Option<Reading>,
    /// When the sheet saw it, if not on its own day.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub read: Option<NaiveDate>,
    /// What lines up with what.
    pub reads: Option<String>,
    /// Whether everything the mark speaks of was read on the sheet, so that its word does not count.
    pub overruled: bool,
    /// Whether the line was drawn on a later day than the sheet's, so that the sheet may tell of either.
    pub older_sheet: bool,
    /// Whether nobody can tell if the sheet speaks of the line drawn since or of the one before.
    pub doubtful: bool,
    /// Of one that is no evidence only because nobody knows at which roll it was drawn, how it becomes one again.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mend: Option<String>,
    /// Whether it is no evidence because the recorded angle beside it was read before the bar was rolled.
    #[serde(skip)]
    pub beside_an_old_angle: bool,
    /// All of it in one sentence.
    pub words: String,
}

impl MarkReport {
    /// Whether the mark says that its joint moved.
    pub fn tells_a_move(&self) -> bool {
        match self.state {
            // Readings that agree show where the part stands, not that nobody loosened it.
            MarkVerdict::Broken | MarkVerdict::Missing => true,
            MarkVerdict::Off if self.overruled => false,
            // Of a line drawn since, the sheet tells nothing.
            MarkVerdict::Stale
            | MarkVerdict::OnAnotherPart
            | MarkVerdict::Unknown
            | MarkVerdict::DrawnSince
            | MarkVerdict::Aligned
            | MarkVerdict::NotLookedAt => false,
            MarkVerdict::Off => match self.turned.zip(self.uncertainty) {
                Some((turned, uncertainty)) => judge(turned, uncertainty) == Verdict::Moved,
                None => self.apart.as_ref().is_none_or(is_beyond_its_width),
            },
        }
    }
}
