//! The knee against the computer on the stem.
//!
//! Both are taken to the bike's own axes, level and in its plane of symmetry: the knee is the rider's and comes as far
//! forward on any bike, the computer goes where frame, stem and bar carry it. How high either is, is not looked at.

use crate::catalogue::MeasureId;
use crate::catalogue::code;
use crate::catalogue::table::{COMPUTER_BEHIND_BAR, RIDER_KNEE};
use crate::check::Context;
use crate::geometry::cockpit::{Front, Stem, bike};
use crate::geometry::state::{Consequences, Lookup, State};
use crate::metrology::propagate::Number;
use crate::metrology::show;
use crate::setup::finding::Finding;

use super::{about, is_beyond, number};

/// A knee sways as the rider does: a gap below this, mm, is none to count on. Common practice, no source.
const KNEE_ROOM: f64 = 30.0;

/// From the front of the knee forward to the computer's rear edge, mm, level; negative when the knee reaches past it.
struct Gap;

impl Consequences for Gap {
    fn of<N: Number>(&self, numbers: &dyn Lookup<N>) -> Vec<Option<N>> {
        let gap = || {
            let stem = Stem::of(&Front::of(numbers)?, numbers)?;
            let rear_edge = stem.clamp_centre - stem.along.scale(bike(numbers, COMPUTER_BEHIND_BAR)?);
            Some(rear_edge.x - bike(numbers, RIDER_KNEE)?)
        };
        vec![gap()]
    }
}

/// A knee that comes near the computer, out of the saddle.
pub fn near_computer(context: &Context) -> Vec<Finding> {
    let Context { catalogue, setup, .. } = *context;
    let state = State::recorded(catalogue, setup);
    let Some(gap) = state.values(&Gap)[0].filter(|gap| *gap < KNEE_ROOM) else { return Vec::new() };
    let Some(expanded) = state.expanded_uncertainties(&Gap)[0] else { return Vec::new() };
    if !is_beyond(KNEE_ROOM - gap, expanded) {
        return Vec::new();
    }
    let (size, doubt) = show::with_uncertainty(gap.abs(), expanded, 1);
    let (stays, from) = if gap < 0.0 { ("reaches", "past") } else { ("stays", "short of") };
    let message = format!(
        "Standing, the knee {stays} {size} ± {doubt} mm {from} the computer's rear edge, measured level; under \
         {} mm a knee may hit it on a climb. A longer bike or stem leaves more room.",
        number(KNEE_ROOM),
    );
    let id = MeasureId::bike(COMPUTER_BEHIND_BAR);
    vec![about(catalogue, setup, &code::KNEE_NEAR_COMPUTER, &id, message)]
}
