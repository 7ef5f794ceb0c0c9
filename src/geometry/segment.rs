//! Straight pieces of line and the distances from and between them.
//!
//! Knows nothing of tubes and levers: thickness is added by whoever asks.

use super::{Number, Vector};

/// A straight piece of line between two points, which may coincide; millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Segment<N = f64> {
    /// One end.
    pub start: Vector<N>,
    /// The other end.
    pub end: Vector<N>,
}

/// How near two segments come, and where.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SegmentDistance {
    /// The distance, in millimetres.
    pub distance: f64,
    /// The nearest place on the first segment: 0 at its start, 1 at its end. Where several places are
    /// equally near, one of them.
    pub on_first: f64,
    /// The nearest place on the second segment, likewise.
    pub on_second: f64,
}

impl<N: Number> Segment<N> {
    /// The segment from `start` to `end`.
    pub const fn new(start: Vector<N>, end: Vector<N>) -> Self {
        Self { start, end }
    }

    /// The point at `share` of the way: 0 at the start, 1 at the end.
    pub fn point_at(&self, share: N) -> Vector<N> {
        self.start + (self.end - self.start).scale(share)
    }

    /// The place on the segment nearest to `point`: 0 at the start, 1 at the end, 0 where the ends coincide.
    ///
    /// The derivative is that of the piece that is nearest: inside, or an end, which does not move along.
    pub fn nearest_share(&self, point: Vector<N>) -> N {
        let along = self.end - self.start;
        let square = along.dot(along);
        if square.re() == 0.0 {
            return N::from(0.0);
        }
        let share = (point - self.start).dot(along) / square;
        match share.re() {
            inside if inside > 0.0 && inside < 1.0 => share,
            beyond if beyond >= 1.0 => N::from(1.0),
            _ => N::from(0.0),
        }
    }

    /// The distance from `point` to the nearest place on the segment, in millimetres.
    ///
    /// Value and first derivative are exact wherever there is one; on the segment itself the derivative is
    /// given as zero (see [`Vector::norm`]).
    pub fn distance_to(&self, point: Vector<N>) -> N {
        (point - self.point_at(self.nearest_share(point))).norm()
    }
}

impl Segment {
    /// The distance between two segments, in millimetres.
    ///
    /// The squared distance is convex in the two places, so its minimum lies where the common perpendicular
    /// meets both segments inside, or at an end of one of them. All five candidates are formed and the least
    /// is taken; each is the distance of two points that exist, so crossing, parallel, collinear and
    /// degenerate segments need no case of their own.
    pub fn distance_between(&self, other: &Self) -> SegmentDistance {
        let candidates = [
            Some((0.0, other.nearest_share(self.start))),
            Some((1.0, other.nearest_share(self.end))),
            Some((self.nearest_share(other.start), 0.0)),
            Some((self.nearest_share(other.end), 1.0)),
            self.common_perpendicular(other),
        ];
        candidates
            .into_iter()
            .flatten()
            .map(|(on_first, on_second)| SegmentDistance {
                distance: (self.point_at(on_first) - other.point_at(on_second)).norm(),
                on_first,
                on_second,
            })
            .min_by(|a, b| a.distance.total_cmp(&b.distance))
            .unwrap_or(SegmentDistance { distance: f64::NAN, on_first: 0.0, on_second: 0.0 })
    }

    /// The feet of the common perpendicular, if both are inside their segments.
    fn common_perpendicular(&self, other: &Self) -> Option<(f64, f64)> {
        let along = self.end - self.start;
        let other_along = other.end - other.start;
        let perpendicular = along.cross(other_along);
        let square = perpendicular.dot(perpendicular);
        let between = other.start - self.start;
        let on_first = between.cross(other_along).dot(perpendicular) / square;
        let on_second = between.cross(along).dot(perpendicular) / square;
        // Parallel segments give 0/0, which is inside nothing.
        let inside = |share: f64| (0.0..=1.0).contains(&share);
        (inside(on_first) && inside(on_second)).then_some((on_first, on_second))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use num_dual::{Dual64, first_derivative};

    fn distance_of(height: Dual64, ahead: f64) -> Dual64 {
        let number = Dual64::from;
        let origin = Vector::new(number(0.0), number(0.0), number(0.0));
        let end = Vector::new(number(10.0), number(0.0), number(0.0));
        Segment::new(origin, end).distance_to(Vector::new(number(ahead), number(0.0), height))
    }

    #[test]
    fn the_distance_carries_its_derivative_inside_and_at_an_end() {
        // By hand: above the inside, the distance is the height itself: 4, slope 1.
        assert_eq!(first_derivative(|height| distance_of(height, 5.0), 4.0), (4.0, 1.0));
        // By hand: 3 beyond the end and 4 up: 5, slope 4/5.
        let (distance, slope) = first_derivative(|height| distance_of(height, 13.0), 4.0);
        assert!((distance - 5.0).abs() < 1e-15 && (slope - 0.8).abs() < 1e-15);
        // 3 before the start, the same.
        let (distance, slope) = first_derivative(|height| distance_of(height, -3.0), 4.0);
        assert!((distance - 5.0).abs() < 1e-15 && (slope - 0.8).abs() < 1e-15);
    }

    #[test]
    fn a_point_on_the_segment_is_at_distance_zero_without_a_derivative() {
        assert_eq!(first_derivative(|height| distance_of(height, 5.0), 0.0), (0.0, 0.0));
    }
}
