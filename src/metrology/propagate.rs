//! First-order propagation of uncertainty through any calculation, with exact derivatives.
//!
//! A calculation is written once, over any [`Number`]; run on dual numbers it yields its own derivatives, so there is
//! no step width to tune. The law is GUM equation 13, with the covariances of the inputs
//! and of the outputs. This module does not know what is calculated.

use num_dual::{DualNum, DualSVec64};

pub use super::inputs::{Input, Inputs};
use super::{COVERAGE_FACTOR, NEGLIGIBLE};

/// How many inputs one pass on dual numbers differentiates by.
const LANES: usize = 8;

type Duals = DualSVec64<LANES>;

/// A number that a calculation may be written over: a plain float, or one that carries its derivatives.
pub trait Number: DualNum<Primitive = f64> + Copy {}

impl<N: DualNum<Primitive = f64> + Copy> Number for N {}

/// A calculation of some outputs from some inputs.
pub trait Model {
    /// The outputs at these inputs, always as many and in the same order; `None` where one is undefined.
    fn evaluate<N: Number>(&self, inputs: &[N]) -> Vec<Option<N>>;
}

/// One output with its uncertainty.
#[derive(Clone, Debug, PartialEq)]
pub struct Output {
    /// The value at the inputs' values.
    pub value: f64,
    /// Standard uncertainty, in the value's unit; infinite where the calculation has no derivative.
    pub standard_uncertainty: f64,
    /// The partial derivative for each input; 0 for an input without uncertainty, which was not differentiated.
    pub sensitivities: Vec<f64>,
    /// Whether first order is a rough account here: the calculation bends noticeably within an input's uncertainty
    /// (½|f″|u² > 0.1·U), or is undefined, or has no derivative, somewhere inside an input's half-width.
    pub rough: bool,
}

impl Output {
    /// Expanded uncertainty, twice the standard uncertainty.
    pub fn expanded_uncertainty(&self) -> f64 {
        COVERAGE_FACTOR * self.standard_uncertainty
    }

    /// Each input's share of the output's variance; they sum to 1. With correlated inputs a covariance counts half
    /// to each of its two, and a share may be negative. All 0 if nothing is uncertain, or if a derivative is missing.
    pub fn shares(&self, inputs: &Inputs) -> Vec<f64> {
        let terms: Vec<f64> = self
            .sensitivities
            .iter()
            .enumerate()
            .map(|(index, sensitivity)| sensitivity * inputs.covariance_with(index, &self.sensitivities))
            .collect();
        let variance: f64 = terms.iter().sum();
        if variance > 0.0 && variance.is_finite() {
            terms.iter().map(|term| term / variance).collect()
        } else {
            vec![0.0; terms.len()]
        }
    }
}

/// What propagation yields: every output, and how they vary together.
#[derive(Clone, Debug, PartialEq)]
pub struct Propagated {
    /// The outputs in the model's order; `None` where the calculation is undefined.
    pub outputs: Vec<Option<Output>>,
    inputs: Inputs,
}

impl Propagated {
    /// Covariance of two outputs; `None` if either is undefined or has no derivative.
    pub fn covariance(&self, left: usize, right: usize) -> Option<f64> {
        let (left, right) = (self.output(left)?, self.output(right)?);
        let covariance = self.inputs.covariance_of(&left.sensitivities, &right.sensitivities);
        covariance.is_finite().then_some(covariance)
    }

    /// Correlation coefficient of two outputs; `None` if either is undefined or certain.
    pub fn correlation(&self, left: usize, right: usize) -> Option<f64> {
        let (first, second) = (self.output(left)?, self.output(right)?);
        let scale = first.standard_uncertainty * second.standard_uncertainty;
        let coefficient = self.covariance(left, right)? / scale;
        coefficient.is_finite().then(|| coefficient.clamp(-1.0, 1.0))
    }

    /// The output of this number, if it is defined.
    pub fn output(&self, index: usize) -> Option<&Output> {
        self.outputs.get(index)?.as_ref()
    }
}

/// The outputs of `model` at `inputs` with their uncertainties: one plain pass, one pass on dual numbers for every
/// [`LANES`] uncertain inputs, and two plain passes for each uncertain input.
pub fn propagate(model: &impl Model, inputs: &Inputs) -> Propagated {
    let mut outputs = first_order(model, inputs);
    judge_first_order(model, inputs, &mut outputs);
    Propagated { outputs, inputs: inputs.clone() }
}

/// Only the expanded uncertainties, without asking how rough they are: far cheaper.
pub fn expanded_uncertainties(model: &impl Model, inputs: &Inputs) -> Vec<Option<f64>> {
    let outputs = first_order(model, inputs);
    outputs.iter().map(|output| output.as_ref().map(Output::expanded_uncertainty)).collect()
}

/// The outputs with their uncertainties, none taken for rough yet.
fn first_order(model: &impl Model, inputs: &Inputs) -> Vec<Option<Output>> {
    let width = inputs.as_slice().len();
    let at: Vec<f64> = inputs.as_slice().iter().map(|input| input.value).collect();
    let plain = |value: Option<f64>| {
        let value = value.filter(|value| value.is_finite())?;
        Some(Output { value, standard_uncertainty: 0.0, sensitivities: vec![0.0; width], rough: false })
    };
    let mut outputs: Vec<Option<Output>> = model.evaluate(&at).into_iter().map(plain).collect();
    differentiate(model, inputs, &mut outputs);
    for output in outputs.iter_mut().flatten() {
        output.standard_uncertainty = standard_uncertainty(inputs, &output.sensitivities);
    }
    outputs
}

/// Fills in the sensitivities; infinite where there is no derivative.
fn differentiate(model: &impl Model, inputs: &Inputs, outputs: &mut [Option<Output>]) {
    let inputs = inputs.as_slice();
    let mut at: Vec<Duals> = inputs.iter().map(|input| Duals::from_re(input.value)).collect();
    let uncertain: Vec<usize> =
        (0..inputs.len()).filter(|&index| inputs[index].standard_uncertainty != 0.0).collect();
    for row in uncertain.chunks(LANES) {
        for (lane, &index) in row.iter().enumerate() {
            at[index] = at[index].derivative(lane);
        }
        let results = model.evaluate(&at);
        for (place, output) in outputs.iter_mut().enumerate() {
            let Some(output) = output else { continue };
            let result = results.get(place).copied().flatten();
            for (lane, &index) in row.iter().enumerate() {
                let derivative = result.map(|result| result.eps.0.map_or(0.0, |eps| eps[lane]));
                output.sensitivities[index] = derivative.filter(|it| it.is_finite()).unwrap_or(f64::INFINITY);
            }
        }
        for &index in row {
            at[index] = Duals::from_re(inputs[index].value);
        }
    }
}

/// GUM equation 13, infinite where a derivative is missing.
pub fn standard_uncertainty(inputs: &Inputs, sensitivities: &[f64]) -> f64 {
    let variance = inputs.covariance_of(sensitivities, sensitivities);
    if variance.is_nan() {
        f64::INFINITY
    } else {
        // Correlations can cancel to a hair below nothing.
        variance.max(0.0).sqrt()
    }
}

/// Marks as rough every output that bends noticeably between the ends of one input, or is undefined at either.
///
/// The bend ½|f″|u² is taken over the input's own width, from f(x + a) − 2f(x) + f(x − a) = f″a² + …: a kink or a
/// steep curve anywhere within shows, where a derivative at the middle would not see it.
fn judge_first_order(model: &impl Model, inputs: &Inputs, outputs: &mut [Option<Output>]) {
    let mut at: Vec<f64> = inputs.as_slice().iter().map(|input| input.value).collect();
    for output in outputs.iter_mut().flatten() {
        output.rough = output.standard_uncertainty.is_infinite();
    }
    for (index, input) in inputs.as_slice().iter().enumerate() {
        let reach = input.reach();
        if reach == 0.0 {
            continue;
        }
        let mut at_end = |end: f64| {
            at[index] = end;
            model.evaluate(&at)
        };
        let (below, above) = (at_end(input.value - reach), at_end(input.value + reach));
        at[index] = input.value;
        let narrower = (input.standard_uncertainty / reach).powi(2);
        for ((output, below), above) in outputs.iter_mut().zip(below).zip(above) {
            let Some(output) = output else { continue };
            let bend =
                below.zip(above).map(|(below, above)| 0.5 * (below - 2.0 * output.value + above).abs());
            // The floor keeps rounding from being taken for curvature where everything cancels.
            let limit = (0.1 * output.expanded_uncertainty()).max(NEGLIGIBLE * 1e-3);
            output.rough |= !bend.is_some_and(|bend| bend.is_finite() && bend * narrower <= limit);
        }
    }
}

#[cfg(test)]
mod tests;
