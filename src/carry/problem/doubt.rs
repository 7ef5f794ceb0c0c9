//! How well an assembly's distance is known, and how well it is known which of two is nearer.

use super::{Points, Problem, point};
use crate::catalogue::Side;
use crate::geometry::cockpit::Hands;
use crate::geometry::state::{Consequences, Difference, Lookup, State};
use crate::geometry::{Number, Vector};
use crate::metrology::COVERAGE_FACTOR;
use crate::setup::model::Setup;

/// Coordinates of both grip points, the first of [`Points`].
const GRIPS: usize = 6;
/// A distance of less than this, mm, has no direction.
const NO_WAY: f64 = 1e-6;
impl Problem<'_> {
    /// The expanded uncertainty of an assembly's distance, from the readings of both bikes; what is planned counts as the
    /// table takes a bare figure. Of a distance of nothing, which lies in no direction, it is that of the hands' mean way.
    pub fn doubt_of_distance(&self, assembled: &Setup) -> Option<f64> {
        let difference = Difference {
            from: State::recorded(self.catalogue, &self.from),
            to: State::recorded(self.catalogue, assembled),
        };
        let (propagated, _) = difference.propagate(&Points);
        let ways: Vec<f64> =
            (0..GRIPS).map(|place| Some(propagated.output(place)?.value)).collect::<Option<_>>()?;
        let square = ways.iter().map(|way| way * way).sum::<f64>() / 2.0;
        let mut variance = 0.0;
        for (one, way) in ways.iter().enumerate() {
            for (other, other_way) in ways.iter().enumerate() {
                let weight = if square > NO_WAY * NO_WAY {
                    way * other_way / (4.0 * square)
                } else if one == other {
                    0.5
                } else {
                    0.0
                };
                variance += weight * propagated.covariance(one, other)?;
            }
        }
        Some(COVERAGE_FACTOR * variance.max(0.0).sqrt())
    }

    /// Whether it can be told by the readings that one assembly is nearer than another. What both have in common, frame
    /// and parts, cancels but for its changed effect, and the wanted hands are the same for both.
    ///
    /// Squares are compared: of a distance of nothing there is no slope, of its square there is.
    pub fn is_told_apart(&self, nearer: &Setup, other: &Setup) -> Option<bool> {
        let (near, far) = (self.ways_off(nearer)?, self.ways_off(other)?);
        let square = |ways: &[f64]| ways.iter().map(|way| way * way).sum::<f64>() / 2.0;
        let difference = Difference {
            from: State::recorded(self.catalogue, nearer),
            to: State::recorded(self.catalogue, other),
        };
        let by_assembly = difference.propagate(&SquareFrom(self.wanted)).0.output(0)?.expanded_uncertainty();
        let (hands, ..) = State::recorded(self.catalogue, &self.from).propagate(&Points);
        let slopes: Vec<f64> = near.iter().zip(&far).map(|(near, far)| near - far).collect();
        let mut variance = 0.0;
        for (first, slope) in slopes.iter().enumerate() {
            for (second, other_slope) in slopes.iter().enumerate() {
                variance += slope * other_slope * hands.covariance(first, second)?;
            }
        }
        let doubt = by_assembly.hypot(COVERAGE_FACTOR * variance.max(0.0).sqrt());
        Some(square(&far) - square(&near) > doubt)
    }

    /// How far an assembly brings the hands from the wanted place, each coordinate of both.
    fn ways_off(&self, setup: &Setup) -> Option<Vec<f64>> {
        let off = |hand: usize| Some(point(self.catalogue, setup, hand)? - self.wanted[hand]);
        Some([off(0)?, off(1)?].iter().flat_map(|off| [off.x, off.y, off.z]).collect())
    }
}

/// The square of the distance of both grip points from where they are wanted.
struct SquareFrom([Vector; 2]);

impl Consequences for SquareFrom {
    fn of<N: Number>(&self, numbers: &dyn Lookup<N>) -> Vec<Option<N>> {
        let square = |hands: Hands<N>| {
            let square = Side::BOTH.iter().zip(&self.0).fold(N::zero(), |square, (side, wanted)| {
                let grip = hands.grip(*side);
                let (x, y, z) = (grip.x - wanted.x, grip.y - wanted.y, grip.z - wanted.z);
                square + x * x + y * y + z * z
            });
            square * 0.5
        };
        vec![Hands::of(numbers).map(square)]
    }
}
