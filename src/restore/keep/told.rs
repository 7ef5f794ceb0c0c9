//! What a sheet tells of the bike and nothing that is written from it keeps: angles that all read alike otherwise, and a bar
//! found narrower of which nobody says what it is. A dated note keeps it, until a sheet answers it.

use chrono::NaiveDate;

use crate::catalogue::table::BAR_WIDTH;
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
    alike(catalogue, edit, comparison, changed, day, &mut told)?;
    narrower(edit, sheet, comparison, day, &mut told)?;
    Ok(told)
}

fn alike(
    catalogue: &Catalogue,
    edit: &mut Edit,
    comparison: &Comparison,
    changed: &[&MeasureId],
    day: Option<NaiveDate>,
    told: &mut Told,
) -> Result<(), EditError> {
    let rolled = comparison.unknown_roll.as_ref().filter(|roll| roll.because == RollOpen::AllAlike);
    let said = match (rolled, &comparison.common_shift) {
        (Some(roll), _) => Some((place_of_the_bar(edit.setup()), roll.why.clone())),
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
            for (on, text) in noted {
                edit.remove_note(&on, &text)?;
                told.answered.push(text);
            }
        }
    }
    Ok(())
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
        let on = place_of_the_bar(edit.setup());
        let why = forbidden::note(&narrower.noted());
        let text = format!("{}{why}", dated::prefix(day));
        let is_known = old.iter().any(|(_, known)| dated::split(known).1 == dated::split(&text).1);
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

fn place_of_the_bar(setup: &Setup) -> &'static str {
    if setup.has_part(BAR) { BAR } else { "" }
}

fn kept(on: &str, text: String, written: bool) -> NoteKept {
    NoteKept { on: on.to_owned(), text, noted_at: on.to_owned(), written }
}
