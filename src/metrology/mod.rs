//! Readings, units and uncertainty: what a number read off an instrument is worth.
//!
//! This room knows nothing of bicycles. It does not know what is being measured, where a reading is kept, or
//! how a result is printed; it offers units, readings, first-order propagation of uncertainty and the verdict on
//! a difference, so that every other room speaks of numbers in the same way.
//!
//! The method is that of the *Guide to the expression of uncertainty in measurement* (JCGM 100:2008, "the GUM").

pub mod inputs;
pub mod propagate;
pub mod reading;
pub mod show;
pub mod unit;
pub mod verdict;

pub use inputs::{Input, Inputs};
pub use propagate::{Model, Number, Output, Propagated, propagate};
pub use reading::Reading;
pub use unit::{Quantity, Unit};
pub use verdict::{Verdict, judge, normalised_error};

/// Differences and uncertainties smaller than this, in the value's own unit, are rounding and not measurement.
pub const NEGLIGIBLE: f64 = 1e-9;

/// The coverage factor: expanded uncertainty is twice the standard uncertainty (GUM 6.2), about 95 % when no
/// single small sample governs the result (GUM 6.3.3).
pub const COVERAGE_FACTOR: f64 = 2.0;

/// A number of repeats as a float, for dividing by.
#[expect(clippy::cast_precision_loss, reason = "exact for every count below 2^53")]
const fn count(number: usize) -> f64 {
    number as f64
}

/// The mean, taken from the first value so that the mean of equal numbers is that very number. NaN if empty.
fn mean(values: &[f64]) -> f64 {
    let Some(&first) = values.first() else { return f64::NAN };
    first + values.iter().map(|value| value - first).sum::<f64>() / count(values.len())
}
