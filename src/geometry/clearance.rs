//! How near a point that turns with the bars comes to a tube, and where it first touches.
//!
//! Knows a tube only as a straight centreline with a radius, and nothing of what happens on contact.

use std::f64::consts::{PI, TAU};

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
    /// left), proven to `gap` millimetres.
    ///
    /// Where the foot on the centreline enters or leaves an end is known in closed form. While an end is
    /// nearest, the squared distance is one wave and its minimum exact; only where the foot is inside is
    /// there something to search, by [`certified::certified_minimum`].
    pub fn least(&self, from: f64, to: f64, gap: f64) -> Minimum {
        let (low, high) = (from.min(to), from.max(to));
        if low < -PI || high > PI {
            return self.least_inside(low, high, gap);
        }
        let cuts = self.cuts(low, high);
        let mut pieces: Vec<Minimum> =
            cuts.windows(2).map(|piece| self.least_on_piece(piece[0], piece[1], gap)).collect();
        // Stable, with the left first: of two equal turns the left one counts.
        pieces.sort_by(|a, b| a.at.abs().total_cmp(&b.at.abs()).then(b.at.total_cmp(&a.at)));
        pieces.into_iter().reduce(Minimum::or_lower).unwrap_or_else(|| self.least_inside(low, high, gap))
    }

    /// The ends of the range and, between them, the angles at which the nearest place on the centreline
    /// becomes an end or ceases to be one, in order.
    fn cuts(&self, low: f64, high: f64) -> Vec<f64> {
        let Segment { start, end } = self.capsule.centreline;
        let along = end - start;
        let foot = self.sweep.component_from(start, along);
        let changes = [foot.reaching(0.0), foot.reaching(along.dot(along))];
        let mut cuts = vec![low, high];
        for change in changes.into_iter().flatten().flatten() {
            let inside = |angle: &f64| *angle > low && *angle < high;
            cuts.extend([change - TAU, change, change + TAU].into_iter().filter(inside));
        }
        cuts.sort_by(f64::total_cmp);
        cuts
    }

    /// The least clearance on a piece of the range on which the nearest place is inside throughout, or the
    /// same end throughout.
    fn least_on_piece(&self, low: f64, high: f64, gap: f64) -> Minimum {
        let centreline = &self.capsule.centreline;
        let (middle, _) = self.sweep.at(f64::midpoint(low, high));
        match centreline.nearest_share(middle) {
            share if share <= 0.0 => self.least_from_end(centreline.start, low, high),
            share if share >= 1.0 => self.least_from_end(centreline.end, low, high),
            _ => self.least_inside(low, high, gap),
        }
    }

    /// The least clearance while one end of the centreline is nearest: exact. The smallest turn is tried
    /// first, so that an equal one further out does not count.
    fn least_from_end(&self, end: Vector, low: f64, high: f64) -> Minimum {
        let trough = self.sweep.squared_distance_from(end).trough();
        let inner = (trough >= low && trough <= high).then_some(trough);
        let minimum = |at| Minimum { least: self.at(at).value, at, proven_gap: 0.0, evaluations: 1 };
        let straightest = minimum(0.0_f64.max(low).min(high));
        inner.into_iter().chain([high, low]).map(minimum).fold(straightest, Minimum::or_lower)
    }

    fn least_inside(&self, low: f64, high: f64, gap: f64) -> Minimum {
        certified::certified_minimum(|angle| self.at(angle), self.swing(), low, high, gap)
    }

    /// The first contact on the way from straight ahead to `limit` (radians, signed). See
    /// [`certified::first_contact`].
    pub fn first_contact(&self, limit: f64) -> FirstContact {
        certified::first_contact(|angle| self.at(angle), self.swing(), limit)
    }
}
