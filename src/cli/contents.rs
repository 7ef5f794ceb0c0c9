//! The contents a history goes through: each read once, many at a time on all cores, only so many kept.

use std::collections::{HashMap, HashSet};
use std::sync::Arc;

use rayon::prelude::*;

use crate::catalogue::Catalogue;
use crate::compare::Change;
use crate::history::Content;
use crate::ledger::{BlobId, HistoryEntry, Ledger, Revision};
use crate::metrology::verdict::Verdict;
use crate::restore::evidence::told_of;
use crate::setup::model::{Kind, Setup};
use crate::setup::read::Successive;

use super::beside::and_its_setup;
use super::session::Failure;

/// How many contents are kept: enough that neighbouring rows share what they have in common.
const KEPT: usize = 256;

/// How many contents one core reads in a row: neighbours have most of their text in common.
const RUN: usize = 64;

/// Contents by their id.
pub struct Contents<'a> {
    catalogue: &'a Catalogue,
    ledger: &'a Ledger,
    /// The history they belong to: an as-found sheet is read with its setup as that was when it was recorded.
    commits: &'a [HistoryEntry],
    known: HashMap<BlobId, Arc<Content>>,
    /// Of every content met, whether it can be read: remembered when the content itself is not.
    readable: HashMap<BlobId, bool>,
}

impl<'a> Contents<'a> {
    /// None yet; newest first the commits whose contents they are.
    pub fn new(catalogue: &'a Catalogue, ledger: &'a Ledger, commits: &'a [HistoryEntry]) -> Contents<'a> {
        Contents { catalogue, ledger, commits, known: HashMap::new(), readable: HashMap::new() }
    }

    /// Reads those of these contents that are not known. Of others not all may be known afterwards.
    pub fn read_all<'i>(&mut self, ids: impl Iterator<Item = &'i BlobId>) -> Result<(), Failure> {
        let ids: Vec<&BlobId> = ids.collect();
        let asked: HashSet<&BlobId> = ids.iter().copied().collect();
        if self.known.len() > KEPT {
            self.known.retain(|id, _| asked.contains(id));
        }
        let mut seen = HashSet::new();
        let new: Vec<&BlobId> =
            ids.into_iter().filter(|id| !self.known.contains_key(id) && seen.insert(*id)).collect();
        let (catalogue, ledger, commits) = (self.catalogue, self.ledger, self.commits);
        let found: Result<Vec<_>, Failure> = new
            .par_chunks(RUN)
            .map(|run| read_run(catalogue, ledger, commits, run, &mut Successive::new(catalogue)))
            .collect();
        for (id, content) in found?.into_iter().flatten() {
            self.readable.insert(id.clone(), content.setup().is_ok());
            self.known.insert(id, content);
        }
        Ok(())
    }

    /// One content; the others that are known stay so.
    pub fn get(&mut self, id: &BlobId) -> Result<Arc<Content>, Failure> {
        if let Some(content) = self.known.get(id) {
            return Ok(content.clone());
        }
        let content = read_one(self.catalogue, self.ledger, self.commits, id)?;
        self.readable.insert(id.clone(), content.setup().is_ok());
        self.known.insert(id.clone(), content.clone());
        Ok(content)
    }

    /// Whether a content can be read. It is not kept for being asked that.
    pub fn is_readable(&mut self, id: &BlobId) -> Result<bool, Failure> {
        if let Some(readable) = self.readable.get(id) {
            return Ok(*readable);
        }
        let readable = read_one(self.catalogue, self.ledger, self.commits, id)?.setup().is_ok();
        self.readable.insert(id.clone(), readable);
        Ok(readable)
    }
}

fn read_one(
    catalogue: &Catalogue,
    ledger: &Ledger,
    commits: &[HistoryEntry],
    id: &BlobId,
) -> Result<Arc<Content>, Failure> {
    let found = read_run(catalogue, ledger, commits, &[id], &mut Successive::new(catalogue))?.pop();
    found.map(|(_, content)| content).ok_or_else(|| {
        Failure::new(format!("The content {id} could not be read."), "Check the repository: git fsck.")
    })
}

/// Reads these contents one after another, on one core, each after the one that was read before it.
pub fn read_run(
    catalogue: &Catalogue,
    ledger: &Ledger,
    commits: &[HistoryEntry],
    run: &[&BlobId],
    texts: &mut Successive,
) -> Result<Vec<(BlobId, Arc<Content>)>, Failure> {
    let reader = ledger.blob_reader()?;
    let one = |(id, text): (&&BlobId, Vec<u8>)| {
        let mut read = texts.read(&text);
        let mut moved = Vec::new();
        if read.setup.as_ref().is_some_and(|setup| setup.kind == Kind::Found) {
            let beside;
            (read, beside) = and_its_setup(catalogue, Some(ledger), made_by(commits, id), &text, read);
            moved = beside
                .zip(read.setup.as_ref())
                .map(|(setup, sheet)| moved_on(catalogue, &setup, sheet))
                .unwrap_or_default();
        }
        ((*id).clone(), Arc::new(Content { read, moved }))
    };
    Ok(run.iter().zip(reader.read_many(run)?).map(one).collect())
}

/// What a sheet found to have moved, without what only went along.
fn moved_on(catalogue: &Catalogue, setup: &Setup, sheet: &Setup) -> Vec<Change> {
    let (comparison, ()) = told_of(catalogue, setup, sheet, |_, _| ());
    comparison
        .changes
        .into_iter()
        .filter(|change| change.verdict == Verdict::Moved && change.carried.is_none())
        .collect()
}

/// The oldest revision of these that holds a content.
fn made_by<'a>(commits: &'a [HistoryEntry], id: &BlobId) -> Option<&'a Revision> {
    let made = commits.iter().rev().find(|commit| commit.blob.as_ref() == Some(id));
    made.map(|commit| &commit.revision)
}
