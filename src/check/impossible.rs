//! Rules on figures that no bike can have together.

use crate::catalogue::MeasureId;
use crate::catalogue::code;
use crate::catalogue::table::{BAR_BEND, BAR_SUPPLIED_WIDTH, BAR_WIDTH, SADDLE_HEIGHT, SADDLE_SETBACK};
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
