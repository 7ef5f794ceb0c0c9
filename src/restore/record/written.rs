//! What was written of one measure, and what stood there before.

use serde::Serialize;

use crate::catalogue::{MeasureId, Weight};
use crate::compare::{self, Comparison};
use crate::geometry::state::State;
use crate::setup::model::{Setup, Value};

use super::{KnownAgain, set_back};

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
    /// How far it was moved on a bar that itself was rolled or cut, if it was: "3.0° tip up on the bar".
    #[serde(skip_serializing_if = "Option::is_none")]
    pub on_the_bar: Option<String>,
    /// Whether it was worked out, and not read on the sheet.
    pub worked_out: bool,
    /// Whether it is a point that was taken along with its control, or with the bar.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub turned_along: bool,
}

impl Written {
    /// How it is known where nobody read it, to follow what it was.
    pub fn how(&self) -> &'static str {
        match (self.turned_along, self.worked_out) {
            (true, _) => "; taken along, not read",
            (false, true) => "; worked out, not read",
            (false, false) => "",
        }
    }

    /// Whether it stands otherwise than before, and was not only read again.
    pub fn is_another(&self) -> bool {
        self.was.as_ref() != Some(&self.now) || self.on_the_bar.is_some()
    }
}

/// Each of what was written. What stands elsewhere than before its clamp was let go was, where it was `known` to be.
pub(super) fn all(
    known: &State,
    before: &Setup,
    (after, sheet): (&Setup, &Setup),
    (again, comparison): (&[KnownAgain], &Comparison),
    changed: &[&MeasureId],
) -> Vec<Written> {
    let catalogue = known.catalogue();
    let is_elsewhere = |id: &MeasureId| again.iter().any(|one| one.id == *id && one.is_elsewhere());
    let was = |id: &MeasureId| if is_elsewhere(id) { known.setup() } else { before };
    let of = |id: &MeasureId| Written {
        measure: catalogue.path(id),
        title: catalogue.title(id),
        weight: catalogue.measure(id.row).weight,
        was: held_words(was(id), id),
        now: held_words(after, id).unwrap_or_default(),
        on_the_bar: set_back::on_the_bar(comparison, id),
        worked_out: sheet.recorded(id).is_none(),
        turned_along: sheet.recorded(id).is_none() && catalogue.measure(id.row).goes_along(),
    };
    changed.iter().map(|id| of(id)).collect()
}

/// What a file says of a measure, with its unit.
pub(super) fn held_words(setup: &Setup, id: &MeasureId) -> Option<String> {
    Some(match &setup.recorded(id)?.value {
        Value::Reading(reading) => compare::typed(reading),
        Value::Choice(word) => (*word).to_owned(),
        Value::Unmeasured => UNMEASURED.to_owned(),
    })
}
