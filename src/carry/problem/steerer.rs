//! What stands on the other bike's steerer, and how high a pile that takes.

use crate::catalogue::table::{HEADSET_COVER, SPACERS_ABOVE, SPACERS_BELOW, STEM_CLAMP_HEIGHT};
use crate::catalogue::{Catalogue, MeasureId};
use crate::geometry::state::State;
use crate::metrology::show;
use crate::setup::model::Setup;

/// The spacers in the box; if it has none, those on the bike, in the two piles that are recorded.
pub fn spacers(catalogue: &Catalogue, onto: &Setup, in_box: &[f64]) -> Vec<f64> {
    if !in_box.is_empty() {
        return in_box.to_vec();
    }
    let state = State::recorded(catalogue, onto);
    let piles = [SPACERS_BELOW, SPACERS_ABOVE].map(|row| state.value(&MeasureId::bike(row)).unwrap_or(0.0));
    piles.into_iter().filter(|height| *height > 0.0).collect()
}

/// How high everything on the steerer is together now, if all of it is recorded.
pub fn steerer_of(catalogue: &Catalogue, onto: &Setup) -> Option<f64> {
    let state = State::recorded(catalogue, onto);
    let [below, clamp, above] =
        [SPACERS_BELOW, STEM_CLAMP_HEIGHT, SPACERS_ABOVE].map(|row| onto.value(&MeasureId::bike(row)));
    let cover = state.value(&MeasureId::bike(HEADSET_COVER));
    cover.and(Some(below? + clamp? + above?))
}

/// That a pile that was perhaps only planned tells how much the steerer takes.
pub fn of_a_plan(onto: &Setup, left: f64) -> Option<String> {
    let (name, left) = (&onto.name.value, show::brief(left));
    onto.is_planned().then(|| {
        format!(
            "{name} is in part planned, not measured: that its steerer takes a pile of {left} mm is taken from there. \
             Measure it, or say it in a box: `steerer left=`."
        )
    })
}
