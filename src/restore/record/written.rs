//! What was written of one measure, and what stood there before.

use serde::Serialize;

use crate::catalogue::{Catalogue, MeasureId, Weight};
use crate::compare;
use crate::setup::model::{Setup, Value};

use super::KnownAgain;

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

impl Written {
    /// Whether it stands otherwise than before, and was not only read again.
    pub fn is_another(&self) -> bool {
        self.was.as_ref() != Some(&self.now)
    }
}

/// Each of what was written. What stands elsewhere than before its clamp was let go was, where it was `known` to be.
pub(super) fn all(
    catalogue: &Catalogue,
    before: &Setup,
    known: &Setup,
    (after, sheet): (&Setup, &Setup),
    again: &[KnownAgain],
    changed: &[&MeasureId],
) -> Vec<Written> {
    let is_elsewhere = |id: &MeasureId| again.iter().any(|one| one.id == *id && one.is_elsewhere());
    let was = |id: &MeasureId| if is_elsewhere(id) { known } else { before };
    changed.iter().map(|id| of(catalogue, was(id), after, sheet, id)).collect()
}

fn of(catalogue: &Catalogue, before: &Setup, after: &Setup, sheet: &Setup, id: &MeasureId) -> Written {
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
