//! An as-found sheet and the setup whose instruments it names.

use crate::catalogue::Catalogue;
use crate::ledger::{Ledger, read_file};
use crate::setup::model::{Kind, Setup};
use crate::setup::read::{Read, read};

/// A sheet read once more, with the instruments of its setup as that is in the working folder; it may be another version
/// than the sheet was read on. Anything else, and a sheet whose setup is not at hand, stays as it was read.
pub fn with_its_setup(catalogue: &Catalogue, ledger: Option<&Ledger>, bytes: &[u8], first: Read) -> Read {
    let sheet = first.setup.as_ref().filter(|setup| setup.kind == Kind::Found);
    let Some((sheet, ledger)) = sheet.zip(ledger) else { return first };
    match setup_of(catalogue, ledger, sheet).filter(|base| base.kind == Kind::Setup) {
        Some(base) => read(catalogue, bytes, Some(&base)),
        None => first,
    }
}

/// The setup that a sheet names, as it is in the working folder.
pub fn setup_of(catalogue: &Catalogue, ledger: &Ledger, sheet: &Setup) -> Option<Setup> {
    let file = ledger.setup_named(&sheet.name.value);
    read(catalogue, &read_file(&file.path).ok()?, None).setup
}
