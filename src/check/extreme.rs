//! Rules on what can be set and nobody rides.

use crate::catalogue::table::{LEVER_ANGLE, STEM_TWIST};
use crate::catalogue::{MeasureId, Side, code};
use crate::geometry::state::{Level, State};
use crate::metrology::show::brief;
use crate::setup::finding::Finding;
use crate::setup::model::Kind;

use super::Context;
use super::advice::is_beyond;

/// Beyond this much out of square to the wheel nobody rides, degrees: common practice, no source.
const SQUARE_ENOUGH: f64 = 5.0;
/// By less than this nobody sees that a bar is not square to the wheel, degrees: common practice, no source.
const LOOKS_SQUARE: f64 = 1.0;
/// Brake levers that anybody rides point no higher than level and no further down than this, degrees below level:
/// common practice, no source.
const RIDDEN_ANGLES: (f64, f64) = (0.0, 70.0);

/// Whether the bar is square to the wheel.
pub fn twist(context: &Context) -> Vec<Finding> {
    let Context { catalogue, setup, .. } = *context;
    let id = MeasureId::bike(STEM_TWIST);
    let Some((recorded, reading)) = setup.recorded(&id).zip(setup.reading(&id)) else { return Vec::new() };
    let (twist, expanded) = (reading.value(), reading.expanded_uncertainty());
    let turned = format!(
        "The stem is turned {}° {}: the bar is not square to the wheel.",
        brief(twist.abs()),
        catalogue.measure(id.row).direction(twist),
    );
    let (code, message) = if is_beyond(twist.abs() - SQUARE_ENOUGH, expanded) {
        (&code::STEM_TWISTED, format!("{turned} Do not ride so."))
    // A sheet tells how a bike was found, and what moved on it is told from that.
    } else if setup.kind == Kind::Setup && twist.abs() > LOOKS_SQUARE && is_beyond(twist.abs(), expanded) {
        (&code::STEM_NOT_SQUARE, format!("{turned} Set it square."))
    } else {
        return Vec::new();
    };
    vec![Finding::new(code, message).at(recorded.span).about(catalogue.path(&id))]
}

/// Whether a brake lever stands where a finger can be.
pub fn lever_angle(context: &Context) -> Vec<Finding> {
    let Context { catalogue, setup, .. } = *context;
    let state = State::recorded(catalogue, setup);
    let wild = |side: Side| {
        let id = MeasureId::of(LEVER_ANGLE, side);
        let recorded = setup.recorded(&id)?;
        let level = Level(&id);
        let angle = state.values(&level).first().copied()??;
        let expanded = state.expanded_uncertainties(&level).first().copied()??;
        let (highest, lowest) = RIDDEN_ANGLES;
        if !is_beyond((highest - angle).max(angle - lowest), expanded) {
            return None;
        }
        let way = if angle < highest { "above" } else { "below" };
        let message = format!(
            "The {side} brake lever points {}° {way} level; levers are ridden between level and {lowest}° below it \
             (common practice, no source): a finger hardly pulls it there. Do not ride so.",
            brief(angle.abs()),
        );
        Some(Finding::new(&code::LEVER_ANGLE_WILD, message).at(recorded.span).about(catalogue.path(&id)))
    };
    Side::BOTH.into_iter().filter_map(wild).collect()
}
