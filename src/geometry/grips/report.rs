//! The finished result of `grips`, with the names of what was looked at.

use serde::Serialize;

use crate::geometry::why::Why;

use super::Grips;

/// The words for the units of the numbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Units {
    /// Of lengths.
    pub length: &'static str,
    /// Of angles.
    pub angle: &'static str,
    /// Of ratios.
    pub ratio: &'static str,
}

/// The units of every account.
pub const UNITS: Units = Units { length: "mm", angle: "deg", ratio: "1" };

/// The finished result.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Report {
    /// clampmark.grips/1
    pub schema: &'static str,
    /// The setup's name.
    pub setup: String,
    /// How the point was named: `now`, `HEAD~3`.
    pub label: String,
    /// The revision's hash; null for the working file.
    pub revision: Option<String>,
    /// The revision's date.
    pub date: Option<String>,
    /// The day the file says it was measured.
    pub measured_on: Option<String>,
    /// Why nobody is to ride it, in one line.
    pub headline: Option<String>,
    /// The units of the numbers.
    pub units: Units,
    /// The account.
    #[serde(flatten)]
    pub grips: Grips,
    /// Where the uncertainty of one value comes from, if that was asked.
    pub why: Option<Why>,
    /// Faults of the text, which may hide a reading.
    pub findings: Vec<String>,
}
