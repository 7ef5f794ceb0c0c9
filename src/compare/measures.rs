//! The measures that differ, each with its verdict and the way back.

use std::collections::BTreeSet;

use serde::Serialize;

use crate::catalogue::{Gravity, HeldBy, MeasureId, Weight};
use crate::geometry::state::{Consequences, Difference, Layer, Lookup, State};
use crate::metrology::propagate::Number;
use crate::metrology::reading::Reading;
use crate::metrology::show;
use crate::metrology::unit::Unit;
use crate::metrology::verdict::{Verdict, judge};
use crate::setup::model::Value;

use super::floor::CommonShift;

/// A value as one state has it.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Held {
    /// A number in the default unit, angles against gravity as read.
    Number(f64),
    /// A chosen word, or `unmeasured`.
    Word(&'static str),
}

/// One measure that differs.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Change {
    /// Its written path.
    pub measure: String,
    /// In plain words: "left brake lever angle".
    pub title: String,
    /// What it was.
    pub was: Option<Held>,
    /// What it is.
    pub now: Option<Held>,
    /// What it was, as typed, with its unit.
    pub was_written: Option<String>,
    /// What it is, as typed, with its unit.
    pub now_written: Option<String>,
    /// Now minus was, angles taken to level ground.
    pub delta: Option<f64>,
    /// Its expanded uncertainty.
    #[serde(rename = "U")]
    pub uncertainty: Option<f64>,
    /// The unit of the numbers.
    pub unit: &'static str,
    /// The verdict.
    pub verdict: Verdict,
    /// How much it matters.
    pub weight: Weight,
    /// The joint that holds it.
    pub joint: Option<String>,
    /// The change in words of the trade: "4.0° tip up".
    pub moved: Option<String>,
    /// The way back, in the same words: "4.0° tip down, to 32.0°".
    pub put_back: Option<String>,
    /// Whether the later value is a turn read from a witness mark.
    pub from_mark: bool,
}

/// A measure that could have moved and that the as-found sheet says nothing of.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct NotLookedAt {
    /// Its written path.
    pub measure: String,
    /// In plain words.
    pub title: String,
    /// The joint that holds it.
    pub joint: Option<String>,
    /// How much it matters.
    pub weight: Weight,
}

/// What can move on this bike and was neither read nor told by a mark; empty for a state without a sheet.
pub fn not_looked_at(state: &State) -> Vec<NotLookedAt> {
    if state.sheet().is_none() {
        return Vec::new();
    }
    let catalogue = state.catalogue();
    let can_move = |id: &&MeasureId| {
        let measure = catalogue.measure(id.row);
        measure.can_move() && measure.held_by != HeldBy::Cutting && state.layer(id) == Layer::Recorded
    };
    let mut left: Vec<NotLookedAt> = state
        .setup()
        .readings
        .keys()
        .filter(can_move)
        .map(|id| NotLookedAt {
            measure: catalogue.path(id),
            title: catalogue.title(id),
            joint: state.setup().joint_of(catalogue, id),
            weight: catalogue.measure(id.row).weight,
        })
        .collect();
    left.sort_by_key(|measure| measure.weight);
    left
}

/// One measure's number, on level ground.
pub struct Level<'i>(pub &'i MeasureId);

impl Consequences for Level<'_> {
    fn of<N: Number>(&self, numbers: &dyn Lookup<N>) -> Vec<Option<N>> {
        vec![numbers.level(self.0)]
    }
}

/// All measures that differ, dangerous first, moved first, then in the table's order.
pub fn changes(difference: &Difference, common: Option<&CommonShift>) -> Vec<Change> {
    let mut ids: BTreeSet<&MeasureId> = BTreeSet::new();
    for state in [&difference.from, &difference.to] {
        ids.extend(state.setup().readings.keys());
        ids.extend(state.sheet().into_iter().flat_map(|sheet| sheet.readings.keys()));
        ids.extend(state.turned());
    }
    let mut changes: Vec<Change> = ids.into_iter().filter_map(|id| change(difference, id, common)).collect();
    changes.sort_by_key(|change| (rank(change.verdict), change.weight));
    changes
}

fn rank(verdict: Verdict) -> u8 {
    match verdict {
        Verdict::Moved => 0,
        Verdict::Recorded | Verdict::NotRecorded => 1,
        Verdict::ReRead | Verdict::Corrected => 2,
        Verdict::WithinReading => 3,
        Verdict::Same | Verdict::NotLookedAt => 4,
    }
}

fn change(difference: &Difference, id: &MeasureId, common: Option<&CommonShift>) -> Option<Change> {
    let (from, to) = (&difference.from, &difference.to);
    let (was, now) = (from.held(id), to.held(id));
    if was.is_none() && now.is_none() || written_alike(difference, id) {
        return None;
    }
    let catalogue = from.catalogue();
    let measure = catalogue.measure(id.row);
    let joint = to.setup().joint_of(catalogue, id).or_else(|| from.setup().joint_of(catalogue, id));
    let mut change = Change {
        measure: catalogue.path(id),
        title: catalogue.title(id),
        was_written: was.map(|value| written(from, id, value)),
        now_written: now.map(|value| written(to, id, value)),
        was: was.map(|value| held(from, id, value)),
        now: now.map(|value| held(to, id, value)),
        delta: None,
        uncertainty: None,
        unit: measure.unit().word(),
        verdict: Verdict::Recorded,
        weight: measure.weight,
        joint,
        moved: None,
        put_back: None,
        from_mark: to.layer(id) == Layer::Turn,
    };
    match (was, now) {
        (None | Some(Value::Unmeasured), Some(_)) => {}
        (Some(_), None | Some(Value::Unmeasured)) => change.verdict = Verdict::NotRecorded,
        (Some(Value::Choice(was)), Some(Value::Choice(now))) => {
            change.verdict = if was == now { Verdict::Same } else { Verdict::Moved };
            change.moved = Some(format!("{was}, now {now}"));
            change.put_back = Some(format!("back to {was}"));
        }
        _ => judge_numbers(difference, id, common, &mut change),
    }
    // What only ever can be read again did not move, whatever its weight.
    if change.verdict == Verdict::Moved && measure.held_by == HeldBy::Nothing {
        change.verdict = Verdict::ReRead;
    }
    (change.verdict != Verdict::Same || was.is_none() || now.is_none()).then_some(change)
}

fn judge_numbers(difference: &Difference, id: &MeasureId, common: Option<&CommonShift>, change: &mut Change) {
    let (propagated, _) = difference.propagate(&Level(id));
    let Some(output) = propagated.output(0) else { return };
    let measure = difference.from.catalogue().measure(id.row);
    let mut delta = output.value;
    let mut uncertainty = output.expanded_uncertainty();
    change.delta = Some(delta);
    change.uncertainty = Some(uncertainty);
    if let Some(common) = common.filter(|_| measure.gravity != Gravity::None) {
        delta -= common.of(measure.gravity);
        uncertainty = uncertainty.hypot(common.uncertainty);
    }
    change.verdict = judge(delta, uncertainty);
    let target = difference.from.value(id).map(|value| (value, decimals(difference, id)));
    let Some((target, places)) = target else { return };
    let size = format!("{}{}", show::plain(delta.abs(), places), measure.unit().sign());
    change.moved = Some(format!("{size} {}", measure.direction(delta)));
    let goal = format!("{}{}", show::plain(target, places), measure.unit().sign());
    change.put_back = Some(format!("{size} {}, to {goal}", measure.direction(-delta)));
}

/// The places that both readings were read to; at least those of the coarser default unit.
fn decimals(difference: &Difference, id: &MeasureId) -> usize {
    let places = |state: &State| {
        let reading = state.number(id)?;
        Some(if reading.unit() == reading.default_unit() { reading.decimals() } else { 1 })
    };
    let finest = places(&difference.from).max(places(&difference.to)).unwrap_or(1);
    let count = difference.from.catalogue().measure(id.row).unit() == Unit::Click;
    if count { 0 } else { finest.clamp(1, 3) }
}

/// Both sides rest on the very same reading, choice or word.
fn written_alike(difference: &Difference, id: &MeasureId) -> bool {
    let (from, to) = (&difference.from, &difference.to);
    if to.layer(id) == Layer::Turn || from.layer(id) == Layer::Turn {
        return false;
    }
    match (from.held(id), to.held(id)) {
        (Some(Value::Reading(was)), Some(Value::Reading(now))) => {
            was.is_same_reading(now)
                && (from.catalogue().measure(id.row).gravity == Gravity::None || same_floor(difference))
        }
        (Some(was), Some(now)) => was == now,
        _ => false,
    }
}

/// The floors of both states are the same reading, or neither has one: an angle with the same written number then
/// stands at the same angle to the bike.
fn same_floor(difference: &Difference) -> bool {
    match (difference.from.floor(), difference.to.floor()) {
        (Some(was), Some(now)) => was.is_same_reading(now),
        (None, None) => true,
        _ => false,
    }
}

fn held(state: &State, id: &MeasureId, value: &Value) -> Held {
    match value {
        Value::Reading(reading) => Held::Number(state.value(id).unwrap_or_else(|| reading.value())),
        Value::Choice(word) => Held::Word(word),
        Value::Unmeasured => Held::Word("unmeasured"),
    }
}

fn written(state: &State, id: &MeasureId, value: &Value) -> String {
    match value {
        Value::Reading(_) if state.layer(id) == Layer::Turn => "by its mark".to_owned(),
        Value::Reading(reading) => typed(reading),
        Value::Choice(word) => (*word).to_owned(),
        Value::Unmeasured => "unmeasured".to_owned(),
    }
}

/// A reading as typed, with its unit; of repeats the mean, to the places they were read to.
pub fn typed(reading: &Reading) -> String {
    match reading.digits() {
        [only] => format!("{only}{}", reading.unit().sign()),
        several => {
            let mean = reading.values().iter().sum::<f64>() / several.len() as f64;
            format!(
                "{}{} (mean of {})",
                show::plain(mean, reading.decimals() + 1),
                reading.unit().sign(),
                several.len()
            )
        }
    }
}
