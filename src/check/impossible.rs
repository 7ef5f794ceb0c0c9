//! Rules on figures that no bike can have together.

use crate::catalogue::MeasureId;
use crate::catalogue::code;
use crate::catalogue::table::{
    BAR_BEND, BAR_CLAMP_DIAMETER, BAR_SUPPLIED_WIDTH, BAR_WIDTH, SADDLE_HEIGHT, SADDLE_SETBACK,
    SPACERS_ABOVE, STEERER_DIAMETER, STEM_ANGLE, STEM_CLAMP_HEIGHT, STEM_LENGTH,
};
use crate::geometry::cockpit::{bike, radians};
use crate::geometry::state::{Consequences, Lookup, State};
use crate::metrology::propagate::Number;
use crate::metrology::show::{brief, plain};
use crate::setup::finding::Finding;

use super::Context;
use super::advice::is_beyond;

/// Whether the bar's straight outer part begins inside its end.
pub fn bend(context: &Context) -> Vec<Finding> {
    let (bend, width) = (MeasureId::bike(BAR_BEND), MeasureId::bike(BAR_WIDTH));
    let values = context.setup.value(&bend).zip(context.setup.value(&width));
    let Some((from_middle, half)) = values.map(|(bend, width)| (bend, width / 2.0)) else {
        return Vec::new();
    };
    if from_middle <= half {
        return Vec::new();
    }
    let message = format!(
        "The bend begins {} mm from the bar's middle, and the bar ends at {} mm.",
        plain(from_middle, 1),
        plain(half, 1)
    );
    finding(context, &code::BEND_TOO_WIDE, &bend, message)
}

/// Whether the bar is wider than it was supplied, beyond what reading explains: a saw adds nothing.
pub fn wider_than_supplied(context: &Context) -> Vec<Finding> {
    let (width, supplied) = (MeasureId::bike(BAR_WIDTH), MeasureId::bike(BAR_SUPPLIED_WIDTH));
    let readings = context.setup.reading(&width).zip(context.setup.reading(&supplied));
    let Some((now, before)) = readings else { return Vec::new() };
    let expanded = now.expanded_uncertainty().hypot(before.expanded_uncertainty());
    if !is_beyond(now.value() - before.value(), expanded) {
        return Vec::new();
    }
    let message = format!(
        "The bar is {} mm wide, and it was supplied {} mm wide.",
        brief(now.value()),
        brief(before.value())
    );
    finding(context, &code::BAR_WIDER_THAN_SUPPLIED, &width, message)
}

/// The bar against the steerer: how much nearer their axes stand than half of both diameters, and how far the bar
/// stands clear above the steerer's end, which a steep stem may do. A clamp whose height is not recorded is in no way.
struct BarAtSteerer;

impl Consequences for BarAtSteerer {
    fn of<N: Number>(&self, numbers: &dyn Lookup<N>) -> Vec<Option<N>> {
        let length_and_angle = || Some((bike(numbers, STEM_LENGTH)?, radians(bike(numbers, STEM_ANGLE)?)));
        let bar = bike(numbers, BAR_CLAMP_DIAMETER).map(|diameter| diameter * 0.5);
        let inside = || {
            let (length, angle) = length_and_angle()?;
            // The bar's axis crosses the bike, the steerer's runs up: they pass one another along the way that is
            // square to both.
            Some(bar? + bike(numbers, STEERER_DIAMETER)? * 0.5 - length * angle.cos())
        };
        let over_the_end = || {
            let (length, angle) = length_and_angle()?;
            let clamp = bike(numbers, STEM_CLAMP_HEIGHT).unwrap_or(N::zero());
            Some(length * angle.sin() - clamp * 0.5 - bike(numbers, SPACERS_ABOVE)? - bar?)
        };
        vec![inside(), over_the_end()]
    }
}

/// Whether the bar can come as near to the steerer as the stem has it.
pub fn stem(context: &Context) -> Vec<Finding> {
    let state = State::recorded(context.catalogue, context.setup);
    let value = |row| state.value(&MeasureId::bike(row));
    let [Some(inside), over_the_end] = state.values(&BarAtSteerer)[..] else { return Vec::new() };
    let Some(expanded) = state.expanded_uncertainties(&BarAtSteerer)[0] else { return Vec::new() };
    let diameters = value(STEERER_DIAMETER).zip(value(BAR_CLAMP_DIAMETER));
    let Some((steerer, bar)) = diameters.filter(|_| is_beyond(inside, expanded)) else { return Vec::new() };
    if over_the_end.is_some_and(|clear| clear > 0.0) {
        return Vec::new();
    }
    let nearest = f64::midpoint(steerer, bar);
    let message = format!(
        "The stem holds the bar's centre {} mm from the steerer's, and a bar of {} mm and a steerer of {} mm cannot \
         come nearer than {} mm.",
        brief(nearest - inside),
        brief(bar),
        brief(steerer),
        brief(nearest),
    );
    finding(context, &code::STEM_TOO_SHORT, &MeasureId::bike(STEM_LENGTH), message)
}

/// Whether the saddle can be that far back at that distance from the bottom bracket.
pub fn saddle(context: &Context) -> Vec<Finding> {
    let (setback, height) = (MeasureId::bike(SADDLE_SETBACK), MeasureId::bike(SADDLE_HEIGHT));
    let Some((back, up)) = context.setup.value(&setback).zip(context.setup.value(&height)) else {
        return Vec::new();
    };
    if back.abs() < up {
        return Vec::new();
    }
    let message = format!(
        "The saddle stands {} mm back and only {} mm from the bottom bracket.",
        plain(back, 1),
        plain(up, 1)
    );
    finding(context, &code::SADDLE_IMPOSSIBLE, &setback, message)
}

fn finding(context: &Context, code: &'static code::Code, id: &MeasureId, message: String) -> Vec<Finding> {
    let place = context.setup.recorded(id).map_or(context.setup.name.span, |recorded| recorded.span);
    vec![Finding::new(code, message).at(place).about(context.catalogue.path(id))]
}
