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

    /// The expanded uncertainty of how much further off one assembly is than another: what both have in common, frame and
    /// parts, cancels but for its changed effect, and the wanted hands are the same for both.
    pub fn doubt_of_order(&self, one: &Setup, other: &Setup) -> Option<f64> {
        let wanted = DistanceFrom(self.wanted);
        let from = State::recorded(self.catalogue, one);
        let to = State::recorded(self.catalogue, other);
        let ways = |setup: &Setup| self.ways_off(setup);
        let (one_way, other_way) = (ways(one)?, ways(other)?);
        let by_assembly = Difference { from, to }.propagate(&wanted).0.output(0)?.expanded_uncertainty();
        let (hands, ..) = State::recorded(self.catalogue, &self.from).propagate(&Points);
        let slopes: Vec<f64> = one_way.iter().zip(&other_way).map(|(one, other)| one - other).collect();
        let mut variance = 0.0;
        for (first, slope) in slopes.iter().enumerate() {
            for (second, other_slope) in slopes.iter().enumerate() {
                variance += slope * other_slope * hands.covariance(first, second)?;
            }
        }
        Some(by_assembly.hypot(COVERAGE_FACTOR * variance.max(0.0).sqrt()))
    }

    /// How an assembly's distance grows with each coordinate of its hands; none where it is nothing and has no direction.
    fn ways_off(&self, setup: &Setup) -> Option<Vec<f64>> {
        let offs = [0, 1].map(|hand| Some(point(self.catalogue, setup, hand)? - self.wanted[hand]));
        let offs = [offs[0]?, offs[1]?];
        let distance = (offs.iter().map(|off| off.dot(*off)).sum::<f64>() / 2.0).sqrt();
        let ways = offs.iter().flat_map(|off| [off.x, off.y, off.z]);
        (distance > NO_WAY).then(|| ways.map(|way| way / (2.0 * distance)).collect())
    }
}

/// The distance of both grip points from where they are wanted.
struct DistanceFrom([Vector; 2]);

impl Consequences for DistanceFrom {
    fn of<N: Number>(&self, numbers: &dyn Lookup<N>) -> Vec<Option<N>> {
        let distance = |hands: Hands<N>| {
            let square = Side::BOTH.iter().zip(&self.0).fold(N::zero(), |square, (side, wanted)| {
                let grip = hands.grip(*side);
                let (x, y, z) = (grip.x - wanted.x, grip.y - wanted.y, grip.z - wanted.z);
                square + x * x + y * y + z * z
            });
            (square * 0.5).sqrt()
        };
        vec![Hands::of(numbers).map(distance)]
    }
}
