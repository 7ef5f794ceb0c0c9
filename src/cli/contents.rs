//! The contents a history goes through: each read once, many at a time on all cores, only so many kept.

use std::collections::{HashMap, HashSet};
use std::sync::Arc;

use rayon::prelude::*;

use crate::catalogue::Catalogue;
use crate::history::Content;
use crate::ledger::{BlobId, Ledger};
use crate::setup::read::Successive;

use super::session::Failure;

/// How many contents are kept: enough that neighbouring rows share what they have in common.
const KEPT: usize = 2048;

/// How many contents one core reads in a row: neighbours have most of their text in common.
const RUN: usize = 64;

/// Contents by their id.
pub struct Contents<'a> {
    catalogue: &'a Catalogue,
    ledger: &'a Ledger,
    known: HashMap<BlobId, Arc<Content>>,
}

impl<'a> Contents<'a> {
    /// None yet.
    pub fn new(catalogue: &'a Catalogue, ledger: &'a Ledger) -> Contents<'a> {
        Contents { catalogue, ledger, known: HashMap::new() }
    }

    /// Reads those of these contents that are not known.
    pub fn read_all<'i>(&mut self, ids: impl Iterator<Item = &'i BlobId>) -> Result<(), Failure> {
        let ids: Vec<&BlobId> = ids.collect();
        let asked: HashSet<&BlobId> = ids.iter().copied().collect();
        if self.known.len() > KEPT {
            self.known.retain(|id, _| asked.contains(id));
        }
        let mut seen = HashSet::new();
        let new: Vec<&BlobId> =
            ids.into_iter().filter(|id| !self.known.contains_key(id) && seen.insert(*id)).collect();
        let (catalogue, ledger) = (self.catalogue, self.ledger);
        let found: Result<Vec<_>, Failure> =
            new.par_chunks(RUN).map(|run| read_run(catalogue, ledger, run)).collect();
        self.known.extend(found?.into_iter().flatten());
        Ok(())
    }

    /// One content.
    pub fn get(&mut self, id: &BlobId) -> Result<Arc<Content>, Failure> {
        if let Some(content) = self.known.get(id) {
            return Ok(content.clone());
        }
        self.read_all(std::iter::once(id))?;
        self.known.get(id).cloned().ok_or_else(|| {
            Failure::new(format!("The content {id} could not be read."), "Check the repository: git fsck.")
        })
    }
}

fn read_run(
    catalogue: &Catalogue,
    ledger: &Ledger,
    run: &[&BlobId],
) -> Result<Vec<(BlobId, Arc<Content>)>, Failure> {
    let reader = ledger.blob_reader()?;
    let mut texts = Successive::new(catalogue);
    let one = |id: &&BlobId| {
        let read = texts.read(&reader.read(id)?);
        Ok(((*id).clone(), Arc::new(Content { read })))
    };
    run.iter().map(one).collect()
}
