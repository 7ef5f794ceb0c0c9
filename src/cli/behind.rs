//! What each revision of a history is compared with: the nearest content behind it that can be read, across revisions
//! that cannot and across a time in which the file was deleted.

use std::collections::HashMap;

use crate::ledger::{BlobId, HistoryEntry, HistoryOptions, Ledger};
use crate::setup::name_of;

use super::contents::Contents;
use super::session::Failure;

/// What was found behind a revision.
#[derive(Clone, Debug, Default)]
pub struct Found {
    /// The content; none if there is none that can be read.
    pub before: Option<BlobId>,
    /// How many unreadable revisions lie between.
    pub stepped_over: usize,
    /// Whether the file was deleted between.
    pub across_deletion: bool,
}

/// The contents behind the revisions of one file. Each way back is gone once.
pub struct Behind<'a> {
    ledger: &'a Ledger,
    commits: &'a [HistoryEntry],
    /// Whether they lie on one line, along first parents.
    one_line: bool,
    /// Where each content was made, newest first.
    made: HashMap<&'a BlobId, Vec<usize>>,
    found: HashMap<usize, Found>,
}

/// What lies directly behind a revision.
enum Next {
    /// A content that can be read, or nothing at all.
    Ends(Option<BlobId>),
    /// A content that cannot be read, and where it was made, if that is known.
    Unreadable(Option<usize>),
    /// A deletion.
    Deletion(usize),
}

impl<'a> Behind<'a> {
    /// Nothing looked at yet.
    pub fn new(ledger: &'a Ledger, commits: &'a [HistoryEntry], one_line: bool) -> Behind<'a> {
        let mut made: HashMap<&BlobId, Vec<usize>> = HashMap::new();
        for (place, commit) in commits.iter().enumerate() {
            if let Some(id) = &commit.blob {
                made.entry(id).or_default().push(place);
            }
        }
        Behind { ledger, commits, one_line, made, found: HashMap::new() }
    }

    /// What the revision at this place is compared with.
    pub fn readable(&mut self, place: usize, contents: &mut Contents) -> Result<Found, Failure> {
        let mut passed = Vec::new();
        let mut at = place;
        let mut found = loop {
            if let Some(known) = self.found.get(&at) {
                break known.clone();
            }
            let older = match self.next(at, contents)? {
                Next::Ends(before) => {
                    let found = Found { before, ..Found::default() };
                    self.found.insert(at, found.clone());
                    break found;
                }
                Next::Unreadable(older) => {
                    passed.push((at, false));
                    older
                }
                Next::Deletion(older) => {
                    passed.push((at, true));
                    Some(older)
                }
            };
            match older {
                Some(older) => at = older,
                None => break Found::default(),
            }
        };
        for (at, is_deletion) in passed.into_iter().rev() {
            found.across_deletion |= is_deletion;
            // Where nothing before it can be read, nothing is compared across it either.
            found.stepped_over += usize::from(!is_deletion);
            self.found.insert(at, found.clone());
        }
        Ok(found)
    }

    fn next(&self, at: usize, contents: &mut Contents) -> Result<Next, Failure> {
        match &self.commits[at].before {
            Some(id) if !contents.is_readable(id)? => Ok(Next::Unreadable(self.made_behind(at, id))),
            Some(id) => Ok(Next::Ends(Some(id.clone()))),
            None => Ok(self.deleted_behind(at)?.map_or(Next::Ends(None), Next::Deletion)),
        }
    }

    /// The newest revision behind this one that made a content.
    fn made_behind(&self, place: usize, id: &BlobId) -> Option<usize> {
        let made = self.made.get(id)?;
        made.get(made.partition_point(|older| *older <= place)).copied()
    }

    /// The revision behind this one that deleted the file, which this one put back. A file that was only given another
    /// name is there still, and one that a merged branch has was not away on all of them.
    fn deleted_behind(&self, place: usize) -> Result<Option<usize>, Failure> {
        let commit = &self.commits[place];
        if commit.blob.is_none() || !commit.beside.is_empty() {
            return Ok(None);
        }
        let is_deletion = |older: &HistoryEntry| older.blob.is_none() && older.renamed_to.is_none();
        if self.one_line {
            return Ok(self.commits.get(place + 1).filter(|older| is_deletion(older)).map(|_| place + 1));
        }
        // Of several lines that of the first parents counts: what lies next in time may be on another one.
        let Some(parent) = commit.parents.first() else { return Ok(None) };
        let options = HistoryOptions { first_parent: true, from: Some(self.ledger.revision(parent)?) };
        // It may have been given another name since.
        let file = self.ledger.setup_named(name_of(&commit.path));
        let older = self.ledger.history(&file, &options)?.next().transpose()?;
        let Some(older) = older.filter(is_deletion) else { return Ok(None) };
        Ok(self.commits.iter().position(|commit| commit.revision.id == older.revision.id))
    }
}
