//! A control is one rigid piece with its clamp: where its points go when the bar is moved, or the control on it.
//!
//! Its points keep their place in a frame of the grip's axis, the bar's own upright and their cross; that frame is then
//! read off again in the bike's axes, as a person would read it. Who asked for the move, or found it, is not known here.

use crate::catalogue::Side;
use crate::catalogue::table::{BAR_ROLL, STEM_TWIST};

use super::cockpit::{Bar, Front, bike, radians};
use super::state::{Consequences, Lookup, State};
use super::{Axis, Number, Vector};

/// How a control moved on the bar.
#[derive(Clone, Copy, Debug, Default)]
pub struct Slide<N = f64> {
    /// mm.
    pub inboard: N,
    /// Tip down, degrees.
    pub tipped: N,
}

/// A point by its three readings, mm: along the bar from its end, then ahead of the bar and above it in the bike's axes.
#[derive(Clone, Copy, Debug)]
pub struct Offsets<N = f64> {
    /// Along the bar.
    pub from_tip: N,
    /// Forward.
    pub ahead: N,
    /// Up.
    pub up: N,
}

/// One side of a bar as a frame: its end, the axis of its grip outwards, and two directions square to that.
#[derive(Clone, Copy, Debug)]
pub struct Frame {
    tip: Vector,
    outward: Vector,
    upright: Vector,
    across: Vector,
}

/// Tip, a point of the axis, and the bar's upright, as plain numbers.
struct Framing(Side);

impl Consequences for Framing {
    fn of<N: Number>(&self, numbers: &dyn Lookup<N>) -> Vec<Option<N>> {
        let points = || {
            let bar = Bar::of(numbers)?;
            let Front { axis, forward, .. } = *bar.front();
            let (sine, cosine) = radians(bike(numbers, BAR_ROLL)?).sin_cos();
            let upright = axis.direction.scale(cosine) + forward.scale(sine);
            let about = Axis { point: origin(), ..axis };
            let upright = upright.rotated_about(&about, radians(bike(numbers, STEM_TWIST)?));
            Some([bar.point(self.0, N::zero()), bar.point(self.0, N::one()), upright])
        };
        match points() {
            Some(points) => points.iter().flat_map(|point| [point.x, point.y, point.z]).map(Some).collect(),
            None => vec![None; 9],
        }
    }
}

impl Frame {
    /// Of one side of a state's bar; none where its shape is not known.
    pub fn of(state: &State, side: Side) -> Option<Frame> {
        let numbers: Vec<f64> = state.values(&Framing(side)).into_iter().collect::<Option<_>>()?;
        let [tip, inner, upright] = [0, 3, 6].map(|at| numbers.get(at..at + 3));
        let vector = |part: Option<&[f64]>| match part {
            Some([x, y, z]) => Some(Vector::new(*x, *y, *z)),
            _ => None,
        };
        let tip = vector(tip)?;
        let outward = (tip - vector(inner)?).unit()?;
        let upright = vector(upright)?;
        let upright = (upright - outward.scale(upright.dot(outward))).unit()?;
        Some(Frame { tip, outward, upright, across: outward.cross(upright) })
    }

    /// The point that was read as so far from the tip, ahead and up.
    fn point<N: Number>(&self, read: Offsets<N>) -> Vector<N> {
        let ahead = Vector::new(read.ahead, N::zero(), read.up);
        over(self.tip) - over(self.outward).scale(read.from_tip) + ahead
    }

    /// How a point would be read: the place on the bar straight beside it, then ahead and up.
    fn read<N: Number>(&self, point: Vector<N>) -> Option<Offsets<N>> {
        let from_tip = (N::from(self.tip.y) - point.y) / self.outward.y;
        let offset = point - (over(self.tip) - over(self.outward).scale(from_tip));
        from_tip.re().is_finite().then_some(Offsets { from_tip, ahead: offset.x, up: offset.z })
    }
}

fn origin<N: Number>() -> Vector<N> {
    Vector::new(N::zero(), N::zero(), N::zero())
}

/// The same vector over another number.
fn over<N: Number>(vector: Vector) -> Vector<N> {
    Vector::new(N::from(vector.x), N::from(vector.y), N::from(vector.z))
}

/// Where a point of a control that was read on the old bar goes on the new.
pub fn carry<N: Number>(
    (old, new): (&Frame, &Frame),
    side: Side,
    slide: Slide<N>,
    read: Offsets<N>,
) -> Option<Offsets<N>> {
    // Tip down turns forward into down: right-handed about the rider's left, the outward axis on the left side.
    let [outward, upright, across] = [old.outward, old.upright, old.across].map(over);
    let axis = Axis { point: origin(), direction: outward };
    let turned = (old.point(read) - over(old.tip)).rotated_about(&axis, radians(slide.tipped) * side.sign());
    let place = over(new.tip)
        + over(new.outward).scale(turned.dot(outward) - slide.inboard)
        + over(new.upright).scale(turned.dot(upright))
        + over(new.across).scale(turned.dot(across));
    new.read(place)
}
