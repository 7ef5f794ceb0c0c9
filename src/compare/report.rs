//! The finished result of a comparison, with the names of what was compared.

use serde::Serialize;

use super::Comparison;

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
    /// One line to act on, if anything moved on steering or brakes.
    pub headline: Option<String>,
    /// What differs.
    #[serde(flatten)]
    pub comparison: Comparison,
    /// Faults of either text, which may hide a difference.
    pub findings: Vec<String>,
    /// The cautions that go with it.
    pub cautions: Vec<&'static str>,
}
