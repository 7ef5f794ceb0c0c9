//! Angles of controls that were read before the bar was rolled: those that two setups hold so, and those that are told
//! otherwise since.

use serde::Serialize;

use crate::catalogue::table::BAR_ROLL;
use crate::catalogue::{Catalogue, MeasureId, joint};
use crate::check::before_the_roll;
use crate::geometry::state::{Difference, Layer};
use crate::setup::model::Setup;

use super::anew::{day_of, is_older_than_the_roll, is_read_again};
use super::on_bar::is_rolled;
use super::typed;

/// What two setups hold as it was read before the bar, or the lever it hangs on, was set otherwise.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct ReadBefore {
    /// Its written path.
    pub measure: String,
    /// In plain words.
    pub title: String,
}

impl ReadBefore {
    pub(super) fn of(catalogue: &Catalogue, id: &MeasureId) -> ReadBefore {
        ReadBefore { measure: catalogue.path(id), title: catalogue.title(id) }
    }
}

/// The angle of a control that was read before the bar was rolled, and is told again since.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct WasReadBefore {
    /// Its written path.
    pub measure: String,
    /// In plain words.
    pub title: String,
    /// What it was, with its unit.
    pub was_written: String,
    /// What that reads on the bar as it stood then, where the bar alone moved; none where nobody knows how far.
    pub along_written: Option<String>,
}

impl WasReadBefore {
    /// "left brake lever angle (32°; 36.0° gone along with the bar)".
    pub fn in_words(&self) -> String {
        let along = self.along_written.as_ref();
        let along = along.map(|along| format!("; {along} gone along with the bar")).unwrap_or_default();
        format!("{} ({}{along})", self.title, self.was_written)
    }
}

/// What to make of figures that are held against older ones: whether the control moved, the two do not say.
pub fn held_against_old(angles: &[WasReadBefore]) -> Option<String> {
    let all: Vec<String> = angles.iter().map(WasReadBefore::in_words).collect();
    (!all.is_empty()).then(|| {
        format!(
            "Held against a figure older than the bar's roll: {}. Whether it moved on the bar the figures do not say.",
            all.join(", ")
        )
    })
}

/// What was read before the bar was rolled, and not again: it went along, unless somebody set it back and wrote nothing. What
/// a sheet leaves open is told as not looked at.
pub(super) fn left(difference: &Difference) -> Vec<ReadBefore> {
    if difference.to.sheet().is_some() || !is_rolled(difference) {
        return Vec::new();
    }
    let catalogue = difference.from.catalogue();
    let is_left = |id: &&MeasureId| {
        let both = difference.from.number(id).is_some() && difference.to.number(id).is_some();
        joint::is_control_angle(id.row) && both && !is_told_since(difference, id)
    };
    let left = difference.to.setup().readings.keys().filter(is_left);
    left.map(|id| ReadBefore::of(catalogue, id)).collect()
}

/// What a sheet read before its own roll: it says nothing of how the control stands on the bar, and is not compared.
pub fn read_before_its_own_roll(catalogue: &Catalogue, setup: &Setup, sheet: &Setup) -> Vec<ReadBefore> {
    let one = |id: &MeasureId| {
        let angle = sheet.reading(id)?;
        let day = sheet.day_of(Some(angle)).map(|day| format!(" on {day}")).unwrap_or_default();
        let title = format!("{} ({}{day})", catalogue.title(id), typed(angle));
        Some(ReadBefore { measure: catalogue.path(id), title })
    };
    before_the_roll::on_a_sheet(catalogue, setup, sheet).iter().filter_map(one).collect()
}

/// Whether the later of two setups has an angle as it was read on its bar. Asked backwards the later one is the first.
fn is_told_since(difference: &Difference, id: &MeasureId) -> bool {
    let (from, to) = (&difference.from, &difference.to);
    let roll = MeasureId::bike(BAR_ROLL);
    let is_backwards = day_of(from, &roll) > day_of(to, &roll);
    is_read_again(difference, id, &roll)
        && !is_older_than_the_roll(to, id)
        && !(is_backwards && is_older_than_the_roll(from, id))
}

/// What the earlier setup holds as it was read before its bar was rolled, and the later one has otherwise, or a sheet reads: the
/// same figure says no more of how it stands on the bar than another.
pub(super) fn was(difference: &Difference) -> Vec<WasReadBefore> {
    let (catalogue, from) = (difference.from.catalogue(), difference.from.setup());
    let is_one_setup = from.name.value == difference.to.setup().name.value;
    let is_read = |id: &MeasureId| match difference.to.sheet() {
        Some(_) => difference.to.layer(id) == Layer::Found,
        None => true,
    };
    let one = |id: &MeasureId| {
        if let Some(old) = from.unsure.get(id).filter(|_| difference.to.sheet().is_some()) {
            return Some(WasReadBefore {
                measure: catalogue.path(id),
                title: catalogue.title(id),
                was_written: typed(old),
                along_written: from.reading(id).map(typed),
            });
        }
        let (was, now) = (from.reading(id)?, difference.to.number(id)?);
        let is_same = was.values() == now.values() && was.unit() == now.unit();
        if !is_read(id) || is_same && difference.to.sheet().is_none() && !is_told_since(difference, id) {
            return None;
        }
        let before = before_the_roll::read_before(catalogue, from, id)?;
        Some(WasReadBefore {
            measure: catalogue.path(id),
            title: catalogue.title(id),
            was_written: typed(was),
            along_written: before.went_along(was),
        })
    };
    from.readings.keys().filter(|_| is_one_setup).filter_map(one).collect()
}
