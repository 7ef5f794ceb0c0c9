//! Points and directions in the bicycle's axes, and what a turn about an axis does to them.
//!
//! Knows nothing of what a point is the point of.

use std::ops::{Add, Neg, Sub};

use super::Number;
use super::wave::Wave;

/// A point or a direction in ISO 8855 axes: x forward, y to the rider's left, z up; millimetres for points,
/// no unit for directions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vector<N = f64> {
    /// Forward.
    pub x: N,
    /// To the rider's left.
    pub y: N,
    /// Up.
    pub z: N,
}

impl<N> Vector<N> {
    /// A vector from its three components: forward, left, up.
    pub const fn new(x: N, y: N, z: N) -> Self {
        Self { x, y, z }
    }
}

impl<N: Number> Vector<N> {
    /// A vector of exact numbers, without derivatives.
    pub fn exact(vector: Vector<f64>) -> Self {
        Self::new(N::from(vector.x), N::from(vector.y), N::from(vector.z))
    }

    /// The components alone, without their derivatives.
    pub fn real(self) -> Vector<f64> {
        Vector::new(self.x.re(), self.y.re(), self.z.re())
    }

    /// The vector `factor` times as long.
    #[must_use]
    pub fn scale(self, factor: N) -> Self {
        Self::new(self.x * factor, self.y * factor, self.z * factor)
    }

    /// The scalar product.
    pub fn dot(self, other: Self) -> N {
        self.x * other.x + self.y * other.y + self.z * other.z
    }

    /// The vector product, right-handed: forward × left = up.
    #[must_use]
    pub fn cross(self, other: Self) -> Self {
        Self::new(
            self.y * other.z - self.z * other.y,
            self.z * other.x - self.x * other.z,
            self.x * other.y - self.y * other.x,
        )
    }

    /// The length.
    ///
    /// A length has no derivative at zero; there it is returned with derivative zero, which is one of its
    /// subgradients, instead of the 0/0 that the formula would give.
    pub fn norm(self) -> N {
        let square = self.dot(self);
        if square.re() == 0.0 { N::from(0.0) } else { square.sqrt() }
    }

    /// The vector of length 1 in the same direction; none for a vector without length.
    pub fn unit(self) -> Option<Self> {
        let norm = self.norm();
        (norm.re() > 0.0).then(|| self.scale(norm.recip()))
    }

    /// The point turned about an axis by `angle` radians, right-handed about the axis' direction: about an
    /// axis that points up, positive is to the rider's left. Rodrigues' rotation formula,
    /// v' = v·cos t + (k × v)·sin t + k(k·v)(1 − cos t).
    #[must_use]
    pub fn rotated_about(self, axis: &Axis<N>, angle: N) -> Self {
        Turn::new(*axis, angle).of(self)
    }
}

/// A turn about an axis, prepared once for many points.
#[derive(Debug, Clone, Copy)]
pub struct Turn<N = f64> {
    axis: Axis<N>,
    sine: N,
    cosine: N,
}

impl<N: Number> Turn<N> {
    /// By `angle` radians, right-handed about the axis' direction.
    pub fn new(axis: Axis<N>, angle: N) -> Self {
        let (sine, cosine) = angle.sin_cos();
        Self { axis, sine, cosine }
    }

    /// Where a point comes to: see [`Vector::rotated_about`].
    pub fn of(&self, point: Vector<N>) -> Vector<N> {
        let Axis { point: foot, direction } = self.axis;
        let from_axis = point - foot;
        let along = direction.scale(direction.dot(from_axis) * (N::from(1.0) - self.cosine));
        foot + from_axis.scale(self.cosine) + direction.cross(from_axis).scale(self.sine) + along
    }
}

impl<N: Number> Add for Vector<N> {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::new(self.x + other.x, self.y + other.y, self.z + other.z)
    }
}

impl<N: Number> Sub for Vector<N> {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self::new(self.x - other.x, self.y - other.y, self.z - other.z)
    }
}

impl<N: Number> Neg for Vector<N> {
    type Output = Self;
    fn neg(self) -> Self {
        Self::new(-self.x, -self.y, -self.z)
    }
}

/// A line to turn about: the steering axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Axis<N = f64> {
    /// Any point on the axis, in millimetres.
    pub point: Vector<N>,
    /// The axis' direction; its length is 1.
    pub direction: Vector<N>,
}

impl<N: Number> Axis<N> {
    /// The axis through `point` along `direction`, which need not have length 1; none if it has no length.
    pub fn new(point: Vector<N>, direction: Vector<N>) -> Option<Self> {
        Some(Self { point, direction: direction.unit()? })
    }

    /// The same axis without derivatives.
    pub fn real(&self) -> Axis<f64> {
        Axis { point: self.point.real(), direction: self.direction.real() }
    }
}

/// The circle on which a point moves when it turns about an axis, prepared once so that each position costs
/// one sine, one cosine and a few multiplications.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sweep {
    /// The circle's centre: the foot of the point on the axis.
    pub centre: Vector,
    /// From the centre to the point at angle 0.
    pub straight: Vector,
    /// From the centre to the point after a quarter turn in the positive sense.
    pub quarter: Vector,
    /// The circle's radius: the point's distance from the axis, in millimetres.
    pub radius: f64,
}

impl Sweep {
    /// The circle of `point` about `axis`.
    pub fn new(point: Vector, axis: &Axis) -> Self {
        let from_axis = point - axis.point;
        let centre = axis.point + axis.direction.scale(axis.direction.dot(from_axis));
        let straight = point - centre;
        let quarter = axis.direction.cross(straight);
        Self { centre, straight, quarter, radius: straight.norm() }
    }

    /// Where the point is after a turn by `angle` radians, and its velocity per radian there.
    pub fn at(&self, angle: f64) -> (Vector, Vector) {
        let (sine, cosine) = angle.sin_cos();
        let place = self.centre + self.straight.scale(cosine) + self.quarter.scale(sine);
        (place, self.quarter.scale(cosine) - self.straight.scale(sine))
    }

    /// The squared distance from a fixed point over the turn: one wave, as |p|² is constant on a circle.
    pub(super) fn squared_distance_from(&self, fixed: Vector) -> Wave {
        let offset = self.centre - fixed;
        let mean = offset.dot(offset) + self.radius * self.radius;
        Wave::new(mean, 2.0 * offset.dot(self.straight), 2.0 * offset.dot(self.quarter))
    }

    /// The component along `direction` of the way from a fixed point, over the turn.
    pub(super) fn component_from(&self, fixed: Vector, direction: Vector) -> Wave {
        let mean = (self.centre - fixed).dot(direction);
        Wave::new(mean, self.straight.dot(direction), self.quarter.dot(direction))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use num_dual::first_derivative;

    #[test]
    #[expect(clippy::float_cmp, reason = "exact in binary")]
    fn vector_products_follow_the_right_hand() {
        // ISO 8855 2.3: Z = X × Y.
        let forward = Vector::new(1.0, 0.0, 0.0);
        let left = Vector::new(0.0, 1.0, 0.0);
        assert_eq!(forward.cross(left), Vector::new(0.0, 0.0, 1.0));
        // By hand: 1·4 + 2·5 + 3·6 = 32; √(2² + 3² + 6²) = 7.
        assert_eq!(Vector::new(1.0, 2.0, 3.0).dot(Vector::new(4.0, 5.0, 6.0)), 32.0);
        assert_eq!(Vector::new(2.0, 3.0, 6.0).norm(), 7.0);
        assert_eq!(-(forward - left), Vector::new(-1.0, 1.0, 0.0));
    }

    #[test]
    fn a_vector_without_length_has_no_direction_and_a_finite_derivative() {
        assert_eq!(Vector::new(0.0, 0.0, 0.0).unit(), None);
        let (length, slope) = first_derivative(
            |x| Vector::new(x, num_dual::Dual64::from(0.0), num_dual::Dual64::from(0.0)).norm(),
            0.0,
        );
        assert_eq!((length, slope), (0.0, 0.0));
    }

    #[test]
    fn the_sweep_is_the_rotation() {
        let axis = Axis::new(Vector::new(450.0, 0.0, 620.0), Vector::new(-0.4, 0.0, 0.9)).unwrap();
        let point = Vector::new(480.0, 350.0, 690.0);
        let sweep = Sweep::new(point, &axis);
        for degrees in [-170.0_f64, -37.0, 0.0, 12.5, 90.0] {
            let angle = degrees.to_radians();
            let (place, velocity) = sweep.at(angle);
            assert!((place - point.rotated_about(&axis, angle)).norm() < 1e-11);
            // A point on a circle moves across its radius: one radius a radian.
            assert!((velocity.norm() - sweep.radius).abs() < 1e-11);
            assert!(velocity.dot(axis.direction).abs() < 1e-11);
        }
    }

    #[test]
    fn the_turn_carries_its_derivative() {
        // By hand: (1, 0, 0) turned about z by t is (cos t, sin t, 0); its y grows by cos t.
        let (y, slope) = first_derivative(
            |angle| {
                let zero = num_dual::Dual64::from(0.0);
                let one = num_dual::Dual64::from(1.0);
                let axis =
                    Axis { point: Vector::new(zero, zero, zero), direction: Vector::new(zero, zero, one) };
                Vector::new(one, zero, zero).rotated_about(&axis, angle).y
            },
            0.5,
        );
        assert!((y - 0.5_f64.sin()).abs() < 1e-15 && (slope - 0.5_f64.cos()).abs() < 1e-15);
    }
}
