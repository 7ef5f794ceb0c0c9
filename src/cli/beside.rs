//! An as-found sheet and the setup whose instruments it names.

use crate::catalogue::Catalogue;
use crate::ledger::{Ledger, Revision, read_file};
use crate::setup::model::{Kind, Setup};
use crate::setup::read::{Read, read};

/// A sheet read once more, with the instruments of its setup as that was in the revision that recorded the sheet; where
/// there is none, or an instrument was not in it yet, as it is in the working folder. Anything else, and a sheet whose
/// setup is not at hand, stays as it was read.
pub fn with_its_setup(
    catalogue: &Catalogue,
    ledger: Option<&Ledger>,
    at: Option<&Revision>,
    bytes: &[u8],
    first: Read,
) -> Read {
    and_its_setup(catalogue, ledger, at, bytes, first).0
}

/// The same, with that setup if there is one.
pub fn and_its_setup(
    catalogue: &Catalogue,
    ledger: Option<&Ledger>,
    at: Option<&Revision>,
    bytes: &[u8],
    first: Read,
) -> (Read, Option<Setup>) {
    let sheet = first.setup.as_ref().filter(|setup| setup.kind == Kind::Found);
    let Some((sheet, ledger)) = sheet.zip(ledger) else { return (first, None) };
    let on = |base: Option<Setup>| {
        let base = base.filter(|base| base.kind == Kind::Setup)?;
        Some((read(catalogue, bytes, Some(&base)), Some(base)))
    };
    let then = at.and_then(|at| on(setup_at(catalogue, ledger, sheet, at)));
    match then {
        Some(then) if !then.0.has_fault() => then,
        then => {
            let now = on(setup_of(catalogue, ledger, sheet));
            now.filter(|(now, _)| then.is_none() || !now.has_fault()).or(then).unwrap_or((first, None))
        }
    }
}

/// The setup that a sheet names, as it was at a revision.
fn setup_at(catalogue: &Catalogue, ledger: &Ledger, sheet: &Setup, at: &Revision) -> Option<Setup> {
    let found = ledger.read_at(&ledger.setup_named(&sheet.name.value), at).ok()??;
    read(catalogue, &found.bytes, None).setup
}

/// The setup that a sheet names, as it is in the working folder.
pub fn setup_of(catalogue: &Catalogue, ledger: &Ledger, sheet: &Setup) -> Option<Setup> {
    let file = ledger.setup_named(&sheet.name.value);
    read(catalogue, &read_file(&file.path).ok()?, None).setup
}
