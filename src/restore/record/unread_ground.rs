//! Angles against gravity that were read on ground whose slope the sheet does not give, though the file's own were put down to
//! level ground; and those on a slope that the sheet gives, where the file does not tell its own.
//!
//! Written, such an angle would be taken for one that was read on the file's own ground, and every later page would be off
//! by the slope. It is held back until the slope is known; nor is a clamp taken to have been opened for it.

use std::borrow::Cow;

use serde::Serialize;

use crate::catalogue::{Catalogue, Gravity, MeasureId, Weight};
use crate::compare::{self, Comparison};
use crate::geometry::state::State;
use crate::setup::model::{Recorded, Setup, Value};

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

/// The sheet with only what was read on known ground, and can be held against what the file has.
pub(super) fn on_known_ground<'s>(recorded: &State, sheet: &'s Setup) -> Cow<'s, Setup> {
    let catalogue = recorded.catalogue();
    let kept_from = held_from(recorded, sheet);
    let is_held = |id: &MeasureId| match kept_from {
        Held::Nothing => false,
        Held::All => true,
        Held::WhatIsCompared => recorded.number(id).is_some(),
    };
    let is_left = |(id, told): (&MeasureId, &Recorded)| is_such(catalogue, id, &told.value) && is_held(id);
    if !sheet.readings.iter().any(is_left) {
        return Cow::Borrowed(sheet);
    }
    let mut known = sheet.clone();
    known.readings.retain(|id, told| !is_left((id, told)));
    Cow::Owned(known)
}

/// Which angles against gravity of a sheet are not written.
enum Held {
    Nothing,
    All,
    /// Those that the file has, on ground of which it does not tell: what is new to it stands to the level.
    WhatIsCompared,
}

/// All where the file alone tells its ground, or where all angles read otherwise by as much and the ground is taken to be
/// behind that; what is compared where the sheet alone tells it, and that it slopes.
fn held_from(recorded: &State, sheet: &Setup) -> Held {
    match (recorded.floor().is_some(), recorded.found(sheet, None).floor().is_some()) {
        (true, true) => Held::Nothing,
        (true, false) => Held::All,
        (false, _) => {
            let evidence = evidence::weigh(recorded.catalogue(), recorded.setup(), sheet);
            let found = recorded.found(sheet, Some(&evidence.turns));
            if compare::is_put_down_to_the_ground(*recorded, found) {
                Held::All
            } else if compare::is_ground_of_the_earlier_in_doubt(*recorded, found) {
                Held::WhatIsCompared
            } else {
                Held::Nothing
            }
        }
    }
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
