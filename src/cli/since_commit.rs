//! A setup beside what was last recorded of it: git knows what came first and what was there, where the file alone may not.

use crate::catalogue::Catalogue;
use crate::ledger::{Ledger, SetupFile};
use crate::setup::model::{Kind, Setup};
use crate::setup::read::{read, text_conflict};

use super::session::Session;

/// A setup since the last commit.
pub struct SinceCommit<'a> {
    pub catalogue: &'a Catalogue,
    /// As it was last recorded; between the marks of a merge by lines either version.
    pub was: Vec<Setup>,
    /// As it is now, or is staged.
    pub now: Setup,
}

impl<'a> SinceCommit<'a> {
    /// None where it is no setup, or was never recorded.
    pub fn of(
        session: &'a Session,
        ledger: &Ledger,
        file: &SetupFile,
        bytes: &[u8],
    ) -> Option<SinceCommit<'a>> {
        let catalogue = session.catalogue();
        let setup =
            |bytes: &[u8]| read(catalogue, bytes, None).setup.filter(|setup| setup.kind == Kind::Setup);
        let now = setup(bytes)?;
        let recorded = ledger.read_at(file, &ledger.revision("HEAD").ok()?).ok()??.bytes;
        let sides = std::str::from_utf8(&recorded).ok().and_then(text_conflict::sides);
        let was = match sides {
            Some(sides) => sides.iter().filter_map(|side| setup(side.as_bytes())).collect(),
            None => setup(&recorded).into_iter().collect(),
        };
        Some(SinceCommit { catalogue, was, now })
    }
}
