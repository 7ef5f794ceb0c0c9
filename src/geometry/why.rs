//! Where the uncertainty of one derived value comes from: each reading's share, largest first.
//!
//! So that the rider knows what to measure again, or with a better instrument. The shares are those of the variance
//! in the law of propagation (GUM 5.1.2).

use serde::Serialize;

use crate::metrology::COVERAGE_FACTOR;
use crate::metrology::reading::Reading;
use crate::metrology::unit::Unit;

use super::derived::{All, find};
use super::grips::written;
use super::state::{InputId, State};

/// One reading's part in an uncertainty.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Share {
    /// The measure's written path.
    pub measure: String,
    /// In plain words.
    pub title: String,
    /// Its share of the variance, from 0 to 1.
    pub share: f64,
    /// What the derived value gains for each unit that the measure gains.
    pub sensitivity: f64,
    /// Its value in its default unit.
    pub value: f64,
    /// Its expanded uncertainty.
    #[serde(rename = "U")]
    pub uncertainty: f64,
    /// Half-width of the reading.
    pub half_width: f64,
    /// The unit of value, U and half-width.
    pub unit: Unit,
    /// As typed; none if it was assumed.
    pub written: Option<String>,
    /// The instrument it was read with.
    pub instrument: Option<String>,
    /// How often it was read; 0 if it was assumed.
    pub repeats: usize,
}

/// The account of one derived value.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Why {
    /// Its name.
    pub name: &'static str,
    /// In plain words.
    pub title: &'static str,
    /// Its value.
    pub value: f64,
    /// Its expanded uncertainty.
    #[serde(rename = "U")]
    pub uncertainty: f64,
    /// The unit of both.
    pub unit: Unit,
    /// Whether first-order uncertainty is rough here.
    pub rough: bool,
    /// The readings it rests on, largest share first; those without any share are left out.
    pub shares: Vec<Share>,
}

/// The account of the derived value of that name; none if there is no such name or the state does not yield it.
pub fn why(state: &State, name: &str) -> Option<Why> {
    let (place, derived) = find(name)?;
    let (propagated, ids, inputs) = state.propagate(&All);
    let output = propagated.output(place)?;
    let shares = output.shares(&inputs);
    let mut shares: Vec<Share> = ids
        .iter()
        .enumerate()
        .filter(|(index, _)| shares[*index] > 0.0)
        .map(|(index, id)| {
            let input = inputs.as_slice()[index];
            let numbers = (input.value, COVERAGE_FACTOR * input.standard_uncertainty, input.half_width);
            share(state, id, shares[index], output.sensitivities[index], numbers)
        })
        .collect();
    shares.sort_by(|one, other| other.share.total_cmp(&one.share));
    Some(Why {
        name: derived.name,
        title: derived.title,
        value: output.value,
        uncertainty: output.expanded_uncertainty(),
        unit: derived.unit,
        rough: output.rough,
        shares,
    })
}

fn share(
    state: &State,
    id: &InputId,
    share: f64,
    sensitivity: f64,
    (value, uncertainty, half_width): (f64, f64, f64),
) -> Share {
    let reading = state.reading(id);
    Share {
        measure: state.catalogue().path(&id.measure),
        title: state.catalogue().title(&id.measure),
        share,
        sensitivity,
        value,
        uncertainty,
        half_width,
        unit: state.catalogue().measure(id.measure.row).unit(),
        written: reading.map(written),
        instrument: reading.and_then(Reading::instrument).map(ToOwned::to_owned),
        repeats: reading.map_or(0, |reading| reading.values().len()),
    }
}
