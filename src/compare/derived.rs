//! What the changes did to the hands: derived values, their verdicts, and the readings that drive them.

use serde::Serialize;

use crate::geometry::derived::{All, DERIVED, Derived};
use crate::geometry::state::{Difference, DifferenceInput};
use crate::metrology::propagate::Output;
use crate::metrology::verdict::{Verdict, judge};

use super::measures::Change;

/// One derived value in both states.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct DerivedChange {
    /// Its name.
    pub name: &'static str,
    /// In plain words.
    pub title: &'static str,
    /// What it was.
    pub was: Option<f64>,
    /// What it is.
    pub now: Option<f64>,
    /// Now minus was.
    pub delta: Option<f64>,
    /// Its expanded uncertainty: readings that both states share cancel.
    #[serde(rename = "U")]
    pub uncertainty: Option<f64>,
    /// The unit.
    pub unit: &'static str,
    /// The verdict.
    pub verdict: Verdict,
    /// The word for the change: "up".
    pub direction: &'static str,
    /// The measures whose readings differ and reach it, strongest first.
    pub driven_by: Vec<String>,
    /// Whether a short screen leaves it out.
    #[serde(skip)]
    pub detail: bool,
    /// Whether first-order uncertainty is rough here.
    pub rough: bool,
}

/// All derived values that either state has.
pub fn changes(difference: &Difference, measures: &[Change]) -> Vec<DerivedChange> {
    let was = difference.from.values(&All);
    let now = difference.to.values(&All);
    let (propagated, inputs) = difference.propagate(&All);
    DERIVED
        .iter()
        .enumerate()
        .filter(|(index, _)| was[*index].is_some() || now[*index].is_some())
        .map(|(index, derived)| {
            let output = propagated.output(index);
            let mut change = change(derived, was[index], now[index], output);
            change.driven_by = driven_by(difference, output, &inputs);
            change.verdict = settled(change.verdict, &change.driven_by, measures);
            change
        })
        .collect()
}

fn change(derived: &Derived, was: Option<f64>, now: Option<f64>, output: Option<&Output>) -> DerivedChange {
    let verdict = match (was, now, output) {
        (None, _, _) => Verdict::Recorded,
        (_, None, _) => Verdict::NotRecorded,
        (_, _, Some(output)) => judge(output.value, output.expanded_uncertainty()),
        (Some(_), Some(_), None) => Verdict::WithinReading,
    };
    DerivedChange {
        name: derived.name,
        title: derived.title,
        was,
        now,
        delta: output.map(|output| output.value),
        uncertainty: output.map(Output::expanded_uncertainty),
        unit: derived.unit.word(),
        verdict,
        direction: derived.direction(output.map_or(0.0, |output| output.value)),
        driven_by: Vec::new(),
        detail: derived.detail,
        rough: output.is_some_and(|output| output.rough),
    }
}

/// A change that only re-read figures drive is a correction, not a move.
pub fn settled(verdict: Verdict, driven_by: &[String], measures: &[Change]) -> Verdict {
    let re_read = |driver: &String| {
        measures.iter().any(|measure| measure.measure == *driver && measure.verdict == Verdict::ReRead)
    };
    if verdict == Verdict::Moved && !driven_by.is_empty() && driven_by.iter().all(re_read) {
        Verdict::Corrected
    } else {
        verdict
    }
}

/// The measures whose readings are not shared and that reach the value, by how far they carried it.
pub fn driven_by(
    difference: &Difference,
    output: Option<&Output>,
    inputs: &[DifferenceInput],
) -> Vec<String> {
    let Some(output) = output else { return Vec::new() };
    let mut carried: Vec<(f64, String)> = Vec::new();
    for (input, sensitivity) in inputs.iter().zip(&output.sensitivities) {
        if input.shared || *sensitivity == 0.0 {
            continue;
        }
        let id = &input.input.measure;
        let path = difference.from.catalogue().path(id);
        if carried.iter().any(|(_, known)| *known == path) {
            continue;
        }
        let delta = difference.to.value(id).unwrap_or(0.0) - difference.from.value(id).unwrap_or(0.0);
        if delta.abs() >= crate::metrology::NEGLIGIBLE {
            carried.push(((sensitivity * delta).abs(), path));
        }
    }
    carried.sort_by(|a, b| b.0.total_cmp(&a.0));
    carried.into_iter().map(|(_, path)| path).collect()
}
