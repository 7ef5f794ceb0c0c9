//! Rules on what the bar has room for: its ends, its bends and the stem in its middle.

use crate::catalogue::code::{self, Code};
use crate::catalogue::joint::CONTROLS;
use crate::catalogue::table::{
    BAR_BACK_SWEEP, BAR_BEND, BAR_OFFSET, BAR_UP_SWEEP, BAR_WIDTH, GRIP_HAND, GRIP_LENGTH,
};
use crate::catalogue::{MeasureId, Row, Side};
use crate::geometry::cockpit::{bike, radians};
use crate::geometry::state::{Consequences, Lookup, State};
use crate::metrology::propagate::Number;
use crate::metrology::show::{brief, plain};
use crate::setup::finding::Finding;

use super::Context;
use super::advice::is_beyond;
use super::places::NARROWEST_CLAMP;

/// Half of the narrowest stem along the bar, mm: common practice, no source.
const HALF_A_STEM: f64 = 20.0;

/// Where something on the bar ends inboard.
struct InnerEnd {
    side: Side,
    /// Its reading from the bar's end.
    place: Row,
    /// How much further it reaches than that, mm.
    width: f64,
}

/// How far it reaches into the stem, and how far into the bend; both straight across the bike.
impl Consequences for InnerEnd {
    fn of<N: Number>(&self, numbers: &dyn Lookup<N>) -> Vec<Option<N>> {
        let from_middle = || {
            let place = numbers.get(&MeasureId::of(self.place, self.side))? + self.width;
            // Sweeps that are not known take nothing away: the bar runs straight across.
            let slope = |row| bike(numbers, row).map_or(N::zero(), |sweep| radians(sweep).tan());
            let (back, up) = (slope(BAR_BACK_SWEEP), slope(BAR_UP_SWEEP));
            let slant = (N::one() + back * back + up * up).sqrt();
            Some(bike(numbers, BAR_WIDTH)? * 0.5 - place / slant)
        };
        let into_the_stem = || {
            let off = bike(numbers, BAR_OFFSET)? * self.side.sign();
            Some(-(from_middle()? + off) + HALF_A_STEM)
        };
        let into_the_bend = || Some(bike(numbers, BAR_BEND)? - from_middle()?);
        vec![into_the_stem(), into_the_bend()]
    }
}

/// Whether grips and controls have room beside the stem, and stand on the bar's straight outer part.
pub fn fits(context: &Context) -> Vec<Finding> {
    let setup = context.setup;
    let mut found = Vec::new();
    for side in Side::BOTH {
        let grip = InnerEnd { side, place: GRIP_LENGTH, width: 0.0 };
        found.extend(reaches(context, &grip, "grip", "ends"));
        let own = CONTROLS.iter().filter(|control| {
            setup.has_part(&format!("{side}.{}", control.name)) && setup.has_own_clamp(side, control)
        });
        for control in own {
            let clamp = InnerEnd { side, place: control.from_tip, width: NARROWEST_CLAMP };
            found.extend(reaches(context, &clamp, control.title, "begins"));
        }
    }
    found
}

fn reaches(context: &Context, inner: &InnerEnd, title: &str, verb: &str) -> Option<Finding> {
    let Context { catalogue, setup, .. } = *context;
    let id = MeasureId::of(inner.place, inner.side);
    let (recorded, place) = setup.recorded(&id).zip(setup.value(&id))?;
    let half = setup.value(&MeasureId::bike(BAR_WIDTH))? / 2.0;
    let state = State::recorded(catalogue, setup);
    let values = state.values(inner);
    // Mostly there is room, and how sure that is costs far more to work out.
    if !values.iter().flatten().any(|by| *by > 0.0) {
        return None;
    }
    let expanded = state.expanded_uncertainties(inner);
    let is_inside = |at: usize| match (values.get(at), expanded.get(at)) {
        (Some(Some(by)), Some(Some(expanded))) => is_beyond(*by, *expanded),
        _ => false,
    };
    let side = inner.side;
    let lead = format!(
        "The {side} {title} {verb} {} mm from the bar's end, and the bar's middle is {} mm from there",
        brief(place),
        brief(half),
    );
    let said = |code: &'static Code, message| {
        Some(Finding::new(code, message).at(recorded.span).about(catalogue.path(&id)))
    };
    if is_inside(0) {
        return said(
            &code::BAR_TOO_NARROW,
            format!("{lead}, where the stem holds it: the bar has no room for it."),
        );
    }
    let bend = setup.value(&MeasureId::bike(BAR_BEND)).filter(|_| is_inside(1))?;
    let message = format!(
        "{lead}; the straight part ends {} mm from the middle: it would stand in the bend.",
        brief(bend)
    );
    said(&code::CLAMP_IN_BEND, message)
}

/// Whether the hand is on the grip.
pub fn hand(context: &Context) -> Vec<Finding> {
    let Context { catalogue, setup, .. } = *context;
    let off = |side: Side| {
        let id = MeasureId::of(GRIP_HAND, side);
        let (recorded, hand) = setup.recorded(&id).zip(setup.reading(&id))?;
        let grip = setup.reading(&MeasureId::of(GRIP_LENGTH, side))?;
        let expanded = hand.expanded_uncertainty().hypot(grip.expanded_uncertainty());
        let message = format!(
            "The middle of the {side} hand lies {} mm from the bar's end, and the grip ends at {} mm: the hand is off \
             the grip.",
            plain(hand.value(), 1),
            plain(grip.value(), 1),
        );
        let found = Finding::new(&code::HAND_OFF_GRIP, message).at(recorded.span).about(catalogue.path(&id));
        is_beyond(hand.value() - grip.value(), expanded).then_some(found)
    };
    Side::BOTH.into_iter().filter_map(off).collect()
}
