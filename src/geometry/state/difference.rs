//! Two states side by side: which readings they share, and what their differences come to.

use std::collections::BTreeMap;

use crate::metrology::propagate::{Inputs, Model, Number, Propagated, propagate};

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
        (propagate(&pair, &Inputs::independent(inputs)), ids)
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
