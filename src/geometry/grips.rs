//! The finished account of where the hands are: measured and derived values, what was assumed, what is missing.
//!
//! A plain struct, in the axes of [`super::cockpit`]; it knows no revision, file or screen.

mod report;

use std::collections::BTreeMap;

use serde::Serialize;

use crate::catalogue::table::GRIP_HAND;
use crate::catalogue::{MeasureId, Side};
use crate::metrology::propagate::{Number, Output};
use crate::metrology::reading::Reading;
use crate::metrology::unit::Unit;
use crate::setup::model::{Recorded, Value};

pub use report::{Report, UNITS, Units};

use super::cockpit::Bar;
use super::derived::{All, Coordinate, DERIVED, Derived, Formula};
use super::state::{Consequences, InputId, Lookup, State};

/// The axes in words that a mechanic reads.
pub const AXES: &str = "Lengths run from the middle of the bottom bracket: forward, to the rider's left, and up; \
                        bike upright on level ground, front wheel straight.";

/// Three coordinates.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Coordinates {
    /// Forward.
    pub x: f64,
    /// To the rider's left.
    pub y: f64,
    /// Up.
    pub z: f64,
}

/// One grip point in millimetres.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct GripPoint {
    /// Where it is.
    #[serde(flatten)]
    pub at: Coordinates,
    /// The expanded uncertainty of each coordinate.
    #[serde(rename = "U")]
    pub uncertainty: Coordinates,
    /// Whether first-order uncertainty is rough for any of them.
    pub rough: bool,
}

/// Both grip points.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct GripPoints {
    /// The left hand's.
    pub left: GripPoint,
    /// The right hand's.
    pub right: GripPoint,
}

/// One derived value.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DerivedValue {
    /// The value.
    pub value: f64,
    /// Its expanded uncertainty.
    #[serde(rename = "U")]
    pub uncertainty: f64,
    /// Its unit.
    pub unit: Unit,
    /// Whether first-order uncertainty is rough here.
    pub rough: bool,
    /// In plain words.
    pub title: &'static str,
    /// Whether it only says in another way what the others say.
    pub detail: bool,
}

/// What a derived value lacks.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Missing {
    /// Which derived value.
    pub derived: &'static str,
    /// The written paths of the measures; of two alternatives both. Empty where the readings contradict each other.
    pub needs: Vec<String>,
    /// The derived value in plain words.
    pub title: &'static str,
    /// The measures in plain words.
    pub needed: Vec<String>,
}

/// A measure that nobody wrote down and that counts as its natural value.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Assumption {
    /// Its written path.
    pub measure: String,
    /// In plain words.
    pub title: String,
    /// What it counts as.
    pub value: f64,
    /// The half-width it counts with.
    pub half_width: f64,
    /// The unit of both.
    pub unit: Unit,
}

/// One measure as it was written down.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Measured {
    /// Its written path.
    pub measure: String,
    /// The part it belongs to: "left brake lever".
    pub group: String,
    /// In plain words.
    pub title: &'static str,
    /// The mean in the default unit; null for a choice and for what is unmeasured.
    pub value: Option<f64>,
    /// Its expanded uncertainty.
    #[serde(rename = "U")]
    pub uncertainty: Option<f64>,
    /// The unit of the numbers.
    pub unit: Unit,
    /// As typed, with its unit; a choice's word.
    pub written: String,
    /// Half-width of the reading, in the default unit.
    pub half_width: Option<f64>,
    /// The instrument it was read with.
    pub instrument: Option<String>,
    /// How often it was read.
    pub repeats: usize,
}

/// The whole account.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Grips {
    /// The axes in words.
    pub axes: &'static str,
    /// The grip points; none if something they need is missing.
    pub grips: Option<GripPoints>,
    /// The other derived values, by name.
    #[serde(serialize_with = "in_the_lists_order")]
    pub derived: BTreeMap<&'static str, DerivedValue>,
    /// The written paths of what was assumed.
    pub assumed: Vec<String>,
    /// The same with what it counts as.
    pub assumptions: Vec<Assumption>,
    /// What is missing for what.
    pub missing: Vec<Missing>,
    /// Every measure of the setup, part by part.
    pub measured: Vec<Measured>,
    /// What a reader of the numbers must know.
    pub notes: Vec<String>,
}

fn in_the_lists_order<S: serde::Serializer>(
    derived: &BTreeMap<&'static str, DerivedValue>,
    serializer: S,
) -> Result<S::Ok, S::Error> {
    serializer.collect_map(in_order(derived))
}

fn in_order<'a>(
    derived: &'a BTreeMap<&'static str, DerivedValue>,
) -> impl Iterator<Item = (&'static str, &'a DerivedValue)> {
    DERIVED.iter().filter_map(|row| Some((row.name, derived.get(row.name)?)))
}

impl Grips {
    /// The derived values in the order of the screens.
    pub fn derived_in_order(&self) -> impl Iterator<Item = (&'static str, &DerivedValue)> {
        in_order(&self.derived)
    }
}

/// Everything that a state says about the hands.
pub fn account(state: &State) -> Grips {
    let (propagated, inputs, _) = state.propagate(&All);
    let outputs = &propagated.outputs;
    let assumed: Vec<&MeasureId> =
        inputs.iter().map(|input| &input.measure).filter(|id| state.is_assumed(id)).collect();
    Grips {
        axes: AXES,
        grips: grip_points(outputs),
        derived: derived_values(outputs),
        assumed: assumed.iter().map(|id| state.catalogue().path(id)).collect(),
        assumptions: assumed.iter().filter_map(|id| assumption(state, id)).collect(),
        missing: missing(state, outputs),
        measured: part_by_part(state),
        notes: [optimistic(state, &inputs), beyond_the_straight(state), rough(outputs)].concat(),
    }
}

fn grip_points(outputs: &[Option<Output>]) -> Option<GripPoints> {
    let mut points = [Coordinates::default(); 4];
    let mut is_rough = [false; 2];
    for (derived, output) in DERIVED.iter().zip(outputs) {
        let Formula::Grip(side, coordinate) = derived.formula else { continue };
        let output = output.as_ref()?;
        *coordinate.in_point(&mut points[side as usize]) = output.value;
        *coordinate.in_point(&mut points[2 + side as usize]) = output.expanded_uncertainty();
        is_rough[side as usize] |= output.rough;
    }
    let point = |side: Side| GripPoint {
        at: points[side as usize],
        uncertainty: points[2 + side as usize],
        rough: is_rough[side as usize],
    };
    Some(GripPoints { left: point(Side::Left), right: point(Side::Right) })
}

impl Coordinate {
    fn in_point(self, point: &mut Coordinates) -> &mut f64 {
        match self {
            Coordinate::X => &mut point.x,
            Coordinate::Y => &mut point.y,
            Coordinate::Z => &mut point.z,
        }
    }
}

fn is_grip(derived: &Derived) -> bool {
    matches!(derived.formula, Formula::Grip(..))
}

fn derived_values(outputs: &[Option<Output>]) -> BTreeMap<&'static str, DerivedValue> {
    let known = DERIVED.iter().zip(outputs).filter(|(derived, _)| !is_grip(derived));
    known
        .filter_map(|(derived, output)| {
            let output = output.as_ref()?;
            let value = DerivedValue {
                value: output.value,
                uncertainty: output.expanded_uncertainty(),
                unit: derived.unit,
                rough: output.rough,
                title: derived.title,
                detail: derived.detail,
            };
            Some((derived.name, value))
        })
        .collect()
}

fn missing(state: &State, outputs: &[Option<Output>]) -> Vec<Missing> {
    let lacking = DERIVED.iter().zip(outputs).filter(|(_, output)| output.is_none());
    lacking
        .map(|(derived, _)| {
            let needs = derived.missing(state);
            Missing {
                derived: derived.name,
                title: derived.title,
                needed: needs.iter().map(|id| state.catalogue().title(id)).collect(),
                needs: needs.iter().map(|id| state.catalogue().path(id)).collect(),
            }
        })
        .collect()
}

fn assumption(state: &State, id: &MeasureId) -> Option<Assumption> {
    let row = state.catalogue().measure(id.row);
    Some(Assumption {
        measure: state.catalogue().path(id),
        title: state.catalogue().title(id),
        value: state.value(id)?,
        half_width: row.tolerance(),
        unit: row.unit(),
    })
}

/// The measures, those of one part together, the parts in the order of their first measure.
fn part_by_part(state: &State) -> Vec<Measured> {
    let all: Vec<Measured> =
        state.setup().readings.iter().map(|(id, recorded)| measured(state, id, recorded)).collect();
    let mut groups: Vec<String> = Vec::new();
    for one in &all {
        if !groups.contains(&one.group) {
            groups.push(one.group.clone());
        }
    }
    let mut sorted = all;
    sorted.sort_by_key(|one| groups.iter().position(|group| *group == one.group));
    sorted
}

fn measured(state: &State, id: &MeasureId, recorded: &Recorded) -> Measured {
    let row = state.catalogue().measure(id.row);
    let reading = state.setup().reading(id);
    Measured {
        measure: state.catalogue().path(id),
        group: group(row.path, id),
        title: row.title,
        value: reading.map(Reading::value),
        uncertainty: reading.map(Reading::expanded_uncertainty),
        unit: row.unit(),
        written: match &recorded.value {
            Value::Reading(reading) => written(reading),
            Value::Choice(word) => (*word).to_owned(),
            Value::Unmeasured => "unmeasured".to_owned(),
        },
        half_width: reading.map(Reading::half_width),
        instrument: reading.and_then(Reading::instrument).map(ToOwned::to_owned),
        repeats: reading.map_or(0, |reading| reading.values().len()),
    }
}

/// The part a measure belongs to, in plain words.
fn group(path: &str, id: &MeasureId) -> String {
    let mut words = path.split('.');
    let first = words.next().unwrap_or_default();
    match (&id.subject.side, &id.subject.name) {
        (Some(side), _) => format!("{side} {}", words.next().unwrap_or_default().replace('-', " ")),
        (None, Some(name)) => format!("{name} {first}"),
        (None, None) => first.to_owned(),
    }
}

/// A reading as typed, every repeat of it, with its unit.
pub fn written(reading: &Reading) -> String {
    format!("{}{}", reading.digits().join(", "), reading.unit().sign())
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
