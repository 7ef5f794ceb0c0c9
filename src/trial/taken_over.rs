//! What a part that is not measured yet is counted with: the figures of the one that it replaces.
//!
//! A stem tried by its length alone has an angle and a clamp height of its own, which nobody knows. Those of the old one
//! stand in for them, and are told to; in a file they are no readings any more. Refuses to guess at the new ones.

use std::collections::BTreeSet;

use serde::Serialize;

use crate::catalogue::{Catalogue, HeldBy, MeasureId};
use crate::compare::Replaced;
use crate::metrology::reading::Reading;
use crate::setup::model::{Setup, Value};

use super::change::put;

/// What is said of the top cap wherever what is piled on the steerer is others' figures.
pub const TOP_CAP: &str = "The top cap has to clear the steerer's end by 2 to 3 mm (common practice, no source), or it \
                           meets it before it presses on the bearings: measure before you ride.";

/// The figures of old parts that count for new ones.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct TakenOver {
    /// The measures by their paths.
    pub measures: Vec<String>,
    /// That in a sentence.
    pub words: String,
    /// What the new part rests on beside them.
    pub top_cap: Option<&'static str>,
    #[serde(skip)]
    ids: Vec<MeasureId>,
}

impl TakenOver {
    /// What of the replaced parts was not asked for and stays as it was read on the old ones; none if nothing does.
    pub fn of(
        catalogue: &Catalogue,
        setup: &Setup,
        asked: &BTreeSet<MeasureId>,
        replaced: Option<&Replaced>,
    ) -> Option<TakenOver> {
        let replaced = replaced?;
        let is_theirs = |id: &MeasureId| {
            let measure = catalogue.measure(id.row);
            let is_a_figure = measure.is_of_the_part() || measure.held_by == HeldBy::Cutting;
            is_a_figure && id.subject.side.is_none() && replaced.parts.contains(&measure.part())
        };
        let ids = setup.readings.keys().filter(|id| is_theirs(id) && !asked.contains(id));
        let known: Vec<(&MeasureId, &Reading)> =
            ids.filter_map(|id| Some((id, setup.reading(id)?))).collect();
        if known.is_empty() {
            return None;
        }
        let figure = |(id, reading): &(&MeasureId, &Reading)| {
            format!("{} {}", catalogue.title(id), reading.in_words())
        };
        let figures: Vec<String> = known.iter().map(figure).collect();
        let parts = replaced.words();
        let words = format!("Taken from the old {parts}: {}. Measure the new {parts}.", figures.join(", "));
        Some(TakenOver {
            measures: known.iter().map(|(id, _)| catalogue.path(id)).collect(),
            words,
            top_cap: replaced.parts.contains(&"stem").then_some(TOP_CAP),
            ids: known.into_iter().map(|(id, _)| id.clone()).collect(),
        })
    }

    /// Makes them what they are in a changed setup: figures, as finely known as such usually are, that nobody read with
    /// anything. Gives those that were readings.
    pub fn unread(&self, catalogue: &Catalogue, changed: &mut Setup) -> Vec<MeasureId> {
        let mut unread = Vec::new();
        for id in &self.ids {
            let tolerance = catalogue.measure(id.row).tolerance();
            let Some(was) = changed.reading(id) else { continue };
            let digits = was.digits().iter().cloned();
            let bare =
                Reading::new(was.values().iter().copied(), digits, was.unit(), was.default_unit(), tolerance);
            if let Some(bare) = bare.filter(|bare| bare != was) {
                put(changed, id, Value::Reading(bare));
                unread.push(id.clone());
            }
        }
        unread
    }
}
