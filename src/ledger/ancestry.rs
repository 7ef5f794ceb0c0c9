//! What lies behind a revision, whatever line it lies on.

use chrono::NaiveDate;
use gix::{
    ObjectId,
    hashtable::{HashMap as IdMap, HashSet as IdSet},
};

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
        let repository = self.store()?.own();
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
        let repository = self.store()?.own();
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
        let stood = newest_in_all(&repository, &older, &joined)?;
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

/// The newest of these first parents, newest first, that lies behind all of these commits. Each commit behind them is looked
/// at once, however many merges there are.
fn newest_in_all(
    repository: &gix::Repository,
    line: &[ObjectId],
    commits: &[ObjectId],
) -> Result<Option<ObjectId>, LedgerError> {
    let failed = LedgerError::git(DOING);
    if line.is_empty() || commits.is_empty() {
        return Ok(line.first().copied());
    }
    let mut parents = IdMap::default();
    for commit in repository.rev_walk(commits.iter().copied()).all().map_err(&failed)? {
        let commit = commit.map_err(&failed)?;
        parents.insert(commit.id, commit.parent_ids);
    }
    // Of each commit the place of the newest of the line that lies behind it.
    let mut places: IdMap<ObjectId, usize> =
        line.iter().enumerate().map(|(place, id)| (*id, place)).collect();
    let mut open = commits.to_vec();
    while let Some(id) = open.last().copied() {
        let behind = parents.get(&id).map_or(&[][..], |parents| parents);
        let unknown = behind.iter().find(|parent| !places.contains_key(*parent));
        if let Some(parent) = unknown.filter(|_| !places.contains_key(&id)) {
            open.push(*parent);
            continue;
        }
        let newest = behind.iter().map(|parent| places.get(parent).copied().unwrap_or(line.len())).min();
        places.entry(id).or_insert(newest.unwrap_or(line.len()));
        open.pop();
    }
    let oldest = commits.iter().filter_map(|id| places.get(id)).max();
    Ok(oldest.and_then(|place| line.get(*place)).copied())
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
