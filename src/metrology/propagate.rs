//! First-order propagation of uncertainty through any calculation, with exact derivatives.
//!
//! A calculation is written once, over any [`Number`]; run on dual numbers it yields its own first and second
//! derivatives, so there is no step width to tune. The law is GUM equation 13, with the covariances of the inputs
//! and of the outputs. This module does not know what is calculated.

use num_dual::{Dual2_64, DualNum};

pub use super::inputs::{Input, Inputs};
use super::{COVERAGE_FACTOR, NEGLIGIBLE};

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

/// The outputs of `model` at `inputs` with their uncertainties: one plain pass, one pass on second-order dual numbers
/// for each uncertain input, and two plain passes for each input with a half-width.
pub fn propagate(model: &impl Model, inputs: &Inputs) -> Propagated {
    let width = inputs.as_slice().len();
    let mut at: Vec<f64> = inputs.as_slice().iter().map(|input| input.value).collect();
    let mut outputs: Vec<Option<Output>> = model
        .evaluate(&at)
        .into_iter()
        .map(|value| {
            value.filter(|value| value.is_finite()).map(|value| Output {
                value,
                standard_uncertainty: 0.0,
                sensitivities: vec![0.0; width],
                rough: false,
            })
        })
        .collect();
    let bends = differentiate(model, inputs, &mut outputs);
    for (output, bend) in outputs.iter_mut().zip(bends) {
        let Some(output) = output else { continue };
        output.standard_uncertainty = standard_uncertainty(inputs, &output.sensitivities);
        // The floor keeps rounding from being taken for curvature where everything cancels.
        output.rough = bend > (0.1 * output.expanded_uncertainty()).max(NEGLIGIBLE * 1e-3)
            || output.standard_uncertainty.is_infinite();
    }
    try_the_ends(model, inputs, &mut at, &mut outputs);
    Propagated { outputs, inputs: inputs.clone() }
}

/// Fills in the sensitivities and returns for each output the greatest ½|f″|u² over the inputs.
fn differentiate(model: &impl Model, inputs: &Inputs, outputs: &mut [Option<Output>]) -> Vec<f64> {
    let mut bends = vec![0.0_f64; outputs.len()];
    let mut at: Vec<Dual2_64> =
        inputs.as_slice().iter().map(|input| Dual2_64::from_re(input.value)).collect();
    for (index, input) in inputs.as_slice().iter().enumerate() {
        let variance = input.standard_uncertainty.powi(2);
        if variance == 0.0 {
            continue;
        }
        at[index].v1 = 1.0;
        let results = model.evaluate(&at);
        at[index].v1 = 0.0;
        for (place, (output, bend)) in outputs.iter_mut().zip(&mut bends).enumerate() {
            let Some(output) = output else { continue };
            match results.get(place).copied().flatten() {
                Some(result) if result.v1.is_finite() => {
                    output.sensitivities[index] = result.v1;
                    // A second derivative that does not exist is the strongest bend there is.
                    let curvature = if result.v2.is_nan() { f64::INFINITY } else { result.v2.abs() };
                    *bend = bend.max(0.5 * curvature * variance);
                }
                _ => output.sensitivities[index] = f64::INFINITY,
            }
        }
    }
    bends
}

/// GUM equation 13, infinite where a derivative is missing.
fn standard_uncertainty(inputs: &Inputs, sensitivities: &[f64]) -> f64 {
    let variance = inputs.covariance_of(sensitivities, sensitivities);
    if variance.is_nan() {
        f64::INFINITY
    } else {
        // Correlations can cancel to a hair below nothing.
        variance.max(0.0).sqrt()
    }
}

/// Marks as rough every output that is undefined at either end of one input's half-width.
fn try_the_ends(model: &impl Model, inputs: &Inputs, at: &mut [f64], outputs: &mut [Option<Output>]) {
    for (index, input) in inputs.as_slice().iter().enumerate() {
        if input.half_width == 0.0 {
            continue;
        }
        for end in [input.value - input.half_width, input.value + input.half_width] {
            at[index] = end;
            let results = model.evaluate(at);
            for (place, output) in outputs.iter_mut().enumerate() {
                let defined = results.get(place).copied().flatten().is_some_and(f64::is_finite);
                if let Some(output) = output {
                    output.rough |= !defined;
                }
            }
        }
        at[index] = input.value;
    }
}

#[cfg(test)]
mod tests;
