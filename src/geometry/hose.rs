//! A hose from a control that turns with the bars to an entry that does not: how far apart its ends come.
//!
//! Knows nothing of how a hose is routed or what may be done about a short one.
//!
//! The exit turns on a circle, so the square of its distance from the entry is a + b·cos φ + c·sin φ: one
//! wave. Its extremes and the angles at which it reaches a given length are in closed form, nothing is
//! searched or sampled.

use std::f64::consts::{PI, TAU};

use super::certified::EQUAL_MINIMA;
use super::wave::Wave;
use super::{Axis, Number, Sweep, Vector};

/// The distance between a hose's exit after a turn by `angle` radians and its entry, in millimetres.
pub fn chord<N: Number>(exit: Vector<N>, entry: Vector<N>, axis: &Axis<N>, angle: N) -> N {
    (exit.rotated_about(axis, angle) - entry).norm()
}

/// A chord and the turn at which it falls.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extreme {
    /// The chord, in millimetres.
    pub chord: f64,
    /// The turn, in radians, positive to the left: of equal chords the smallest turn, of two such the left.
    pub at: f64,
}

/// What turning the bars to both sides does to one hose.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hose {
    /// The longest chord over the range.
    pub longest: Extreme,
    /// The shortest chord over the range.
    pub shortest: Extreme,
    /// The chord straight ahead, in millimetres.
    pub straight: f64,
    /// Free length less longest chord, in millimetres; negative when the hose is too short.
    pub slack: f64,
    /// The first turn to the left at which the hose is tight, in radians; none within the range.
    pub tight_left: Option<f64>,
    /// The first turn to the right at which the hose is tight, in radians, negative; none within the range.
    pub tight_right: Option<f64>,
}

impl Hose {
    /// A hose of `free` millimetres from `exit`, which turns about `axis`, to `entry`, which does not, over
    /// turns of up to `limit` radians to either side (no more than half a turn is looked at).
    pub fn new(exit: Vector, entry: Vector, axis: &Axis, free: f64, limit: f64) -> Self {
        let chord = Chord::new(exit, entry, axis);
        let limit = limit.abs().min(PI);
        let longest = chord.extreme(chord.0.crest(), limit, |chord, best| chord > best + EQUAL_MINIMA);
        let shortest = chord.extreme(chord.0.trough(), limit, |chord, best| chord < best - EQUAL_MINIMA);
        let tight = |side: f64| chord.tight(free, side).filter(|turn| *turn <= limit).map(|turn| side * turn);
        Self {
            longest,
            shortest,
            straight: chord.at(0.0),
            slack: free - longest.chord,
            tight_left: tight(1.0),
            tight_right: tight(-1.0),
        }
    }

    /// The smallest turn at which the hose is tight, in radians; of two equal ones the left.
    pub fn tight_at(&self) -> Option<f64> {
        match (self.tight_left, self.tight_right) {
            (Some(left), Some(right)) if -right < left => Some(right),
            (left, right) => left.or(right),
        }
    }

    /// Whether the hose is too short already with the bars straight.
    pub fn tight_straight_ahead(&self) -> bool {
        self.tight_at() == Some(0.0)
    }
}

/// The chord over the turn: the root of a wave.
struct Chord(Wave);

impl Chord {
    fn new(exit: Vector, entry: Vector, axis: &Axis) -> Self {
        Self(Sweep::new(exit, axis).squared_distance_from(entry))
    }

    fn at(&self, angle: f64) -> f64 {
        self.0.at(angle).max(0.0).sqrt()
    }

    /// The best chord over ±`limit`, whose only inner extreme of that kind is at `turning`. Straight ahead
    /// and inside are tried before the limits, so that an equal one further out does not count.
    fn extreme(&self, turning: f64, limit: f64, better: impl Fn(f64, f64) -> bool) -> Extreme {
        let inner = Some(turning).filter(|turn| turn.abs() <= limit);
        let mut best = Extreme { chord: self.at(0.0), at: 0.0 };
        for at in inner.into_iter().chain([limit, -limit]) {
            let chord = self.at(at);
            if better(chord, best.chord) {
                best = Extreme { chord, at };
            }
        }
        best
    }

    /// The smallest turn to `side` (+1 left, −1 right), unsigned, at which the chord reaches `free`.
    fn tight(&self, free: f64, side: f64) -> Option<f64> {
        // The slack that rounding could hide: an edge that close must not be looked for on the far side.
        if self.at(0.0) > free - 1e-9 {
            return Some(0.0);
        }
        let [rising, falling] = self.0.reaching(free * free)?;
        let entering = if side > 0.0 { rising } else { -falling };
        Some(entering.rem_euclid(TAU))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A vertical axis through the origin, the exit 300 mm ahead of it.
    fn upright() -> (Axis, Vector) {
        let axis = Axis { point: Vector::new(0.0, 0.0, 0.0), direction: Vector::new(0.0, 0.0, 1.0) };
        (axis, Vector::new(300.0, 0.0, 0.0))
    }

    fn close(actual: f64, expected: f64) {
        assert!((actual - expected).abs() < 1e-9, "{actual} is not {expected}");
    }

    #[test]
    fn an_entry_to_the_left() {
        // By hand: entry (0, 400, 0): chord² = 300² + 400² − 2·300·400·sin φ = 250 000 − 240 000·sin φ.
        // Straight 500. At −60°: √(250 000 + 207 846.097) = 676.643; at +60°: √(250 000 − 207 846.097).
        // Tight at 600: sin φ = −110 000/240 000 to the right, never to the left within 60°.
        let (axis, exit) = upright();
        let hose = Hose::new(exit, Vector::new(0.0, 400.0, 0.0), &axis, 600.0, 60.0_f64.to_radians());
        let wave = 240_000.0 * 60.0_f64.to_radians().sin();
        close(hose.straight, 500.0);
        close(hose.longest.chord, (250_000.0 + wave).sqrt());
        close(hose.longest.at.to_degrees(), -60.0);
        close(hose.shortest.chord, (250_000.0 - wave).sqrt());
        close(hose.shortest.at.to_degrees(), 60.0);
        close(hose.slack, 600.0 - (250_000.0 + wave).sqrt());
        assert_eq!(hose.tight_left, None);
        close(hose.tight_right.unwrap(), -(110_000.0_f64 / 240_000.0).asin());
        assert_eq!(hose.tight_at(), hose.tight_right);
    }

    #[test]
    fn the_longest_chord_inside_the_range() {
        // By hand: the same hose over half a turn: longest at −90°, 300 + 400; shortest at +90°, 400 − 300.
        // To the left it goes tight past the far side: 180° + asin(11/24), beyond the half turn.
        let (axis, exit) = upright();
        let hose = Hose::new(exit, Vector::new(0.0, 400.0, 0.0), &axis, 600.0, PI);
        close(hose.longest.chord, 700.0);
        close(hose.longest.at.to_degrees(), -90.0);
        close(hose.shortest.chord, 100.0);
        close(hose.shortest.at.to_degrees(), 90.0);
        assert_eq!(hose.tight_left, None);
    }

    #[test]
    fn a_symmetric_hose_names_the_left() {
        // By hand: entry straight behind: chord² = 300² + 100² + 2·300·100·cos φ; straight ahead is longest.
        // From an entry straight ahead it is shortest, and equally long at both limits.
        let (axis, exit) = upright();
        let behind = Hose::new(exit, Vector::new(-100.0, 0.0, 0.0), &axis, 500.0, 1.0);
        assert_eq!((behind.longest.chord, behind.longest.at), (400.0, 0.0));
        let ahead = Hose::new(exit, Vector::new(100.0, 0.0, 0.0), &axis, 250.0, 1.0);
        assert_eq!((ahead.longest.at, ahead.shortest.at), (1.0, 0.0));
        // Tight at 250: cos φ = (100 000 − 62 500)/60 000 = 0.625.
        close(ahead.tight_left.unwrap(), 0.625_f64.acos());
        close(ahead.tight_right.unwrap(), -(0.625_f64.acos()));
        assert_eq!(ahead.tight_at(), ahead.tight_left);
    }

    #[test]
    fn tight_straight_ahead_is_tight_at_zero() {
        let (axis, exit) = upright();
        let hose = Hose::new(exit, Vector::new(-100.0, 0.0, 0.0), &axis, 399.0, 1.0);
        assert!(hose.tight_straight_ahead());
        assert_eq!((hose.tight_left, hose.tight_right, hose.slack), (Some(0.0), Some(0.0), -1.0));
    }

    #[test]
    fn an_entry_on_the_axis_keeps_its_distance() {
        // By hand: √(300² + 400²) = 500 at any angle.
        let (axis, exit) = upright();
        let hose = Hose::new(exit, Vector::new(0.0, 0.0, -400.0), &axis, 510.0, PI);
        assert_eq!((hose.longest.chord, hose.longest.at), (500.0, 0.0));
        assert_eq!((hose.shortest.chord, hose.shortest.at), (500.0, 0.0));
        assert_eq!((hose.slack, hose.tight_at()), (10.0, None));
    }
}
