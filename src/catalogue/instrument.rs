//! The instruments a fresh setup file begins with. A file defines its own; these are suggestions.

/// One suggested instrument.
#[derive(Clone, Copy, Debug)]
pub struct Suggested {
    /// The word after `with=`.
    pub name: &'static str,
    /// Half-width of its readings, in the measure's default unit.
    pub tolerance: f64,
    /// What it is.
    pub says: &'static str,
}

/// Tolerances are common practice, no source.
pub static SUGGESTED: &[Suggested] = &[
    Suggested { name: "rule", tolerance: 0.5, says: "steel rule, read to the nearest millimetre" },
    Suggested { name: "caliper", tolerance: 0.1, says: "sliding caliper" },
    Suggested { name: "angle-gauge", tolerance: 0.2, says: "digital angle gauge, zeroed on a level surface" },
    Suggested { name: "sheet", tolerance: 0.5, says: "figures copied from a maker's sheet" },
    Suggested { name: "gauge", tolerance: 1.0, says: "pump or tyre gauge" },
];
