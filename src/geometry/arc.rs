//! Circular arcs over a chord: the kindest shape a hose of given length can take.
//!
//! Knows nothing of hoses; only of a length bent evenly.

use num_dual::{first_derivative, second_derivative};

use super::Number;

/// Terms of the two series below: the seventeenth is under 1e-20 of the first up to a full circle.
const TERMS: u8 = 16;

/// A circular arc over a chord.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arc<N = f64> {
    /// The angle at the circle's centre, in radians: 0 straight, 2π a full circle.
    pub angle: N,
    /// The circle's radius, in millimetres; infinite when straight.
    pub radius: N,
    /// The bow (sagitta): the height of the arc over the middle of its chord, in millimetres.
    pub sagitta: N,
}

impl<N: Number> Arc<N> {
    /// The arc of `length` over `chord`, both in millimetres.
    ///
    /// Solves sin(ψ/2)/(ψ/2) = chord/length for the angle ψ, from c = 2r·sin(ψ/2) and l = r·ψ (Machinery's
    /// Handbook, 31st edition, page 83). Chord 0 is a full circle; chord = length is straight: angle and
    /// sagitta 0 and, as both rise vertically from there, derivatives reported as zero. None if the chord is
    /// longer than the length (no such arc), negative, or if there is no length.
    ///
    /// Values carry their derivatives by chord and length up to the second.
    pub fn over(chord: N, length: N) -> Option<Self> {
        let possible = chord.re() >= 0.0 && chord.re() <= length.re();
        if !possible || length.re() <= 0.0 || length.re().is_infinite() {
            return None;
        }
        let shortfall = (length - chord) / length;
        if shortfall.re() == 0.0 {
            let zero = N::from(0.0);
            return Some(Self { angle: zero, radius: N::from(f64::INFINITY), sagitta: zero });
        }
        let square = square_of_half_angle(shortfall.re());
        let versine = lifted(shortfall, composed(second_derivative(versine_over_square, square[0]), square));
        let half_angle = lifted(shortfall, square).sqrt();
        Some(Self {
            angle: half_angle * 2.0,
            radius: length / (half_angle * 2.0),
            // r·(1 − cos x) with r = length/2x, written without the cancellation of a nearly straight arc.
            sagitta: length * half_angle * 0.5 * versine,
        })
    }
}

/// A value and its first two derivatives.
type Derivatives = [f64; 3];

/// The y = x² in (0, π²] with 1 − sin(x)/x = `shortfall`, in (0, 1].
///
/// In y the equation is nearly linear (y ≈ 6·shortfall for a nearly straight arc) where in x it has a double
/// root. sin(√y)/√y is decreasing and convex up to y = 33, so Newton's iteration from the straight side rises
/// to the solution without overshooting; it begins at the first two terms of y = 6δ + 9δ²/5 + 144δ³/175 + …, and each
/// step doubles the digits.
fn square_of_half_angle(shortfall: f64) -> Derivatives {
    let full_circle = std::f64::consts::PI * std::f64::consts::PI;
    let mut square = shortfall * (6.0 + 1.8 * shortfall);
    for _ in 0..60 {
        let (reached, derivative) = first_derivative(sinc_shortfall, square);
        let step = (shortfall - reached) / derivative;
        square = (square + step).min(full_circle);
        if step.abs() <= 1e-9 * square {
            break;
        }
    }
    // The derivatives of an inverse function.
    let (_, first, second) = second_derivative(sinc_shortfall, square);
    let slope = first.recip();
    [square, slope, -second * slope.powi(3)]
}

/// The derivatives of f(g(x)) from those of f at g(x) and of g at x: the chain rule.
fn composed((f0, f1, f2): (f64, f64, f64), [_, g1, g2]: Derivatives) -> Derivatives {
    [f0, f1 * g1, f2 * g1 * g1 + f1 * g2]
}

/// A function of one number, known by its derivatives at `x`, with whatever derivatives `x` carries: its Taylor
/// polynomial in them.
fn lifted<N: Number>(x: N, [f0, f1, f2]: Derivatives) -> N {
    let beyond = x - x.re();
    (beyond * (f2 / 2.0) + f1) * beyond + f0
}

/// 1 − sin(x)/x for y = x²: y/3! − y²/5! + y³/7! − …
fn sinc_shortfall<N: Number>(square: N) -> N {
    let mut nested = N::from(1.0);
    for term in (2..=TERMS).rev() {
        let term = f64::from(term);
        nested = N::from(1.0) - square * nested / (2.0 * term * (2.0 * term + 1.0));
    }
    square * nested / 6.0
}

/// (1 − cos x)/x² for y = x²: 1/2! − y/4! + y²/6! − …
fn versine_over_square<N: Number>(square: N) -> N {
    let mut nested = N::from(1.0);
    for term in (1..=TERMS).rev() {
        let term = f64::from(term);
        nested = N::from(1.0) - square * nested / ((2.0 * term + 1.0) * (2.0 * term + 2.0));
    }
    nested * 0.5
}

#[cfg(test)]
mod tests {
    use super::*;
    use num_dual::{Dual2_64, Dual64};
    use std::f64::consts::PI;

    #[test]
    fn the_ends_of_the_range() {
        // By hand: the whole length bent to a circle: ψ = 2π, r = L/2π, bow = diameter = L/π.
        let circle = Arc::over(0.0, 100.0).unwrap();
        assert!((circle.angle - 2.0 * PI).abs() < 1e-14);
        assert!((circle.radius - 100.0 / (2.0 * PI)).abs() < 1e-13);
        assert!((circle.sagitta - 100.0 / PI).abs() < 1e-13);
        let straight = Arc::over(100.0, 100.0).unwrap();
        assert_eq!((straight.angle, straight.radius, straight.sagitta), (0.0, f64::INFINITY, 0.0));
    }

    #[test]
    fn what_cannot_be_an_arc() {
        let impossible = [
            (101.0, 100.0),
            (-1.0, 100.0),
            (0.0, 0.0),
            (f64::NAN, 1.0),
            (1.0, f64::NAN),
            (1.0, f64::INFINITY),
        ];
        for (chord, length) in impossible {
            assert_eq!(Arc::over(chord, length), None, "{chord} over {length}");
        }
    }

    #[test]
    fn the_equation_holds_over_the_whole_range() {
        // The witness is the equation itself: c = 2r·sin(ψ/2), l = r·ψ, h = r − r·cos(ψ/2).
        for step in 1..1000 {
            let chord = f64::from(step) / 1000.0;
            let arc = Arc::over(chord, 1.0).unwrap();
            assert!((2.0 * arc.radius * (arc.angle / 2.0).sin() - chord).abs() < 1e-14);
            assert!((arc.radius * arc.angle - 1.0).abs() < 1e-14);
            assert!((arc.radius * (1.0 - (arc.angle / 2.0).cos()) - arc.sagitta).abs() < 1e-14);
        }
    }

    #[test]
    fn nearly_straight_follows_the_leading_terms() {
        // By hand from the series 1 − y/6 + y²/120: y = 6δ + 9δ²/5 + …, and ψ = 2√y.
        for shortfall in [1e-3_f64, 1e-6, 1e-9, 1e-12] {
            let chord = 1.0 - shortfall;
            let exact = 1.0 - chord;
            let square = 6.0 * exact + 1.8 * exact * exact;
            let arc = Arc::over(chord, 1.0).unwrap();
            assert!((arc.angle / (2.0 * square.sqrt()) - 1.0).abs() < shortfall * shortfall + 1e-14);
        }
    }

    #[test]
    fn the_bow_changes_with_the_chord_as_by_hand() {
        // For L = 1, c = sin x/x and h = (1 − cos x)/(2x) with x = ψ/2. By hand h' = (x·sin x − 1 + cos x)/(2x²) and
        // c' = (x·cos x − sin x)/x², so that dh/dc = (x·sin x − 1 + cos x)/(2·(x·cos x − sin x)).
        for x in [0.05_f64, 0.4, 1.0, 2.0, 3.0] {
            let by_hand = (x * x.sin() - 1.0 + x.cos()) / (2.0 * (x * x.cos() - x.sin()));
            let bow = |chord| Arc::over(chord, Dual64::from(1.0)).unwrap().sagitta;
            let (_, slope) = first_derivative(bow, x.sin() / x);
            assert!((slope / by_hand - 1.0).abs() < 1e-9, "{x}: {slope} {by_hand}");
        }
    }

    #[test]
    fn derivatives_are_those_of_the_inverse() {
        // For L = 1 the chord is c = sin x/x with x = ψ/2; by hand c' = (x·cos x − sin x)/x² and
        // c'' = (2·sin x − 2x·cos x − x²·sin x)/x³. Inverse function: x' = 1/c', x'' = −c''/c'³.
        for half_angle in [0.05_f64, 0.4, 1.0, 2.0, 3.0] {
            let x = half_angle;
            let first = (x * x.cos() - x.sin()) / (x * x);
            let second = (2.0 * x.sin() - 2.0 * x * x.cos() - x * x * x.sin()) / (x * x * x);
            let (angle, slope, bend) =
                second_derivative(|chord| Arc::over(chord, Dual2_64::from(1.0)).unwrap().angle, x.sin() / x);
            assert!((angle / (2.0 * x) - 1.0).abs() < 1e-12);
            assert!((slope * first / 2.0 - 1.0).abs() < 1e-9, "{x}: {slope} {first}");
            assert!((-bend * first.powi(3) / (2.0 * second) - 1.0).abs() < 1e-8, "{x}: {bend} {second}");
        }
    }
}
