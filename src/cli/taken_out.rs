//! Files that go with a commit though they keep from riding: with them goes what they tell, and nothing else says it.

use crate::catalogue::Catalogue;
use crate::ledger::{Ledger, Revision, SetupFile, Staged};
use crate::setup::model::{Kind, Setup};
use crate::setup::read::read;

use super::session::{Failure, Session};
use super::stop;

/// The deleted files that told something against riding which no staged file tells, each with what is said of it.
pub fn told(
    session: &Session,
    ledger: &Ledger,
    staged: &Staged,
) -> Result<Vec<(SetupFile, String)>, Failure> {
    if staged.deleted.is_empty() {
        return Ok(Vec::new());
    }
    let here = Here { catalogue: session.catalogue(), ledger, head: ledger.revision("HEAD")? };
    let mut kept = Vec::new();
    for file in &staged.changed {
        let text = ledger.read_staged(file)?;
        kept.extend(text.and_then(|text| here.stop(&text)));
    }
    let mut all = Vec::new();
    for file in &staged.deleted {
        let Some(was) = ledger.read_at(file, &here.head)? else { continue };
        // A file under another name is not gone, and what a setup keeps of a sheet is not lost with it.
        let Some(why) = here.stop(&was.bytes).filter(|why| !kept.contains(why)) else { continue };
        let said = format!("It is taken out with this commit, and it says: do not ride: {why}.");
        all.push((file.clone(), said));
    }
    Ok(all)
}

/// A ledger, and what was last recorded of it.
struct Here<'a> {
    catalogue: &'a Catalogue,
    ledger: &'a Ledger,
    head: Revision,
}

impl Here<'_> {
    /// What a text tells against riding, a sheet beside its setup as that is staged, or as it was where that goes as well.
    fn stop(&self, text: &[u8]) -> Option<String> {
        let alone = read(self.catalogue, text, None).setup?;
        if alone.kind == Kind::Setup {
            return stop::kept(self.catalogue, &alone);
        }
        let Some(setup) = self.setup_of(&alone) else { return stop::says_alone(self.catalogue, &alone) };
        let sheet = read(self.catalogue, text, Some(&setup)).setup?;
        stop::on_setup(self.catalogue, &setup, &sheet)
    }

    fn setup_of(&self, sheet: &Setup) -> Option<Setup> {
        let file = self.ledger.setup_named(&sheet.name.value);
        let staged = self.ledger.read_staged(&file).ok().flatten();
        let bytes = staged.or_else(|| Some(self.ledger.read_at(&file, &self.head).ok()??.bytes))?;
        read(self.catalogue, &bytes, None).setup.filter(|setup| setup.kind == Kind::Setup)
    }
}
