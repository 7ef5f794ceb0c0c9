//! How a number is written out: no finer than it is known.
//!
//! This module makes text; it does not know where the text goes, and adds no unit, sign or colour.

use super::NEGLIGIBLE;

/// A double has no more decimals than this, and the formatter would refuse many more.
const MOST_DECIMALS: usize = 1074;

/// A value and its expanded uncertainty as text (GUM 7.2.6): the uncertainty to two significant digits, the value to the
/// same place, neither finer than it is coarse: from 100 up both are whole. An uncertainty that is nil or only
/// rounding is written as `0` and the value with `decimals_when_exact`; one that is not finite as `∞`, likewise.
pub fn with_uncertainty(value: f64, expanded: f64, decimals_when_exact: usize) -> (String, String) {
    let expanded = expanded.abs();
    if !expanded.is_finite() {
        return (plain(value, decimals_when_exact), "∞".to_owned());
    }
    if expanded < NEGLIGIBLE {
        return (plain(value, decimals_when_exact), "0".to_owned());
    }
    let decimals = decimals_of_two_digits(expanded);
    (plain(value, decimals), plain(expanded, decimals))
}

/// The decimals that an expanded uncertainty leaves a value: those of its two significant digits, as in
/// [`with_uncertainty`]; as many as `finest` at most, which is also what a value without doubt has.
pub fn places_within(expanded: f64, finest: usize) -> usize {
    let expanded = expanded.abs();
    if !expanded.is_finite() || expanded < NEGLIGIBLE {
        return finest;
    }
    decimals_of_two_digits(expanded).min(finest)
}

/// A half-width as it is written into a file: two significant digits at most, and rounded up, so that it never promises
/// more than is known (GUM 7.2.6: it may be appropriate to round uncertainties up).
pub fn rounded_up(half_width: f64) -> f64 {
    if !half_width.is_finite() || half_width < NEGLIGIBLE {
        return half_width;
    }
    // What a double cannot hold exactly is no reason to go a digit up.
    let nudged = half_width * (1.0 - 1e-9);
    let exponent: i32 =
        format!("{nudged:e}").split_once('e').and_then(|(_, exponent)| exponent.parse().ok()).unwrap_or(0);
    let step = 10.0_f64.powi((exponent - 1).abs());
    let digits = if exponent < 1 { (nudged * step).ceil() / step } else { (nudged / step).ceil() * step };
    // The nearest double to so many decimals, not a sum of them.
    plain(digits, usize::try_from(1 - exponent).unwrap_or(0)).parse().unwrap_or(half_width)
}

/// The value to two places at most, and no more than it needs: "4.5", "5".
pub fn brief(value: f64) -> String {
    typed(value, 2)
}

/// The value as a person would type it: no more than so many decimals, none that say nothing.
pub fn typed(value: f64, decimals: usize) -> String {
    let text = plain(value, decimals);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// A value with so many decimals, and never a negative zero.
pub fn plain(value: f64, decimals: usize) -> String {
    let decimals = decimals.min(MOST_DECIMALS);
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(digits) if digits.bytes().all(|digit| matches!(digit, b'0' | b'.')) => digits.to_owned(),
        _ => text,
    }
}

/// Decimals that leave a positive number two significant digits once rounded: 0.0996 is 0.10, so two.
fn decimals_of_two_digits(number: f64) -> usize {
    let scientific = format!("{number:.1e}");
    let exponent: i32 =
        scientific.split_once('e').and_then(|(_, exponent)| exponent.parse().ok()).unwrap_or(0);
    usize::try_from(1 - exponent).unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(value: f64, expanded: f64) -> String {
        let (value, expanded) = with_uncertainty(value, expanded, 1);
        format!("{value} ± {expanded}")
    }

    #[test]
    fn two_digits_of_uncertainty_and_the_value_to_the_same_place() {
        // Rounding by hand, by the rule of GUM 7.2.6.
        assert_eq!(written(1003.38, 1.87), "1003.4 ± 1.9");
        assert_eq!(written(0.0312, 0.0118), "0.031 ± 0.012");
        assert_eq!(written(452.36, 24.6), "452 ± 25");
        assert_eq!(written(-0.1, 0.3), "-0.10 ± 0.30");
    }

    #[test]
    fn the_example_of_the_guide() {
        // GUM 7.2.6 (from memory): 10.057 62 ohm with u_c = 27 mohm is rounded to 10.058 ohm.
        assert_eq!(written(10.057_62, 0.027), "10.058 ± 0.027");
    }

    #[test]
    fn rounding_up_to_the_next_power_loses_a_decimal() {
        assert_eq!(written(1.0, 0.0996), "1.00 ± 0.10");
        assert_eq!(written(1.26, 0.996), "1.3 ± 1.0");
        assert_eq!(written(1.26, 9.96), "1 ± 10");
    }

    #[test]
    fn from_a_hundred_up_both_are_whole() {
        assert_eq!(written(1234.5678, 123.4), "1235 ± 123");
        assert_eq!(written(1234.5678, 99.6), "1235 ± 100");
    }

    #[test]
    fn without_uncertainty_the_caller_says_how_fine() {
        assert_eq!(written(31.8, 0.0), "31.8 ± 0");
        assert_eq!(written(31.8, 1e-17), "31.8 ± 0");
        assert_eq!(written(31.8, f64::INFINITY), "31.8 ± ∞");
    }

    #[test]
    fn a_half_width_goes_up_to_two_digits_and_never_down() {
        // Rounded up by hand.
        let cases = [
            (2.0616, 2.1),
            (2.07, 2.1),
            (0.3606, 0.37),
            (0.0711, 0.072),
            (12.04, 13.0),
            (123.4, 130.0),
            (0.996, 1.0),
            (9.96, 10.0),
            // What has two digits or fewer stays.
            (0.5, 0.5),
            (0.37, 0.37),
            (1.0, 1.0),
            (10.0, 10.0),
            (0.3, 0.3),
            (0.0, 0.0),
        ];
        for (known, written) in cases {
            assert_eq!(plain(rounded_up(known), 6), plain(written, 6), "{known}");
        }
        // A sum that is a hair above 0.3 in doubles.
        assert_eq!(plain(rounded_up(0.1 + 0.2), 6), "0.300000");
    }

    #[test]
    fn no_more_places_than_the_uncertainty_leaves() {
        // GUM 7.2.6, by hand: 2.3 has one decimal, 0.37 two, 12 none; a typed figure is never shown finer than typed.
        assert_eq!([2.3, 0.37, 12.0].map(|expanded| places_within(expanded, 3)), [1, 2, 0]);
        assert_eq!(places_within(0.37, 1), 1);
        assert_eq!(places_within(0.0, 3), 3);
    }

    #[test]
    fn zero_has_no_sign() {
        assert_eq!(plain(-0.0, 1), "0.0");
        assert_eq!(plain(-0.04, 1), "0.0");
        assert_eq!(plain(-0.06, 1), "-0.1");
        assert_eq!(plain(-0.2, 0), "0");
        assert_eq!(written(-0.04, 1.9), "0.0 ± 1.9");
    }

    #[test]
    fn no_number_of_decimals_is_too_many() {
        assert!(plain(0.5, usize::MAX).starts_with("0.5000"));
        assert_eq!(plain(f64::NEG_INFINITY, 2), "-inf");
    }
}
