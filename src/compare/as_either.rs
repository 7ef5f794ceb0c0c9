//! What either version of a sheet that a merge left undecided reads and that is dangerous, though the sheet itself cannot tell
//! it: an angle on a floor that is not decided, a reading by an instrument that is not.
//!
//! What is itself in conflict is told as such elsewhere.

use crate::geometry::state::State;
use crate::setup::undecided::as_either_has_it;

use super::headline::each_dangerous;
use super::{Comparison, as_written};

/// In words, with whose version it is: "rear brake lever angle (left) moved 4.0° tip up, as theirs has it".
pub fn dangerous(comparison: &Comparison, state: &State) -> Vec<String> {
    let Some(sheet) = state.sheet().filter(|sheet| !sheet.versions.is_empty()) else { return Vec::new() };
    let known = each_dangerous(comparison, state);
    let is_told = |about: &str| {
        let is_open = comparison.undecided().any(|change| change.measure == about);
        let is_record_open = comparison.not_decided.iter().any(|record| record.about == about);
        is_open || is_record_open || known.iter().any(|(told, _)| told == about)
    };
    let recorded = State::recorded(state.catalogue(), state.setup());
    let of_version = |version| {
        let found = recorded.found(version, None);
        let all = each_dangerous(&as_written(recorded, found), &found).into_iter();
        all.filter(|(about, _)| !is_told(about)).map(|(_, words)| words).collect()
    };
    as_either_has_it(&sheet.versions.iter().map(of_version).collect::<Vec<Vec<String>>>())
}
