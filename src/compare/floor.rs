//! The ground under the bike: a shift that all angles against gravity share is the floor, not the levers.

use serde::Serialize;

use crate::catalogue::{Gravity, MeasureId};
use crate::geometry::state::{Difference, Layer};
use crate::metrology::COVERAGE_FACTOR;

use super::measures::Level;

/// The fewest angles that can vouch for a common shift.
const FEWEST: usize = 3;

/// The shift that the angles against gravity share.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct CommonShift {
    /// By how much tips point lower, in degrees.
    pub shift: f64,
    /// Its expanded uncertainty.
    #[serde(rename = "U")]
    pub uncertainty: f64,
    /// The angles it explains within reading.
    pub explains: Vec<String>,
    /// The angles that it does not explain.
    pub leaves: Vec<String>,
}

impl CommonShift {
    /// The shift of an angle of that kind: a floor that drops tips drops noses the other way round.
    pub fn of(&self, gravity: Gravity) -> f64 {
        match gravity {
            Gravity::TipDown => self.shift,
            Gravity::NoseUp => -self.shift,
            Gravity::None => 0.0,
        }
    }
}

struct Angle {
    path: String,
    shift: f64,
    standard: f64,
}

/// The common shift, if no floor was recorded on one of the sides at least, three angles or more were read on both,
/// and one shift explains at least three of them and more than half within reading.
pub fn common_shift(difference: &Difference) -> Option<CommonShift> {
    if difference.from.floor().is_some() && difference.to.floor().is_some() {
        return None;
    }
    let angles = angles(difference);
    let explained = best_subset(&angles)?;
    let (shift, standard) = mean(&explained)?;
    let uncertainty = COVERAGE_FACTOR * standard;
    // A shift that is itself within reading accuses nobody.
    if shift.abs() <= uncertainty {
        return None;
    }
    let leaves = angles.iter().filter(|angle| !explained.iter().any(|other| other.path == angle.path));
    Some(CommonShift {
        shift,
        uncertainty,
        explains: explained.iter().map(|angle| angle.path.clone()).collect(),
        leaves: leaves.map(|angle| angle.path.clone()).collect(),
    })
}

/// The angles read anew on both sides, as tip-down shifts.
fn angles(difference: &Difference) -> Vec<Angle> {
    let catalogue = difference.from.catalogue();
    let mut found = Vec::new();
    let read: Vec<MeasureId> = difference.to.readings().cloned().collect();
    for id in &read {
        let gravity = catalogue.measure(id.row).gravity;
        if gravity == Gravity::None || difference.to.layer(id) == Layer::Turn {
            continue;
        }
        let (propagated, inputs) = difference.propagate(&Level(id));
        if inputs.iter().any(|input| input.shared && input.input.measure == *id) {
            continue;
        }
        let Some(output) = propagated.output(0) else { continue };
        let sign = if gravity == Gravity::NoseUp { -1.0 } else { 1.0 };
        found.push(Angle {
            path: catalogue.path(id),
            shift: sign * output.value,
            standard: output.standard_uncertainty,
        });
    }
    found
}

/// The largest set of angles that one shift explains, each within its own reading: tried around every angle in turn.
fn best_subset(angles: &[Angle]) -> Option<Vec<&Angle>> {
    let agrees =
        |centre: f64, angle: &Angle| (angle.shift - centre).abs() <= COVERAGE_FACTOR * angle.standard;
    let mut best: Vec<&Angle> = Vec::new();
    for seed in angles {
        let mut set: Vec<&Angle> = angles.iter().filter(|angle| agrees(seed.shift, angle)).collect();
        if let Some((centre, _)) = mean(&set) {
            set = angles.iter().filter(|angle| agrees(centre, angle)).collect();
        }
        if set.len() > best.len() {
            best = set;
        }
    }
    (best.len() >= FEWEST && best.len() * 2 > angles.len()).then_some(best)
}

/// Weighted least squares for one constant, and its standard uncertainty.
fn mean(angles: &[&Angle]) -> Option<(f64, f64)> {
    let weight = |angle: &&Angle| if angle.standard > 0.0 { angle.standard.powi(-2) } else { 1e12 };
    let total: f64 = angles.iter().map(weight).sum();
    if total <= 0.0 {
        return None;
    }
    let shift = angles.iter().map(|angle| weight(angle) * angle.shift).sum::<f64>() / total;
    Some((shift, total.sqrt().recip()))
}
