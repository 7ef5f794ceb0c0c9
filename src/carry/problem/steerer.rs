//! What stands on the other bike's steerer, and how high a pile that takes.

use crate::catalogue::table::{HEADSET_COVER, SPACERS_ABOVE, SPACERS_BELOW, STEM_CLAMP_HEIGHT};
use crate::catalogue::{Catalogue, MeasureId};
use crate::geometry::state::State;
use crate::metrology::show;
use crate::setup::model::Setup;

use serde::Serialize;

use crate::carry::LOOSE;
use crate::check::forbidden;

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

/// How high a pile the steerer takes, as the box and the other bike's file have it, where the two do not agree.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Disagreed {
    /// What the box says, mm.
    pub in_box: f64,
    /// What is recorded on the other bike, mm.
    pub recorded: f64,
}

impl Disagreed {
    /// None where either is not known, or where what is recorded is no reading of the steerer: it is planned, or a note
    /// tells that the pile is not there.
    pub fn of(catalogue: &Catalogue, onto: &Setup, in_box: Option<f64>) -> Option<Disagreed> {
        let (in_box, recorded) = (in_box?, steerer_of(catalogue, onto)?);
        let tells = !onto.is_planned() && forbidden::of_the_pile(onto).is_none();
        (tells && (in_box - recorded).abs() >= LOOSE).then_some(Disagreed { in_box, recorded })
    }

    /// In words, without a full stop.
    pub fn words(&self, other: &str) -> String {
        let longer = if self.in_box > self.recorded { "longer" } else { "shorter" };
        format!(
            "the box says {} mm are left of the steerer, {other} records {} mm: a {longer} steerer, or a wrong box?",
            show::brief(self.in_box),
            show::brief(self.recorded)
        )
    }
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
