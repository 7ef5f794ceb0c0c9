//! The state of a bike as its readings tell it, and how sure whatever is computed from it is.
//!
//! A state is a setup, perhaps with an as-found sheet on top and turns read from witness marks between them.
//! Here, and only here, it is decided which reading answers for a measure, which floor corrects an angle, what an
//! absent measure counts as, and which readings two states share. What is computed is somebody else's.

mod difference;
mod wiring;

use std::collections::{BTreeMap, BTreeSet};

use crate::catalogue::table::FLOOR;
use crate::catalogue::{Absent, Catalogue, Gravity, MeasureId};
use crate::metrology::propagate::{Input, Inputs, Number, Propagated, expanded_uncertainties, propagate};
use crate::metrology::reading::Reading;
use crate::metrology::unit::Quantity;
use crate::setup::model::{Setup, Value};
use crate::setup::undecided::Undecided;

pub use difference::{Difference, DifferenceInput};
use wiring::{Wired, Wiring, asked_by, inputs_behind};

/// Turns read from witness marks: by how much a measure differs from the recorded one, in its default unit.
pub type Turns = BTreeMap<MeasureId, Reading>;

/// A bike as its readings tell it.
#[derive(Clone, Copy)]
pub struct State<'a> {
    catalogue: &'a Catalogue,
    recorded: &'a Setup,
    found: Option<&'a Setup>,
    turns: Option<&'a Turns>,
    old_angles: Option<&'a BTreeSet<MeasureId>>,
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

/// A sum, and its terms in the order of their inputs, each with its sign.
struct Summed {
    value: f64,
    terms: Vec<(InputId, Input, f64)>,
}

/// To which ground an angle against gravity is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Ground {
    /// The one it was read on.
    AsRead,
    /// Level ground: corrected by the floor, where one was read.
    Level,
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

/// One measure's number, on level ground.
pub struct Level<'i>(pub &'i MeasureId);

impl Consequences for Level<'_> {
    fn of<N: Number>(&self, numbers: &dyn Lookup<N>) -> Vec<Option<N>> {
        vec![numbers.level(self.0)]
    }
}

impl<'a> State<'a> {
    /// The state a setup records.
    pub fn recorded(catalogue: &'a Catalogue, setup: &'a Setup) -> Self {
        State { catalogue, recorded: setup, found: None, turns: None, old_angles: None }
    }

    /// The same bike as it was found: what was not looked at is taken not to have moved.
    pub fn found(self, sheet: &'a Setup, turns: Option<&'a Turns>) -> Self {
        State { found: Some(sheet), turns, ..self }
    }

    /// The same with another sheet on top of the same turns.
    pub fn with_sheet(self, sheet: &'a Setup) -> Self {
        State { found: Some(sheet), ..self }
    }

    /// The same with the angles on the bar that other revisions show to be older than its roll.
    pub fn with_old_angles(self, ids: &'a BTreeSet<MeasureId>) -> Self {
        State { old_angles: Some(ids), ..self }
    }

    /// Whether other revisions show that an angle was read before the bar was rolled.
    pub fn is_shown_older_than_the_roll(&self, id: &MeasureId) -> bool {
        self.old_angles.is_some_and(|ids| ids.contains(id))
    }

    /// The same on another setup.
    #[must_use]
    pub fn on(self, setup: &'a Setup) -> Self {
        State { recorded: setup, ..self }
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
        match self.held(id)? {
            Value::Choice(word) => Some(word),
            Value::Reading(_) | Value::Unmeasured => None,
        }
    }

    /// What the state holds for a measure: the sheet's word first.
    pub fn held(&self, id: &MeasureId) -> Option<&'a Value> {
        let setup = self.found.filter(|sheet| is_told(sheet, id)).unwrap_or(self.recorded);
        setup.recorded(id).map(|recorded| &recorded.value)
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

    /// Whether the sheet reads an angle against gravity and not the slope of the ground, though the setup's own were put down to
    /// level ground: then nobody knows how it stands.
    pub fn is_on_unread_ground(&self, id: &MeasureId) -> bool {
        let is_against_gravity = || self.catalogue.measure(id.row).gravity != Gravity::None;
        let floor = MeasureId::bike(FLOOR);
        self.layer(id) == Layer::Found
            && is_against_gravity()
            && self.floor().is_none()
            && self.undecided(&floor).is_none()
            && self.recorded.reading(&floor).is_some()
    }

    /// The measures whose position is told by a witness mark.
    pub fn turned(&self) -> impl Iterator<Item = &'a MeasureId> {
        self.turns.into_iter().flat_map(BTreeMap::keys)
    }

    /// The measures of the topmost layer.
    pub fn readings(&self) -> impl Iterator<Item = &'a MeasureId> {
        self.found.unwrap_or(self.recorded).readings.keys()
    }

    /// The turn that a witness mark tells of a measure, whether or not a reading answers for it.
    pub fn turn_of(&self, id: &MeasureId) -> Option<&'a Reading> {
        self.turns?.get(id)
    }

    /// The layer that answers for a measure.
    pub fn layer(&self, id: &MeasureId) -> Layer {
        if self.found.is_some_and(|sheet| is_told(sheet, id)) {
            Layer::Found
        } else if self.turns.is_some_and(|turns| turns.contains_key(id)) {
            Layer::Turn
        } else {
            Layer::Recorded
        }
    }

    /// What the versions of a conflict hold of a measure that is not decided.
    pub fn undecided(&self, id: &MeasureId) -> Option<&'a Undecided> {
        match self.layer(id) {
            Layer::Turn => None,
            layer => self.layer_setup(layer)?.undecided.get(id),
        }
    }

    /// Whether a measure is absent and counted as its natural value.
    pub fn is_assumed(&self, id: &MeasureId) -> bool {
        self.layer(id) == Layer::Recorded && self.assumes(id)
    }

    /// Whether the setup at the bottom leaves a measure to its natural value, whatever lies on top.
    fn assumes(&self, id: &MeasureId) -> bool {
        !self.recorded.readings.contains_key(id)
            && !self.recorded.undecided.contains_key(id)
            && matches!(self.catalogue.measure(id.row).absent, Absent::Counts(_))
    }

    /// The value of a measure as the state has it, natural values included.
    pub fn value(&self, id: &MeasureId) -> Option<f64> {
        self.sum(id, Ground::AsRead)
    }

    /// The value of an angle on level ground.
    pub fn level_value(&self, id: &MeasureId) -> Option<f64> {
        self.sum(id, Ground::Level)
    }

    /// The value as it would be read on ground that slopes by `floor`, degrees up to the front.
    pub fn value_on_ground(&self, id: &MeasureId, floor: f64) -> Option<f64> {
        let level = self.level_value(id)?;
        Some(match self.catalogue.measure(id.row).gravity {
            Gravity::None => level,
            Gravity::TipDown => level - floor,
            Gravity::NoseUp => level + floor,
        })
    }

    /// The same on the ground that the setup at the bottom was read on: on level ground if it says of none.
    pub fn value_on_recorded_ground(&self, id: &MeasureId) -> Option<f64> {
        self.value_on_ground(id, self.recorded.value(&MeasureId::bike(FLOOR)).unwrap_or(0.0))
    }

    fn sum(&self, id: &MeasureId, ground: Ground) -> Option<f64> {
        let mut sum = 0.0;
        self.each_term(id, ground, |input, sign| {
            sum += sign * self.input(&input)?.value;
            Some(())
        })?;
        Some(sum)
    }

    /// A measure's number on level ground with all that it is made of; none as soon as one input is unknown.
    fn summed(&self, id: &MeasureId) -> Option<Summed> {
        let mut terms = Vec::new();
        let mut value = None;
        self.each_term(id, Ground::Level, |of, sign| {
            let input = self.input(&of)?;
            let term = sign * input.value;
            value = Some(value.map_or(term, |sum: f64| sum + term));
            terms.push((of, input, sign));
            Some(())
        })?;
        terms.sort_by(|(one, ..), (other, ..)| one.cmp(other));
        Some(Summed { value: value?, terms })
    }

    /// The inputs whose sum is a measure's number, each handed over with its sign; none as soon as one is unknown.
    fn each_term(
        &self,
        id: &MeasureId,
        ground: Ground,
        mut add: impl FnMut(InputId, f64) -> Option<()>,
    ) -> Option<()> {
        let topmost = self.layer(id);
        // A mark tells by how much the recorded position was left.
        let layer = if topmost == Layer::Turn { Layer::Recorded } else { topmost };
        add(InputId { layer, measure: id.clone() }, 1.0)?;
        if topmost == Layer::Turn {
            add(InputId { layer: Layer::Turn, measure: id.clone() }, 1.0)?;
        }
        let gravity = self.catalogue.measure(id.row).gravity;
        if ground == Ground::AsRead || gravity == Gravity::None {
            return Some(());
        }
        let floor = MeasureId::bike(FLOOR);
        // On a floor that nobody decided the angle to level ground is not known.
        let has_floor =
            |setup: &Setup| setup.reading(&floor).is_some() || setup.undecided.contains_key(&floor);
        if self.layer_setup(layer).is_some_and(has_floor) {
            let sign = if gravity == Gravity::TipDown { 1.0 } else { -1.0 };
            add(InputId { layer, measure: floor }, sign)?;
        }
        Some(())
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

    /// The standard uncertainty of every reading in any layer, and of every measure that may count as its natural
    /// value (once for all parts it may be meant of), each with what it is an uncertainty of.
    pub fn doubts(&self) -> impl Iterator<Item = (Quantity, f64)> {
        let layers = [Some(self.recorded), self.found].into_iter().flatten();
        let held = layers.flat_map(|setup| setup.readings.values());
        let read = held.filter_map(|recorded| match &recorded.value {
            Value::Reading(reading) => Some(reading),
            Value::Choice(_) | Value::Unmeasured => None,
        });
        let turned = self.turns.into_iter().flat_map(BTreeMap::values);
        let read = read.chain(turned).map(|reading| (reading.default_unit(), reading.standard_uncertainty()));
        let assumed = self.catalogue.rows().filter_map(|(_, measure)| match measure.absent {
            Absent::Counts(value) => {
                Some((measure.unit(), Input::rectangular(value, measure.tolerance()).standard_uncertainty))
            }
            Absent::Unknown => None,
        });
        read.chain(assumed).map(|(unit, uncertainty)| (unit.quantity(), uncertainty))
    }

    fn input(&self, input: &InputId) -> Option<Input> {
        if let Some(reading) = self.reading(input) {
            return Some(as_input(reading));
        }
        let setup = self.layer_setup(input.layer)?;
        let unknown = setup.undecided.contains_key(&input.measure)
            || setup.recorded(&input.measure).is_some_and(|recorded| recorded.value == Value::Unmeasured);
        let measure = self.catalogue.measure(input.measure.row);
        match measure.absent {
            Absent::Counts(value) if !unknown && input.layer == Layer::Recorded => {
                Some(Input::rectangular(value, measure.tolerance()))
            }
            _ => None,
        }
    }

    /// Every input that the consequences ask for.
    pub fn inputs_of(&self, consequences: &impl Consequences) -> BTreeSet<InputId> {
        inputs_behind(&asked_by(self, consequences)).into_iter().cloned().collect()
    }

    /// The plain outputs.
    pub fn values(&self, consequences: &impl Consequences) -> Vec<Option<f64>> {
        consequences.of::<f64>(self)
    }

    /// The outputs with their uncertainties; the inputs in the order of the outputs' sensitivities.
    pub fn propagate(&self, consequences: &impl Consequences) -> (Propagated, Vec<InputId>, Inputs) {
        let (wired, ids, inputs) = self.wired(consequences);
        (propagate(&wired, &inputs), ids, inputs)
    }

    /// Only the expanded uncertainties of the outputs, for a verdict on each.
    pub fn expanded_uncertainties(&self, consequences: &impl Consequences) -> Vec<Option<f64>> {
        let (wired, _, inputs) = self.wired(consequences);
        expanded_uncertainties(&wired, &inputs)
    }

    fn wired<'c, C: Consequences>(&self, consequences: &'c C) -> (Wired<'c, C>, Vec<InputId>, Inputs) {
        let asked = asked_by(self, consequences);
        let ids: Vec<InputId> = inputs_behind(&asked).into_iter().cloned().collect();
        let inputs = Inputs::independent(ids.iter().filter_map(|id| self.input(id)).collect());
        let wiring = Wiring::new(&asked, |id| ids.binary_search(id).ok());
        (Wired { wiring, consequences }, ids, inputs)
    }
}

/// Whether a sheet tells of a measure, be it in two versions.
fn is_told(sheet: &Setup, id: &MeasureId) -> bool {
    sheet.recorded(id).is_some() || sheet.undecided.contains_key(id)
}

/// A reading as an input of propagation.
pub fn as_input(reading: &Reading) -> Input {
    Input {
        value: reading.value(),
        standard_uncertainty: reading.standard_uncertainty(),
        half_width: reading.half_width(),
    }
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
