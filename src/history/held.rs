//! The named values of one revision, each with what became of it since the content before.

use serde::Serialize;

use crate::catalogue::MeasureId;
use crate::compare::{Change, DerivedChange, typed};
use crate::geometry::derived::{All, DERIVED, Derived};
use crate::geometry::state::State;
use crate::metrology::propagate::{Output, Propagated};
use crate::metrology::reading::Reading;
use crate::metrology::verdict::Verdict;
use crate::metrology::{NEGLIGIBLE, show};
use crate::setup::model::Value;

use super::entry::{Compared, Entry};
use super::wanted::Wanted;

/// A value as one revision has it.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Held {
    pub(super) value: Option<f64>,
    pub(super) uncertainty: Option<f64>,
    pub(super) written: Option<String>,
    pub(super) rough: bool,
    pub(super) verdict: Option<Verdict>,
    pub(super) moved: Option<String>,
    /// Of one that stands as it was, whether it is known better or less well than before.
    pub(super) known: Option<Known>,
    /// What of the ground that it was read on only one of the contents compared tells.
    pub(super) ground: Option<&'static str>,
    /// Of a merge whose versions differ in it.
    pub(super) kept: Option<Kept>,
    /// Whether one of them had changed it to something else.
    pub(super) is_choice: bool,
}

/// How well a value is known that stands as it was.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Known {
    /// Its uncertainty is less than before.
    Better,
    /// Its uncertainty is more than before.
    LessWell,
}

/// Which of its versions a merge took a value from.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Kept {
    /// The shortened hash of a version that has this value.
    pub from: String,
    /// The other values and the versions that have them.
    pub not: Vec<Passed>,
}

/// A value that a merge did not take.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Passed {
    /// The value as typed; a derived one as a number; none where that version does not have it.
    pub written: Option<String>,
    /// The shortened hash of the version.
    pub short: String,
}

/// The named values of a state; `entry` holds what changed since the states `before`, of a merge several.
pub fn held(state: &State, wanted: &[Wanted], entry: &Entry, before: &[State]) -> Vec<Held> {
    let derived = wanted.iter().any(|wanted| matches!(wanted, Wanted::Derived(_)));
    let worked_out = derived.then(|| WorkedOut::of(state, entry, before));
    let of = |wanted: &Wanted| match wanted {
        Wanted::Measure(id) => of_measure(state, id, entry, before),
        Wanted::Derived(derived) => {
            worked_out.as_ref().map(|outputs| of_derived(derived, entry, outputs)).unwrap_or_default()
        }
    };
    let mut values: Vec<Held> = wanted.iter().map(of).collect();
    if !entry.is_compared() {
        for value in &mut values {
            value.verdict = None;
        }
    }
    values
}

fn of_measure(state: &State, id: &MeasureId, entry: &Entry, before: &[State]) -> Held {
    let path = state.catalogue().path(id);
    let change = entry.changes.iter().find(|change| change.measure == path);
    let reading = state.number(id);
    let doubt = |state: &State| state.number(id).map(Reading::expanded_uncertainty);
    Held {
        value: reading.map(Reading::value),
        uncertainty: doubt(state),
        written: state.held(id).map(written),
        rough: reading.is_some_and(Reading::is_optimistic),
        verdict: Some(change.map_or(Verdict::Same, |change| change.verdict)),
        moved: change.and_then(|change| change.moved.clone()),
        known: known(change.is_none(), doubt(state), before.iter().map(doubt)),
        ground: entry.on_unread_ground(id),
        ..in_merge(entry, |changes, _| {
            let change = changes.iter().find(|change| change.measure == path)?;
            Some(change.was_written.clone())
        })
    }
}

/// All derived values of a state, and how well those before it knew them, where that may differ.
struct WorkedOut {
    values: Vec<Option<f64>>,
    outputs: Propagated,
    before: Vec<Propagated>,
}

impl WorkedOut {
    fn of(state: &State, entry: &Entry, before: &[State]) -> WorkedOut {
        let before = before.iter().filter(|_| entry.compared == Compared::ReadOtherwise);
        WorkedOut {
            values: state.values(&All),
            outputs: state.propagate(&All).0,
            before: before.map(|before| before.propagate(&All).0).collect(),
        }
    }
}

fn of_derived(derived: &Derived, entry: &Entry, worked_out: &WorkedOut) -> Held {
    let index = DERIVED.iter().position(|other| other.name == derived.name).unwrap_or_default();
    let output = worked_out.outputs.output(index);
    let change = entry.derived.iter().find(|change| change.name == derived.name);
    let verdict = change.map_or(Verdict::Same, |change| change.verdict);
    let doubt = |output: Option<&Output>| output.map(Output::expanded_uncertainty);
    let doubted = worked_out.before.iter().map(|before| doubt(before.output(index)));
    Held {
        value: worked_out.values.get(index).copied().flatten(),
        uncertainty: doubt(output),
        rough: output.is_some_and(|output| output.rough),
        verdict: Some(verdict),
        moved: change.filter(|change| change.verdict == Verdict::Moved).and_then(amount),
        known: known(verdict == Verdict::Same, doubt(output), doubted),
        ..in_merge(entry, |_, changes| {
            let change = changes.iter().find(|change| change.name == derived.name)?;
            let differs = change.verdict != Verdict::Same;
            differs.then(|| change.was.map(|was| show::plain(was, 1) + derived.unit.sign()))
        })
    }
}

/// Whether a value that is the same is known otherwise than in all of these; `doubts` are expanded uncertainties.
fn known(is_same: bool, doubt: Option<f64>, before: impl Iterator<Item = Option<f64>>) -> Option<Known> {
    let doubt = doubt.filter(|_| is_same)?;
    let otherwise = |was: Option<f64>| {
        let more = doubt - was?;
        let known = if more > 0.0 { Known::LessWell } else { Known::Better };
        (more.abs() >= NEGLIGIBLE).then_some(known)
    };
    let all: Vec<Option<Known>> = before.map(otherwise).collect();
    let first = *all.first()?;
    first.filter(|_| all.iter().all(|one| *one == first))
}

/// How the versions that a merge joined have one value; `other` tells what a version has otherwise than the merge.
fn in_merge(entry: &Entry, other: impl Fn(&[Change], &[DerivedChange]) -> Option<Option<String>>) -> Held {
    let mut kept = Kept { from: String::new(), not: Vec::new() };
    for (short, changes, derived) in &entry.joined.versions {
        match other(changes, derived) {
            Some(written) => kept.not.push(Passed { written, short: short.clone() }),
            None if kept.from.is_empty() => kept.from.clone_from(short),
            None => {}
        }
    }
    // Where no version has it so, the merge changed it, and where all have, nothing was to be decided.
    let decided = !kept.from.is_empty() && !kept.not.is_empty();
    let is_choice =
        entry.joined.not_taken.iter().any(|version| other(&version.changes, &version.derived).is_some());
    Held { kept: decided.then_some(kept), is_choice, ..Held::default() }
}

/// "4.5 ± 0.2 mm down".
fn amount(change: &DerivedChange) -> Option<String> {
    let (value, expanded) = show::with_uncertainty(change.delta?.abs(), change.uncertainty?, 1);
    let sign = DERIVED.iter().find(|derived| derived.name == change.name)?.unit.sign();
    Some(format!("{value} ± {expanded}{sign} {}", change.direction))
}

fn written(value: &Value) -> String {
    match value {
        Value::Reading(reading) => typed(reading),
        Value::Choice(word) => (*word).to_owned(),
        Value::Unmeasured => "unmeasured".to_owned(),
    }
}
