//! Propagation by hand, and at the edges of what is defined.

use std::cell::Cell;

use super::*;

/// A model from a list of cases, with a count of how often it was asked.
#[derive(Default)]
struct Cases {
    asked: Cell<usize>,
}

impl Model for Cases {
    /// Product, sum, difference, the square of x, √(1 − x²) where it exists, 1/x without a guard, and what x and y
    /// leave of 2.5, as long as they leave something.
    fn evaluate<N: Number>(&self, inputs: &[N]) -> Vec<Option<N>> {
        self.asked.set(self.asked.get() + 1);
        let (x, y) = (inputs[0], inputs[1]);
        let below = -(x * x) + 1.0;
        let root = (below >= 0.0).then(|| below.sqrt());
        let rest = Some(-x - y + 2.5).filter(|rest| *rest >= 0.0);
        vec![Some(x * y), Some(x + y), Some(x - y), Some(x * x), root, Some(x.recip()), rest]
    }
}

const PRODUCT: usize = 0;
const SUM: usize = 1;
const DIFFERENCE: usize = 2;
const SQUARE: usize = 3;
const ROOT: usize = 4;
const RECIPROCAL: usize = 5;
const REST: usize = 6;

fn input(value: f64, standard_uncertainty: f64) -> Input {
    Input { value, standard_uncertainty, half_width: 0.0 }
}

fn at(x: Input, y: Input) -> Propagated {
    propagate(&Cases::default(), &Inputs::independent(vec![x, y]))
}

#[track_caller]
fn close(got: f64, expected: f64) {
    assert!((got - expected).abs() < 1e-12, "{got} is not {expected}");
}

#[test]
fn a_product_by_hand() {
    // xy at 3, 4 with u 0.1, 0.2: c = 4, 3; u² = 0.4² + 0.6² = 0.52; shares 0.16/0.52 and 0.36/0.52.
    let inputs = Inputs::independent(vec![input(3.0, 0.1), input(4.0, 0.2)]);
    let propagated = propagate(&Cases::default(), &inputs);
    let product = propagated.output(PRODUCT).expect("defined everywhere");
    close(product.value, 12.0);
    close(product.sensitivities[0], 4.0);
    close(product.sensitivities[1], 3.0);
    close(product.standard_uncertainty, 0.52_f64.sqrt());
    close(product.expanded_uncertainty(), 2.0 * 0.52_f64.sqrt());
    let shares = product.shares(&inputs);
    close(shares[0], 4.0 / 13.0);
    close(shares[1], 9.0 / 13.0);
}

#[test]
fn outputs_vary_together_through_their_inputs() {
    // x + y and x − y with u 1, 2: covariance 1 − 4 = −3, both variances 5, r = −0.6.
    let propagated = at(input(3.0, 1.0), input(4.0, 2.0));
    close(propagated.covariance(SUM, DIFFERENCE).expect("both defined"), -3.0);
    close(propagated.correlation(SUM, DIFFERENCE).expect("both uncertain"), -0.6);
    assert_eq!(propagated.correlation(SUM, 17), None);
}

#[test]
fn full_correlation_cancels_in_a_difference() {
    let both = vec![input(3.0, 0.5), input(4.0, 0.5)];
    let inputs = Inputs::correlated(both, &[(0, 1, 1.0)]).expect("a sound correlation");
    let propagated = propagate(&Cases::default(), &inputs);
    let uncertainty = |index| propagated.output(index).expect("defined everywhere").standard_uncertainty;
    close(uncertainty(DIFFERENCE), 0.0);
    close(uncertainty(SUM), 1.0);
}

#[test]
fn a_bend_within_the_uncertainty_is_rough() {
    // x² at 0.5: f′ = 1, ½|f″|u² = u², 0.1·U = 0.2·u: rough from u = 0.2 on. Flat at 0: U = 0, always rough.
    for (value, uncertainty, rough) in [(0.5, 0.19, false), (0.5, 0.21, true), (0.0, 0.01, true)] {
        let propagated = at(input(value, uncertainty), Input::exact(1.0));
        assert_eq!(
            propagated.output(SQUARE).expect("defined everywhere").rough,
            rough,
            "{value} {uncertainty}"
        );
        assert!(!propagated.output(SUM).expect("defined everywhere").rough, "a sum has no bend");
    }
}

/// √(3x) − √3·√x, which is nothing but rounding.
struct Nothing;

impl Model for Nothing {
    fn evaluate<N: Number>(&self, inputs: &[N]) -> Vec<Option<N>> {
        vec![Some((inputs[0] * 3.0).sqrt() - inputs[0].sqrt() * 3.0_f64.sqrt())]
    }
}

/// |x|: no bend but at 0, where no derivative tells of it.
struct Kink;

impl Model for Kink {
    fn evaluate<N: Number>(&self, inputs: &[N]) -> Vec<Option<N>> {
        vec![Some(if inputs[0].re() < 0.0 { -inputs[0] } else { inputs[0] })]
    }
}

#[test]
fn a_kink_within_the_width_is_rough() {
    // |x| at 0.1 ± 0.2 is 0.3 and 0.1 at the ends: ½(0.3 − 2·0.1 + 0.1) = 0.1, a third of it as u² is a third of a²;
    // 0.1·U = 0.2·0.2/√3 = 0.0231. At 0.1 ± 0.05 it is straight.
    for (half_width, rough) in [(0.2, true), (0.05, false)] {
        let x = Input { value: 0.1, standard_uncertainty: half_width / 3f64.sqrt(), half_width };
        let propagated = propagate(&Kink, &Inputs::independent(vec![x]));
        assert_eq!(propagated.output(0).expect("defined everywhere").rough, rough, "{half_width}");
    }
}

#[test]
fn more_inputs_than_one_pass_takes_by_hand() {
    // Σ i·x_i for i = 1..20, u = 1 each: u² = Σ i² = 20·21·41/6 = 2870.
    struct Weighted;
    impl Model for Weighted {
        fn evaluate<N: Number>(&self, inputs: &[N]) -> Vec<Option<N>> {
            let weighted = inputs.iter().zip(1_i32..).map(|(x, weight)| *x * f64::from(weight));
            vec![Some(weighted.fold(N::zero(), |sum, term| sum + term))]
        }
    }
    let inputs = Inputs::independent((0..20).map(|_| input(1.0, 1.0)).collect());
    let propagated = propagate(&Weighted, &inputs);
    let sum = propagated.output(0).expect("a sum");
    close(sum.standard_uncertainty, 2870_f64.sqrt());
    close(sum.sensitivities[0], 1.0);
    close(sum.sensitivities[19], 20.0);
    close(expanded_uncertainties(&Weighted, &inputs)[0].expect("a sum"), 2.0 * 2870_f64.sqrt());
}

#[test]
fn rounding_is_no_bend() {
    for tenths in 1..100 {
        let inputs = Inputs::independent(vec![input(f64::from(tenths) / 10.0, 0.05)]);
        let propagated = propagate(&Nothing, &inputs);
        assert!(!propagated.output(0).expect("a positive root").rough, "{tenths}");
    }
}

#[test]
fn the_edge_of_what_is_defined_is_rough() {
    // √(1 − x²) ends at x = 1: 0.9 ± 0.05 stays inside, 0.9 ± 0.2 does not.
    for (half_width, rough) in [(0.05, false), (0.2, true)] {
        let x = Input { value: 0.9, standard_uncertainty: 1e-4, half_width };
        let propagated = at(x, Input::exact(1.0));
        assert_eq!(propagated.output(ROOT).expect("defined at 0.9").rough, rough, "{half_width}");
        assert!(!propagated.output(SUM).expect("defined everywhere").rough);
    }
}

#[test]
fn one_input_at_a_time_is_tried_at_its_ends() {
    // 2.5 − x − y at 1, 1 is 0.5: either alone up by 0.4 leaves 0.1, both would leave −0.3.
    let input = Input { value: 1.0, standard_uncertainty: 0.01, half_width: 0.4 };
    assert!(!at(input, input).output(REST).expect("defined at 1, 1").rough);
}

#[test]
fn undefined_and_infinite_are_no_outputs() {
    assert_eq!(at(input(1.5, 0.1), Input::exact(1.0)).output(ROOT), None);
    let propagated = at(input(0.0, 0.1), Input::exact(1.0));
    assert_eq!(propagated.output(RECIPROCAL), None);
    assert_eq!(propagated.covariance(RECIPROCAL, SUM), None);
}

#[test]
fn a_value_without_a_derivative_is_kept_and_claims_nothing() {
    // √(1 − x²) at 1 is 0, with a vertical tangent.
    let inputs = Inputs::independent(vec![input(1.0, 0.1), Input::exact(1.0)]);
    let propagated = propagate(&Cases::default(), &inputs);
    let root = propagated.output(ROOT).expect("defined at 1");
    close(root.value, 0.0);
    assert!(root.standard_uncertainty.is_infinite() && root.rough);
    assert!(root.shares(&inputs).iter().all(|&share| share == 0.0));
    assert_eq!(propagated.covariance(ROOT, SUM), None);
}

#[test]
fn a_certain_input_costs_no_pass() {
    let model = Cases::default();
    let half_width = Input { value: 0.5, standard_uncertainty: 0.1, half_width: 0.2 };
    let propagated = propagate(&model, &Inputs::independent(vec![half_width, Input::exact(4.0)]));
    // One plain, one for x's derivatives, two for its ends.
    assert_eq!(model.asked.get(), 4);
    let product = propagated.output(PRODUCT).expect("defined everywhere");
    close(product.sensitivities[0], 4.0);
    close(product.sensitivities[1], 0.0);
}
