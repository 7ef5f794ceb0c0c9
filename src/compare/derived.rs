//! What the changes did to the hands: derived values, their verdicts, and the readings that drive them.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::catalogue::MeasureId;
use crate::compare::measures::can_differ;
use crate::geometry::derived::{All, DERIVED, Derived};
use crate::geometry::state::{Difference, DifferenceInput};
use crate::metrology::propagate::Output;
use crate::metrology::show;
use crate::metrology::verdict::{Verdict, judge};
use crate::metrology::{COVERAGE_FACTOR, NEGLIGIBLE};

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
    /// How a value of it is said that lies below nothing, where one does.
    #[serde(skip)]
    pub below_nothing: Option<&'static str>,
}

/// All derived values that either state has.
pub fn changes(difference: &Difference) -> Vec<DerivedChange> {
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
            (change.verdict, change.driven_by) = settled(difference, output, &inputs, change.verdict);
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
    let is_below = |value: Option<f64>| value.is_some_and(|value| value < 0.0);
    let below_nothing = derived.below_nothing.filter(|_| is_below(was) || is_below(now));
    let delta = output.map_or(0.0, |output| output.value);
    let direction = match below_nothing {
        Some(words) => {
            if delta < 0.0 {
                words.less
            } else {
                words.more
            }
        }
        None => derived.direction(delta),
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
        direction,
        driven_by: Vec::new(),
        detail: derived.detail,
        rough: output.is_some_and(|output| output.rough),
        below_nothing: below_nothing.map(|words| words.word),
    }
}

impl DerivedChange {
    /// One of its two values in words: "12.3 mm", "7.0 mm above it".
    pub fn held(&self, value: f64, decimals: usize, unit: &str) -> String {
        match self.below_nothing.filter(|_| value < 0.0) {
            Some(word) => format!("{}{unit} {word}", show::plain(-value, decimals)),
            None => format!("{}{unit}", show::plain(value, decimals)),
        }
    }
}

/// The verdict on a change, *corrected* in place of *moved* where only figures of what cannot move bring it about, and the
/// measures that carried it, by how far.
pub fn settled(
    difference: &Difference,
    output: Option<&Output>,
    inputs: &[DifferenceInput],
    verdict: Verdict,
) -> (Verdict, Vec<String>) {
    let carried = output.map(|output| carried(difference, output, inputs)).unwrap_or_default();
    let is_corrected = verdict == Verdict::Moved && is_corrected(&carried);
    let verdict = if is_corrected { Verdict::Corrected } else { verdict };
    (verdict, driven_by(difference, carried))
}

/// What one measure adds to a change, to first order like the uncertainty.
struct Carried {
    id: MeasureId,
    part: f64,
    /// Of its readings that are not shared.
    variance: f64,
    can_move: bool,
}

/// The measures whose readings are not shared and that reach the value.
fn carried(difference: &Difference, output: &Output, inputs: &[DifferenceInput]) -> Vec<Carried> {
    let mut sums: BTreeMap<&MeasureId, (f64, f64, f64)> = BTreeMap::new();
    for (input, sensitivity) in inputs.iter().zip(&output.sensitivities) {
        if input.shared || *sensitivity == 0.0 {
            continue;
        }
        let state = if input.later { &difference.to } else { &difference.from };
        let uncertain = sensitivity * state.standard_uncertainty(&input.input).unwrap_or(0.0);
        // The earlier state stands with a minus; between the two slopes lies the one that joins them.
        let slope = if input.later { *sensitivity } else { -sensitivity };
        let (slopes, count, variance) = sums.entry(&input.input.measure).or_default();
        *slopes += slope;
        *count += 1.0;
        *variance += uncertain.powi(2);
    }
    let carried = |(id, (slopes, count, variance)): (&MeasureId, (f64, f64, f64))| {
        let delta = difference.to.value(id).unwrap_or(0.0) - difference.from.value(id).unwrap_or(0.0);
        let part = if delta.abs() < NEGLIGIBLE { 0.0 } else { slopes / count * delta };
        Carried { id: id.clone(), part, variance, can_move: can_differ(difference, id) }
    };
    sums.into_iter().map(carried).collect()
}

/// A change that figures of what cannot move bring about is a correction, not a move: what the measures that can
/// move add to it is nothing, or within their own reading.
fn is_corrected(carried: &[Carried]) -> bool {
    let moving = || carried.iter().filter(|carried| carried.can_move);
    let moved: f64 = moving().map(|carried| carried.part).sum();
    let variance: f64 = moving().map(|carried| carried.variance).sum();
    let by_figures = carried.iter().any(|carried| !carried.can_move && carried.part != 0.0);
    by_figures && judge(moved, COVERAGE_FACTOR * variance.sqrt()) != Verdict::Moved
}

/// The measures that carried it, by how far.
fn driven_by(difference: &Difference, mut carried: Vec<Carried>) -> Vec<String> {
    carried.retain(|carried| carried.part != 0.0);
    carried.sort_by(|a, b| b.part.abs().total_cmp(&a.part.abs()));
    carried.into_iter().map(|carried| difference.from.catalogue().path(&carried.id)).collect()
}
