//! What a sheet tells of the bike and nothing that is written from it keeps: angles that all read alike otherwise, and a bar
//! found narrower of which nobody says what it is. A dated note keeps it, until a sheet answers it.

use chrono::NaiveDate;

use crate::catalogue::table::{BAR_WIDTH, FLOOR};
use crate::catalogue::{Catalogue, Gravity, MeasureId};
use crate::check::forbidden;
use crate::compare::{self, Comparison, RollOpen};
use crate::setup::dated;
use crate::setup::edit::{Edit, EditError};
use crate::setup::model::Setup;

use super::{NoteKept, add_note};

/// The group of the bar.
const BAR: &str = "bar";

/// The notes that were written, and those that were taken out.
#[derive(Debug, Default)]
pub struct Told {
    /// Written now, or there before.
    pub kept: Vec<NoteKept>,
    /// Taken out, by their text: the sheet answers them.
    pub answered: Vec<String>,
}

/// Keeps what this comparison tells, of which `changed` was written.
pub fn told(
    catalogue: &Catalogue,
    edit: &mut Edit,
    sheet: &Setup,
    comparison: &Comparison,
    changed: &[&MeasureId],
    day: Option<NaiveDate>,
) -> Result<Told, EditError> {
    let mut told = Told::default();
    alike(catalogue, edit, (sheet, comparison), changed, day, &mut told)?;
    narrower(edit, sheet, comparison, day, &mut told)?;
    Ok(told)
}

fn alike(
    catalogue: &Catalogue,
    edit: &mut Edit,
    (sheet, comparison): (&Setup, &Comparison),
    changed: &[&MeasureId],
    day: Option<NaiveDate>,
    told: &mut Told,
) -> Result<(), EditError> {
    let rolled = comparison.unknown_roll.as_ref().filter(|roll| roll.because == RollOpen::AllAlike);
    let said = match (rolled, &comparison.common_shift) {
        (Some(roll), _) => Some((edit.setup().group_or_top(BAR), roll.why.clone())),
        (None, Some(shift)) => {
            let is_there = |id: &&&MeasureId| catalogue.measure(id.row).gravity != Gravity::None;
            let titles: Vec<String> = changed.iter().filter(is_there).map(|id| catalogue.title(id)).collect();
            let there = match titles.join(", ") {
                titles if titles.is_empty() => titles,
                titles => format!("; read there, too: {titles}"),
            };
            Some(("", format!("{}{there}", shift.noted())))
        }
        (None, None) => None,
    };
    let is_of_the_day = |text: &str| {
        let (written, rest) = dated::split(text);
        written == day && rest.contains(compare::ALL_ALIKE)
    };
    let noted: Vec<(String, String)> = edit
        .setup()
        .notes
        .iter()
        .filter(|note| matches!(&*note.on, "" | BAR) && is_of_the_day(&note.text.value))
        .map(|note| (note.on.clone(), note.text.value.clone()))
        .collect();
    match said {
        // Told twice it is told once: what was written of it the first time reads as the file now.
        Some(_) if !noted.is_empty() => {
            told.kept.extend(noted.into_iter().map(|(on, text)| kept(&on, text, false)));
        }
        Some((on, words)) => {
            let text = format!("{}{words}", dated::prefix(day));
            let written = add_note(edit, on, &text)?;
            told.kept.push(kept(on, text, written));
        }
        None => {
            let before = earlier_answered(catalogue, edit.setup(), sheet, day);
            for (on, text) in noted.into_iter().chain(before) {
                edit.remove_note(&on, &text)?;
                told.answered.push(text);
            }
        }
    }
    Ok(())
}

/// The notes of earlier days at the top that angles read all alike, where a sheet reads as many on ground that it reads as
/// well: whether the ground sloped is told by it.
fn earlier_answered(
    catalogue: &Catalogue,
    setup: &Setup,
    sheet: &Setup,
    day: Option<NaiveDate>,
) -> Vec<(String, String)> {
    let to_gravity = |id: &&MeasureId| {
        id.row != FLOOR && catalogue.measure(id.row).gravity != Gravity::None && sheet.reading(id).is_some()
    };
    let read = sheet.readings.keys().filter(to_gravity).count();
    let is_answered = |text: &str| {
        let (written, rest) = dated::split(text);
        let count = rest.split(' ').next().and_then(|count| count.parse::<usize>().ok());
        let is_such =
            rest.contains(compare::ALL_ALIKE) && count.is_some_and(|count| (1..=read).contains(&count));
        is_such && written.zip(day).is_some_and(|(written, day)| written < day)
    };
    if sheet.reading(&MeasureId::bike(FLOOR)).is_none() {
        return Vec::new();
    }
    let notes = setup.notes.iter().filter(|note| note.on.is_empty() && is_answered(&note.text.value));
    notes.map(|note| (note.on.clone(), note.text.value.clone())).collect()
}

fn narrower(
    edit: &mut Edit,
    sheet: &Setup,
    comparison: &Comparison,
    day: Option<NaiveDate>,
    told: &mut Told,
) -> Result<(), EditError> {
    let open = comparison.narrower.as_ref().filter(|narrower| !narrower.is_cut);
    let old: Vec<(String, String)> = forbidden::noted(edit.setup())
        .filter(|noted| noted.why.starts_with(compare::FOUND_NARROWER))
        .filter(|noted| {
            let written = dated::split(&noted.note.text.value).0;
            written.zip(day).is_none_or(|(written, day)| day >= written)
        })
        .map(|noted| (noted.note.on.clone(), noted.note.text.value.clone()))
        .collect();
    if let Some(narrower) = open {
        let on = edit.setup().group_or_top(BAR);
        let why = forbidden::note(&narrower.noted());
        let text = format!("{}{why}", dated::prefix(day));
        let is_known = old.iter().any(|(_, known)| dated::split(known).1 == dated::split(&text).1);
        // A bar is found to be of one width: the last one counts.
        for (on, text) in old.into_iter().filter(|_| !is_known) {
            edit.remove_note(&on, &text)?;
            told.answered.push(text);
        }
        let written = !is_known && add_note(edit, on, &text)?;
        told.kept.push(kept(on, text, written));
    } else if sheet.reading(&MeasureId::bike(BAR_WIDTH)).is_some() {
        for (on, text) in old {
            edit.remove_note(&on, &text)?;
            told.answered.push(text);
        }
    }
    Ok(())
}

fn kept(on: &str, text: String, written: bool) -> NoteKept {
    NoteKept { on: on.to_owned(), text, noted_at: on.to_owned(), written }
}
