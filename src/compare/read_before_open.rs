//! What a sheet read of a joint before the same sheet tells that it was open: it says nothing of how the joint stands now, and
//! is the last that anybody read there.

use chrono::NaiveDate;
use serde::Serialize;

use crate::catalogue::{Catalogue, MeasureId, Weight};
use crate::check::forgotten;
use crate::metrology::reading::Reading;
use crate::setup::dated;

use super::typed;

/// One such reading.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct ReadBeforeOpen {
    /// Which.
    #[serde(skip)]
    pub id: MeasureId,
    /// Its written path.
    pub measure: String,
    /// In plain words.
    pub title: String,
    /// How much it matters.
    pub weight: Weight,
    /// What it read, with its unit.
    pub found: String,
    /// When.
    pub read: Option<NaiveDate>,
    /// What was seen of its joint after that: "the left brake lever was opened".
    pub because: String,
    /// When that was seen.
    pub since: Option<NaiveDate>,
    /// All of it, in words that follow the measure's title.
    pub words: String,
    /// The same as a note keeps it.
    #[serde(skip)]
    pub note: String,
}

impl ReadBeforeOpen {
    /// What was read on that `day`, before what became of its joint `since`.
    pub fn of(
        catalogue: &Catalogue,
        (id, reading): (&MeasureId, &Reading),
        day: Option<NaiveDate>,
        (since, because): (Option<NaiveDate>, &str),
    ) -> Option<ReadBeforeOpen> {
        let (found, measure) = (typed(reading), catalogue.measure(id.row));
        let opened = format!("before {because} on {}", since?);
        let on = day.map_or_else(|| "read nobody says when".to_owned(), |day| format!("read {day}"));
        Some(ReadBeforeOpen {
            id: id.clone(),
            measure: catalogue.path(id),
            title: catalogue.title(id),
            weight: measure.weight,
            read: day,
            because: because.to_owned(),
            since,
            words: format!("{on}, {opened}: {found}"),
            note: format!("{}{} read {}, {opened}", dated::prefix(day), measure.word(), reading.in_words()),
            found,
        })
    }

    /// Where its note stands.
    pub fn place(&self, catalogue: &Catalogue) -> String {
        forgotten::place(catalogue, &self.id)
    }
}
