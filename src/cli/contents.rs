//! The contents a history goes through: each read once, many at a time on all cores, only so many kept.

use std::collections::{HashMap, HashSet};
use std::sync::Arc;

use rayon::prelude::*;

use crate::catalogue::Catalogue;
use crate::history::Content;
use crate::ledger::{BlobId, BlobReader, Ledger, LedgerError};
use crate::setup::read::read;

use super::session::Failure;

/// How many contents are kept: enough that neighbouring rows share what they have in common.
const KEPT: usize = 2048;

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
        let asked: HashSet<&BlobId> = ids.collect();
        if self.known.len() > KEPT {
            self.known.retain(|id, _| asked.contains(id));
        }
        let new: Vec<&BlobId> = asked.into_iter().filter(|id| !self.known.contains_key(id)).collect();
        let (catalogue, ledger) = (self.catalogue, self.ledger);
        let one = |reader: &mut Result<BlobReader, LedgerError>, id: &BlobId| {
            let reader = reader.as_ref().map_err(|error| Failure::new(error.to_string(), error.help()))?;
            let bytes = reader.read(id)?;
            Ok((id.clone(), Arc::new(Content { read: read(catalogue, &bytes, None) })))
        };
        let found: Result<Vec<_>, Failure> =
            new.into_par_iter().map_init(|| ledger.blob_reader(), one).collect();
        self.known.extend(found?);
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
