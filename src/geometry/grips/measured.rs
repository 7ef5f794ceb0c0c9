//! Every measure of a setup as it was written down, part by part.

use serde::Serialize;

use crate::catalogue::MeasureId;
use crate::geometry::state::State;
use crate::metrology::reading::Reading;
use crate::metrology::unit::Unit;
use crate::setup::model::{Recorded, Value};

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

/// The measures, those of one part together, the parts in the order of their first measure.
pub(super) fn part_by_part(state: &State) -> Vec<Measured> {
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
