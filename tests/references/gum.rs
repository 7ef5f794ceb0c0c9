//! Examples of the *Guide to the expression of uncertainty in measurement*, JCGM 100:2008.
//!
//! The published figures were read in secondary texts that quote the Guide (status "second-hand"); the finer figures
//! beside them were calculated from the same input data with the Python libraries `uncertainties` and `numpy`.

use clampmark::metrology::{Input, Inputs, Model, Number, Propagated, Reading, Unit, propagate};

/// Table H.2: voltage in V, current in mA, phase in rad, observed together five times. Second-hand.
const TABLE_H2: [[f64; 3]; 5] = [
    [5.007, 19.663, 1.0456],
    [4.994, 19.639, 1.0438],
    [5.005, 19.640, 1.0468],
    [4.990, 19.685, 1.0428],
    [4.999, 19.678, 1.0433],
];

const R: usize = 0;
const X: usize = 1;
const Z: usize = 2;

/// H.2.2: R = V/I·cos φ, X = V/I·sin φ, Z = V/I, in ohms from V and mA.
struct Impedance;

impl Model for Impedance {
    fn evaluate<N: Number>(&self, inputs: &[N]) -> Vec<Option<N>> {
        let (voltage, current, phase) = (inputs[0], inputs[1] / 1000.0, inputs[2]);
        let impedance = voltage / current;
        vec![Some(impedance * phase.cos()), Some(impedance * phase.sin()), Some(impedance)]
    }
}

fn table_h2() -> Inputs {
    let rows: Vec<Vec<f64>> = TABLE_H2.iter().map(|row| row.to_vec()).collect();
    Inputs::simultaneous(&rows).expect("five rows of three numbers")
}

#[track_caller]
fn within(got: f64, expected: f64, tolerance: f64) {
    assert!((got - expected).abs() <= tolerance, "{got} is not {expected} within {tolerance}");
}

#[track_caller]
fn output(propagated: &Propagated, index: usize, value: f64, uncertainty: f64, tolerance: f64) {
    let output = propagated.output(index).expect("a current flows");
    within(output.value, value, tolerance);
    within(output.standard_uncertainty, uncertainty, tolerance);
    assert!(!output.rough, "the Guide treats it to first order");
}

#[test]
fn h2_means_and_their_correlations() {
    let inputs = table_h2();
    // Table H.2, second-hand; half a unit of the last printed digit.
    for (index, (mean, uncertainty, half_mean, half_uncertainty)) in
        [(4.9990, 0.0032, 5e-5, 5e-5), (19.6610, 0.0095, 5e-5, 5e-5), (1.04446, 0.00075, 5e-6, 5e-6)]
            .into_iter()
            .enumerate()
    {
        let input = inputs.as_slice()[index];
        within(input.value, mean, half_mean);
        within(input.standard_uncertainty, uncertainty, half_uncertainty);
    }
    let correlation = |left: usize, right: usize| {
        let scale =
            inputs.as_slice()[left].standard_uncertainty * inputs.as_slice()[right].standard_uncertainty;
        inputs.covariance(left, right) / scale
    };
    // Table H.2, second-hand: −0.36, 0.86, −0.65 in two digits; six digits calculated with numpy.
    for (left, right, printed, calculated) in
        [(0, 1, -0.36, -0.355_311), (0, 2, 0.86, 0.857_624), (1, 2, -0.65, -0.645_111)]
    {
        within(correlation(left, right), printed, 0.005);
        within(correlation(left, right), calculated, 5e-7);
    }
}

#[test]
fn h2_resistance_reactance_and_impedance() {
    let propagated = propagate(&Impedance, &table_h2());
    // Table H.3, second-hand, three decimals; the unrounded u(X) is 0.2956 where 0.295 is printed, hence 0.001.
    for (index, value, uncertainty) in [(R, 127.732, 0.071), (X, 219.847, 0.295), (Z, 254.260, 0.236)] {
        output(&propagated, index, value, uncertainty, 1e-3);
    }
    // Six decimals from the raw rows, calculated with `uncertainties`.
    for (index, value, uncertainty) in
        [(R, 127.732_170, 0.071_071), (X, 219.846_512, 0.295_582), (Z, 254.259_702, 0.236_336)]
    {
        output(&propagated, index, value, uncertainty, 6e-7);
    }
}

#[test]
fn h2_second_approach() {
    // H.2.4: R, X and Z from each row, then their means and the covariance of the means. Calculated with `numpy`.
    let rows: Vec<Vec<f64>> =
        TABLE_H2.iter().map(|row| Impedance.evaluate(row).into_iter().flatten().collect()).collect();
    let means = Inputs::simultaneous(&rows).expect("five rows of three numbers");
    for (index, value, uncertainty) in
        [(R, 127.731_630, 0.071_274), (X, 219.846_895, 0.295_489), (Z, 254.260_050, 0.236_248)]
    {
        within(means.as_slice()[index].value, value, 6e-7);
        within(means.as_slice()[index].standard_uncertainty, uncertainty, 6e-7);
    }
}

#[test]
fn h2_correlations_of_the_results() {
    let propagated = propagate(&Impedance, &table_h2());
    // Table H.3: two digits second-hand, three digits from memory; six digits calculated with `uncertainties`.
    for (left, right, printed, remembered, calculated) in
        [(R, X, -0.59, -0.588, -0.588_430), (R, Z, -0.49, -0.485, -0.485_259), (X, Z, 0.99, 0.993, 0.992_512)]
    {
        let correlation = propagated.correlation(left, right).expect("both are uncertain");
        within(correlation, printed, 0.005);
        within(correlation, remembered, 0.0005);
        within(correlation, calculated, 6e-7);
        within(propagated.correlation(right, left).expect("both are uncertain"), calculated, 6e-7);
    }
}

#[test]
fn h2_without_its_correlations_is_wrong() {
    let independent = Inputs::independent(table_h2().as_slice().to_vec());
    let propagated = propagate(&Impedance, &independent);
    // Calculated with `uncertainties`, correlations left out: far from 0.071, 0.295, 0.236.
    for (index, uncertainty) in [(R, 0.1945), (X, 0.2009), (Z, 0.2041)] {
        within(propagated.output(index).expect("a current flows").standard_uncertainty, uncertainty, 5e-5);
    }
}

#[test]
fn h2_from_the_printed_correlations() {
    // The same with the printed, rounded input: u(R) 0.0700, u(X) 0.2957, u(Z) 0.2366, calculated with
    // `uncertainties`. It shows that the second decimal of a correlation matters.
    let rounded = |value, standard_uncertainty| Input { value, standard_uncertainty, half_width: 0.0 };
    let inputs = Inputs::correlated(
        vec![rounded(4.9990, 0.0032), rounded(19.6610, 0.0095), rounded(1.04446, 0.00075)],
        &[(0, 1, -0.36), (0, 2, 0.86), (1, 2, -0.65)],
    )
    .expect("the printed coefficients are possible");
    let propagated = propagate(&Impedance, &inputs);
    for (index, uncertainty) in [(R, 0.0700), (X, 0.2957), (Z, 0.2366)] {
        within(propagated.output(index).expect("a current flows").standard_uncertainty, uncertainty, 5e-5);
    }
}

/// H.1.2: l = ls + d − ls(δα·θ + αs·δθ), in nm and °C, inputs in the order ls, d, δα, δθ, αs, θ.
struct EndGauge;

impl Model for EndGauge {
    fn evaluate<N: Number>(&self, inputs: &[N]) -> Vec<Option<N>> {
        let [standard, difference, expansions, temperatures, expansion, temperature] = inputs else {
            return vec![None];
        };
        let thermal = *expansions * *temperature + *expansion * *temperatures;
        vec![Some(*standard + *difference - *standard * thermal)]
    }
}

/// Table H.1, second-hand, with each uncertainty from its unrounded parts.
fn table_h1() -> Inputs {
    let input = |value, standard_uncertainty| Input { value, standard_uncertainty, half_width: 0.0 };
    let root_three = 3.0_f64.sqrt();
    Inputs::independent(vec![
        input(50_000_623.0, 25.0),
        // 5.8, 3.9 and 6.7 nm in quadrature.
        input(215.0, (5.8_f64.powi(2) + 3.9_f64.powi(2) + 6.7_f64.powi(2)).sqrt()),
        // Rectangular, ±1e-6 and ±0.05.
        input(0.0, 1e-6 / root_three),
        input(0.0, 0.05 / root_three),
        // Rectangular, ±2e-6.
        input(11.5e-6, 2e-6 / root_three),
        // 0.2 with an arcsine of amplitude 0.5.
        input(-0.1, 0.2_f64.hypot(0.5 / 2.0_f64.sqrt())),
    ])
}

#[test]
fn h1_the_end_gauge_to_first_order() {
    let inputs = table_h1();
    let propagated = propagate(&EndGauge, &inputs);
    let length = propagated.output(0).expect("a polynomial is defined everywhere");
    // 50 000 838 nm and u_c = 32 nm second-hand; 31.6639 calculated with `uncertainties`.
    within(length.value, 50_000_838.0, 1e-6);
    within(length.standard_uncertainty, 32.0, 0.5);
    within(length.standard_uncertainty, 31.6639, 5e-5);
    // The contributions 25, 9.7, 2.9, 16.6, 0, 0 nm second-hand; three decimals calculated.
    let expected = [25.0, 9.682, 2.887, 16.599, 0.0, 0.0];
    let shares = length.shares(&inputs);
    for ((input, sensitivity), (contribution, share)) in
        inputs.as_slice().iter().zip(&length.sensitivities).zip(expected.iter().zip(shares))
    {
        within((sensitivity * input.standard_uncertainty).abs(), *contribution, 6e-4);
        within(share, (contribution / 31.6639).powi(2), 6e-5);
    }
}

#[test]
fn rectangular_half_widths() {
    let reading = |half_width| {
        Reading::new([10.0], ["10".to_owned()], Unit::Millimetre, Unit::Millimetre, half_width)
            .expect("a sound reading")
            .standard_uncertainty()
    };
    // A European uncertainty guide's table of distributions, second-hand: a = 1.5 gives 0.87.
    within(reading(1.5), 0.87, 0.005);
    // GUM 4.3.7, copper's expansion, from memory: a = 0.40e-6 gives u² = 53.3e-15, u = 0.23e-6; by hand 0.16e-12/3.
    within(reading(0.4e-6).powi(2), 53.3e-15, 0.05e-15);
    within(reading(0.4e-6), 0.23e-6, 0.005e-6);
    // A display that steps by 0.5 has a = 0.25: d/√12 = 0.144338 (GUM F.2.2.1, number from memory; calculated).
    within(reading(0.25), 0.144_338, 5e-7);
}
