//! The least value of a function over an interval, and its first zero, proven and not merely sampled.
//!
//! The functions meant are distances between a body and a point that turns about an axis; this module knows
//! only that such a function cannot bend down too sharply.
//!
//! # Why the result is proven
//! Let a point turn on a circle of radius R (its *swing*) and let d be its distance from a convex body, as a
//! function of the angle. A distance from a convex body is a convex function of the point, with a gradient g
//! no longer than 1, so d never lies below its tangent plane: d(p) ≥ d(p₀) + g·(p − p₀). On the circle,
//! p − p₀ differs from (velocity)·(turn) by at most R·turn²/2. Hence, for all angles,
//!
//! d(φ) ≥ d(φ₀) + d'(φ₀)·(φ − φ₀) − R·(φ − φ₀)²/2.
//!
//! Every evaluation so lays a downward parabola under the whole curve. Between two neighbours the higher of
//! the two parabolas is a bound whose least value has a closed form; the interval whose bound is lowest is
//! split, until the least value seen is within the asked gap of the lowest bound (S. A. Piyavskii 1972 for
//! the scheme, L. Breiman and A. Cutler 1993 for the parabolas; both from memory). R is also the Lipschitz
//! constant, but a bound from that alone is only as good as the spacing; this one is as good as its square.
//!
//! The arithmetic is plain floating point: the proof leaves out rounding, some 1e-12 mm.

use std::cell::Cell;
use std::cmp::Ordering;
use std::collections::BinaryHeap;

/// Two minima closer than this, in millimetres, are equal: of them the smallest turn is reported.
pub const EQUAL_MINIMA: f64 = 1e-6;

/// A clearance no larger than this, in millimetres, touches.
const TOUCHING: f64 = 1e-11;

/// The first contact is located to this angle, in radians.
const CONTACT_ANGLE: f64 = 1e-9;

/// Never more evaluations than this for a minimum: a gap that asks for more is reported as it was reached.
const MINIMUM_BUDGET: usize = 200_000;

/// Never more evaluations than this for a contact.
const CONTACT_BUDGET: usize = 20_000_000;

/// The swing is taken this much larger, so that its own rounding cannot harm the proof.
const SWING_MARGIN: f64 = 1.0 + 1e-9;

/// A function at one angle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// The value, in millimetres.
    pub value: f64,
    /// Its derivative by the angle, in millimetres per radian.
    pub slope: f64,
}

/// A certified minimum.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Minimum {
    /// The least value found, in millimetres, refined far below the proven gap.
    pub least: f64,
    /// Where it falls, in radians: of equal minima (see [`EQUAL_MINIMA`]) the one with the smallest turn.
    pub at: f64,
    /// The true minimum is proven to lie no more than this below `least`, in millimetres.
    pub proven_gap: f64,
    /// How often the function was evaluated.
    pub evaluations: usize,
}

impl Minimum {
    /// The minimum of two parts of a range: the other one if it is lower by more than [`EQUAL_MINIMA`],
    /// with the proof for both.
    #[must_use]
    pub(super) fn or_lower(self, other: Self) -> Self {
        let at = if other.least < self.least - EQUAL_MINIMA { other.at } else { self.at };
        let least = self.least.min(other.least);
        let bound = (self.least - self.proven_gap).min(other.least - other.proven_gap);
        let proven_gap = if bound.is_finite() { (least - bound).max(0.0) } else { f64::INFINITY };
        Self { least, at, proven_gap, evaluations: self.evaluations + other.evaluations }
    }
}

/// The outcome of a search for the first contact.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FirstContact {
    /// The signed angle of the first contact, in radians; none if the whole way is proven free.
    pub at: Option<f64>,
    /// The slope of the clearance there, in millimetres per radian; zero without a contact.
    pub slope: f64,
    /// How often the function was evaluated.
    pub evaluations: usize,
}

/// The certified minimum of `function` over the angles from `low` to `high` (radians, either order).
///
/// `swing` is the turning point's distance from the axis, in millimetres; `gap` the proof asked for, in
/// millimetres. The proof that was reached is in the result: it is larger than `gap` only if 200 000
/// evaluations did not suffice, and infinite if the function was no number somewhere.
pub fn certified_minimum(
    function: impl Fn(f64) -> Sample,
    swing: f64,
    low: f64,
    high: f64,
    gap: f64,
) -> Minimum {
    let function = Counted::new(function);
    let swing = swing * SWING_MARGIN;
    let (low, high) = (low.min(high), low.max(high));
    let ends = [function.knot(low), function.knot(0.0_f64.clamp(low, high.max(low))), function.knot(high)];
    let mut least = ends[0].value.min(ends[1].value).min(ends[2].value);
    let mut open =
        BinaryHeap::from([Interval::new(ends[0], ends[1], swing), Interval::new(ends[1], ends[2], swing)]);
    while function.count.get() < MINIMUM_BUDGET {
        match open.peek() {
            Some(lowest) if lowest.bound < least - gap && lowest.bound.is_finite() => {}
            _ => break,
        }
        let Some(Interval { from, to, split, .. }) = open.pop() else { break };
        let middle = function.knot(split);
        least = least.min(middle.value);
        open.push(Interval::new(from, middle, swing));
        open.push(Interval::new(middle, to, swing));
    }
    let bound = open.peek().map_or(f64::NEG_INFINITY, |lowest| lowest.bound);
    let lowest = lowest_knot(&open).unwrap_or(ends[0]);
    let minima = local_minima(&function, &open, least, swing).chain(ends).collect();
    let (least, at) = least_turn(minima, lowest);
    let proven_gap = if bound.is_finite() { (least - bound).max(0.0) } else { f64::INFINITY };
    Minimum { least, at, proven_gap, evaluations: function.count.get() }
}

/// The smallest turn from 0 towards `limit` (signed, radians) at which `function` is zero or less.
///
/// `swing` is as in [`certified_minimum`]. From each angle the search steps exactly as far as the parabola
/// under the curve stays above zero, so no contact can hide between two steps; near a contact the steps
/// become Newton's and approach it from the free side. Already overlapping: contact at 0. A clearance below
/// 1e-11 mm touches. Where the function is no number, freedom is not proven and a contact is reported.
pub fn first_contact(function: impl Fn(f64) -> Sample, swing: f64, limit: f64) -> FirstContact {
    let function = Counted::new(function);
    let swing = swing * SWING_MARGIN;
    let towards = if limit < 0.0 { -1.0 } else { 1.0 };
    let mut turn = 0.0;
    loop {
        let knot = function.knot(towards * turn);
        let evaluations = function.count.get();
        let step = free_turn(knot.value, towards * knot.slope, swing);
        if step > limit.abs() - turn {
            return FirstContact { at: None, slope: 0.0, evaluations };
        }
        // Written so that a NaN ends the search too.
        let goes_on = knot.value > TOUCHING && step > CONTACT_ANGLE && evaluations < CONTACT_BUDGET;
        if !goes_on {
            return FirstContact { at: Some(towards * turn), slope: knot.slope, evaluations };
        }
        turn += step;
    }
}

/// How far one may turn before the parabola `value + slope·t − swing·t²/2` reaches zero; zero when touching.
fn free_turn(value: f64, slope: f64, swing: f64) -> f64 {
    if value <= TOUCHING {
        return 0.0;
    }
    if swing == 0.0 {
        return f64::INFINITY;
    }
    let root = (slope * slope + 2.0 * swing * value).sqrt();
    // Both forms are the same zero; each avoids a cancellation for its sign of the slope.
    if slope < 0.0 { 2.0 * value / (root - slope) } else { (slope + root) / swing }
}

/// The function's value and slope at an angle.
#[derive(Debug, Clone, Copy)]
struct Knot {
    angle: f64,
    value: f64,
    slope: f64,
}

/// A function that counts its evaluations.
struct Counted<F> {
    function: F,
    count: Cell<usize>,
}

impl<F: Fn(f64) -> Sample> Counted<F> {
    fn new(function: F) -> Self {
        Self { function, count: Cell::new(0) }
    }

    fn knot(&self, angle: f64) -> Knot {
        self.count.set(self.count.get() + 1);
        let Sample { value, slope } = (self.function)(angle);
        Knot { angle, value, slope }
    }
}

/// An interval between two evaluations with a bound below which the function does not fall inside.
struct Interval {
    from: Knot,
    to: Knot,
    split: f64,
    bound: f64,
}

impl Interval {
    fn new(from: Knot, to: Knot, swing: f64) -> Self {
        let width = to.angle - from.angle;
        let bend = 0.5 * swing * width * width;
        let meeting =
            (from.value - to.value + to.slope * width + bend) / (to.slope - from.slope + swing * width);
        let meeting = if (0.0..=width).contains(&meeting) { meeting } else { 0.5 * width };
        let rest = width - meeting;
        // Each parabola bends down, so on its part of the interval it is lowest at an end of that part.
        let from_left = from.value + from.slope * meeting - 0.5 * swing * meeting * meeting;
        let from_right = to.value - to.slope * rest - 0.5 * swing * rest * rest;
        let bound = [from_left, from_right, from.value, to.value].into_iter().fold(f64::INFINITY, lower);
        // Both halves must shrink, or the search could creep.
        let split = from.angle + meeting.clamp(0.05 * width, 0.95 * width);
        Self { from, to, split, bound }
    }
}

/// The lower of two numbers; what is no number proves nothing.
fn lower(a: f64, b: f64) -> f64 {
    if a.is_nan() || b.is_nan() { f64::NEG_INFINITY } else { a.min(b) }
}

/// Ordered so that the heap hands out the lowest bound first.
impl Ord for Interval {
    fn cmp(&self, other: &Self) -> Ordering {
        other.bound.total_cmp(&self.bound)
    }
}

impl PartialOrd for Interval {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Interval {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}

impl Eq for Interval {}

/// The lowest evaluation.
fn lowest_knot(intervals: &BinaryHeap<Interval>) -> Option<Knot> {
    intervals.iter().map(|interval| interval.from).min_by(|a, b| a.value.total_cmp(&b.value))
}

/// The local minima inside those intervals that may hold one as low as `least`.
fn local_minima<F: Fn(f64) -> Sample>(
    function: &Counted<F>,
    intervals: &BinaryHeap<Interval>,
    least: f64,
    swing: f64,
) -> impl Iterator<Item = Knot> {
    intervals
        .iter()
        .filter(move |interval| interval.bound <= least + EQUAL_MINIMA)
        .filter(|interval| interval.from.slope < 0.0 && interval.to.slope > 0.0)
        .map(move |interval| level_between(function, interval.from, interval.to, swing))
}

/// Where the slope changes from falling to rising between two evaluations: the secant's zero, with a
/// bisection every third time so that it cannot stall.
fn level_between<F: Fn(f64) -> Sample>(function: &Counted<F>, from: Knot, to: Knot, swing: f64) -> Knot {
    let (mut from, mut to) = (from, to);
    for round in 0..60 {
        let share = if round % 3 == 2 { 0.5 } else { from.slope / (from.slope - to.slope) };
        let middle = function.knot(from.angle + share * (to.angle - from.angle));
        if middle.slope.abs() <= 1e-13 * swing || middle.angle <= from.angle || middle.angle >= to.angle {
            return middle;
        }
        if middle.slope < 0.0 {
            from = middle;
        } else {
            to = middle;
        }
    }
    if from.value <= to.value { from } else { to }
}

/// The least value and, of the minima equal to it, the smallest turn; of two such the positive one. An
/// evaluation that happens to lie beside a minimum is none, so `lowest` counts only where it beats them all.
fn least_turn(minima: Vec<Knot>, lowest: Knot) -> (f64, f64) {
    let least = minima.iter().map(|knot| knot.value).fold(lowest.value, f64::min);
    let nearer =
        |a: &Knot, b: &Knot| a.angle.abs().total_cmp(&b.angle.abs()).then(b.angle.total_cmp(&a.angle));
    let equal = minima.into_iter().filter(|knot| knot.value <= least + EQUAL_MINIMA);
    (least, equal.min_by(nearer).unwrap_or(lowest).angle)
}

#[cfg(test)]
#[path = "certified_tests.rs"]
mod tests;
