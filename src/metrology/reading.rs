//! A reading: the numbers somebody wrote down, how finely they could be read, and by what instrument.
//!
//! A reading does not know what was measured or in which file it stands.

use std::sync::Arc;

use chrono::NaiveDate;

use super::{COVERAGE_FACTOR, Unit, count, mean, show};

/// What rounding a worked-out value may cost, as a share of how finely it is read: it adds 0.13 % to such a reading's
/// uncertainty, √(1 + 0.05²).
const ROUNDING_SHARE: f64 = 0.05;

/// One or more values of one measure as written, with the half-width of the interval they may lie in.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    values: Vec<f64>,
    digits: Vec<String>,
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

impl Reading {
    /// A reading of `values` as written in `unit`, with `digits` the typed text of each and `half_width` the
    /// half-width in `default_unit`.
    ///
    /// `None` if there is no value, a text is missing, a number is not finite (or is not once converted), the half
    /// width is negative, or the units measure different things.
    pub fn new(
        values: Vec<f64>,
        digits: Vec<String>,
        unit: Unit,
        default_unit: Unit,
        half_width: f64,
    ) -> Option<Reading> {
        if values.is_empty() || values.len() != digits.len() || half_width.is_nan() || half_width < 0.0 {
            return None;
        }
        let converted =
            values.iter().map(|&value| unit.convert(default_unit, value)).collect::<Option<Vec<f64>>>()?;
        let value = mean(&converted);
        let standard_uncertainty = standard_uncertainty(&converted, value, half_width);
        let all_finite = values.iter().chain(&converted).all(|value| value.is_finite());
        if !(all_finite && value.is_finite() && standard_uncertainty.is_finite()) {
            return None;
        }
        Some(Reading {
            values,
            digits,
            unit,
            default_unit,
            half_width,
            instrument: None,
            read: None,
            value,
            standard_uncertainty,
        })
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
        Reading::new(vec![digits.parse().ok()?], vec![digits], unit, default_unit, half_width)
    }

    /// A value known without doubt: half-width 0. `value` is taken as it is; the caller sees to it that it is finite.
    pub fn exact(value: f64, unit: Unit) -> Reading {
        Reading {
            values: vec![value],
            digits: vec![value.to_string()],
            unit,
            default_unit: unit,
            half_width: 0.0,
            instrument: None,
            read: None,
            value,
            standard_uncertainty: 0.0,
        }
    }

    /// The same reading, taken with the instrument of this name.
    #[must_use]
    pub fn with_instrument(mut self, name: Arc<str>) -> Self {
        self.instrument = Some(name);
        self
    }

    /// The same reading, taken on this day.
    #[must_use]
    pub fn read_on(mut self, day: NaiveDate) -> Self {
        self.read = Some(day);
        self
    }

    /// The mean of the values, in the default unit.
    pub fn value(&self) -> f64 {
        self.value
    }

    /// The mean of the values in the unit they are written in.
    pub fn written_mean(&self) -> f64 {
        mean(&self.values)
    }

    /// The values as written, in [`Reading::unit`].
    pub fn values(&self) -> &[f64] {
        &self.values
    }

    /// The text of each value as typed.
    pub fn digits(&self) -> &[String] {
        &self.digits
    }

    /// The unit the values are written in.
    pub fn unit(&self) -> Unit {
        self.unit
    }

    /// The unit the measure is kept and compared in.
    pub fn default_unit(&self) -> Unit {
        self.default_unit
    }

    /// Half-width of the interval around each value, in the default unit.
    pub fn half_width(&self) -> f64 {
        self.half_width
    }

    /// The name of the instrument, if one was named.
    pub fn instrument(&self) -> Option<&str> {
        self.instrument.as_deref()
    }

    /// The day the reading was taken, if it was written down.
    pub fn read(&self) -> Option<NaiveDate> {
        self.read
    }

    /// Standard uncertainty of [`Reading::value`], in the default unit: the rectangular a/√3 (GUM 4.3.7), and for
    /// repeats the standard deviation of the mean s/√n (GUM 4.2.3) added in quadrature.
    pub fn standard_uncertainty(&self) -> f64 {
        self.standard_uncertainty
    }

    /// Expanded uncertainty of [`Reading::value`], twice the standard uncertainty, in the default unit.
    pub fn expanded_uncertainty(&self) -> f64 {
        COVERAGE_FACTOR * self.standard_uncertainty
    }

    /// Whether the expanded uncertainty promises more than it can hold: it rests on repeats, but on fewer than
    /// four, for which a coverage factor of two is too small (GUM G.3).
    pub fn is_optimistic(&self) -> bool {
        (2..4).contains(&self.values.len())
    }

    /// Whether `other` is this very reading, copied: the same written numbers in the same unit, the same effective
    /// tolerance, instrument and day. Such readings are fully correlated; any others are taken as independent.
    pub fn is_same_reading(&self, other: &Reading) -> bool {
        self.values == other.values
            && self.unit == other.unit
            && self.default_unit == other.default_unit
            && self.half_width.total_cmp(&other.half_width).is_eq()
            && self.instrument == other.instrument
            && self.read == other.read
    }

    /// As typed, with its unit; of repeats the mean, to one place more than they were read to.
    pub fn in_words(&self) -> String {
        let sign = self.unit.sign();
        match &self.digits[..] {
            [only] => format!("{only}{sign}"),
            several => {
                let mean = show::plain(self.written_mean(), self.decimals() + 1);
                format!("{mean}{sign} (mean of {})", several.len())
            }
        }
    }

    /// Places after the point as typed, the most among the values: a reading is never shown finer than it was read.
    pub fn decimals(&self) -> usize {
        self.digits.iter().map(|text| places_after_the_point(text)).max().unwrap_or(0)
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
    let (mantissa, exponent) = text.split_once(['e', 'E']).unwrap_or((text, "0"));
    let fraction = mantissa.split_once('.').map_or("", |(_, fraction)| fraction);
    let places = fraction.bytes().filter(u8::is_ascii_digit).count();
    let exponent: i64 = exponent.replace('_', "").parse().unwrap_or(0);
    let places = i64::try_from(places).unwrap_or(i64::MAX).saturating_sub(exponent);
    usize::try_from(places.max(0)).unwrap_or(usize::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn typed(texts: &[&str], unit: Unit, default_unit: Unit, half_width: f64) -> Option<Reading> {
        let values = texts.iter().map(|text| text.parse().expect("a number")).collect();
        let digits = texts.iter().map(ToString::to_string).collect();
        Reading::new(values, digits, unit, default_unit, half_width)
    }

    fn millimetres(texts: &[&str], half_width: f64) -> Reading {
        typed(texts, Unit::Millimetre, Unit::Millimetre, half_width).expect("a sound reading")
    }

    #[test]
    fn what_cannot_be_a_reading_is_refused() {
        let mm = Unit::Millimetre;
        assert_eq!(Reading::new(vec![], vec![], mm, mm, 1.0), None);
        assert_eq!(Reading::new(vec![1.0], vec![], mm, mm, 1.0), None);
        assert_eq!(typed(&["1"], mm, Unit::Degree, 1.0), None);
        for half_width in [-0.1, f64::NAN, f64::INFINITY] {
            assert_eq!(typed(&["1"], mm, mm, half_width), None);
        }
        for value in ["NaN", "inf"] {
            assert_eq!(typed(&[value], mm, mm, 1.0), None);
        }
        // 1e308 m is 1e311 mm, beyond the largest double (about 1.8e308).
        assert_eq!(typed(&["1e308"], Unit::Metre, mm, 1.0), None);
    }

    #[test]
    fn one_value_is_rectangular() {
        // GUM 4.3.7: u = a/sqrt 3; 1.5/1.7320508 = 0.8660254 by hand.
        let reading = millimetres(&["780"], 1.5);
        assert!((reading.standard_uncertainty() - 0.866_025_4).abs() < 1e-7);
        assert!((reading.expanded_uncertainty() - 1.732_050_8).abs() < 1e-7);
        assert!(!reading.is_optimistic());
    }

    #[test]
    fn repeats_add_their_scatter_in_quadrature() {
        // By hand: mean 11; squares 1 + 0 + 1 = 2; s² = 2/2 = 1; s²/n = 1/3; a²/3 = 4/3; u = sqrt(5/3).
        let reading = millimetres(&["10", "11", "12"], 2.0);
        assert!((reading.value() - 11.0).abs() < 1e-12);
        assert!((reading.standard_uncertainty() - (5.0_f64 / 3.0).sqrt()).abs() < 1e-12);
    }

    #[test]
    fn what_was_worked_out_is_rounded_where_it_is_written() {
        let written = |value, unit, default, tolerance| {
            let reading = Reading::worked_out(value, unit, default, tolerance, 0.0).expect("a reading");
            reading.in_words()
        };
        let (mm, degree) = (Unit::Millimetre, Unit::Degree);
        assert_eq!(written(19.936_412_7, mm, mm, 0.5), "19.936 mm");
        assert_eq!(written(-0.000_2, degree, degree, 0.5), "0°");
        assert_eq!(written(40.0, mm, mm, 0.5), "40 mm");
        // 780/25.4 = 30.70866 in; half of a thousandth is 0.0127 mm, within 0.5/20 = 0.025.
        assert_eq!(written(780.0, Unit::Inch, mm, 0.5), "30.709 in");
        // Half of a thousandth of a metre is 0.5 mm; 0.025 mm is had at five decimals: 0.000005 m = 0.005 mm.
        assert_eq!(written(168.543_21, Unit::Metre, mm, 0.5), "0.16854 m");
    }

    #[test]
    fn two_or_three_repeats_are_optimistic() {
        let claims: Vec<bool> =
            (1..=5).map(|count| millimetres(&vec!["5"; count], 0.5).is_optimistic()).collect();
        assert_eq!(claims, [false, true, true, false, false]);
    }

    #[test]
    fn the_half_width_is_in_the_default_unit() {
        // 31 in = 787.4 mm exactly; a = 0.5 mm whatever the unit of the value.
        let reading = typed(&["31"], Unit::Inch, Unit::Millimetre, 0.5).expect("inches are lengths");
        assert!((reading.value() - 787.4).abs() < 1e-9);
        assert!((reading.standard_uncertainty() - 0.5 / 3.0_f64.sqrt()).abs() < 1e-12);
    }

    #[test]
    fn sameness_looks_at_the_number_and_not_at_its_zeros() {
        let day = NaiveDate::from_ymd_opt(2024, 5, 1).expect("a day");
        let reading = millimetres(&["7.5"], 0.5);
        assert!(reading.is_same_reading(&millimetres(&["7.50"], 0.5)));
        assert!(!reading.is_same_reading(&millimetres(&["7.6"], 0.5)));
        assert!(!reading.is_same_reading(&millimetres(&["7.5"], 0.4)));
        assert!(!reading.is_same_reading(&millimetres(&["7.5", "7.5"], 0.5)));
        assert!(!reading.is_same_reading(&reading.clone().with_instrument("calliper".into())));
        assert!(!reading.is_same_reading(&reading.clone().read_on(day)));
        let centimetres = typed(&["0.75"], Unit::Centimetre, Unit::Millimetre, 0.5).expect("a length");
        assert!(!reading.is_same_reading(&centimetres));
    }

    #[test]
    fn decimals_are_those_that_were_typed() {
        for (text, places) in [
            ("7", 0),
            ("7.50", 2),
            ("-0.125", 3),
            ("1.5e-3", 4),
            ("1.25e1", 1),
            ("2e3", 0),
            ("1_000.2_5", 2),
            ("", 0),
        ] {
            assert_eq!(places_after_the_point(text), places, "{text:?}");
        }
        assert_eq!(millimetres(&["7", "7.25", "7.5"], 0.5).decimals(), 2);
        assert_eq!(Reading::exact(31.8, Unit::Millimetre).decimals(), 1);
    }
}
