//! What lies behind a revision, whatever line it lies on.

use chrono::NaiveDate;
use gix::{ObjectId, hashtable::HashSet as IdSet};

use super::{
    HistoryEntry, Ledger, LedgerError, Revision,
    revision::{date, head_id},
};

const DOING: &str = "Walking the history";

/// A revision and everything behind it.
pub struct Ancestry {
    repository: gix::Repository,
    ids: IdSet<ObjectId>,
}

impl Ledger {
    /// A revision and everything behind it, on all lines that were merged into it.
    ///
    /// # Errors
    /// [`LedgerError::NoRepository`] and failures of the repository.
    pub fn ancestry(&self, revision: &Revision) -> Result<Ancestry, LedgerError> {
        let repository = self.store()?.local();
        let ids = walked(&repository, revision.object_id()?, None)?;
        Ok(Ancestry { repository, ids })
    }

    /// What stood here before that day: of the line of first parents from `HEAD` what was committed before, by the
    /// committers' own days, so that a rebase brings what was written earlier. What has a later one behind it does not
    /// count, for a clock may have been slow; nor what a later merge brought together with it, for whoever merged may
    /// have been on the other line. Rather too much is new than too little.
    ///
    /// # Errors
    /// [`LedgerError::NoRepository`] and failures of the repository.
    pub fn ancestry_before(&self, day: NaiveDate) -> Result<Ancestry, LedgerError> {
        let failed = LedgerError::git(DOING);
        let repository = self.store()?.local();
        let (mut older, mut joined) = (Vec::new(), Vec::new());
        if let Some(head) = head_id(&repository)? {
            for commit in repository.rev_walk([head]).first_parent_only().all().map_err(&failed)? {
                let commit = commit.map_err(&failed)?.object().map_err(&failed)?;
                let committed = commit.time().map_err(&failed)?;
                if date(committed.seconds, committed.offset)?.date_naive() < day {
                    older.push(commit.id);
                } else {
                    older.clear();
                    joined.extend(commit.parent_ids().skip(1).map(gix::Id::detach));
                }
            }
        }
        let mut lines = Vec::with_capacity(joined.len());
        for other in joined {
            lines.push(walked(&repository, other, None)?);
        }
        let stood = older.into_iter().find(|id| lines.iter().all(|line| line.contains(id)));
        let ids = stood.map_or_else(|| Ok(IdSet::default()), |stood| walked(&repository, stood, None))?;
        Ok(Ancestry { repository, ids })
    }
}

impl Ancestry {
    /// Whether a commit is one of these.
    pub fn holds(&self, revision: &Revision) -> bool {
        revision.object_id().is_ok_and(|id| self.ids.contains(&id))
    }

    /// Whether a merge that is none of these brought some of them to the line of its first parent.
    ///
    /// # Errors
    /// Failures of the repository.
    pub fn is_brought_by(&self, merge: &HistoryEntry) -> Result<bool, LedgerError> {
        let Some((first, others)) = merge.parents.split_first() else { return Ok(false) };
        let first = id(first)?;
        for other in others {
            let brought = walked(&self.repository, id(other)?, Some(first))?;
            if brought.iter().any(|id| self.ids.contains(id)) {
                return Ok(true);
            }
        }
        Ok(false)
    }
}

fn id(hash: &str) -> Result<ObjectId, LedgerError> {
    ObjectId::from_hex(hash.as_bytes())
        .map_err(|error| LedgerError::Git { doing: DOING, detail: error.to_string() })
}

/// A commit and those behind it, without those behind the hidden one.
fn walked(
    repository: &gix::Repository,
    from: ObjectId,
    hidden: Option<ObjectId>,
) -> Result<IdSet<ObjectId>, LedgerError> {
    let failed = LedgerError::git(DOING);
    let walk = repository.rev_walk([from]).with_hidden(hidden).all().map_err(&failed)?;
    walk.map(|commit| commit.map(|commit| commit.id).map_err(&failed)).collect()
}
