//! Lines that meet nothing any more, though nobody broke them: their joint was apart, and what carries the other half
//! turned freely. Kept as drawn they would later be taken to show where the joint stands.

use serde::Serialize;

use crate::catalogue::{Weight, joint};
use crate::geometry::state::State;
use crate::setup::dated;
use crate::setup::edit::{Edit, EditError};
use crate::setup::model::{Mark, MarkState, Setup};

use super::super::evidence;
use super::redraw::DRAWN_ANEW;

/// One such line.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Freed {
    /// Its mark.
    pub mark: String,
    /// The joint it crosses.
    pub joint: String,
    /// What slipping there does.
    pub weight: Weight,
    /// What the line showed and the sheet does not read, in plain words: nobody knows it since.
    pub unknown: Vec<String>,
    /// Whether the file was changed for it now.
    pub written: bool,
    /// All of it, in sentences.
    pub words: String,
}

/// Strikes out the lines whose other half turned freely, except those that were `drawn` anew.
pub(super) fn strike(
    recorded: &State,
    edit: &mut Edit,
    sheet: &Setup,
    drawn: &[String],
    is_held: &dyn Fn(&str) -> bool,
) -> Result<Vec<Freed>, EditError> {
    let mut all = Vec::new();
    for mark in &recorded.setup().marks {
        let name = &mark.name.value;
        let Some(on) = mark.on.as_ref().map(|on| on.value.as_str()).filter(|on| !is_held(on)) else {
            continue;
        };
        let is_lost = matches!(sheet.seen(name), Some(MarkState::Broken | MarkState::Missing));
        if is_lost || drawn.contains(name) || !is_free(recorded, mark, sheet) {
            continue;
        }
        // The line of a part that was replaced is struck out already.
        let ours = edit.setup().mark(name);
        if ours.is_none_or(|ours| ours.drawn.is_empty()) {
            continue;
        }
        edit.lose_mark(name, |was| {
            let was = was.map(|was| format!(" (was drawn {was})")).unwrap_or_default();
            format!("{}{was}: {}", begins(on, sheet), evidence::UNTIL_DRAWN)
        })?;
        all.push(told(recorded, mark, on, sheet));
    }
    all.sort_by_key(|line| line.weight);
    Ok(all)
}

/// Whether the other half of a mark's line turned freely since it was drawn.
pub(super) fn is_free(recorded: &State, mark: &Mark, sheet: &Setup) -> bool {
    let day = mark.on.as_ref().map_or_else(|| sheet.day(), |on| sheet.day_opened(&on.value));
    let is_later = mark.drawn_on.zip(day).is_some_and(|(drawn, day)| drawn > day);
    let is_told = mark.drawn_on == day && is_drawn_from(recorded, mark, sheet);
    !mark.drawn.is_empty() && !is_later && !is_told && evidence::loose_half(recorded, mark, sheet).is_some()
}

/// Whether a note tells that the line was drawn after the joint was apart that day, and this can be that day's sheet.
fn is_drawn_from(recorded: &State, mark: &Mark, sheet: &Setup) -> bool {
    let Some(on) = &mark.on else { return false };
    let begins = begins(&on.value, sheet);
    let place = format!("mark.{}", mark.name.value);
    let mut notes = recorded.setup().notes.iter().filter(|note| note.on == place);
    let is_noted =
        notes.any(|note| note.text.value.starts_with(&begins) && note.text.value.contains(DRAWN_ANEW));
    is_noted && mark.drawn.iter().all(|(id, _)| sheet.reading(id).is_some())
}

/// How a note on such a line begins: "2026-05-09 the stem was off or loose".
pub(super) fn begins(on: &str, sheet: &Setup) -> String {
    let day = sheet.day_opened(on);
    format!("{}{}", dated::prefix(day), joint::was_loose(on).unwrap_or_default())
}

fn told(recorded: &State, mark: &Mark, on: &str, sheet: &Setup) -> Freed {
    let name = &mark.name.value;
    let catalogue = recorded.catalogue();
    let unread = mark.drawn.iter().map(|(id, _)| id).filter(|id| sheet.reading(id).is_none());
    let unknown: Vec<String> = unread.map(|id| catalogue.title(id)).collect();
    let was = joint::was_loose(on).unwrap_or_default();
    let since = sheet.day_opened(on).map(|day| format!(" on {day}")).unwrap_or_default();
    let half = joint::loose_half(on).unwrap_or_default();
    let left = if unknown.is_empty() {
        String::new()
    } else {
        let (what, verb) = (unknown.join(", "), if unknown.len() == 1 { "is" } else { "are" });
        format!(" Since then {what} {verb} not known: measure there, and add it to the sheet.")
    };
    let words = format!(
        "Mark {name} on the {} is no evidence since {was}{since}: its line meets {half}, which was then free to turn. It is \
         struck out.{left} Draw the line again, then record with --mark.",
        joint::title(on),
    );
    Freed {
        mark: name.clone(),
        joint: on.to_owned(),
        weight: joint::weight(on),
        unknown,
        written: true,
        words,
    }
}
