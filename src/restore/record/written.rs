//! What was written of one measure, and what stood there before.

use serde::Serialize;

use crate::catalogue::{Catalogue, MeasureId, Weight};
use crate::compare;
use crate::setup::model::{Setup, Value};

/// What a file says of what nobody knows.
pub(super) const UNMEASURED: &str = "unmeasured";

/// One measure that was written.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Written {
    /// Its written path.
    pub measure: String,
    /// In plain words.
    pub title: String,
    /// How much it matters.
    pub weight: Weight,
    /// As it stood, with its unit; none if it is new.
    pub was: Option<String>,
    /// As it stands, with its unit.
    pub now: String,
    /// Whether it was worked out, and not read on the sheet.
    pub worked_out: bool,
}

pub(super) fn of(
    catalogue: &Catalogue,
    before: &Setup,
    after: &Setup,
    sheet: &Setup,
    id: &MeasureId,
) -> Written {
    Written {
        measure: catalogue.path(id),
        title: catalogue.title(id),
        weight: catalogue.measure(id.row).weight,
        was: held_words(before, id),
        now: held_words(after, id).unwrap_or_default(),
        worked_out: sheet.recorded(id).is_none(),
    }
}

/// What a file says of a measure, with its unit.
pub(super) fn held_words(setup: &Setup, id: &MeasureId) -> Option<String> {
    Some(match &setup.recorded(id)?.value {
        Value::Reading(reading) => compare::typed(reading),
        Value::Choice(word) => (*word).to_owned(),
        Value::Unmeasured => UNMEASURED.to_owned(),
    })
}
