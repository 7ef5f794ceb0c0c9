//! What a sheet read of a joint before it saw that open: of what nobody knows since, a note keeps it beside what was recorded.

use crate::catalogue::Catalogue;
use crate::compare::ReadBeforeOpen;
use crate::restore::evidence;
use crate::setup::edit::{Edit, EditError};
use crate::setup::model::Setup;

use super::NoLongerKnown;

/// All of it, as the sheet was written; with its note where that is `unknown` from now on.
pub(super) fn kept(
    catalogue: &Catalogue,
    edit: &mut Edit,
    (before, as_written): (&Setup, &Setup),
    unknown: &[NoLongerKnown],
) -> Result<Vec<ReadBeforeOpen>, EditError> {
    let read = evidence::read_before_open(catalogue, before, as_written);
    for one in read.iter().filter(|one| unknown.iter().any(|gone| gone.measure == one.measure)) {
        let (place, text) = (one.place(catalogue), &one.note);
        if !edit.setup().notes.iter().any(|note| note.on == place && note.text.value == *text) {
            edit.add_note(&place, text)?;
        }
    }
    Ok(read)
}
