//! Marks drawn anew, in the text, at what is now recorded.

use chrono::NaiveDate;

use crate::catalogue::{Catalogue, MeasureId};
use crate::metrology::reading::Reading;
use crate::metrology::show;
use crate::metrology::unit::Unit;
use crate::setup::edit::{Edit, EditError, NewReading};
use crate::setup::model::{Mark, Setup};

use super::super::evidence;

/// Draws the marks of what changed, and of what was lost, at what is now recorded.
pub(super) fn redraw(
    catalogue: &Catalogue,
    edit: &mut Edit,
    changed: &[&MeasureId],
    lost: &[&str],
    day: Option<NaiveDate>,
) -> Result<Vec<String>, EditError> {
    let now = edit.setup().clone();
    let mut drawn = Vec::new();
    for mark in &now.marks {
        let moved = mark.drawn.iter().any(|(id, _)| changed.contains(&id));
        if !moved && !lost.contains(&mark.name.value.as_str()) {
            continue;
        }
        let positions: Vec<(MeasureId, NewReading)> = positions(catalogue, &now, mark)
            .into_iter()
            .filter_map(|id| Some((id.clone(), as_recorded(now.reading(id)?))))
            .collect();
        if !positions.is_empty() {
            edit.set_mark_drawn(&mark.name.value, &positions, day)?;
            drawn.push(mark.name.value.clone());
        }
    }
    Ok(drawn)
}

/// The measures at which a mark was drawn; of one that was struck out, those that a line across its joint shows.
fn positions<'s>(catalogue: &Catalogue, setup: &'s Setup, mark: &'s Mark) -> Vec<&'s MeasureId> {
    let Some(on) = mark.on.as_ref().filter(|_| mark.drawn.is_empty()) else {
        return mark.drawn.iter().map(|(id, _)| id).collect();
    };
    let held = |id: &&MeasureId| setup.joint_of(catalogue, id).as_ref() == Some(&on.value);
    let own = |id: &&MeasureId| catalogue.path(id).starts_with(&on.value) || id.subject.side.is_none();
    let shown = |id: &&MeasureId| evidence::shows(&on.value, id);
    setup.readings.keys().filter(held).filter(own).filter(shown).collect()
}

/// A recorded reading as one number: of repeats their mean.
fn as_recorded(reading: &Reading) -> NewReading {
    if let [only] = reading.digits() {
        NewReading::number(only.clone(), reading.unit(), reading.half_width())
    } else {
        let places = reading.decimals().max(1);
        let unit: Unit = reading.default_unit();
        NewReading::number(show::plain(reading.value(), places), unit, reading.half_width())
    }
}
