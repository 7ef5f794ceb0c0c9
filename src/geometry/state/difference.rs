//! Two states side by side: which readings they share, and what their differences come to.

use std::collections::BTreeMap;

use crate::catalogue::MeasureId;
use crate::metrology::COVERAGE_FACTOR;
use crate::metrology::propagate::{Inputs, Model, Number, Propagated, propagate, standard_uncertainty};

use super::wiring::{Wired, Wiring, asked_by, inputs_behind};
use super::{Consequences, InputId, Layer, State};

/// One reading that a difference of two states depends on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DifferenceInput {
    /// Which measure.
    pub input: InputId,
    /// Whether both states rest on this very reading.
    pub shared: bool,
    /// Whether it belongs to the later state (a shared one belongs to both).
    pub later: bool,
}

/// Two states whose differences are asked for.
pub struct Difference<'a> {
    /// The earlier state.
    pub from: State<'a>,
    /// The later state.
    pub to: State<'a>,
}

impl Difference<'_> {
    /// Later minus earlier, with its uncertainty: readings that both states share are one and the same input.
    pub fn propagate(&self, consequences: &impl Consequences) -> (Propagated, Vec<DifferenceInput>) {
        self.propagate_pair(consequences, consequences)
    }

    /// The same, where the later state's outputs are computed by other consequences (of the same length).
    pub fn propagate_pair(
        &self,
        earlier: &impl Consequences,
        later: &impl Consequences,
    ) -> (Propagated, Vec<DifferenceInput>) {
        let (pair, inputs, ids) = self.wired(earlier, later);
        (propagate(&pair, &inputs), ids)
    }

    /// What [`Self::propagate`] yields of a measure on level ground: how far it differs, and the expanded uncertainty. A
    /// measure is a sum, whose derivatives are the signs of its terms; a history asks for it thousands of times.
    pub fn level(&self, id: &MeasureId) -> Option<(f64, f64)> {
        let (was, now) = (self.from.summed(id)?, self.to.summed(id)?);
        let mut inputs = Vec::with_capacity(was.terms.len() + now.terms.len());
        let mut signs = Vec::with_capacity(inputs.capacity());
        for (_, input, sign) in &was.terms {
            inputs.push(*input);
            signs.push(-sign);
        }
        for (of, input, sign) in now.terms {
            let known = was.terms.iter().position(|(known, ..)| *known == of);
            if let Some(at) = known.filter(|_| self.is_shared(&of)) {
                signs[at] += sign;
            } else {
                inputs.push(input);
                signs.push(sign);
            }
        }
        let delta = Some(now.value - was.value).filter(|delta| delta.is_finite())?;
        Some((delta, COVERAGE_FACTOR * standard_uncertainty(&Inputs::independent(inputs), &signs)))
    }

    fn wired<'c, E: Consequences, L: Consequences>(
        &self,
        earlier: &'c E,
        later: &'c L,
    ) -> (Pair<'c, E, L>, Inputs, Vec<DifferenceInput>) {
        let asked_of_from = asked_by(&self.from, earlier);
        let asked_of_to = asked_by(&self.to, later);
        let mut inputs = Vec::new();
        let mut ids = Vec::new();
        let mut from_slots = BTreeMap::new();
        let mut to_slots = BTreeMap::new();
        for id in inputs_behind(&asked_of_from) {
            let Some(input) = self.from.input(id) else { continue };
            from_slots.insert(id, inputs.len());
            inputs.push(input);
            ids.push(DifferenceInput { input: id.clone(), shared: false, later: false });
        }
        for id in inputs_behind(&asked_of_to) {
            let Some(input) = self.to.input(id) else { continue };
            if let Some(slot) = from_slots.get(id).filter(|_| self.is_shared(id)) {
                to_slots.insert(id, *slot);
                ids[*slot].shared = true;
                ids[*slot].later = true;
                continue;
            }
            to_slots.insert(id, inputs.len());
            inputs.push(input);
            ids.push(DifferenceInput { input: id.clone(), shared: false, later: true });
        }
        let from = Wiring::new(&asked_of_from, |id| from_slots.get(id).copied());
        let to = Wiring::new(&asked_of_to, |id| to_slots.get(id).copied());
        let pair = Pair {
            from: Wired { wiring: from, consequences: earlier },
            to: Wired { wiring: to, consequences: later },
        };
        (pair, Inputs::independent(inputs), ids)
    }

    /// Whether both states rest on the same reading, or both on the same assumption.
    pub fn is_shared(&self, id: &InputId) -> bool {
        match (self.from.reading(id), self.to.reading(id)) {
            (Some(was), Some(now)) => was.is_same_reading(now),
            (None, None) => {
                id.layer == Layer::Recorded && self.from.assumes(&id.measure) && self.to.assumes(&id.measure)
            }
            _ => false,
        }
    }
}

struct Pair<'s, E, L> {
    from: Wired<'s, E>,
    to: Wired<'s, L>,
}

impl<E: Consequences, L: Consequences> Model for Pair<'_, E, L> {
    fn evaluate<N: Number>(&self, inputs: &[N]) -> Vec<Option<N>> {
        let (was, now) = (self.from.evaluate(inputs), self.to.evaluate(inputs));
        was.into_iter().zip(now).map(|(was, now)| Some(now? - was?)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::super::Level;
    use super::*;
    use crate::catalogue::Catalogue;
    use crate::setup::read::read;

    const RACE: &str = include_str!("../../../tests/git/race.kdl");

    #[test]
    fn a_sum_differs_as_propagation_has_it() {
        let catalogue = Catalogue::standard();
        let setup = |text: &str| read(catalogue, text.as_bytes(), None).setup.expect("a setup");
        let changed = [
            ("floor 0.0", "floor 0.5"),
            ("    floor 0.0 with=angle-gauge ", "    // none "),
            ("angle 32 with", "angle 31 30.5 32 with"),
            ("caliper tol=0.1", "caliper tol=0.2"),
            ("rebound 7", "rebound unmeasured"),
            ("        offset 0\n", ""),
        ];
        let was = setup(RACE);
        for (one, other) in changed {
            let now = setup(&RACE.replacen(one, other, 1));
            let (from, to) = (State::recorded(catalogue, &was), State::recorded(catalogue, &now));
            for difference in [Difference { from, to }, Difference { from: to, to: from }] {
                for id in was.readings.keys() {
                    let (propagated, _) = difference.propagate(&Level(id));
                    let output =
                        propagated.output(0).map(|output| (output.value, output.expanded_uncertainty()));
                    assert_eq!(difference.level(id), output, "{other}: {id:?}");
                }
            }
        }
    }
}
