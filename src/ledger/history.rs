//! The history of one file: the commits in which its content changed, newest first, renames followed.
//!
//! Commits are compared by the ids of the entries along the path; whole trees are compared only where the
//! path appears for the first time, to see whether it was renamed.

use std::{
    cmp::Reverse,
    collections::{BinaryHeap, HashMap},
};

use gix::{
    ObjectId,
    bstr::{BStr, BString, ByteSlice},
};

use super::{
    BlobId, Ledger, LedgerError, Revision, SetupFile,
    renames::renamed_from,
    repository::Store,
    revision::{describe, head_id},
    tree::PathLookup,
};

/// How to walk the history.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HistoryOptions {
    /// Follow only the first parent of a merge, which is then compared with that parent alone. Otherwise all
    /// parents are followed, and a merge counts as a change only where it differs from every parent.
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
    /// The file's path inside the repository after this commit (before it, for a deletion).
    pub path: String,
    /// The path before, if this commit renamed the file.
    pub renamed_from: Option<String>,
}

/// Walks the changes of one file, newest first. Ends after a failure.
pub struct History {
    walk: Option<Walk>,
}

impl Iterator for History {
    type Item = Result<HistoryEntry, LedgerError>;

    fn next(&mut self) -> Option<Self::Item> {
        let walk = self.walk.as_mut()?;
        let found = walk.find(|step| !matches!(step, Ok(step) if !step.changed));
        let entry = found.map(|step| step.and_then(|step| walk.entry(step)));
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
        let path = self.path_in_commit(setup, start)?.unwrap_or(path);
        Ok(History { walk: Some(Walk::new(repository, start, path, options.first_parent)?) })
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
    let mut walk = Walk::new(store.local(), start, path.to_owned(), true)?;
    walk.follow_renames = false;
    for step in walk {
        let step = step?;
        if step.blob.is_some() || step.changed {
            return Ok(true);
        }
    }
    Ok(false)
}

/// What is needed of a commit to walk on.
#[derive(Clone)]
struct Links {
    tree: ObjectId,
    parents: Vec<ObjectId>,
    seconds: i64,
}

/// One commit visited.
pub(super) struct Step {
    pub(super) id: ObjectId,
    pub(super) path: BString,
    pub(super) blob: Option<ObjectId>,
    pub(super) changed: bool,
    pub(super) renamed_from: Option<BString>,
    parents: Vec<ObjectId>,
}

/// Visits every commit once, newest first, with the path the file has there.
pub(super) struct Walk {
    repository: gix::Repository,
    graph: Option<gix::commitgraph::Graph>,
    first_parent: bool,
    follow_renames: bool,
    /// Commits to visit; of equal dates the one met first.
    waiting: BinaryHeap<(i64, Reverse<usize>, ObjectId)>,
    /// The path in every commit met so far.
    paths: HashMap<ObjectId, BString>,
    links: HashMap<ObjectId, Links>,
    lookups: HashMap<BString, PathLookup>,
    met: usize,
}

impl Walk {
    pub(super) fn new(
        repository: gix::Repository,
        start: ObjectId,
        path: BString,
        first_parent: bool,
    ) -> Result<Self, LedgerError> {
        // The commit graph only saves time: a damaged one is done without.
        let graph = repository.commit_graph_if_enabled().ok().flatten();
        let mut walk = Self {
            repository,
            graph,
            first_parent,
            follow_renames: true,
            waiting: BinaryHeap::new(),
            paths: HashMap::new(),
            links: HashMap::new(),
            lookups: HashMap::new(),
            met: 0,
        };
        walk.meet(start, path)?;
        Ok(walk)
    }

    /// Puts a commit in line, unless it was met before.
    fn meet(&mut self, id: ObjectId, path: BString) -> Result<(), LedgerError> {
        if self.first_parent {
            // There is only one line: nothing can be met twice.
            self.paths.clear();
        } else if self.paths.contains_key(&id) {
            return Ok(());
        }
        let seconds = self.links(id)?.seconds;
        self.paths.insert(id, path);
        self.waiting.push((seconds, Reverse(self.met), id));
        self.met += 1;
        Ok(())
    }

    fn links(&mut self, id: ObjectId) -> Result<&Links, LedgerError> {
        if !self.links.contains_key(&id) {
            let links = self.read_links(id)?;
            self.links.insert(id, links);
        }
        Ok(&self.links[&id])
    }

    fn read_links(&self, id: ObjectId) -> Result<Links, LedgerError> {
        let failed = LedgerError::git("Walking the history");
        if let Some((graph, commit)) =
            self.graph.as_ref().and_then(|graph| Some((graph, graph.commit_by_id(id)?)))
        {
            let mut parents = Vec::new();
            for position in commit.iter_parents() {
                parents.push(graph.id_at(position.map_err(&failed)?).to_owned());
            }
            let seconds = i64::try_from(commit.committer_timestamp()).unwrap_or(i64::MAX);
            return Ok(Links { tree: commit.root_tree_id().to_owned(), parents, seconds });
        }
        let commit = self.repository.find_commit(id).map_err(&failed)?;
        // In a shallow clone the oldest commits name parents that are not there.
        let shallow = self.repository.shallow_commits().map_err(&failed)?;
        let cut = shallow.is_some_and(|commits| commits.contains(&id));
        let parents = if cut { Vec::new() } else { commit.parent_ids().map(gix::Id::detach).collect() };
        let tree = commit.tree_id().map_err(&failed)?.detach();
        let seconds = if self.first_parent { 0 } else { commit.time().map_err(&failed)?.seconds };
        Ok(Links { tree, parents, seconds })
    }

    fn lookup(&mut self, tree: ObjectId, path: &BString) -> Result<Option<ObjectId>, LedgerError> {
        if !self.lookups.contains_key(path) {
            self.lookups.insert(path.clone(), PathLookup::new(path.as_ref()));
        }
        match self.lookups.get_mut(path) {
            Some(lookup) => lookup.blob(&self.repository, tree),
            None => Ok(None),
        }
    }

    fn visit(&mut self, id: ObjectId, path: BString) -> Result<Step, LedgerError> {
        let Links { tree, parents, .. } = self.links(id)?.clone();
        self.links.remove(&id);
        let here = self.lookup(tree, &path)?;
        let followed = if self.first_parent { parents.len().min(1) } else { parents.len() };
        let mut changed = followed > 0 || here.is_some();
        let mut renamed = None;
        for parent in &parents[..followed] {
            let parent_tree = self.links(*parent)?.tree;
            let mut there = self.lookup(parent_tree, &path)?;
            let mut path_there = path.clone();
            if self.follow_renames && there.is_none() && here.is_some() {
                let source = renamed_from(&self.repository, parent_tree, tree, path.as_ref())?;
                if let Some((old_path, old_blob)) = source {
                    renamed = Some(old_path.clone());
                    path_there = old_path;
                    there = Some(old_blob);
                }
            }
            if there == here && path_there == path {
                changed = false;
            }
            self.meet(*parent, path_there)?;
        }
        Ok(Step { id, path, blob: here, changed, renamed_from: renamed, parents })
    }

    /// Completes a step with what is known of its commit.
    fn entry(&self, step: Step) -> Result<HistoryEntry, LedgerError> {
        let text = |path: &BString| path.to_str_lossy().into_owned();
        Ok(HistoryEntry {
            revision: describe(&self.repository, step.id, None)?,
            parents: step.parents.iter().map(ToString::to_string).collect(),
            blob: step.blob.map(BlobId::of),
            path: text(&step.path),
            renamed_from: step.renamed_from.as_ref().map(text),
        })
    }
}

impl Iterator for Walk {
    type Item = Result<Step, LedgerError>;

    fn next(&mut self) -> Option<Self::Item> {
        let (_, _, id) = self.waiting.pop()?;
        let path = self.paths.get(&id)?.clone();
        Some(self.visit(id, path))
    }
}
