//! What stands on the other bike's steerer, and how high a pile that takes.

use crate::catalogue::table::{HEADSET_COVER, SPACERS_ABOVE, SPACERS_BELOW, STEM_CLAMP_HEIGHT};
use crate::catalogue::{Catalogue, MeasureId, Row};
use crate::geometry::state::State;
use crate::metrology::show;
use crate::setup::model::Setup;

use serde::Serialize;

use super::Problem;
use crate::carry::search::Candidate;
use crate::carry::{LOOSE, SHOWN};
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

/// How high everything on the steerer is together now, spacers that are left out counting as nothing; none if one of them is
/// unmeasured, or nothing tells how high the stem's clamp is.
pub fn steerer_of(catalogue: &Catalogue, onto: &Setup) -> Option<f64> {
    let state = State::recorded(catalogue, onto);
    let value = |row| state.value(&MeasureId::bike(row));
    let spacers = value(SPACERS_BELOW)? + value(SPACERS_ABOVE)?;
    value(HEADSET_COVER).and(Some(spacers + onto.value(&MeasureId::bike(STEM_CLAMP_HEIGHT))?))
}

/// The same where all of it is recorded.
fn recorded_steerer(catalogue: &Catalogue, onto: &Setup) -> Option<f64> {
    let is_recorded = |row: &Row| onto.value(&MeasureId::bike(*row)).is_some();
    let is_whole = [SPACERS_BELOW, SPACERS_ABOVE].iter().all(is_recorded);
    steerer_of(catalogue, onto).filter(|_| is_whole)
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
        let (in_box, recorded) = (in_box?, recorded_steerer(catalogue, onto)?);
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

/// How a stem's clamp ends on a steerer of which nobody knows how long it is.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Reach {
    /// How much higher than now, mm; none if how it ends now is not known either.
    pub higher_by: Option<f64>,
}

impl Problem<'_> {
    /// None where it is known how long the steerer is, or the clamp ends no higher than it does now.
    pub fn may_not_reach(&self, candidate: &Candidate) -> Option<Reach> {
        let (stem, below) = (self.stems.get(candidate.stem)?, self.piles.get(candidate.pile)?);
        if self.task.steerer_left.is_some() {
            return None;
        }
        let state = State::recorded(self.catalogue, &self.as_it_is);
        let stands = state
            .value(&MeasureId::bike(SPACERS_BELOW))
            .zip(self.as_it_is.value(&MeasureId::bike(STEM_CLAMP_HEIGHT)));
        let higher_by = stands.map(|(spacers, clamp)| below.height + stem.clamp_height - spacers - clamp);
        higher_by.is_none_or(|by| by >= SHOWN).then_some(Reach { higher_by })
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
