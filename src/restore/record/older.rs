//! Readings of a sheet that are older than what the file has: they are not written over it.

use chrono::NaiveDate;
use serde::Serialize;

use crate::catalogue::{Catalogue, MeasureId};
use crate::check::forgotten;
use crate::geometry::state::Turns;
use crate::setup::model::{Mark, Setup, Value};

use super::carried::Unknown;

/// What became of an angle that was read on a bar of unknown roll.
const NOT_READ_SINCE: &str = "not read since the bar is back";

/// One measure that the file has from a later day.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Older {
    /// Which.
    #[serde(skip)]
    pub id: MeasureId,
    /// Its written path.
    pub measure: String,
    /// In plain words.
    pub title: String,
    /// The day on which the sheet read it.
    pub read: NaiveDate,
    /// The day of the file's reading.
    pub recorded: NaiveDate,
    /// All of it, in one sentence.
    pub words: String,
}

/// The day of what a file says of a measure: the reading's own, else the file's.
pub(super) fn day_of(setup: &Setup, id: &MeasureId) -> Option<NaiveDate> {
    setup.day_of(setup.reading(id))
}

/// The days on which lines were drawn at a measure's recorded position, each with its mark.
fn lines<'s>(setup: &'s Setup, id: &'s MeasureId) -> impl Iterator<Item = (NaiveDate, &'s str)> {
    let shows = move |mark: &&Mark| mark.drawn.iter().any(|(drawn, _)| drawn == id);
    setup.marks.iter().filter(shows).filter_map(|mark| Some((mark.drawn_on?, mark.name.value.as_str())))
}

/// The last day on which somebody knew a measure to stand as recorded: read it, or drew a line there.
pub(super) fn known_on(setup: &Setup, id: &MeasureId) -> Option<NaiveDate> {
    lines(setup, id).map(|(drawn, _)| drawn).chain(day_of(setup, id)).max()
}

/// Those of these that nobody has read since the sheet's day either, and what became of them.
pub(super) fn not_read_since(setup: &Setup, sheet: &Setup, unread: &[MeasureId]) -> Vec<Unknown> {
    let day = sheet.day();
    let is_read_since = |id: &MeasureId| known_on(setup, id).zip(day).is_some_and(|(known, day)| known > day);
    let open = unread.iter().filter(|id| !is_read_since(id));
    open.map(|id| Unknown::of(id.clone(), NOT_READ_SINCE)).collect()
}

/// What of all that would be written is older than what it would be written over.
pub(super) fn older(
    catalogue: &Catalogue,
    before: &Setup,
    (sheet, turns): (&Setup, &Turns),
    all: &[MeasureId],
) -> Vec<Older> {
    let read_on = |id: &MeasureId| sheet.day_of(sheet.reading(id).or_else(|| turns.get(id)));
    let one = |id: &MeasureId| {
        // From before its clamp was let go, a reading tells nothing of how it stands since.
        let since = forgotten::noted(catalogue, before, id).and_then(|noted| noted.since);
        if let Some((since, read)) = since.zip(read_on(id)).filter(|(since, read)| read < since) {
            let title = catalogue.title(id);
            let words = format!("{title} of {read} is not written: nobody knows it since {since}");
            let (measure, id) = (catalogue.path(id), id.clone());
            return Some(Older { id, measure, title, read, recorded: since, words });
        }
        // Where nothing was ever known, an old reading is better than none.
        before.recorded(id).filter(|recorded| recorded.value != Value::Unmeasured)?;
        let (read, own) = (read_on(id)?, day_of(before, id)?);
        let title = catalogue.title(id);
        // Who drew a line there later knew where it stood.
        let line = lines(before, id).max_by_key(|(drawn, _)| *drawn).filter(|(drawn, _)| *drawn > own);
        let (recorded, whose) = match line {
            Some((drawn, mark)) => (drawn, format!("the line of mark {mark}")),
            None => (own, "the file's reading".to_owned()),
        };
        let words = format!("{title} of {read} is not written: {whose} is of {recorded}");
        let id = id.clone();
        (read < recorded).then(|| Older { measure: catalogue.path(&id), id, title, read, recorded, words })
    };
    all.iter().filter_map(one).collect()
}

/// Whether something at a joint was not written, because it is older.
pub(super) fn is_at(catalogue: &Catalogue, before: &Setup, all: &[Older], joint: &str) -> bool {
    all.iter().any(|one| before.joint_of(catalogue, &one.id) == Some(joint))
}
