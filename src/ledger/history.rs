//! The history of one file: the commits in which its content changed, newest first, renames followed.

use gix::{
    ObjectId,
    bstr::{BStr, BString, ByteSlice},
};

use super::{
    BlobId, Ledger, LedgerError, Revision, SetupFile,
    renames::{renamed_from, renamed_to},
    repository::Store,
    revision::{describe, head_id, short, told},
    tree::{blob_at, tree_of},
    walk::{Step, Walk},
};

/// How to walk the history.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HistoryOptions {
    /// Follow only the first parent of a merge, which is then compared with that parent alone. Otherwise all
    /// parents are followed, and a merge counts as a change where it differs from every parent; one that differs from
    /// some of them is told as having taken the file whole.
    pub first_parent: bool,
    /// The newest revision to look at; `HEAD` if none.
    pub from: Option<Revision>,
}

impl Default for HistoryOptions {
    fn default() -> Self {
        Self { first_parent: true, from: None }
    }
}

/// One commit in which the file changed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HistoryEntry {
    /// The commit.
    pub revision: Revision,
    /// The full hashes of all its parents.
    pub parents: Vec<String>,
    /// The file's content after this commit; none when this commit deleted it.
    pub blob: Option<BlobId>,
    /// The file's content in the first parent, under the path it has there; none if it was not there.
    pub before: Option<BlobId>,
    /// Of a merge whose parents are all followed: the other parents that have the file, and its content there.
    pub beside: Vec<Beside>,
    /// Of such a merge: the file's content where its parents parted, none if it was not there. Lines that had merged one
    /// another before parted at several commits.
    pub parted: Vec<Option<BlobId>>,
    /// Whether it is such a merge, and has the file as one of its parents has it.
    pub taken_whole: bool,
    /// The file's path inside the repository after this commit (before it, for a deletion).
    pub path: String,
    /// The path before, if this commit renamed the file.
    pub renamed_from: Option<String>,
    /// The path after, if this commit took the file away by giving it another one.
    pub renamed_to: Option<String>,
    /// Whether the clone is shallow and ends at this commit: its parents are not there.
    pub cut: bool,
}

/// A parent of a merge beside the first, with the file's content in it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Beside {
    /// The parent's full hash.
    pub parent: String,
    /// The content.
    pub blob: BlobId,
}

impl HistoryEntry {
    /// Every content that is needed to tell of it.
    pub fn contents(&self) -> impl Iterator<Item = &BlobId> {
        let beside = self.beside.iter().map(|beside| &beside.blob);
        self.blob.iter().chain(&self.before).chain(self.parted.iter().flatten()).chain(beside)
    }

    /// Whether it is a merge that took the file whole, as the only one of its parents that changed it has it.
    pub fn only_passes_on(&self) -> bool {
        let is_as_it_was = |blob: Option<&BlobId>| self.parted.iter().any(|parted| parted.as_ref() == blob);
        let all_the_same = |blob: Option<&BlobId>| blob == self.blob.as_ref() || is_as_it_was(blob);
        let others = self.parents.len().saturating_sub(1);
        let beside = self.beside.iter().map(|beside| Some(&beside.blob));
        let without = (self.beside.len() < others).then_some(None);
        self.taken_whole && beside.chain(without).chain([self.before.as_ref()]).all(all_the_same)
    }
}

/// Walks the changes of one file, newest first. Ends after a failure.
pub struct History {
    walk: Option<Walk>,
}

impl Iterator for History {
    type Item = Result<HistoryEntry, LedgerError>;

    fn next(&mut self) -> Option<Self::Item> {
        let walk = self.walk.as_mut()?;
        let found = walk.find(|step| !matches!(step, Ok(step) if !step.changed && !step.differs));
        let entry = found.map(|step| step.and_then(|step| entry(walk, &step)));
        if !matches!(entry, Some(Ok(_))) {
            self.walk = None;
        }
        entry
    }
}

impl Ledger {
    /// The commits in which the setup's content changed, newest first, renames followed.
    ///
    /// # Errors
    /// [`LedgerError::NoRepository`], [`LedgerError::NoCommits`]; while walking, failures of the repository.
    pub fn history(&self, setup: &SetupFile, options: &HistoryOptions) -> Result<History, LedgerError> {
        let store = self.store()?;
        let repository = store.local();
        let start = match &options.from {
            Some(revision) => revision.object_id()?,
            None => head_id(&repository)?.ok_or(LedgerError::NoCommits)?,
        };
        let Some(path) = store.path_of(setup) else { return Ok(History { walk: None }) };
        let path = self.place_in_commit(setup, start)?.map_or(path, |(path, _)| path);
        Ok(History { walk: Some(Walk::new(store, start, path, options.first_parent)?) })
    }

    /// The newest commit, along first parents from `HEAD`, that changed the setup; none if it was never
    /// recorded.
    pub fn last_change(&self, setup: &SetupFile) -> Result<Option<HistoryEntry>, LedgerError> {
        if head_id(&self.store()?.local())?.is_none() {
            return Ok(None);
        }
        self.history(setup, &HistoryOptions::default())?.next().transpose()
    }
}

/// Whether the path held a file at any commit along the first parents of `start`.
pub(super) fn was_ever_recorded(store: &Store, start: ObjectId, path: &BStr) -> Result<bool, LedgerError> {
    for step in Walk::new(store, start, path.to_owned(), true)?.without_renames() {
        let step = step?;
        if step.blob.is_some() || step.changed {
            return Ok(true);
        }
    }
    Ok(false)
}

/// Completes a step with what is known of its commit.
fn entry(walk: &Walk, step: &Step) -> Result<HistoryEntry, LedgerError> {
    let text = |path: &BString| path.to_str_lossy().into_owned();
    let is_followed = !walk.is_along_first_parents() && step.parents.len() > 1;
    let label = short(step.id, walk.hash_digits());
    let revision = match &step.text {
        Some(commit) => told(commit, step.id, &label)?,
        None => describe(walk.repository(), step.id, &label)?,
    };
    Ok(HistoryEntry {
        revision,
        parents: step.parents.iter().map(ToString::to_string).collect(),
        blob: step.blob.map(BlobId::of),
        before: step.before.map(BlobId::of),
        beside: if is_followed { beside(walk, step)? } else { Vec::new() },
        parted: if is_followed { parted(walk, step)? } else { Vec::new() },
        taken_whole: is_followed && !step.changed,
        path: text(&step.path),
        renamed_from: step.renamed_from.as_ref().map(text),
        renamed_to: now_at(walk, step)?.as_ref().map(text),
        cut: walk.ends_at(step.id),
    })
}

/// What a merge that follows all its parents found in the others.
fn beside(walk: &Walk, step: &Step) -> Result<Vec<Beside>, LedgerError> {
    let mut found = Vec::new();
    for parent in &step.parents[1..] {
        if let Some(blob) = content_in(walk, step, *parent)? {
            found.push(Beside { parent: parent.to_string(), blob });
        }
    }
    Ok(found)
}

/// What a merge's parents had where they parted. Where that cannot be found it is taken for new since.
fn parted(walk: &Walk, step: &Step) -> Result<Vec<Option<BlobId>>, LedgerError> {
    let repository = walk.repository();
    let bases = match &*step.parents {
        [first, other] => repository.merge_bases_many(*first, &[*other]).unwrap_or_default(),
        parents => {
            let base = repository.merge_base_octopus(parents.iter().copied()).ok().flatten();
            base.into_iter().collect()
        }
    };
    if bases.is_empty() {
        return Ok(vec![None]);
    }
    bases.into_iter().map(|base| content_in(walk, step, base.detach())).collect()
}

/// The file's content in a commit behind this one, under whatever path.
fn content_in(walk: &Walk, step: &Step, commit: ObjectId) -> Result<Option<BlobId>, LedgerError> {
    let repository = walk.repository();
    let (here, there) = (tree_of(repository, step.id)?, tree_of(repository, commit)?);
    let content = match blob_at(repository, there, step.path.as_ref())? {
        None => renamed_from(repository, there, here, step.path.as_ref())?.map(|(_, content)| content),
        known => known,
    };
    Ok(content.map(BlobId::of))
}

/// The path that a file which is gone was given, if it only got another one.
fn now_at(walk: &Walk, step: &Step) -> Result<Option<BString>, LedgerError> {
    let Some(parent) = step.parents.first().filter(|_| step.blob.is_none()) else { return Ok(None) };
    let repository = walk.repository();
    let (old, new) = (tree_of(repository, *parent)?, tree_of(repository, step.id)?);
    renamed_to(repository, old, new, step.path.as_ref())
}
