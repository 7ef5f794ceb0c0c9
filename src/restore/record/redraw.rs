//! Marks drawn anew, in the text, at what is now recorded.
//!
//! A mark is drawn only where somebody knows how the joint stands: what the sheet read, or what was written from it.
//! How a sheet found the line before stays in a dated note, so that the sheet is not taken to speak of the new one.

use chrono::NaiveDate;

use crate::catalogue::{Catalogue, MeasureId};
use crate::metrology::NEGLIGIBLE;
use crate::metrology::reading::Reading;
use crate::metrology::show;
use crate::metrology::unit::Unit;
use crate::setup::edit::{Edit, EditError, NewReading};
use crate::setup::model::{Mark, MarkState, Setup, Value};

use super::super::evidence::{self, MarkReport, MarkVerdict};
use super::super::keep::seen;

/// What is drawn anew, and from what.
pub(super) struct Redraw<'a> {
    pub(super) catalogue: &'a Catalogue,
    pub(super) before: &'a Setup,
    pub(super) sheet: &'a Setup,
    pub(super) reports: &'a [MarkReport],
    pub(super) day: Option<NaiveDate>,
}

impl Redraw<'_> {
    /// Draws the marks of what changed, and of what was lost and measured, at what is now recorded; the names of those
    /// that the file now has otherwise.
    pub(super) fn all(&self, edit: &mut Edit, changed: &[&MeasureId]) -> Result<Vec<String>, EditError> {
        let now = edit.setup().clone();
        let mut drawn = Vec::new();
        for mark in now.marks.iter().filter(|mark| self.is_due(mark, changed)) {
            let was = edit.text().to_owned();
            let positions = self.positions(&now, mark);
            if positions.is_empty() {
                continue;
            }
            let name = &mark.name.value;
            edit.set_mark_drawn(name, &positions, self.day)?;
            let found = seen(self.sheet, name);
            if let Some(found) = found.filter(|found| !evidence::is_noted(&now, mark, self.sheet, *found))
                && let Some(words) = evidence::found_words(self.day, found)
            {
                edit.add_note(&format!("mark.{name}"), &format!("{words}, drawn anew"))?;
            }
            if was != edit.text() {
                drawn.push(name.clone());
            }
        }
        Ok(drawn)
    }

    fn is_due(&self, mark: &Mark, changed: &[&MeasureId]) -> bool {
        let Some(report) = self.reports.iter().find(|report| report.name == mark.name.value) else {
            return false;
        };
        let moved = mark.drawn.iter().any(|(id, _)| changed.contains(&id));
        match seen(self.sheet, &mark.name.value) {
            _ if report.state == MarkVerdict::DrawnSince => false,
            // Where a lost line's joint now stands, the sheet must have read in full: else there is nothing to draw it at.
            Some(MarkState::Broken | MarkState::Missing) => {
                let shown = evidence::shown(self.catalogue, self.before, mark);
                report.overruled && shown.iter().all(|id| self.sheet.readings.contains_key(id))
            }
            Some(MarkState::Off(_)) => moved || report.overruled || self.is_told_already(mark),
            // One that was struck out and stands on the bike again.
            Some(MarkState::Aligned) if mark.drawn.is_empty() => report.overruled,
            _ => moved || self.is_told_already(mark),
        }
    }

    /// Whether the sheet knows of everything by which the setup has left the mark behind: read, or written from this
    /// day's sheet before.
    fn is_told_already(&self, mark: &Mark) -> bool {
        let left_behind = |(id, drawn): &&(MeasureId, crate::setup::model::Recorded)| match (
            &drawn.value,
            self.before.reading(id),
        ) {
            (Value::Reading(drawn), Some(now)) => (drawn.value() - now.value()).abs() > NEGLIGIBLE,
            _ => false,
        };
        let is_known = |id: &MeasureId| {
            let written = self.before.reading(id).and_then(Reading::read);
            self.sheet.readings.contains_key(id) || written.is_some() && written == self.day
        };
        let mut behind = mark.drawn.iter().filter(left_behind).peekable();
        behind.peek().is_some() && behind.all(|(id, _)| is_known(id))
    }

    /// Where a mark is drawn: of one that was struck out, only what the sheet read.
    fn positions(&self, now: &Setup, mark: &Mark) -> Vec<(MeasureId, NewReading)> {
        let is_known = |id: &MeasureId| !mark.drawn.is_empty() || self.sheet.readings.contains_key(id);
        evidence::shown(self.catalogue, now, mark)
            .into_iter()
            .filter(is_known)
            .filter_map(|id| {
                let new = as_recorded(now.reading(&id)?);
                Some((id, new))
            })
            .collect()
    }
}

/// A recorded reading as one number: of repeats their mean.
fn as_recorded(reading: &Reading) -> NewReading {
    if let [only] = reading.digits() {
        NewReading::number(only.as_str(), reading.unit(), reading.half_width())
    } else {
        let places = reading.decimals().max(1);
        let unit: Unit = reading.default_unit();
        NewReading::number(show::plain(reading.value(), places), unit, reading.half_width())
    }
}
