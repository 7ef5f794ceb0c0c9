//! Marks drawn anew, in the text, at what is now recorded.
//!
//! A mark is drawn only where somebody knows how the joint stands: what the sheet read, what was written from it, what
//! another line tells. Where a joint was opened, every other position is left out of what the new line shows, for a
//! line found aligned later vouches for all of it; a note keeps what was left out, so that it can be read and drawn
//! after all. How a sheet found the line before stays in a dated note, so that the sheet is not taken to speak of the
//! new one.

use std::collections::BTreeSet;

use chrono::NaiveDate;
use serde::Serialize;

use crate::catalogue::{Catalogue, MeasureId};
use crate::check::lines::{self, Since};
use crate::compare::Replaced;
use crate::geometry::state::State;
use crate::metrology::reading::Reading;
use crate::setup::dated;
use crate::setup::edit::{Edit, EditError, NewReading};
use crate::setup::model::{Mark, MarkState, Setup, Value};

use super::super::evidence::{self, Evidence, MarkReport, MarkVerdict, UNTIL_DRAWN};
use super::freed;

/// Between these two stands, in a mark's note, what its new line does not show.
pub(super) const DRAWN_ANEW: &str = "drawn anew";
const NOT_READ: &str = " not read";

/// A position that a mark showed, and its new line does not: nobody knows it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct LeftOut {
    /// The mark.
    pub mark: String,
    /// The measure's written path.
    pub measure: String,
    /// The measure in plain words.
    pub title: String,
}

/// The marks drawn anew, and what is not known of them.
#[derive(Debug, Default)]
pub(super) struct Redrawn {
    pub(super) marks: Vec<String>,
    pub(super) left_out: Vec<LeftOut>,
}

/// What is drawn anew, and from what.
pub(super) struct Redraw<'a> {
    pub(super) catalogue: &'a Catalogue,
    pub(super) before: &'a Setup,
    pub(super) sheet: &'a Setup,
    /// The same with what it tells of lines that were struck out before.
    pub(super) as_written: &'a Setup,
    pub(super) evidence: &'a Evidence,
    /// The joints at which nothing is written.
    pub(super) is_held: &'a dyn Fn(&str) -> bool,
    /// What only went along with the bar, or is counted from its new end: its lines stand where they did, and nobody drew
    /// them.
    pub(super) along: &'a [MeasureId],
    /// The same of one line, whose angle was read, too.
    pub(super) meeting: &'a [(String, MeasureId)],
    /// The parts that are not those of the file any more, if any.
    pub(super) replaced: Option<&'a Replaced>,
    /// The joints that cannot be as they were left.
    pub(super) opened: &'a BTreeSet<&'a str>,
    pub(super) day: Option<NaiveDate>,
}

impl Redraw<'_> {
    /// Draws the marks of what changed, and of what was lost and measured, at what is now known; names those that the
    /// file now has otherwise, and what they show no more.
    pub(super) fn all(&self, edit: &mut Edit, changed: &[&MeasureId]) -> Result<Redrawn, EditError> {
        let now = edit.setup().clone();
        let mut redrawn = Redrawn::default();
        let is_due = |mark: &&Mark| self.is_due(&now, mark, changed) && self.is_looked_at(mark, changed);
        for mark in now.marks.iter().filter(is_due) {
            let was = edit.text().to_owned();
            let positions = self.positions(&now, mark, changed);
            if positions.is_empty() {
                continue;
            }
            let name = &mark.name.value;
            let is_out = |id: &MeasureId| self.is_unknown(mark, id, changed);
            let without: Vec<MeasureId> = shown(mark).filter(|id| is_out(id)).cloned().collect();
            edit.set_mark_drawn(name, &positions, &without, self.drawn_on(mark))?;
            self.close_notes(edit, mark)?;
            if let Some(note) = self.note(&now, mark, &without) {
                edit.add_note(&format!("mark.{name}"), &note)?;
            }
            redrawn.left_out.extend(without.iter().map(|id| LeftOut {
                mark: name.clone(),
                measure: self.catalogue.path(id),
                title: self.catalogue.title(id),
            }));
            if was != edit.text() {
                redrawn.marks.push(name.clone());
            }
        }
        Ok(redrawn)
    }

    /// How the line before was found, and what the new one does not show; none where there is nothing to tell.
    fn note(&self, now: &Setup, mark: &Mark, without: &[MeasureId]) -> Option<String> {
        let found = self
            .as_written
            .seen(&mark.name.value)
            .filter(|found| !evidence::is_noted(now, mark, self.sheet, *found))
            .and_then(|found| evidence::found_words(self.as_written.day_seen(&mark.name.value), found))
            .or_else(|| {
                mark.on.as_ref().filter(|_| self.is_free(mark)).map(|on| freed::begins(&on.value, self.sheet))
            });
        let words: Vec<&str> = without.iter().map(|id| self.catalogue.measure(id.row).word()).collect();
        let unread =
            if words.is_empty() { String::new() } else { format!(", {}{NOT_READ}", words.join(", ")) };
        match found {
            Some(found) => Some(format!("{found}, {DRAWN_ANEW}{unread}")),
            None if unread.is_empty() => None,
            None => Some(format!("{}{DRAWN_ANEW}{unread}", dated::prefix(self.drawn_on(mark)))),
        }
    }

    /// The day on which a line is drawn anew: the sheet's, and not before the one there was seen.
    fn drawn_on(&self, mark: &Mark) -> Option<NaiveDate> {
        self.day.max(self.as_written.day_seen(&mark.name.value))
    }

    /// Whether a line only went along with the bar: nobody drew it.
    fn went_along(&self, mark: &Mark, id: &MeasureId) -> bool {
        self.along.contains(id) || self.meets(mark, id)
    }

    fn meets(&self, mark: &Mark, id: &MeasureId) -> bool {
        self.meeting.iter().any(|(name, met)| *name == mark.name.value && met == id)
    }

    fn is_due(&self, now: &Setup, mark: &Mark, changed: &[&MeasureId]) -> bool {
        let Some(report) = self.report(mark).filter(|_| !self.is_held(mark)) else { return false };
        if self.struck_later(now, mark).is_some() {
            return false;
        }
        if self.is_void(mark) && report.state != MarkVerdict::DrawnSince && self.reads_all(mark) {
            return true;
        }
        if self.reads_left_out(mark, report) {
            return true;
        }
        let moved = mark.drawn.iter().any(|(id, _)| changed.contains(&id) && !self.went_along(mark, id));
        match self.sheet.seen(&mark.name.value) {
            _ if report.state == MarkVerdict::DrawnSince => false,
            // Where a lost line's joint now stands, the sheet must have read in full: else there is nothing to draw it at.
            Some(MarkState::Broken | MarkState::Missing) => report.overruled && self.reads_all(mark),
            Some(MarkState::Off(_)) => moved || report.overruled || self.is_told_already(now, mark, changed),
            // One that was struck out and stands on the bike again.
            _ if self.is_drawn_on_the_bike(mark) => report.overruled,
            // It meets where it was drawn: nobody drew it, whatever was written of its joint before.
            Some(MarkState::Aligned)
                if report.state == MarkVerdict::Aligned || self.was_carried_that_day(mark) =>
            {
                moved
            }
            _ => moved || self.is_told_already(now, mark, changed),
        }
    }

    /// Whether the bar's roll was written from this day's sheet before, and took the line along.
    fn was_carried_that_day(&self, mark: &Mark) -> bool {
        let read = self.before.reading(&lines::roll()).and_then(Reading::read);
        mark.roll.is_some() && mark.drawn_on != self.day && read.is_some() && read == self.day
    }

    /// Whether the sheet finds halves that meet where the file has no line.
    fn is_drawn_on_the_bike(&self, mark: &Mark) -> bool {
        mark.drawn.is_empty() && self.as_written.seen(&mark.name.value) == Some(MarkState::Aligned)
    }

    /// Whether somebody looked at all that the new line would show: read it, saw it in the line, or it is left out. A new day
    /// at an old figure would vouch for what nobody looked at.
    fn is_looked_at(&self, mark: &Mark, changed: &[&MeasureId]) -> bool {
        let state = self.report(mark).map(|report| report.state);
        let is_seen = matches!(state, Some(MarkVerdict::Aligned | MarkVerdict::DrawnSince));
        let is_vouched = |id: &MeasureId| {
            self.is_told(id) || changed.contains(&id) || self.evidence.turns.contains_key(id)
        };
        is_seen || shown(mark).all(|id| is_vouched(id) || self.is_unknown(mark, id, changed))
    }

    /// Whether a mark has no line, or one that meets nothing any more: it is drawn wherever the sheet reads all it shows,
    /// whether it names the mark or not.
    fn is_void(&self, mark: &Mark) -> bool {
        let is_later = mark.drawn_on.zip(self.drawn_on(mark)).is_some_and(|(drawn, day)| drawn > day);
        mark.drawn.is_empty() || self.is_replaced(&mark.name.value) && !is_later || self.is_free(mark)
    }

    /// Whether the mark's line is on a part that is not there any more.
    pub(super) fn is_replaced(&self, mark: &str) -> bool {
        self.replaced.is_some_and(|replaced| replaced.marks.iter().any(|gone| gone == mark))
    }

    fn is_free(&self, mark: &Mark) -> bool {
        freed::is_free(&State::recorded(self.catalogue, self.before), mark, self.sheet)
    }

    fn reads_all(&self, mark: &Mark) -> bool {
        evidence::shown(self.catalogue, self.before, mark).iter().all(|id| self.is_read(id))
    }

    /// The day on which a mark was struck out, if that is later than the sheet's.
    pub(super) fn struck_later(&self, setup: &Setup, mark: &Mark) -> Option<NaiveDate> {
        let on = format!("mark.{}", mark.name.value);
        let notes = setup.notes.iter().filter(|note| note.on == on && mark.drawn.is_empty());
        let struck = notes.map(|note| note.text.value.as_str()).filter(|text| text.ends_with(UNTIL_DRAWN));
        let last = struck.filter_map(|text| dated::split(text).0).max();
        last.filter(|struck| self.drawn_on(mark).is_some_and(|day| *struck > day))
    }

    /// Takes out the notes that a mark has no line: it has one. One of the same day stays in part, for it tells that the
    /// sheet speaks of the line before.
    fn close_notes(&self, edit: &mut Edit, mark: &Mark) -> Result<(), EditError> {
        let on = format!("mark.{}", mark.name.value);
        let notes = edit.setup().notes.iter().filter(|note| note.on == on);
        let over = notes.map(|note| note.text.value.clone()).filter(|text| text.ends_with(UNTIL_DRAWN));
        for text in over.collect::<Vec<_>>() {
            edit.remove_note(&on, &text)?;
            if dated::split(&text).0 == self.as_written.day_seen(&mark.name.value) {
                edit.add_note(&on, &text.replace(UNTIL_DRAWN, &format!("{DRAWN_ANEW} since")))?;
            }
        }
        Ok(())
    }

    /// Whether the sheet knows of everything by which the setup has left the mark behind: read, or written from this
    /// day's sheet before.
    fn is_told_already(&self, setup: &Setup, mark: &Mark, changed: &[&MeasureId]) -> bool {
        let left_behind = |(id, drawn): &&(MeasureId, crate::setup::model::Recorded)| match (
            &drawn.value,
            setup.reading(id),
        ) {
            (Value::Reading(drawn), Some(now)) => {
                let rolled = match lines::since(self.catalogue, setup, mark, id) {
                    Since::Rolled(rolled) => rolled.degrees,
                    Since::Unknown { .. } => return true,
                };
                (drawn.value() + rolled - now.value()).abs() > lines::rounded(drawn, now)
            }
            _ => false,
        };
        let mut behind =
            mark.drawn.iter().filter(|(id, _)| !self.meets(mark, id)).filter(left_behind).peekable();
        behind.peek().is_some() && behind.all(|(id, _)| self.is_told(id) || changed.contains(&id))
    }

    fn is_held(&self, mark: &Mark) -> bool {
        mark.on.as_ref().is_some_and(|on| (self.is_held)(&on.value))
    }

    /// Whether the sheet reads what a note says the mark's line was drawn without, and the line still stands.
    fn reads_left_out(&self, mark: &Mark, report: &MarkReport) -> bool {
        let later = mark.drawn_on.zip(self.drawn_on(mark)).is_some_and(|(drawn, day)| drawn > day);
        let stands = report.state == MarkVerdict::DrawnSince
            || matches!(self.sheet.seen(&mark.name.value), None | Some(MarkState::Aligned));
        stands && !later && self.left_out(self.before, mark).iter().any(|id| self.is_read(id))
    }

    /// What a line across the mark's joint can show and a note says it was drawn without.
    fn left_out(&self, setup: &Setup, mark: &Mark) -> Vec<MeasureId> {
        let on = format!("mark.{}", mark.name.value);
        let notes = setup.notes.iter().filter(|note| note.on == on);
        let words: BTreeSet<&str> = notes.flat_map(|note| not_read(&note.text.value)).collect();
        let all = evidence::shown(self.catalogue, setup, &Mark { drawn: Vec::new(), ..mark.clone() });
        let is_noted = |id: &MeasureId| words.contains(self.catalogue.measure(id.row).word());
        let is_drawn = |id: &MeasureId| shown(mark).any(|drawn| drawn == id);
        all.into_iter().filter(|id| is_noted(id) && !is_drawn(id)).collect()
    }

    fn report(&self, mark: &Mark) -> Option<&MarkReport> {
        self.evidence.marks.iter().find(|report| report.name == mark.name.value)
    }

    fn is_read(&self, id: &MeasureId) -> bool {
        self.sheet.recorded(id).is_some()
    }

    /// Whether the sheet reads it, or it was written from this day's sheet before.
    fn is_told(&self, id: &MeasureId) -> bool {
        let written = self.before.reading(id).and_then(Reading::read);
        let is_its_day =
            || written == self.day || self.sheet.marks.iter().any(|mark| mark.seen_on == written);
        self.is_read(id) || written.is_some() && is_its_day()
    }

    /// Whether nobody knows a position that the mark showed: the joint was opened since, or the file does not know it,
    /// nobody read it, and no line tells it.
    fn is_unknown(&self, mark: &Mark, id: &MeasureId, changed: &[&MeasureId]) -> bool {
        let on = mark.on.as_ref().map(|on| on.value.as_str());
        let was_opened = on.is_some_and(|on| self.opened.contains(on))
            || self.report(mark).is_some_and(|report| report.state == MarkVerdict::Stale);
        let is_vouched = self.evidence.turns.contains_key(id);
        let is_lost = self.before.recorded(id).is_some_and(|recorded| recorded.value == Value::Unmeasured);
        (was_opened || is_lost) && !is_vouched && !self.is_told(id) && !changed.contains(&id)
    }

    /// Where a mark is drawn anew. What nobody read at a joint that was not opened, or a line vouches for, stays where
    /// it was drawn.
    fn positions(&self, now: &Setup, mark: &Mark, changed: &[&MeasureId]) -> Vec<(MeasureId, NewReading)> {
        let mut ids = evidence::shown(self.catalogue, now, mark);
        if !mark.drawn.is_empty() {
            ids.extend(self.left_out(now, mark));
        }
        // Of one that was struck out only what the sheet read.
        let is_known = |id: &MeasureId| {
            self.is_read(id) || !mark.drawn.is_empty() && (self.is_told(id) || changed.contains(&id))
        };
        ids.into_iter()
            .filter(is_known)
            .filter_map(|id| {
                let new = NewReading::as_recorded(now.reading(&id)?);
                Some((id, new))
            })
            .collect()
    }
}

fn shown(mark: &Mark) -> impl Iterator<Item = &MeasureId> {
    mark.drawn.iter().map(|(id, _)| id)
}

/// The measures that a mark's note says its line was drawn without.
fn not_read(note: &str) -> impl Iterator<Item = &str> {
    let (_, after) = note.split_once(DRAWN_ANEW).unwrap_or_default();
    let words = after.strip_prefix(", ").and_then(|words| words.strip_suffix(NOT_READ));
    words.into_iter().flat_map(|words| words.split(", "))
}

/// Has a line show in the file where its measure now reads along the bar, where it meets there and nobody drew it: its day
/// stays.
pub(super) fn where_it_reads(edit: &mut Edit, mark: &str, id: &MeasureId) -> Result<(), EditError> {
    let Some(new) = edit.setup().reading(id).map(NewReading::as_recorded) else { return Ok(()) };
    edit.set_mark_drawn(mark, &[(id.clone(), new)], &[], None)
}
