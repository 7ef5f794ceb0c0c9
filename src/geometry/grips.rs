//! The finished account of where the hands are: measured and derived values, what was assumed, what is missing.
//!
//! A plain struct, in the axes of [`super::cockpit`]; it knows no revision, file or screen.

mod measured;
mod notes;
mod report;

use std::collections::BTreeMap;

use serde::Serialize;

use crate::catalogue::{MeasureId, Side};
use crate::metrology::propagate::Output;
use crate::metrology::unit::Unit;

pub use measured::{Measured, written};
pub use report::{Report, UNITS, Units};

use measured::part_by_part;
use notes::notes;

use super::derived::{All, Coordinate, DERIVED, Derived, Formula};
use super::state::State;

/// The axes in words that a mechanic reads.
pub const AXES: &str = "Lengths run from the middle of the bottom bracket: forward, to the rider's left (minus: \
                        right), and up; bike upright on level ground, front wheel straight.";

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
    /// The measures in plain words, alternatives together: "bar setback or bend".
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
        missing: missing(state),
        measured: part_by_part(state),
        notes: notes(state, &inputs, outputs),
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

/// The derived values that cannot be computed, with what each lacks.
pub fn missing(state: &State) -> Vec<Missing> {
    let values = state.values(&All);
    let lacking = DERIVED.iter().zip(&values).filter(|(_, value)| value.is_none());
    lacking
        .map(|(derived, _)| {
            let lacking = derived.lacking(state);
            let title = |id: &MeasureId| state.catalogue().title(id);
            let either = |ids: &Vec<MeasureId>| ids.iter().map(title).collect::<Vec<_>>().join(" or ");
            Missing {
                derived: derived.name,
                title: derived.title,
                needed: lacking.iter().map(either).collect(),
                needs: lacking.iter().flatten().map(|id| state.catalogue().path(id)).collect(),
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
