//! Laws that hold for any input, tried on many.
#![allow(
    clippy::format_push_string,
    clippy::type_complexity,
    clippy::if_not_else,
    clippy::match_bool,
    clippy::case_sensitive_file_extension_comparisons,
    reason = "generators of random files read better as they are"
)]

use clampmark::compare::Comparison;
use clampmark::metrology::verdict::Verdict;

mod carried_by_hand;
mod carry;
mod clearance;
mod compare;
mod edit;
mod edit_records;
mod generator;
mod hose;
mod merge;
mod merge_words;
mod metrology;
mod piles;
mod record;
mod restore;
mod rolled;
mod syntax;
mod torque;
mod trial;
mod turning;

/// The measures that moved.
fn moved(comparison: &Comparison) -> Vec<&str> {
    let moved = comparison.changes.iter().filter(|change| change.verdict == Verdict::Moved);
    moved.map(|change| change.measure.as_str()).collect()
}
