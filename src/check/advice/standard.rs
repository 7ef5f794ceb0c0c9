//! Bounds of the published standard for cycles, where it has one.

use crate::catalogue::table::{LEVER_REACH, SADDLE_HEIGHT};
use crate::catalogue::{MeasureId, Side, code};
use crate::geometry::derived::{All, find};
use crate::geometry::state::State;
use crate::metrology::show;
use crate::setup::finding::Finding;

use crate::check::Context;

use super::{about, is_beyond, number};

/// Highest grip over the saddle, mm: ISO 4210-2, 4.7.1, there with the saddle at its lowest.
const GRIP_OVER_SADDLE: f64 = 400.0;
/// Longest way from grip to blade, mm: ISO 4210-2, 4.6.2.2, from memory.
const LEVER_TO_GRIP: f64 = 90.0;

/// Grips higher above the saddle than the standard allows, saddle at full height: lower, it is more.
pub fn grips_far_above_saddle(context: &Context) -> Vec<Finding> {
    let Context { catalogue, setup, .. } = *context;
    let state = State::recorded(catalogue, setup);
    let Some((place, _)) = find("saddle-to-grip-drop") else { return Vec::new() };
    let above = state.values(&All)[place].map(|drop| -drop).filter(|above| *above > GRIP_OVER_SADDLE);
    let Some(above) = above else { return Vec::new() };
    let Some(expanded) = state.expanded_uncertainties(&All)[place] else { return Vec::new() };
    if !is_beyond(above - GRIP_OVER_SADDLE, expanded) {
        return Vec::new();
    }
    let (above, doubt) = show::with_uncertainty(above, expanded, 1);
    let message = format!(
        "The grips stand {above} ± {doubt} mm above the saddle, which is more than the {} mm that ISO 4210-2 \
         (4.7.1) allows.",
        number(GRIP_OVER_SADDLE),
    );
    let id = MeasureId::bike(SADDLE_HEIGHT);
    vec![about(catalogue, setup, &code::GRIPS_FAR_ABOVE_SADDLE, &id, message)]
}

/// A lever further from the grip than the standard's largest hand span.
pub fn lever_far_from_grip(context: &Context) -> Vec<Finding> {
    let Context { catalogue, setup, .. } = *context;
    let far = |side| {
        let id = MeasureId::of(LEVER_REACH, side);
        let reading = setup.reading(&id)?;
        let reach = reading.value();
        if !is_beyond(reach - LEVER_TO_GRIP, reading.expanded_uncertainty()) {
            return None;
        }
        let message = format!(
            "The {side} brake lever stands {} mm from the grip; {} mm is the most that ISO 4210-2 allows \
             (figure from memory): a small hand may not pull it hard.",
            number(reach),
            number(LEVER_TO_GRIP),
        );
        Some(about(catalogue, setup, &code::LEVER_FAR_FROM_GRIP, &id, message))
    };
    Side::BOTH.into_iter().filter_map(far).collect()
}
