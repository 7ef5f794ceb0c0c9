//! Laws of units, readings, verdicts and propagation.

use clampmark::metrology::show::{plain, with_uncertainty};
use clampmark::metrology::{Input, Inputs, Model, Number, Reading, Unit, judge, normalised_error, propagate};
use proptest::collection::vec;
use proptest::prelude::*;

fn any_unit() -> impl Strategy<Value = Unit> {
    proptest::sample::select(Unit::ALL)
}

fn typed(values: &[f64], half_width: f64) -> Reading {
    let digits = values.iter().map(ToString::to_string);
    Reading::new(values.iter().copied(), digits, Unit::Millimetre, Unit::Millimetre, half_width)
        .expect("finite values and half-width")
}

/// Three bent functions of three inputs, defined everywhere.
struct Bent;

impl Model for Bent {
    fn evaluate<N: Number>(&self, inputs: &[N]) -> Vec<Option<N>> {
        let (x, y, z) = (inputs[0], inputs[1], inputs[2]);
        vec![Some(x * y + z.sin()), Some((x * x + 1.0).sqrt() - z), Some(x * y * z)]
    }
}

/// Their partial derivatives, by hand, row by row.
fn gradients(x: f64, y: f64, z: f64) -> [[f64; 3]; 3] {
    [[y, x, z.cos()], [x / (x * x + 1.0).sqrt(), 0.0, -1.0], [y * z, x * z, x * y]]
}

fn inputs() -> impl Strategy<Value = Vec<Input>> {
    vec((-50.0..50.0, 0.01..2.0), 3).prop_map(|pairs| {
        pairs
            .into_iter()
            .map(|(value, standard_uncertainty)| Input { value, standard_uncertainty, half_width: 0.0 })
            .collect()
    })
}

proptest! {
    /// There and back again is where one was, to rounding; and a sign or an order is never changed.
    #[test]
    fn conversion_has_an_inverse(from in any_unit(), to in any_unit(), value in -1e6..1e6) {
        if let Some(there) = from.convert(to, value) {
            let back = to.convert(from, there).expect("the same two units");
            prop_assert!((back - value).abs() <= 4.0 * f64::EPSILON * value.abs());
            prop_assert!(there * value >= 0.0);
        }
    }

    /// By way of a third unit is as good as straight.
    #[test]
    fn conversion_is_transitive(from in any_unit(), by in any_unit(), to in any_unit(), value in -1e6..1e6) {
        let detour = from.convert(by, value).and_then(|there| by.convert(to, there));
        if let Some(detour) = detour {
            let straight = from.convert(to, value).expect("one quantity throughout");
            prop_assert!((detour - straight).abs() <= 8.0 * f64::EPSILON * straight.abs());
        }
    }

    /// No annotation makes the parser stumble, and what it accepts is the unit's own word.
    #[test]
    fn only_its_own_word_parses(word in "\\PC{0,8}") {
        if let Some(unit) = Unit::parse(&word) {
            prop_assert_eq!(unit.word(), word);
        }
    }

    /// Which state is called the earlier does not change the verdict; more uncertainty never turns it into a move.
    #[test]
    fn verdicts_are_symmetric_and_monotone(delta in -10.0..10.0, expanded in 0.0..10.0, more in 0.0..10.0) {
        let verdict = judge(delta, expanded);
        prop_assert_eq!(verdict, judge(-delta, expanded));
        prop_assert!(verdict.is_move() || !judge(delta, expanded + more).is_move());
        prop_assert!(normalised_error(delta, expanded) >= normalised_error(delta, expanded + more));
    }

    /// A reading is as uncertain as its half-width says and more if its values scatter; shifting all values shifts
    /// the mean and nothing else.
    #[test]
    fn scatter_only_adds(values in vec(-1e3..1e3, 1..8), half_width in 0.0..5.0, shift in -1e3..1e3_f64) {
        let reading = typed(&values, half_width);
        prop_assert!(reading.standard_uncertainty() >= half_width / 3.0_f64.sqrt() - 1e-12);
        let shifted: Vec<f64> = values.iter().map(|value| value + shift).collect();
        let shifted = typed(&shifted, half_width);
        prop_assert!((shifted.value() - reading.value() - shift).abs() < 1e-9);
        prop_assert!((shifted.standard_uncertainty() - reading.standard_uncertainty()).abs() < 1e-9);
    }

    /// Repeating one number leaves that number, exactly, with the half-width alone.
    #[test]
    fn a_steady_repeat_adds_nothing(value in -1e3..1e3, repeats in 1_usize..9, half_width in 0.0..5.0) {
        let reading = typed(&vec![value; repeats], half_width);
        prop_assert_eq!(reading.value().to_bits(), typed(&[value], 0.0).value().to_bits());
        prop_assert!((reading.standard_uncertainty() - half_width / 3.0_f64.sqrt()).abs() < 1e-12);
    }

    /// Sameness of readings goes both ways, and every reading is its own.
    #[test]
    fn sameness_is_symmetric(left in vec(0_u8..2, 1..3), right in vec(0_u8..2, 1..3), a in 0_u8..2, b in 0_u8..2) {
        let reading = |values: &[u8], half_width: u8| {
            let values: Vec<f64> = values.iter().copied().map(f64::from).collect();
            typed(&values, f64::from(half_width))
        };
        let (first, second) = (reading(&left, a), reading(&right, b));
        prop_assert!(first.is_same_reading(&first.clone()));
        prop_assert_eq!(first.is_same_reading(&second), second.is_same_reading(&first));
        prop_assert_eq!(first.is_same_reading(&second), left == right && a == b);
    }

    /// The derivatives are those found by hand, the variance is the sum of squares, the shares sum to 1.
    #[test]
    fn propagation_by_hand(list in inputs()) {
        let inputs = Inputs::independent(list.clone());
        let propagated = propagate(&Bent, &inputs);
        let expected = gradients(list[0].value, list[1].value, list[2].value);
        for (output, gradient) in propagated.outputs.iter().zip(expected) {
            let output = output.as_ref().expect("defined everywhere");
            for (got, by_hand) in output.sensitivities.iter().zip(gradient) {
                prop_assert!((got - by_hand).abs() <= 1e-12 * by_hand.abs().max(1.0));
            }
            let variance: f64 =
                gradient.iter().zip(&list).map(|(c, input)| (c * input.standard_uncertainty).powi(2)).sum();
            prop_assert!((output.standard_uncertainty.powi(2) - variance).abs() <= 1e-10 * variance.max(1.0));
            let shares = output.shares(&inputs);
            prop_assert!((shares.iter().sum::<f64>() - 1.0).abs() < 1e-12);
            prop_assert!(shares.iter().all(|share| (0.0..=1.0 + 1e-12).contains(share)));
        }
    }

    /// Correlations of outputs are symmetric, between −1 and 1, and 1 with oneself.
    #[test]
    fn correlations_are_correlations(list in inputs(), r in -1.0..1.0) {
        let inputs = Inputs::correlated(list, &[(0, 2, r)]).expect("one pair may have any correlation");
        let propagated = propagate(&Bent, &inputs);
        for left in 0..3 {
            for right in 0..3 {
                let there = propagated.covariance(left, right).expect("defined everywhere");
                let back = propagated.covariance(right, left).expect("defined everywhere");
                prop_assert!((there - back).abs() <= 1e-9 * there.abs().max(1.0));
                if let Some(coefficient) = propagated.correlation(left, right) {
                    prop_assert!((-1.0..=1.0).contains(&coefficient));
                    prop_assert!(left != right || (coefficient - 1.0).abs() < 1e-9);
                }
            }
        }
    }

    /// Correlations that are all nil change nothing.
    #[test]
    fn no_correlation_is_independence(list in inputs()) {
        let alone = propagate(&Bent, &Inputs::independent(list.clone()));
        let together = propagate(&Bent, &Inputs::correlated(list, &[]).expect("nothing is impossible about it"));
        for (left, right) in alone.outputs.iter().flatten().zip(together.outputs.iter().flatten()) {
            prop_assert!((left.standard_uncertainty - right.standard_uncertainty).abs()
                <= 1e-12 * left.standard_uncertainty.max(1.0));
        }
        prop_assert_eq!(alone.outputs.len(), together.outputs.len());
    }

    /// What is shown is within half a step of what is meant, its uncertainty within a twentieth, and both stop at
    /// the same place.
    #[test]
    fn showing_rounds_and_no_more(value in -1e4..1e4, exponent in -6.0..3.0) {
        let expanded = 10.0_f64.powf(exponent);
        let (shown, shown_expanded) = with_uncertainty(value, expanded, 3);
        let places = |text: &str| text.split_once('.').map_or(0, |(_, fraction)| fraction.len());
        prop_assert_eq!(places(&shown), places(&shown_expanded));
        let step = 10.0_f64.powi(-i32::try_from(places(&shown)).expect("a handful of decimals"));
        let read = |text: &str| text.parse::<f64>().expect("a number was written");
        prop_assert!((read(&shown) - value).abs() <= 0.5 * step + 1e-9);
        prop_assert!((read(&shown_expanded) - expanded).abs() <= 0.05 * expanded * (1.0 + 1e-9));
    }

    /// A minus sign is followed by something that is not nothing.
    #[test]
    fn no_negative_zero(value in -1.0..1.0, decimals in 0_usize..6) {
        let shown = plain(value, decimals);
        prop_assert!(!shown.starts_with('-') || shown.bytes().any(|digit| (b'1'..=b'9').contains(&digit)));
    }
}
