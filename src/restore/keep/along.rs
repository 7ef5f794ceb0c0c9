//! The notes on points that were taken along with their control, or with the bar: their figures stand in the file as of that
//! day, and nobody read them.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use crate::catalogue::joint::CONTROLS;
use crate::catalogue::{Catalogue, MeasureId};
use crate::compare::{self, Comparison};
use crate::setup::dated;
use crate::setup::edit::{Edit, EditError};
use crate::setup::model::Setup;

use super::add_note;

/// What became of the point, behind its name.
const TAKEN_ALONG: &str = " taken along, not read";

/// The group whose note tells of a point, and the note's words.
type Told = (String, String);

/// Notes which of the points in `changed` nobody read, and takes out the notes on those that a sheet reads again; gives these
/// by their text.
pub fn along(
    catalogue: &Catalogue,
    edit: &mut Edit,
    (sheet, comparison): (&Setup, &Comparison),
    changed: &[&MeasureId],
    day: Option<NaiveDate>,
) -> Result<Vec<String>, EditError> {
    let mut points: BTreeMap<Told, Vec<&MeasureId>> = BTreeMap::new();
    // What is counted from the new end of a bar stands where it stood.
    let is_cut = comparison.narrower.as_ref().is_some_and(|narrower| narrower.is_cut);
    let is_here = |id: &&&MeasureId| !is_cut || !compare::is_from_the_end(id.row);
    for id in changed.iter().filter(|id| catalogue.measure(id.row).goes_along()).filter(is_here) {
        if let Some(told) = told(edit.setup(), id) {
            points.entry(told).or_default().push(id);
        }
    }
    let mut answered = Vec::new();
    for ((on, words), ids) in points {
        let is_read = |id: &&MeasureId| sheet.reading(id).is_some();
        // Of a point of which only one figure was read the others stand as they were worked out.
        let is_told_by =
            |id: &MeasureId| told(edit.setup(), id).is_some_and(|(at, point)| at == on && point == words);
        let own = edit.setup().readings.keys().filter(|id| catalogue.measure(id.row).goes_along());
        let is_answered =
            own.filter(|id| edit.setup().reading(id).is_some() && is_told_by(id)).all(|id| is_read(&id));
        let is_new = !ids.iter().any(is_read);
        if !is_answered && !is_new {
            continue;
        }
        let notes = edit.setup().notes.iter().filter(|note| note.on == on);
        let before: Vec<String> =
            notes.map(|note| note.text.value.clone()).filter(|text| dated::split(text).1 == words).collect();
        let text = format!("{}{words}", dated::prefix(day));
        for old in before.into_iter().filter(|old| is_answered || *old != text) {
            edit.remove_note(&on, &old)?;
            if is_answered {
                answered.push(old);
            }
        }
        if is_new {
            add_note(edit, &on, &text)?;
        }
    }
    Ok(answered)
}

/// "lowest point taken along, not read" at `left.brake-lever`, "exit taken along, not read" at `hose.rear brake`.
fn told(setup: &Setup, id: &MeasureId) -> Option<Told> {
    if let Some(hose) = &id.subject.name {
        return Some((format!("hose.{hose}"), format!("exit{TAKEN_ALONG}")));
    }
    let side = id.subject.side?;
    let control = CONTROLS.iter().find(|control| control.lowest.contains(&id.row))?;
    let [from_tip, ..] = control.lowest;
    let is_another = |other: &MeasureId| {
        other.row == from_tip
            && other.subject.side == Some(side)
            && other.subject.ordinal != id.subject.ordinal
    };
    let is_one_of_many = setup.readings.keys().any(is_another);
    let number = if is_one_of_many { format!(" {}", id.subject.ordinal) } else { String::new() };
    Some((format!("{side}.{}", control.name), format!("lowest point{number}{TAKEN_ALONG}")))
}
