//! Planned figures that the sheet read: they are readings now, and what the file notes of its plan says so.

use std::collections::BTreeSet;

use serde::Serialize;

use crate::catalogue::{Catalogue, MeasureId};
use crate::check::{planned, to_fit};
use crate::setup::edit::{Edit, EditError};

use super::Options;

/// What became of a plan.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct PlannedRead {
    /// What was planned before and read now, by title.
    pub read: Vec<String>,
    /// What is planned still, by title.
    pub left: Vec<String>,
}

/// What became of the figures that were `before` planned, now that these were `changed`.
pub(super) fn told(
    catalogue: &Catalogue,
    edit: &mut Edit,
    (before, changed): (&BTreeSet<MeasureId>, &[&MeasureId]),
    options: &Options,
) -> Result<Option<PlannedRead>, EditError> {
    if options.put_back {
        return Ok(stays(catalogue, &planned::unread(catalogue, edit.setup())));
    }
    read(catalogue, edit, before, changed)
}

/// What of a plan stays planned where the bike was put back and no reading is written; none if nothing is planned.
fn stays(catalogue: &Catalogue, planned: &BTreeSet<MeasureId>) -> Option<PlannedRead> {
    let left: Vec<String> = planned.iter().map(|id| catalogue.title(id)).collect();
    (!left.is_empty()).then_some(PlannedRead { read: Vec::new(), left })
}

/// Takes out of the notes on a plan what was `changed` of the figures that were `before` planned; none if nothing was.
fn read(
    catalogue: &Catalogue,
    edit: &mut Edit,
    before: &BTreeSet<MeasureId>,
    changed: &[&MeasureId],
) -> Result<Option<PlannedRead>, EditError> {
    let (read, left): (BTreeSet<&MeasureId>, BTreeSet<&MeasureId>) =
        before.iter().partition(|id| changed.contains(id));
    if read.is_empty() {
        return Ok(None);
    }
    let setup = edit.setup().clone();
    for note in planned::notes(&setup) {
        let text = &note.text.value;
        let named = planned::named(catalogue, text);
        // Of a note that names none the last figure takes it out.
        let is_left = |id: &MeasureId| left.contains(id) && (named.is_empty() || named.contains(id));
        let still: Vec<String> = left.iter().filter(|id| is_left(id)).map(|id| catalogue.path(id)).collect();
        if named.is_empty() && !still.is_empty() {
            continue;
        }
        match planned::naming(text, &still) {
            Some(now) if now == *text => {}
            Some(now) => edit.rewrite_note(&note.on, text, &now)?,
            None => edit.remove_note(&note.on, text)?,
        }
    }
    let is_of =
        |id: &MeasureId, part: &str| id.subject.side.is_none() && catalogue.measure(id.row).part() == part;
    for fitted in to_fit::noted(&setup).filter(|noted| !noted.is_doubt) {
        let is_read = read.iter().any(|id| is_of(id, fitted.on));
        if is_read && !left.iter().any(|id| is_of(id, fitted.on)) {
            edit.remove_note(&fitted.note.on, &fitted.note.text.value)?;
        }
    }
    let titles = |ids: BTreeSet<&MeasureId>| ids.into_iter().map(|id| catalogue.title(id)).collect();
    Ok(Some(PlannedRead { read: titles(read), left: titles(left) }))
}
