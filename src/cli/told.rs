//! What each revision of a history did, told while the commits behind it are still being looked for.
//!
//! Finding the commits takes one core and about half of the time; the rows of revisions found meanwhile are read and
//! compared on the others. A revision is told at once if what the file held before it can be read: that is nearly every
//! one. What the others are compared with lies further behind and is not known yet; they are left.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use crate::catalogue::Catalogue;
use crate::history::{self, Content, Entry, Stamp, Step, Wanted};
use crate::ledger::{BlobId, HistoryEntry, Ledger};
use crate::setup::model::Kind;
use crate::setup::read::Successive;

use super::contents::read_run;
use super::history::stamp;
use super::session::Failure;

/// How many revisions are read and compared in a row: most of their text is that of their neighbours.
const ROW: usize = 32;

/// A revision found, and its place in the history.
pub struct Found {
    place: usize,
    stamp: Stamp,
    blob: Option<BlobId>,
    before: Option<BlobId>,
    /// Whether no revision lies behind it.
    is_first: bool,
}

/// The revisions found last, until there is a row of them.
#[derive(Default)]
pub struct Row(Vec<Found>);

impl Row {
    /// Puts in one more; gives the row back once it is full. What a merge joined lies on other lines: it is left.
    pub fn push(&mut self, place: usize, commit: &HistoryEntry) -> Option<Row> {
        if commit.parents.len() > 1 {
            return None;
        }
        self.0.push(Found {
            place,
            stamp: stamp(commit),
            blob: commit.blob.clone(),
            before: commit.before.clone(),
            is_first: commit.parents.is_empty(),
        });
        (self.0.len() == ROW).then(|| std::mem::take(self))
    }
}

/// What was told so far. Shared by the cores that tell.
pub struct Told<'a> {
    catalogue: &'a Catalogue,
    ledger: &'a Ledger,
    wanted: &'a [Wanted],
    /// What the cores read with, while they do not: the next row goes on where one ended.
    readers: Mutex<Vec<Successive<'a>>>,
    entries: Mutex<Vec<(usize, Entry)>>,
    failed: Mutex<Option<Failure>>,
}

impl<'a> Told<'a> {
    /// Nothing told yet.
    pub fn new(catalogue: &'a Catalogue, ledger: &'a Ledger, wanted: &'a [Wanted]) -> Told<'a> {
        Told {
            catalogue,
            ledger,
            wanted,
            readers: Mutex::default(),
            entries: Mutex::default(),
            failed: Mutex::default(),
        }
    }

    /// Reads and tells a row.
    pub fn tell(&self, row: Row) {
        match self.entries_of(row) {
            Ok(told) => locked(&self.entries).extend(told),
            Err(failure) => *locked(&self.failed) = Some(failure),
        }
    }

    fn entries_of(&self, row: Row) -> Result<Vec<(usize, Entry)>, Failure> {
        let mut ids: Vec<&BlobId> = Vec::new();
        for found in &row.0 {
            for id in found.blob.iter().chain(&found.before) {
                // What one revision held before it the next one made.
                if !ids[ids.len().saturating_sub(3)..].contains(&id) {
                    ids.push(id);
                }
            }
        }
        let idle = locked(&self.readers).pop();
        let mut texts = idle.unwrap_or_else(|| Successive::new(self.catalogue));
        let read = read_run(self.catalogue, self.ledger, &[], &ids, &mut texts)?;
        locked(&self.readers).push(texts);
        let contents: HashMap<BlobId, Arc<Content>> = read.into_iter().collect();
        let content = |id: &BlobId| contents.get(id).cloned();
        let told = row.0.into_iter().filter_map(|found| {
            let before = found.before.as_ref().and_then(content).filter(|before| before.setup().is_ok());
            if before.is_none() && !found.is_first {
                return None;
            }
            let after = found.blob.as_ref().and_then(content);
            // Which setup a sheet is read with is told by the revision that made it, and that is not known yet.
            let is_sheet = |content: &Arc<Content>| {
                content.read.setup.as_ref().is_some_and(|setup| setup.kind == Kind::Found)
            };
            if before.iter().chain(&after).any(is_sheet) {
                return None;
            }
            let step = Step { stamp: found.stamp, before, after, merge: None, stepped_over: 0, back: false };
            Some((found.place, history::entry(self.catalogue, &step, self.wanted)))
        });
        Ok(told.collect())
    }

    /// All that was told, each revision with its place in the history.
    pub fn finish(self) -> Result<HashMap<usize, Entry>, Failure> {
        if let Some(failure) = self.failed.into_inner().unwrap_or_else(PoisonError::into_inner) {
            return Err(failure);
        }
        let entries = self.entries.into_inner().unwrap_or_else(PoisonError::into_inner);
        Ok(entries.into_iter().collect())
    }
}

fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
