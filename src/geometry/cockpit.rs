//! From frame to grip: the chain of parts that carries the hands.
//!
//! Axes follow ISO 8855: x forward, y to the rider's left, z up; origin at the bottom-bracket centre in the plane of
//! symmetry, bike upright on level ground, steering straight. Lengths mm, angles radians. Knows the rows it needs by
//! name, and nothing of uncertainty: it is written over any [`Number`].

use crate::catalogue::table::{
    BAR_BACK_SWEEP, BAR_BEND, BAR_OFFSET, BAR_RISE, BAR_ROLL, BAR_SETBACK, BAR_SUPPLIED_WIDTH, BAR_UP_SWEEP,
    BAR_WIDTH, FRAME_HEAD_ANGLE, FRAME_REACH, FRAME_STACK, GRIP_HAND, HEADSET_COVER, SADDLE_HEIGHT,
    SADDLE_SETBACK, SPACERS_BELOW, STEM_ANGLE, STEM_CLAMP_HEIGHT, STEM_LENGTH, STEM_TWIST,
};
use crate::catalogue::{MeasureId, Row, Side};
use crate::metrology::propagate::Number;

use super::state::Lookup;
use super::vector::{Axis, Turn, Vector};

/// The front of the frame.
#[derive(Clone, Copy, Debug)]
pub struct Front<N> {
    /// Top of the head tube H.
    pub head: Vector<N>,
    /// The steering axis, pointing up.
    pub axis: Axis<N>,
    /// Square to the axis, forward, in the plane of symmetry.
    pub forward: Vector<N>,
}

impl<N: Number> Front<N> {
    /// From frame reach, stack and head angle: u = (−cos θ, 0, sin θ), n = (sin θ, 0, cos θ).
    pub fn of(numbers: &dyn Lookup<N>) -> Option<Self> {
        let head = Vector::new(bike(numbers, FRAME_REACH)?, N::zero(), bike(numbers, FRAME_STACK)?);
        let (sine, cosine) = radians(bike(numbers, FRAME_HEAD_ANGLE)?).sin_cos();
        let up = Vector::new(-cosine, N::zero(), sine);
        let forward = Vector::new(sine, N::zero(), cosine);
        Some(Front { head, axis: Axis { point: head, direction: up }, forward })
    }
}

/// The bar in the bike: where its ends are and which way its grips run.
#[derive(Clone, Copy, Debug)]
pub struct Bar<N> {
    front: Front<N>,
    twist: Turn<N>,
    tips: [Vector<N>; 2],
    outward: [Vector<N>; 2],
    straight: Option<N>,
}

impl<N: Number> Bar<N> {
    /// From the frame, the spacers, the stem and the bar's shape.
    pub fn of(numbers: &dyn Lookup<N>) -> Option<Self> {
        let front = Front::of(numbers)?;
        let centre = Stem::of(&front, numbers)?.clamp_centre;
        let shape = Shape::of(numbers)?;
        let (sine, cosine) = radians(bike(numbers, BAR_ROLL)?).sin_cos();
        let (up, forward) = (front.axis.direction, front.forward);
        let bar_up = up.scale(cosine) + forward.scale(sine);
        let bar_forward = forward.scale(cosine) - up.scale(sine);
        let left = Vector::new(N::zero(), N::one(), N::zero());
        let offset = left.scale(bike(numbers, BAR_OFFSET)?);
        let middle = centre + offset + bar_up.scale(shape.rise) - bar_forward.scale(shape.setback);
        let mut tips = [middle; 2];
        let mut outward = [left; 2];
        for side in Side::BOTH {
            let outwards = left.scale(N::from(side.sign()));
            let along = outwards - bar_forward.scale(shape.back) + bar_up.scale(shape.up);
            tips[side as usize] = middle + outwards.scale(shape.width * 0.5);
            outward[side as usize] = along.unit()?;
        }
        let twist = Turn::new(front.axis, radians(bike(numbers, STEM_TWIST)?));
        Some(Bar { front, twist, tips, outward, straight: shape.straight })
    }

    /// The front of the frame it turns about.
    pub fn front(&self) -> &Front<N> {
        &self.front
    }

    /// The point `from_tip` mm in from the end of the bar on that side, twist included, steering straight.
    pub fn point(&self, side: Side, from_tip: N) -> Vector<N> {
        let tip = self.tips[side as usize];
        self.twist.of(tip - self.outward[side as usize].scale(from_tip))
    }

    /// Length of the straight outer part, from the tip; none if the bend is not recorded.
    pub fn straight(&self) -> Option<N> {
        self.straight
    }
}

/// The stem on its steerer, steering straight.
#[derive(Clone, Copy, Debug)]
pub struct Stem<N> {
    /// From steerer to bar, of length one.
    pub along: Vector<N>,
    /// The middle of the bar's clamp.
    pub clamp_centre: Vector<N>,
}

impl<N: Number> Stem<N> {
    /// Up the steering axis by what is under the stem, then along the stem.
    pub fn of(front: &Front<N>, numbers: &dyn Lookup<N>) -> Option<Self> {
        let below = bike(numbers, HEADSET_COVER)?
            + bike(numbers, SPACERS_BELOW)?
            + bike(numbers, STEM_CLAMP_HEIGHT)? * 0.5;
        let (sine, cosine) = radians(bike(numbers, STEM_ANGLE)?).sin_cos();
        let along = front.forward.scale(cosine) + front.axis.direction.scale(sine);
        let foot = front.head + front.axis.direction.scale(below);
        Some(Stem { along, clamp_centre: foot + along.scale(bike(numbers, STEM_LENGTH)?) })
    }
}

/// The bar's own shape at its present width; the maker's figures belong to the supplied width.
struct Shape<N> {
    width: N,
    rise: N,
    setback: N,
    back: N,
    up: N,
    straight: Option<N>,
}

impl<N: Number> Shape<N> {
    fn of(numbers: &dyn Lookup<N>) -> Option<Self> {
        let width = bike(numbers, BAR_WIDTH)?;
        let back = radians(bike(numbers, BAR_BACK_SWEEP)?).tan();
        let up = radians(bike(numbers, BAR_UP_SWEEP)?).tan();
        let cut = bike(numbers, BAR_SUPPLIED_WIDTH).map_or(N::zero(), |supplied| (supplied - width) * 0.5);
        let bend = bike(numbers, BAR_BEND);
        if bend.is_some_and(|bend| bend.re() > width.re() * 0.5) {
            return None;
        }
        let setback = match (bike(numbers, BAR_SETBACK), bend) {
            (Some(setback), _) => setback - cut * back,
            (None, Some(bend)) => (width * 0.5 - bend) * back,
            (None, None) => return None,
        };
        let slant = (N::one() + back * back + up * up).sqrt();
        let straight = bend.map(|bend| (width * 0.5 - bend) * slant);
        Some(Shape { width, rise: bike(numbers, BAR_RISE)? - cut * up, setback, back, up, straight })
    }
}

/// Where both hands are.
#[derive(Clone, Copy, Debug)]
pub struct Hands<N> {
    /// The bar they hold.
    pub bar: Bar<N>,
    grips: [Vector<N>; 2],
}

impl<N: Number> Hands<N> {
    /// From the bar and where along it each hand holds.
    pub fn of(numbers: &dyn Lookup<N>) -> Option<Self> {
        let bar = Bar::of(numbers)?;
        let mut grips = [bar.front.head; 2];
        for side in Side::BOTH {
            grips[side as usize] = bar.point(side, numbers.get(&MeasureId::of(GRIP_HAND, side))?);
        }
        Some(Hands { bar, grips })
    }

    /// The grip point of one hand.
    pub fn grip(&self, side: Side) -> Vector<N> {
        self.grips[side as usize]
    }

    /// The midpoint M of the two.
    pub fn middle(&self) -> Vector<N> {
        (self.grips[0] + self.grips[1]).scale(N::from(0.5))
    }
}

/// The saddle point, the middle of the saddle's top: x = −setback, z = √(height² − setback²).
pub fn saddle<N: Number>(numbers: &dyn Lookup<N>) -> Option<Vector<N>> {
    let height = bike(numbers, SADDLE_HEIGHT)?;
    let setback = bike(numbers, SADDLE_SETBACK)?;
    let square = height * height - setback * setback;
    (square.re() > 0.0).then(|| Vector::new(-setback, N::zero(), square.sqrt()))
}

/// A measure of the bike itself.
pub fn bike<N: Number>(numbers: &dyn Lookup<N>, row: Row) -> Option<N> {
    numbers.get(&MeasureId::bike(row))
}

/// Degrees to radians.
pub fn radians<N: Number>(degrees: N) -> N {
    degrees * (std::f64::consts::PI / 180.0)
}

/// Radians to degrees.
pub fn degrees<N: Number>(radians: N) -> N {
    radians * (180.0 / std::f64::consts::PI)
}
