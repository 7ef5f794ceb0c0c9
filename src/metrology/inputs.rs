//! The input quantities of a calculation: their values, standard uncertainties and covariances.

use super::{Reading, count, mean};

/// One input quantity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Input {
    /// The best estimate.
    pub value: f64,
    /// Its standard uncertainty, in the value's unit; 0 for a value taken as exact.
    pub standard_uncertainty: f64,
    /// Half-width of the interval the value may lie in, in the value's unit; a calculation is tried at both ends.
    pub half_width: f64,
}

impl Input {
    /// A value of which no more is known than that it lies within a half-width (GUM 4.3.7).
    pub fn rectangular(value: f64, half_width: f64) -> Input {
        Input { value, standard_uncertainty: half_width / 3f64.sqrt(), half_width }
    }

    /// An input without uncertainty.
    pub const fn exact(value: f64) -> Self {
        Input { value, standard_uncertainty: 0.0, half_width: 0.0 }
    }

    /// How far to either side the value may lie: its half-width, or that of the interval with its uncertainty.
    pub fn reach(&self) -> f64 {
        if self.half_width > 0.0 { self.half_width } else { 3f64.sqrt() * self.standard_uncertainty }
    }
}

impl From<&Reading> for Input {
    fn from(reading: &Reading) -> Self {
        Input {
            value: reading.value(),
            standard_uncertainty: reading.standard_uncertainty(),
            half_width: reading.half_width(),
        }
    }
}

/// The inputs of one calculation together with how they vary together.
#[derive(Clone, Debug, PartialEq)]
pub struct Inputs {
    inputs: Vec<Input>,
    /// The covariance matrix row by row; `None` when the inputs are independent.
    covariance: Option<Vec<f64>>,
}

impl Inputs {
    /// Inputs that know nothing of each other.
    pub const fn independent(inputs: Vec<Input>) -> Self {
        Inputs { inputs, covariance: None }
    }

    /// Inputs observed together, one row per observation and one column per input: their means, with the covariance
    /// of the means s(x̄, ȳ) = Σ(x − x̄)(y − ȳ)/(n(n − 1)) (GUM 4.2.3, 5.2.3). The half-widths are 0.
    ///
    /// `None` with fewer than two rows, no columns, rows of different length or a number that is not finite.
    pub fn simultaneous(rows: &[Vec<f64>]) -> Option<Self> {
        let width = rows.first()?.len();
        let sound = |row: &Vec<f64>| row.len() == width && row.iter().all(|value| value.is_finite());
        if rows.len() < 2 || width == 0 || !rows.iter().all(sound) {
            return None;
        }
        let columns: Vec<Vec<f64>> =
            (0..width).map(|column| rows.iter().map(|row| row[column]).collect()).collect();
        let means: Vec<f64> = columns.iter().map(|column| mean(column)).collect();
        let degrees = count(rows.len() - 1) * count(rows.len());
        let mut covariance = Vec::with_capacity(width * width);
        for (left, left_mean) in columns.iter().zip(&means) {
            for (right, right_mean) in columns.iter().zip(&means) {
                let products = left.iter().zip(right).map(|(x, y)| (x - left_mean) * (y - right_mean));
                covariance.push(products.sum::<f64>() / degrees);
            }
        }
        let inputs = means
            .iter()
            .enumerate()
            .map(|(index, &value)| Input {
                value,
                standard_uncertainty: covariance[index * width + index].sqrt(),
                half_width: 0.0,
            })
            .collect();
        Some(Inputs { inputs, covariance: Some(covariance) })
    }

    /// Inputs of which some pairs are correlated: each entry of `correlation` is two input numbers and their
    /// correlation coefficient (GUM 5.2.2); pairs that are not named are independent, and the last word counts.
    ///
    /// `None` if a number names no input or the input itself, or if no quantities could be correlated like that
    /// (the matrix has a negative eigenvalue).
    pub fn correlated(inputs: Vec<Input>, correlation: &[(usize, usize, f64)]) -> Option<Self> {
        let width = inputs.len();
        let mut matrix = vec![0.0; width * width];
        for index in 0..width {
            matrix[index * width + index] = 1.0;
        }
        for &(left, right, coefficient) in correlation {
            if left >= width || right >= width || left == right {
                return None;
            }
            matrix[left * width + right] = coefficient;
            matrix[right * width + left] = coefficient;
        }
        if !is_positive_semidefinite(matrix.clone(), width) {
            return None;
        }
        for (index, entry) in matrix.iter_mut().enumerate() {
            *entry *= inputs[index / width].standard_uncertainty * inputs[index % width].standard_uncertainty;
        }
        Some(Inputs { inputs, covariance: Some(matrix) })
    }

    /// The inputs, in order.
    pub fn as_slice(&self) -> &[Input] {
        &self.inputs
    }

    /// Covariance of two inputs; of an input with itself, its variance. 0 where there is no such input.
    pub fn covariance(&self, left: usize, right: usize) -> f64 {
        let (Some(first), Some(second)) = (self.inputs.get(left), self.inputs.get(right)) else { return 0.0 };
        match &self.covariance {
            Some(matrix) => matrix.get(left * self.inputs.len() + right).copied().unwrap_or(0.0),
            None if left == right => first.standard_uncertainty * second.standard_uncertainty,
            None => 0.0,
        }
    }

    /// Σᵢ Σⱼ lᵢ·rⱼ·u(xᵢ, xⱼ): the covariance of two linear functions of the inputs (GUM equation 13; H.2.3 for two).
    pub(super) fn covariance_of(&self, left: &[f64], right: &[f64]) -> f64 {
        if self.covariance.is_none() {
            let variances = self.inputs.iter().map(|input| input.standard_uncertainty.powi(2));
            return variances.zip(left.iter().zip(right)).map(|(variance, (l, r))| l * r * variance).sum();
        }
        left.iter().enumerate().map(|(index, l)| l * self.covariance_with(index, right)).sum()
    }

    /// Σⱼ rⱼ·u(xᵢ, xⱼ): the covariance of one input with a linear function of them all.
    pub(super) fn covariance_with(&self, index: usize, right: &[f64]) -> f64 {
        if self.covariance.is_none() {
            return right.get(index).map_or(0.0, |r| r * self.covariance(index, index));
        }
        right.iter().enumerate().map(|(other, r)| r * self.covariance(index, other)).sum()
    }
}

/// Whether a symmetric matrix of unit diagonal has no negative eigenvalue: symmetric elimination, in which no pivot
/// may turn negative and a pivot that vanishes must leave nothing beside it. Rounding is forgiven.
fn is_positive_semidefinite(mut matrix: Vec<f64>, width: usize) -> bool {
    const ROUNDING: f64 = 1e-12;
    for pivot in 0..width {
        let diagonal = matrix[pivot * width + pivot];
        // NaN is in no range.
        if !(-ROUNDING..=1.0 + ROUNDING).contains(&diagonal) {
            return false;
        }
        for row in pivot + 1..width {
            let beside = matrix[row * width + pivot];
            if diagonal <= ROUNDING {
                // A vanishing variance allows no covariance: |c| ≤ √(0·1).
                if beside.is_nan() || beside.abs() > ROUNDING.sqrt() {
                    return false;
                }
                continue;
            }
            for column in pivot + 1..width {
                matrix[row * width + column] -= beside * matrix[pivot * width + column] / diagonal;
            }
        }
    }
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    fn with_uncertainties(uncertainties: &[f64]) -> Vec<Input> {
        uncertainties
            .iter()
            .map(|&standard_uncertainty| Input { value: 0.0, standard_uncertainty, half_width: 0.0 })
            .collect()
    }

    #[test]
    fn rows_that_are_no_observations_are_refused() {
        let one = vec![1.0, 2.0];
        assert_eq!(Inputs::simultaneous(&[]), None);
        assert_eq!(Inputs::simultaneous(std::slice::from_ref(&one)), None);
        assert_eq!(Inputs::simultaneous(&[vec![], vec![]]), None);
        assert_eq!(Inputs::simultaneous(&[one.clone(), vec![1.0]]), None);
        assert_eq!(Inputs::simultaneous(&[one, vec![1.0, f64::NAN]]), None);
    }

    #[test]
    fn covariance_of_means_by_hand() {
        // x 1 2 3, y 2 4 9: means 2, 5; Σdx·dy = (−1)(−3) + 0 + 1·4 = 7; /(3·2) = 7/6.
        let inputs =
            Inputs::simultaneous(&[vec![1.0, 2.0], vec![2.0, 4.0], vec![3.0, 9.0]]).expect("sound rows");
        assert!((inputs.covariance(0, 1) - 7.0 / 6.0).abs() < 1e-12);
        // Σdx² = 2, /6; Σdy² = 9 + 1 + 16 = 26, /6.
        assert!((inputs.covariance(0, 0) - 2.0 / 6.0).abs() < 1e-12);
        assert!((inputs.as_slice()[1].standard_uncertainty.powi(2) - 26.0 / 6.0).abs() < 1e-12);
        assert!((inputs.as_slice()[1].value - 5.0).abs() < 1e-12);
    }

    #[test]
    fn impossible_correlations_are_refused() {
        let three = with_uncertainties(&[1.0, 2.0, 3.0]);
        for bad in [
            vec![(0, 3, 0.5)],
            vec![(1, 1, 0.5)],
            vec![(0, 1, 1.1)],
            vec![(0, 1, f64::NAN)],
            // Two that both follow the first cannot oppose each other:
            // det = 1 + 2·(0.9·0.9·−0.9) − 3·0.81 = −2.888.
            vec![(0, 1, 0.9), (0, 2, 0.9), (1, 2, -0.9)],
            // The same at the limit, where a pivot vanishes.
            vec![(0, 1, 1.0), (0, 2, 1.0), (1, 2, -1.0)],
        ] {
            assert_eq!(Inputs::correlated(three.clone(), &bad), None, "{bad:?}");
        }
        let whole =
            Inputs::correlated(three, &[(0, 1, 1.0), (0, 2, -1.0), (1, 2, -1.0)]).expect("one behind all");
        // r·u·u = −1 × 2 × 3.
        assert!((whole.covariance(2, 1) + 6.0).abs() < 1e-12);
    }

    #[test]
    fn independent_inputs_have_only_variances() {
        let inputs = Inputs::independent(with_uncertainties(&[2.0, 3.0]));
        assert!((inputs.covariance(1, 1) - 9.0).abs() < 1e-12);
        assert!(inputs.covariance(0, 1).abs() < f64::EPSILON);
        assert!(inputs.covariance(0, 7).abs() < f64::EPSILON);
    }
}
