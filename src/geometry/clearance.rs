//! How near a point that turns with the bars comes to a tube, and where it first touches.
//!
//! Knows a tube only as a straight centreline with a radius, and nothing of what happens on contact.

use super::certified::{self, FirstContact, Minimum, Sample};
use super::{Axis, Number, Segment, Sweep, Vector};

/// A round body: all points within `radius` of a straight centreline. A top tube, with round ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Capsule<N = f64> {
    /// The centreline.
    pub centreline: Segment<N>,
    /// The radius, in millimetres.
    pub radius: N,
}

impl<N: Number> Capsule<N> {
    /// The distance from `point` to the surface, in millimetres; negative inside.
    ///
    /// At the angle where a clearance is least, its derivative by any other measure is that of this distance
    /// with the angle held: a least value does not change to first order when its place moves.
    pub fn clearance(&self, point: Vector<N>) -> N {
        self.centreline.distance_to(point) - self.radius
    }
}

/// The clearance between a turning point and a capsule as a function of the angle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clearance {
    sweep: Sweep,
    capsule: Capsule,
}

impl Clearance {
    /// The clearance of `point`, which turns about `axis`, from a capsule that does not.
    pub fn new(point: Vector, axis: &Axis, capsule: Capsule) -> Self {
        Self { sweep: Sweep::new(point, axis), capsule }
    }

    /// The point's distance from the axis, in millimetres: the clearance's Lipschitz constant per radian.
    pub fn swing(&self) -> f64 {
        self.sweep.radius
    }

    /// The clearance after a turn by `angle` radians and its slope there.
    pub fn at(&self, angle: f64) -> Sample {
        let (place, velocity) = self.sweep.at(angle);
        let centreline = &self.capsule.centreline;
        let away = place - centreline.point_at(centreline.nearest_share(place));
        let distance = away.norm();
        // On the centreline the direction away from it is only rounding; zero is a slope of the cone's tip.
        let slope = if distance > 1e-12 { away.dot(velocity) / distance } else { 0.0 };
        Sample { value: distance - self.capsule.radius, slope }
    }

    /// The certified least clearance between two angles (radians, signed, 0 straight ahead, positive to the
    /// left), proven to `gap` millimetres. See [`certified::certified_minimum`].
    pub fn least(&self, from: f64, to: f64, gap: f64) -> Minimum {
        certified::certified_minimum(|angle| self.at(angle), self.swing(), from, to, gap)
    }

    /// The first contact on the way from straight ahead to `limit` (radians, signed). See
    /// [`certified::first_contact`].
    pub fn first_contact(&self, limit: f64) -> FirstContact {
        certified::first_contact(|angle| self.at(angle), self.swing(), limit)
    }
}
