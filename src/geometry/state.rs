//! The state of a bike as its readings tell it, and how sure whatever is computed from it is.
//!
//! A state is a setup, perhaps with an as-found sheet on top and turns read from witness marks between them.
//! Here, and only here, it is decided which reading answers for a measure, which floor corrects an angle, what an
//! absent measure counts as, and which readings two states share. What is computed is somebody else's.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

use crate::catalogue::table::FLOOR;
use crate::catalogue::{Absent, Catalogue, Gravity, MeasureId};
use crate::metrology::propagate::{Input, Inputs, Model, Number, Propagated, propagate};
use crate::metrology::reading::Reading;
use crate::setup::model::{Setup, Value};

/// Turns read from witness marks: by how much a measure differs from the recorded one, in its default unit.
pub type Turns = BTreeMap<MeasureId, Reading>;

/// A bike as its readings tell it.
#[derive(Clone, Copy)]
pub struct State<'a> {
    catalogue: &'a Catalogue,
    recorded: &'a Setup,
    found: Option<&'a Setup>,
    turns: Option<&'a Turns>,
}

/// Which layer of a state a number comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Layer {
    /// The setup.
    Recorded,
    /// The as-found sheet.
    Found,
    /// A turn read from a witness mark.
    Turn,
}

/// One number that enters a computation.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct InputId {
    /// From which layer.
    pub layer: Layer,
    /// Of which measure.
    pub measure: MeasureId,
}

/// Where a computation asks for its numbers: lengths in mm, angles in degrees, the rest in the row's default unit.
pub trait Lookup<N> {
    /// The number of a measure; none if it is not known.
    fn get(&self, id: &MeasureId) -> Option<N>;
    /// The same, an angle against gravity taken to level ground.
    fn level(&self, id: &MeasureId) -> Option<N>;
}

/// Something computed from a state: always as many outputs in the same order, none where one is unknown.
pub trait Consequences {
    /// The outputs.
    fn of<N: Number>(&self, numbers: &dyn Lookup<N>) -> Vec<Option<N>>;
}

impl<'a> State<'a> {
    /// The state a setup records.
    pub fn recorded(catalogue: &'a Catalogue, setup: &'a Setup) -> Self {
        State { catalogue, recorded: setup, found: None, turns: None }
    }

    /// The same bike as it was found: what was not looked at is taken not to have moved.
    pub fn found(self, sheet: &'a Setup, turns: Option<&'a Turns>) -> Self {
        State { found: Some(sheet), turns, ..self }
    }

    /// The setup at the bottom.
    pub fn setup(&self) -> &'a Setup {
        self.recorded
    }

    /// The sheet on top.
    pub fn sheet(&self) -> Option<&'a Setup> {
        self.found
    }

    /// The table.
    pub fn catalogue(&self) -> &'a Catalogue {
        self.catalogue
    }

    /// The sheet's or the setup's word on a choice.
    pub fn choice(&self, id: &MeasureId) -> Option<&'static str> {
        self.found.and_then(|sheet| sheet.choice(id)).or_else(|| self.recorded.choice(id))
    }

    /// What the state holds for a measure: the sheet's word first. `unmeasured` on a sheet says no more than that
    /// nobody looked.
    pub fn held(&self, id: &MeasureId) -> Option<&'a Value> {
        let found = self.found.and_then(|sheet| sheet.recorded(id)).map(|recorded| &recorded.value);
        found
            .filter(|value| **value != Value::Unmeasured)
            .or_else(|| self.recorded.recorded(id).map(|recorded| &recorded.value))
    }

    /// The reading that answers for a measure, turns from marks left aside.
    pub fn number(&self, id: &MeasureId) -> Option<&'a Reading> {
        match self.held(id)? {
            Value::Reading(reading) => Some(reading),
            Value::Choice(_) | Value::Unmeasured => None,
        }
    }

    /// The floor of the topmost layer.
    pub fn floor(&self) -> Option<&'a Reading> {
        self.found.unwrap_or(self.recorded).reading(&MeasureId::bike(FLOOR))
    }

    /// The measures whose position is told by a witness mark.
    pub fn turned(&self) -> impl Iterator<Item = &'a MeasureId> {
        self.turns.into_iter().flat_map(BTreeMap::keys)
    }

    /// The measures of the topmost layer.
    pub fn readings(&self) -> impl Iterator<Item = &'a MeasureId> {
        self.found.unwrap_or(self.recorded).readings.keys()
    }

    /// The layer that answers for a measure.
    pub fn layer(&self, id: &MeasureId) -> Layer {
        let found = self.found.and_then(|sheet| sheet.recorded(id));
        if found.is_some_and(|recorded| recorded.value != Value::Unmeasured) {
            Layer::Found
        } else if self.turns.is_some_and(|turns| turns.contains_key(id)) {
            Layer::Turn
        } else {
            Layer::Recorded
        }
    }

    /// Whether a measure is absent and counted as its natural value.
    pub fn is_assumed(&self, id: &MeasureId) -> bool {
        self.layer(id) == Layer::Recorded && self.assumes(id)
    }

    /// Whether the setup at the bottom leaves a measure to its natural value, whatever lies on top.
    fn assumes(&self, id: &MeasureId) -> bool {
        !self.recorded.readings.contains_key(id)
            && matches!(self.catalogue.measure(id.row).absent, Absent::Counts(_))
    }

    /// The value of a measure as the state has it, natural values included.
    pub fn value(&self, id: &MeasureId) -> Option<f64> {
        Plain { state: self, touched: None }.get(id)
    }

    /// The value of an angle on level ground.
    pub fn level_value(&self, id: &MeasureId) -> Option<f64> {
        Plain { state: self, touched: None }.level(id)
    }

    fn layer_setup(&self, layer: Layer) -> Option<&'a Setup> {
        match layer {
            Layer::Found => self.found,
            Layer::Recorded | Layer::Turn => Some(self.recorded),
        }
    }

    /// The reading behind an input; none for an assumed one.
    pub fn reading(&self, input: &InputId) -> Option<&'a Reading> {
        match input.layer {
            Layer::Turn => self.turns?.get(&input.measure),
            layer => self.layer_setup(layer)?.reading(&input.measure),
        }
    }

    /// The standard uncertainty of one input, assumed ones included; none if the state has no such input.
    pub fn standard_uncertainty(&self, input: &InputId) -> Option<f64> {
        self.input(input).map(|input| input.standard_uncertainty)
    }

    fn input(&self, input: &InputId) -> Option<Input> {
        if let Some(reading) = self.reading(input) {
            return Some(as_input(reading));
        }
        let setup = self.layer_setup(input.layer)?;
        let unknown =
            setup.recorded(&input.measure).is_some_and(|recorded| recorded.value == Value::Unmeasured);
        let measure = self.catalogue.measure(input.measure.row);
        match measure.absent {
            Absent::Counts(value) if !unknown && input.layer == Layer::Recorded => {
                Some(rectangular(value, measure.tolerance()))
            }
            _ => None,
        }
    }

    /// Every input that the consequences ask for.
    pub fn inputs_of(&self, consequences: &impl Consequences) -> BTreeSet<InputId> {
        let touched = RefCell::new(BTreeSet::new());
        consequences.of::<f64>(&Plain { state: self, touched: Some(&touched) });
        touched.into_inner()
    }

    /// The plain outputs.
    pub fn values(&self, consequences: &impl Consequences) -> Vec<Option<f64>> {
        consequences.of::<f64>(&Plain { state: self, touched: None })
    }

    /// The outputs with their uncertainties; the inputs in the order of the outputs' sensitivities.
    pub fn propagate(&self, consequences: &impl Consequences) -> (Propagated, Vec<InputId>, Inputs) {
        let ids: Vec<InputId> = self.inputs_of(consequences).into_iter().collect();
        let slots = ids.iter().cloned().zip(0..).collect();
        let inputs = Inputs::independent(ids.iter().filter_map(|id| self.input(id)).collect());
        let model = Single { state: self, slots, consequences };
        (propagate(&model, &inputs), ids, inputs)
    }
}

/// A reading as an input of propagation.
pub fn as_input(reading: &Reading) -> Input {
    Input {
        value: reading.value(),
        standard_uncertainty: reading.standard_uncertainty(),
        half_width: reading.half_width(),
    }
}

fn rectangular(value: f64, half_width: f64) -> Input {
    Input { value, standard_uncertainty: half_width / 3f64.sqrt(), half_width }
}

/// Which inputs a measure's number is the sum of, and the floor that corrects it.
fn answer(state: &State, id: &MeasureId) -> (Layer, Option<Layer>) {
    match state.layer(id) {
        Layer::Turn => (Layer::Recorded, Some(Layer::Turn)),
        layer => (layer, None),
    }
}

/// Resolves a measure to its numbers through `input`, which gives one input's number.
fn resolve<N: Number>(
    state: &State,
    id: &MeasureId,
    level: bool,
    input: impl Fn(InputId) -> Option<N>,
) -> Option<N> {
    let (layer, turn) = answer(state, id);
    let mut number = input(InputId { layer, measure: id.clone() })?;
    if let Some(turn) = turn {
        number += input(InputId { layer: turn, measure: id.clone() })?;
    }
    let gravity = state.catalogue.measure(id.row).gravity;
    if level && gravity != Gravity::None {
        let floor = MeasureId::bike(FLOOR);
        let has_floor = state.layer_setup(layer).is_some_and(|setup| setup.reading(&floor).is_some());
        if has_floor {
            let floor = input(InputId { layer, measure: floor })?;
            number += if gravity == Gravity::TipDown { floor } else { -floor };
        }
    }
    Some(number)
}

/// A state answers with its plain values.
impl Lookup<f64> for State<'_> {
    fn get(&self, id: &MeasureId) -> Option<f64> {
        self.value(id)
    }
    fn level(&self, id: &MeasureId) -> Option<f64> {
        self.level_value(id)
    }
}

struct Plain<'s, 'a> {
    state: &'s State<'a>,
    touched: Option<&'s RefCell<BTreeSet<InputId>>>,
}

impl Plain<'_, '_> {
    fn input(&self, id: InputId) -> Option<f64> {
        let value = self.state.input(&id)?.value;
        if let Some(touched) = self.touched {
            touched.borrow_mut().insert(id);
        }
        Some(value)
    }
}

impl Lookup<f64> for Plain<'_, '_> {
    fn get(&self, id: &MeasureId) -> Option<f64> {
        resolve(self.state, id, false, |input| self.input(input))
    }
    fn level(&self, id: &MeasureId) -> Option<f64> {
        resolve(self.state, id, true, |input| self.input(input))
    }
}

type Slots = BTreeMap<InputId, usize>;

struct Slotted<'s, 'a, N> {
    state: &'s State<'a>,
    slots: &'s Slots,
    inputs: &'s [N],
}

impl<N: Number> Slotted<'_, '_, N> {
    fn input(&self, id: &InputId) -> Option<N> {
        self.slots.get(id).and_then(|slot| self.inputs.get(*slot)).copied()
    }
}

impl<N: Number> Lookup<N> for Slotted<'_, '_, N> {
    fn get(&self, id: &MeasureId) -> Option<N> {
        resolve(self.state, id, false, |input| self.input(&input))
    }
    fn level(&self, id: &MeasureId) -> Option<N> {
        resolve(self.state, id, true, |input| self.input(&input))
    }
}

struct Single<'s, 'a, C> {
    state: &'s State<'a>,
    slots: Slots,
    consequences: &'s C,
}

impl<C: Consequences> Model for Single<'_, '_, C> {
    fn evaluate<N: Number>(&self, inputs: &[N]) -> Vec<Option<N>> {
        self.consequences.of(&Slotted { state: self.state, slots: &self.slots, inputs })
    }
}

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
        let mut inputs = Vec::new();
        let mut ids = Vec::new();
        let mut from_slots = Slots::new();
        let mut to_slots = Slots::new();
        for id in self.from.inputs_of(earlier) {
            let Some(input) = self.from.input(&id) else { continue };
            from_slots.insert(id.clone(), inputs.len());
            inputs.push(input);
            ids.push(DifferenceInput { input: id, shared: false, later: false });
        }
        for id in self.to.inputs_of(later) {
            let Some(input) = self.to.input(&id) else { continue };
            if let Some(slot) = from_slots.get(&id).filter(|_| self.is_shared(&id)) {
                to_slots.insert(id, *slot);
                ids[*slot].shared = true;
                ids[*slot].later = true;
                continue;
            }
            to_slots.insert(id.clone(), inputs.len());
            inputs.push(input);
            ids.push(DifferenceInput { input: id, shared: false, later: true });
        }
        let model = Pair { difference: self, from_slots, to_slots, earlier, later };
        (propagate(&model, &Inputs::independent(inputs)), ids)
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

struct Pair<'s, 'a, E, L> {
    difference: &'s Difference<'a>,
    from_slots: Slots,
    to_slots: Slots,
    earlier: &'s E,
    later: &'s L,
}

impl<E: Consequences, L: Consequences> Model for Pair<'_, '_, E, L> {
    fn evaluate<N: Number>(&self, inputs: &[N]) -> Vec<Option<N>> {
        let was = self.earlier.of(&Slotted { state: &self.difference.from, slots: &self.from_slots, inputs });
        let now = self.later.of(&Slotted { state: &self.difference.to, slots: &self.to_slots, inputs });
        was.into_iter().zip(now).map(|(was, now)| Some(now? - was?)).collect()
    }
}
