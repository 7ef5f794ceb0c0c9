//! Marks whose line was struck out: what a sheet tells of it before it is drawn again is no news, and of the very day on
//! which it was found broken it cannot line up.

use chrono::NaiveDate;

use crate::catalogue::Catalogue;
use crate::catalogue::joint::{self, rotation};
use crate::compare::Contradiction;
use crate::setup::dated;
use crate::setup::model::{Mark, MarkState, Setup};

/// How a note on a mark ends that has no line.
pub const UNTIL_DRAWN: &str = "no evidence until drawn again";
/// How such a note begins, behind its day, where the line was found so.
const FOUND_LOST: [&str; 2] = ["found broken", "found gone"];

/// One mark of which a sheet tells and whose line was struck out before.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoNews {
    /// Its name.
    pub mark: String,
    /// The day on which its line was struck out, if that is known.
    pub since: Option<NaiveDate>,
}

/// The marks of a sheet of which it tells how an old line stands that was struck out and not drawn again since: that it is
/// still broken or gone, or that halves meet or stand apart of which nobody knows where they were drawn.
pub fn no_news(setup: &Setup, sheet: &Setup) -> Vec<NoNews> {
    let one = |found: &Mark| {
        let day = found.seen_on.or_else(|| sheet.day());
        let state = found.state.as_ref().map(|state| state.value)?;
        let mark = setup.mark(&found.name.value)?;
        let (since, how) = struck(setup, mark).max()?;
        let is_old = match state {
            MarkState::Broken | MarkState::Missing => day.zip(since).is_some_and(|(day, since)| day > since),
            MarkState::Aligned => how_lost(setup, mark, day).is_none(),
            // Halves of a line that was lost stand apart only if it was drawn again meanwhile: then its joint turned.
            MarkState::Off(_) => !FOUND_LOST.into_iter().any(|lost| how.starts_with(lost)),
        };
        is_old.then(|| NoNews { mark: mark.name.value.clone(), since })
    };
    sheet.marks.iter().filter_map(one).collect()
}

/// How the file has a mark found on that very day, if it was struck out for it: "found broken".
fn how_lost(setup: &Setup, mark: &Mark, day: Option<NaiveDate>) -> Option<&'static str> {
    struck(setup, mark).find_map(|(since, text)| {
        let how = FOUND_LOST.into_iter().find(|how| text.starts_with(how));
        how.filter(|_| since.is_some() && since == day)
    })
}

/// The marks of a sheet that line up on the very day on which the file has them as broken or gone: the sheet is from
/// before, or one of the two is false.
pub fn lines_up_undrawn(catalogue: &Catalogue, setup: &Setup, sheet: &Setup) -> Vec<Contradiction> {
    let one = |found: &Mark| {
        let day = found.seen_on.or_else(|| sheet.day());
        let state = found.state.as_ref().map(|state| state.value)?;
        let mark = setup.mark(&found.name.value).filter(|_| state == MarkState::Aligned)?;
        let name = &mark.name.value;
        let how = how_lost(setup, mark, day)?;
        let joint = mark.on.as_ref()?.value.clone();
        let words = format!(
            "Mark {name} lines up, yet the file has it {how} on that day, and not drawn again: the sheet is from before \
             that, or one of the two is false. If the line was drawn again since, record with --mark"
        );
        Some(Contradiction {
            mark: name.clone(),
            other_mark: None,
            weight: joint::weight(&joint),
            measure: rotation(&joint).map(|(angle, _)| catalogue.path(&angle)).unwrap_or_default(),
            title: format!("the note that it was {how} on that day"),
            joint,
            words,
        })
    };
    sheet.marks.iter().filter_map(one).collect()
}

/// The notes that say of a mark without a line that it was struck out, each with its day.
fn struck<'s>(setup: &'s Setup, mark: &'s Mark) -> impl Iterator<Item = (Option<NaiveDate>, &'s str)> {
    let on = format!("mark.{}", mark.name.value);
    let notes = setup.notes.iter().filter(move |note| note.on == on && mark.drawn.is_empty());
    notes.map(|note| note.text.value.as_str()).filter(|text| text.ends_with(UNTIL_DRAWN)).map(dated::split)
}
