//! What a reader of the numbers must know about them.

use crate::catalogue::table::GRIP_HAND;
use crate::catalogue::{MeasureId, Side};
use crate::geometry::cockpit::Bar;
use crate::geometry::derived::DERIVED;
use crate::geometry::state::{Consequences, InputId, Lookup, State};
use crate::metrology::propagate::{Number, Output};
use crate::metrology::reading::Reading;

/// All that applies to what was computed from these inputs.
pub(super) fn notes(state: &State, inputs: &[InputId], outputs: &[Option<Output>]) -> Vec<String> {
    [optimistic(state, inputs), beyond_the_straight(state), rough(outputs)].concat()
}

/// Readings repeated too seldom for a coverage factor of two (GUM G.3), among those that were used.
fn optimistic(state: &State, inputs: &[InputId]) -> Vec<String> {
    let seldom = |input: &&InputId| state.reading(input).is_some_and(Reading::is_optimistic);
    let titles: Vec<String> =
        inputs.iter().filter(seldom).map(|input| state.catalogue().title(&input.measure)).collect();
    if titles.is_empty() {
        return Vec::new();
    }
    vec![format!("Read more than once but fewer than four times, so ± is optimistic: {}.", titles.join(", "))]
}

/// How much further in than the straight outer part of the bar each hand lies.
struct BeyondTheStraight;

impl Consequences for BeyondTheStraight {
    fn of<N: Number>(&self, numbers: &dyn Lookup<N>) -> Vec<Option<N>> {
        let straight = Bar::of(numbers).and_then(|bar| bar.straight());
        let beyond = |side| Some(numbers.get(&MeasureId::of(GRIP_HAND, side))? - straight?);
        Side::BOTH.into_iter().map(beyond).collect()
    }
}

fn beyond_the_straight(state: &State) -> Vec<String> {
    let beyond = state.values(&BeyondTheStraight);
    let too_far =
        Side::BOTH.into_iter().zip(beyond).filter(|(_, beyond)| beyond.is_some_and(|far| far > 0.0));
    too_far
        .map(|(side, _)| {
            format!(
                "The {side} hand lies further in than the straight outer part of the bar; \
                 the bar is taken as running straight on."
            )
        })
        .collect()
}

fn rough(outputs: &[Option<Output>]) -> Vec<String> {
    let is_rough = |output: &Option<Output>| output.as_ref().is_some_and(|output| output.rough);
    let titles: Vec<&str> = DERIVED
        .iter()
        .zip(outputs)
        .filter(|(_, output)| is_rough(output))
        .map(|(derived, _)| derived.title)
        .collect();
    if titles.is_empty() {
        return Vec::new();
    }
    vec![format!("± is only rough here, the value bends within its readings: {}.", titles.join(", "))]
}
