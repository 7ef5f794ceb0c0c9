//! Whether what a sheet says of a mark is about the line that the setup knows, or about the one before it.
//!
//! The file keeps days, not hours: of one day a note tells how a line was found, and what the sheet reads beside it
//! tells that it cannot be the sheet of that note. Where neither does, the sheet is taken for the one recorded, and that
//! is said.

use chrono::NaiveDate;

use crate::catalogue::MeasureId;
use crate::catalogue::joint::rotation;
use crate::check::marks::staleness;
use crate::compare;
use crate::geometry::state::State;
use crate::metrology::reading::Reading;
use crate::metrology::verdict::Verdict;
use crate::setup::dated;
use crate::setup::model::{Mark, MarkState, Setup};

use super::super::moves::Way;
use super::turns::turned;

/// What is assumed of a line that was drawn after a sheet told of the old one, and how to say otherwise.
pub const TAKEN_AS_TOLD: &str = " The mark was drawn anew after that; this is taken to be about the old line. If the \
                                 new one was found so, give the sheet a later day than the one it was drawn on.";

/// How a note on a mark begins that tells how a sheet found it: "2026-05-09 found broken"; none for one that was
/// aligned.
pub fn found_words(day: Option<NaiveDate>, seen: MarkState) -> Option<String> {
    let how = match seen {
        MarkState::Aligned => return None,
        MarkState::Broken => "broken".to_owned(),
        MarkState::Missing => "gone".to_owned(),
        MarkState::Off(apart) => format!("off={apart}"),
    };
    Some(format!("{}found {how}", dated::prefix(day)))
}

/// Whether a note on the mark tells that the sheet's word on it was recorded.
pub fn is_noted(setup: &Setup, mark: &Mark, sheet: &Setup, seen: MarkState) -> bool {
    let Some(begins) = found_words(sheet.day_seen(&mark.name.value), seen) else { return false };
    let on = format!("mark.{}", mark.name.value);
    let mut texts = setup.notes.iter().filter(|note| note.on == on).map(|note| &note.text.value);
    texts.any(|text| text.strip_prefix(&begins).is_some_and(|rest| rest.starts_with([',', ' ', ':'])))
}

/// Whether the sheet's word on a mark is about an older line than the one the setup knows. On the sheet's own day a
/// mark may have been drawn in the morning and broken at noon: then only a note, and what else the sheet reads, can
/// tell.
pub(super) fn is_drawn_since(state: &State, mark: &Mark, sheet: &Setup, seen: MarkState) -> bool {
    let day = sheet.day_seen(&mark.name.value);
    let later = is_drawn_later(mark, sheet);
    let same_day = day.is_none() || mark.drawn_on == day;
    let told = || is_noted(state.setup(), mark, sheet, seen) && !is_another(state, mark, sheet, seen);
    !mark.drawn.is_empty() && (later || same_day && told())
}

/// Whether a sheet that did not find a line in order may speak of the one drawn since as well as of the one before: it is of
/// an older day, and so one of the two days is wrong; or it is of that very day, and not plainly the sheet that was
/// recorded with the drawing.
pub(super) fn is_doubtful(state: &State, mark: &Mark, sheet: &Setup, seen: MarkState) -> bool {
    seen != MarkState::Aligned && (is_drawn_later(mark, sheet) || !is_recorded_so(state, mark, sheet))
}

/// Whether a sheet tells of a mark's joint what the file has since, to the figure: where it stands, and how tight.
fn is_recorded_so(state: &State, mark: &Mark, sheet: &Setup) -> bool {
    let found = state.found(sheet, None);
    let is_as_written = |id: &MeasureId| {
        let both = found.value_on_recorded_ground(id).zip(state.value(id));
        // What was worked out for other ground was rounded to a tenth.
        sheet.reading(id).is_none() || both.is_some_and(|(read, has)| (read - has).abs() < ROUNDED)
    };
    let joint = mark.on.as_ref().map(|on| state.setup().clamp_of(&on.value));
    let is_tight_so = joint.is_none_or(|joint| is_as_tight(state.setup(), sheet, &joint));
    mark.drawn.iter().all(|(id, _)| is_as_written(id)) && is_tight_so
}

/// Half a tenth, and what adding up costs.
const ROUNDED: f64 = 0.05 + 1e-6;

/// Whether a sheet tells of a joint's torque on its day what the file has of that day.
fn is_as_tight(setup: &Setup, sheet: &Setup, joint: &str) -> bool {
    let day = sheet.day();
    let applied = |setup: &Setup| setup.torque(joint).and_then(|torque| torque.applied.clone());
    match (applied(setup), applied(sheet)) {
        (Some(ours), Some(theirs)) => {
            ours.read != theirs.read.or(day) || ours.figure.value == theirs.figure.value
        }
        (Some(ours), None) => ours.read.is_none() || ours.read != day,
        (None, Some(_)) => setup.torque(joint).is_none(),
        (None, None) => true,
    }
}

/// Whether the turn that a sheet finds of a line is the file's own figure already, worked out of it when that sheet was
/// recorded: the line no longer meets there, and tells for all that where its part stands.
pub(super) fn is_written_from(state: &State, mark: &Mark, sheet: &Setup, seen: Option<MarkState>) -> bool {
    let (Some(MarkState::Off(apart)), Some(on)) = (seen, &mark.on) else { return false };
    let joint = state.setup().clamp_of(&on.value);
    let Some((angle, _)) = rotation(&joint) else { return false };
    let own = state.setup().reading(&angle).and_then(Reading::read);
    if own.is_none() || own != sheet.day_seen(&mark.name.value) || sheet.reading(&angle).is_some() {
        return false;
    }
    let is_there = turned(state, mark, &joint, apart).is_some_and(|left| left.value().abs() < ROUNDED);
    // Whatever else it was drawn at is to be where it was.
    let mut rest = mark.clone();
    rest.drawn.retain(|(id, _)| *id != angle);
    is_there && staleness(state.catalogue(), state.setup(), &rest).is_none()
}

/// Whether the line was drawn on a later day than the sheet saw it.
pub(super) fn is_drawn_later(mark: &Mark, sheet: &Setup) -> bool {
    mark.drawn_on.zip(sheet.day_seen(&mark.name.value)).is_some_and(|(drawn, day)| drawn > day)
}

/// Whether a sheet cannot be the one from which the line was drawn that day: it reads the joint elsewhere than the file
/// has it since, or does not read what a lost line was drawn from.
fn is_another(state: &State, mark: &Mark, sheet: &Setup, seen: MarkState) -> bool {
    let found = state.found(sheet, None);
    let comparison = Some(compare::as_written(*state, found));
    let way = Way { recorded: *state, found: Some(found), comparison };
    let mut shown = mark.drawn.iter().map(|(id, _)| id);
    if shown.clone().any(|id| way.verdict_as_read(id) == Some(Verdict::Moved)) {
        return true;
    }
    let was_lost = matches!(seen, MarkState::Broken | MarkState::Missing);
    was_lost
        && is_drawn_from_that_sheet(state.setup(), mark, sheet, seen)
        && !shown.all(|id| sheet.reading(id).is_some())
}

/// Whether the line was drawn in one go with recording how the one before was found, and not struck out in between.
fn is_drawn_from_that_sheet(setup: &Setup, mark: &Mark, sheet: &Setup, seen: MarkState) -> bool {
    let Some(found) = found_words(sheet.day_seen(&mark.name.value), seen) else { return false };
    let (in_one_go, struck) = (format!("{found}, drawn anew"), format!("{found} (was drawn"));
    let on = format!("mark.{}", mark.name.value);
    let is_noted =
        |begins: &str| setup.notes.iter().any(|note| note.on == on && note.text.value.starts_with(begins));
    is_noted(&in_one_go) && !is_noted(&struck)
}
