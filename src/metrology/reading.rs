//! A reading: the numbers somebody wrote down, how finely they could be read, and by what instrument.
//!
//! A reading does not know what was measured or in which file it stands.

use std::sync::Arc;

use chrono::NaiveDate;
use smallvec::{SmallVec, smallvec};
use smol_str::SmolStr;

use super::{COVERAGE_FACTOR, Unit, count, mean, show};

/// What rounding a worked-out value may cost, as a share of how finely it is read: it adds 0.13 % to such a reading's
/// uncertainty, √(1 + 0.05²).
const ROUNDING_SHARE: f64 = 0.05;

/// Of one reading: hardly any has a second.
type Few<T> = SmallVec<[T; 1]>;

/// One or more values of one measure as written, with the half-width of the interval they may lie in.
///
/// A copy is the same reading: it costs nothing, and what was carried over from one revision to the next is known for
/// the same without a look at its numbers.
#[derive(Clone, Debug)]
pub struct Reading(Arc<Written>);

/// What was written down.
#[derive(Clone, Debug, PartialEq)]
struct Written {
    values: Few<f64>,
    digits: Few<SmolStr>,
    unit: Unit,
    default_unit: Unit,
    half_width: f64,
    instrument: Option<Arc<str>>,
    read: Option<NaiveDate>,
    /// The mean in the default unit, worked out once.
    value: f64,
    /// Standard uncertainty in the default unit, worked out once.
    standard_uncertainty: f64,
}

impl PartialEq for Reading {
    fn eq(&self, other: &Reading) -> bool {
        Arc::ptr_eq(&self.0, &other.0) || self.0 == other.0
    }
}

impl Reading {
    /// A reading of `values` as written in `unit`, with `digits` the typed text of each and `half_width` the
    /// half-width in `default_unit`.
    ///
    /// `None` if there is no value, a text is missing, a number is not finite (or is not once converted), the half
    /// width is negative, or the units measure different things.
    pub fn new(
        values: impl IntoIterator<Item = f64>,
        digits: impl IntoIterator<Item: Into<SmolStr>>,
        unit: Unit,
        default_unit: Unit,
        half_width: f64,
    ) -> Option<Reading> {
        let values: Few<f64> = values.into_iter().collect();
        let digits: Few<SmolStr> = digits.into_iter().map(Into::into).collect();
        if values.is_empty() || values.len() != digits.len() || half_width.is_nan() || half_width < 0.0 {
            return None;
        }
        let converted =
            values.iter().map(|&value| unit.convert(default_unit, value)).collect::<Option<Few<f64>>>()?;
        let value = mean(&converted);
        let standard_uncertainty = standard_uncertainty(&converted, value, half_width);
        let all_finite = values.iter().chain(&converted).all(|value| value.is_finite());
        if !(all_finite && value.is_finite() && standard_uncertainty.is_finite()) {
            return None;
        }
        Some(Reading(Arc::new(Written {
            values,
            digits,
            unit,
            default_unit,
            half_width,
            instrument: None,
            read: None,
            value,
            standard_uncertainty,
        })))
    }

    /// A value that was worked out, in `default_unit`, as the reading that it is once written down in `unit`: rounded
    /// to three decimals there, or to as many more as keep what rounding costs within a twentieth of `tolerance`, the
    /// half-width that such a measure is usually read to.
    ///
    /// `None` where [`Reading::new`] gives none.
    pub fn worked_out(
        value: f64,
        unit: Unit,
        default_unit: Unit,
        tolerance: f64,
        half_width: f64,
    ) -> Option<Reading> {
        let is_fine = |half_a_step: f64| {
            let cost = unit.convert(default_unit, half_a_step).unwrap_or(0.0);
            tolerance <= 0.0 || cost.abs() <= tolerance * ROUNDING_SHARE
        };
        let places = [(3, 5e-4), (4, 5e-5), (5, 5e-6), (6, 5e-7)];
        let places =
            places.into_iter().find(|(_, half_a_step)| is_fine(*half_a_step)).map_or(6, |(places, _)| places);
        let digits = show::typed(default_unit.convert(unit, value)?, places);
        Reading::new([digits.parse().ok()?], [digits], unit, default_unit, half_width)
    }

    /// A value known without doubt: half-width 0. `value` is taken as it is; the caller sees to it that it is finite.
    pub fn exact(value: f64, unit: Unit) -> Reading {
        Reading(Arc::new(Written {
            values: smallvec![value],
            digits: smallvec![value.to_string().into()],
            unit,
            default_unit: unit,
            half_width: 0.0,
            instrument: None,
            read: None,
            value,
            standard_uncertainty: 0.0,
        }))
    }

    /// The same reading, taken with the instrument of this name.
    #[must_use]
    pub fn with_instrument(mut self, name: Arc<str>) -> Self {
        Arc::make_mut(&mut self.0).instrument = Some(name);
        self
    }

    /// The same reading, taken on this day.
    #[must_use]
    pub fn read_on(mut self, day: NaiveDate) -> Self {
        Arc::make_mut(&mut self.0).read = Some(day);
        self
    }

    /// The mean of the values, in the default unit.
    pub fn value(&self) -> f64 {
        self.0.value
    }

    /// The mean of the values in the unit they are written in.
    pub fn written_mean(&self) -> f64 {
        mean(&self.0.values)
    }

    /// The values as written, in [`Reading::unit`].
    pub fn values(&self) -> &[f64] {
        &self.0.values
    }

    /// The text of each value as typed.
    pub fn digits(&self) -> &[SmolStr] {
        &self.0.digits
    }

    /// The unit the values are written in.
    pub fn unit(&self) -> Unit {
        self.0.unit
    }

    /// The unit the measure is kept and compared in.
    pub fn default_unit(&self) -> Unit {
        self.0.default_unit
    }

    /// Half-width of the interval around each value, in the default unit.
    pub fn half_width(&self) -> f64 {
        self.0.half_width
    }

    /// The name of the instrument, if one was named.
    pub fn instrument(&self) -> Option<&str> {
        self.0.instrument.as_deref()
    }

    /// The day the reading was taken, if it was written down.
    pub fn read(&self) -> Option<NaiveDate> {
        self.0.read
    }

    /// Standard uncertainty of [`Reading::value`], in the default unit: the rectangular a/√3 (GUM 4.3.7), and for
    /// repeats the standard deviation of the mean s/√n (GUM 4.2.3) added in quadrature.
    pub fn standard_uncertainty(&self) -> f64 {
        self.0.standard_uncertainty
    }

    /// Expanded uncertainty of [`Reading::value`], twice the standard uncertainty, in the default unit.
    pub fn expanded_uncertainty(&self) -> f64 {
        COVERAGE_FACTOR * self.0.standard_uncertainty
    }

    /// Whether the expanded uncertainty promises more than it can hold: it rests on repeats, but on fewer than
    /// four, for which a coverage factor of two is too small (GUM G.3).
    pub fn is_optimistic(&self) -> bool {
        (2..4).contains(&self.0.values.len())
    }

    /// Whether `other` is this very reading, copied: the same written numbers in the same unit, the same effective
    /// tolerance, instrument and day. Such readings are fully correlated; any others are taken as independent.
    pub fn is_same_reading(&self, other: &Reading) -> bool {
        Arc::ptr_eq(&self.0, &other.0) || self.0.read == other.0.read && self.is_same_but_its_day(other)
    }

    /// The same but for the day that is written beside it: whose day it is where none is, this does not know.
    pub fn is_same_but_its_day(&self, other: &Reading) -> bool {
        let (one, other) = (&self.0, &other.0);
        one.values == other.values
            && one.unit == other.unit
            && one.default_unit == other.default_unit
            && one.half_width.total_cmp(&other.half_width).is_eq()
            && one.instrument == other.instrument
    }

    /// As typed, with its unit; of repeats the mean, to one place more than they were read to.
    pub fn in_words(&self) -> String {
        let sign = self.0.unit.sign();
        match &self.0.digits[..] {
            [only] => format!("{only}{sign}"),
            several => {
                let mean = show::plain(self.written_mean(), self.decimals() + 1);
                format!("{mean}{sign} (mean of {})", several.len())
            }
        }
    }

    /// Places after the point as typed, the most among the values: a reading is never shown finer than it was read.
    pub fn decimals(&self) -> usize {
        self.0.digits.iter().map(|text| places_after_the_point(text)).max().unwrap_or(0)
    }
}

/// Rectangular and scatter parts together; all arguments in one unit.
fn standard_uncertainty(values: &[f64], mean: f64, half_width: f64) -> f64 {
    let rectangular = half_width / 3.0_f64.sqrt();
    if values.len() < 2 {
        return rectangular;
    }
    let squares: f64 = values.iter().map(|value| (value - mean).powi(2)).sum();
    let of_the_mean = (squares / (count(values.len() - 1) * count(values.len()))).sqrt();
    rectangular.hypot(of_the_mean)
}

/// Places after the decimal point that a typed number claims: `7.50` two, `1.5e-3` four, `2e3` none.
fn places_after_the_point(text: &str) -> usize {
    let (mantissa, exponent) = text.split_once(['e', 'E']).unzip();
    let fraction = mantissa.unwrap_or(text).split_once('.').map_or("", |(_, fraction)| fraction);
    let places = fraction.bytes().filter(u8::is_ascii_digit).count();
    let Some(exponent) = exponent else { return places };
    let exponent: i64 = exponent.replace('_', "").parse().unwrap_or(0);
    let places = i64::try_from(places).unwrap_or(i64::MAX).saturating_sub(exponent);
    usize::try_from(places.max(0)).unwrap_or(usize::MAX)
}

#[cfg(test)]
mod tests;
