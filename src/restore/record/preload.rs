//! Whether the bearing's preload has to be set again: spacers are swapped on no stem that stays on, and another stem was
//! put on a steerer that was free.

use serde::Serialize;

use crate::catalogue::{Catalogue, joint};
use crate::compare::{Comparison, SpacersShift};
use crate::metrology::verdict::Verdict;

/// Why it has to be.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Preload {
    /// How the height of everything on the steerer differs, if it does.
    pub spacers: Option<SpacersShift>,
    /// Whether the stem is another, or turned over.
    pub is_stem: bool,
}

impl Preload {
    /// None where the stem stayed on.
    pub(super) fn of(catalogue: &Catalogue, comparison: &Comparison) -> Option<Preload> {
        let replaced = comparison.replaced.as_ref();
        let is_stem = replaced.is_some_and(|replaced| {
            replaced.parts.iter().chain(&replaced.turned_over).any(|part| *part == "stem")
        });
        let mut moved = comparison.changes.iter().filter(|change| change.verdict == Verdict::Moved);
        let is_off = moved.any(|change| {
            let sets = change
                .joint
                .as_deref()
                .and_then(joint::find)
                .is_some_and(|(_, joint)| joint.holds.contains(&"headset"));
            sets && catalogue.measure(change.id.row).comes_apart()
        });
        let spacers = comparison.spacers;
        (is_stem || is_off || spacers.is_some()).then_some(Preload { spacers, is_stem })
    }
}
