//! Angles against gravity that were read on ground whose slope the sheet does not give, though the file's own were put down to
//! level ground.
//!
//! Written, such an angle would be taken for one that was read on the file's own ground, and every later page would be off
//! by the slope. It is held back until the slope is read; nor is a clamp taken to have been opened for it.

use std::borrow::Cow;

use serde::Serialize;

use crate::catalogue::{Catalogue, Gravity, MeasureId, Weight};
use crate::compare::{self, Comparison};
use crate::geometry::state::State;
use crate::setup::model::{Setup, Value};

use super::super::evidence;
use super::written::held_words;

/// One angle that is not written.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct OnUnreadGround {
    /// Its written path.
    pub measure: String,
    /// In plain words.
    pub title: String,
    /// How much it matters.
    pub weight: Weight,
    /// What the file has, with its unit; none if it is new.
    pub was: Option<String>,
    /// What the sheet reads, with its unit.
    pub found: String,
    /// Whether it would have moved, had the ground been level.
    pub moved: bool,
}

impl OnUnreadGround {
    /// "left brake lever angle 28° (recorded 32°)".
    pub fn words(&self) -> String {
        let was = self.was.as_ref().map(|was| format!(" (recorded {was})")).unwrap_or_default();
        format!("{} {}{was}", self.title, self.found)
    }
}

/// The sheet with only what was read on known ground: all of it, where the file says nothing of its own ground either, unless
/// all angles read otherwise by as much and the ground is taken to be behind that.
pub(super) fn on_known_ground<'s>(recorded: &State, sheet: &'s Setup) -> Cow<'s, Setup> {
    let found = recorded.found(sheet, None);
    let is_known = match (recorded.floor().is_some(), found.floor().is_some()) {
        (true, true) => true,
        (true, false) => false,
        (false, _) => {
            let evidence = evidence::weigh(recorded.catalogue(), recorded.setup(), sheet);
            let found = recorded.found(sheet, Some(&evidence.turns));
            !compare::is_put_down_to_the_ground(*recorded, found)
        }
    };
    if is_known {
        return Cow::Borrowed(sheet);
    }
    let catalogue = recorded.catalogue();
    if !sheet.readings.iter().any(|(id, recorded)| is_such(catalogue, id, &recorded.value)) {
        return Cow::Borrowed(sheet);
    }
    let mut known = sheet.clone();
    known.readings.retain(|id, recorded| !is_such(catalogue, id, &recorded.value));
    Cow::Owned(known)
}

/// Those of a sheet that would be written and are not, the dangerous first; `comparison` is of all that the sheet reads.
pub(super) fn held_back(
    catalogue: &Catalogue,
    before: &Setup,
    sheet: &Setup,
    comparison: &Comparison,
    is_due: impl Fn(&MeasureId) -> bool,
) -> Vec<OnUnreadGround> {
    let one = |id: &MeasureId| OnUnreadGround {
        measure: catalogue.path(id),
        title: catalogue.title(id),
        weight: catalogue.measure(id.row).weight,
        was: held_words(before, id),
        found: held_words(sheet, id).unwrap_or_default(),
        moved: comparison.moved_at_their_joint().any(|change| change.id == *id),
    };
    let mut all: Vec<OnUnreadGround> = sheet.readings.keys().filter(|id| is_due(id)).map(one).collect();
    all.sort_by_key(|one| one.weight);
    all
}

fn is_such(catalogue: &Catalogue, id: &MeasureId, value: &Value) -> bool {
    catalogue.measure(id.row).gravity != Gravity::None && matches!(value, Value::Reading(_))
}
