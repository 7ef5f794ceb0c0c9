//! Walking the commits behind one, with the path a file has in each.
//!
//! Commits are compared by the ids of the entries along the path; whole trees are compared only where the
//! path appears for the first time, to see whether it was renamed. The ids are looked up for many commits
//! ahead at once, on all cores.

use std::{
    cmp::Reverse,
    collections::{BTreeMap, BinaryHeap, VecDeque},
    mem,
    sync::Arc,
};

use gix::{
    ObjectId, ThreadSafeRepository,
    bstr::{BStr, BString},
    hashtable::{HashMap as IdMap, HashSet as IdSet},
    objs::{CommitRefIter, FindExt, commit::ref_iter::Token},
    traverse::commit::ParentIds,
};
use rayon::prelude::*;

use super::{
    LedgerError,
    pack_order::PackOrder,
    renames::renamed_from,
    repository::Store,
    tree::{blob_at, entry, names},
};

/// How many commits to look ahead at first: enough for the last change, which is often near.
const FIRST_LOOK_AHEAD: usize = 32;
/// How far the look ahead grows.
const LONGEST_LOOK_AHEAD: usize = 4096;
/// Folders one thread reads in a row: neighbours are kept as differences from each other.
const ROW: usize = 256;

/// What is needed of a commit to walk on.
#[derive(Clone)]
struct Links {
    tree: ObjectId,
    parents: ParentIds,
    seconds: i64,
}

/// One commit visited.
pub(super) struct Step {
    pub(super) id: ObjectId,
    pub(super) path: BString,
    pub(super) blob: Option<ObjectId>,
    /// The content in the first parent, under the path it has there.
    pub(super) before: Option<ObjectId>,
    pub(super) changed: bool,
    /// Whether the content differs from some parent's: of a merge that took one of them whole, too.
    pub(super) differs: bool,
    pub(super) renamed_from: Option<BString>,
    pub(super) parents: ParentIds,
    /// All that the commit itself says, if it was read on the way.
    pub(super) text: Option<Box<[u8]>>,
}

/// Visits every commit once, newest first, with the path the file has there.
pub(super) struct Walk {
    repository: gix::Repository,
    shared: ThreadSafeRepository,
    order: Arc<PackOrder>,
    hash_digits: usize,
    graph: Option<gix::commitgraph::Graph>,
    /// In a shallow clone the oldest commits, which name parents that are not there.
    shallow: IdSet<ObjectId>,
    first_parent: bool,
    follow_renames: bool,
    /// Commits to visit; of equal dates the one met first.
    waiting: BinaryHeap<(i64, Reverse<usize>, ObjectId)>,
    /// The path in every commit met and not visited yet, and in all met where paths can join again.
    paths: IdMap<ObjectId, BString>,
    links: IdMap<ObjectId, Links>,
    /// What the commits say that were read and not visited yet: to unpack one again costs more than to keep it.
    texts: IdMap<ObjectId, Box<[u8]>>,
    /// What each path leads to in the trees looked up so far.
    answers: BTreeMap<BString, IdMap<ObjectId, Option<ObjectId>>>,
    look_ahead: usize,
    met: usize,
    buffer: Vec<u8>,
}

impl Walk {
    pub(super) fn new(
        store: &Store,
        start: ObjectId,
        path: BString,
        first_parent: bool,
    ) -> Result<Self, LedgerError> {
        let mut repository = store.own();
        // Every commit is read once: keeping it would be work for nothing.
        repository.object_cache_size(0);
        // The commit graph only saves time: a damaged one is done without.
        let graph = repository.commit_graph_if_enabled().ok().flatten();
        let shallow = repository.shallow_commits().map_err(LedgerError::git("Walking the history"))?;
        let mut walk = Self {
            repository,
            shared: store.shared(),
            order: store.pack_order(),
            hash_digits: store.hash_digits(),
            graph,
            shallow: shallow.iter().flat_map(|commits| commits.iter().copied()).collect(),
            first_parent,
            follow_renames: true,
            waiting: BinaryHeap::new(),
            paths: IdMap::default(),
            links: IdMap::default(),
            texts: IdMap::default(),
            answers: BTreeMap::new(),
            look_ahead: FIRST_LOOK_AHEAD,
            met: 0,
            buffer: Vec::new(),
        };
        walk.meet(start, path)?;
        Ok(walk)
    }

    /// Sticks to the path, wherever its content came from.
    pub(super) fn without_renames(mut self) -> Self {
        self.follow_renames = false;
        self
    }

    /// Whether only the first parents are followed.
    pub(super) fn is_along_first_parents(&self) -> bool {
        self.first_parent
    }

    /// Whether the clone is shallow and ends at this commit.
    pub(super) fn ends_at(&self, id: ObjectId) -> bool {
        self.shallow.contains(&id)
    }

    pub(super) fn repository(&self) -> &gix::Repository {
        &self.repository
    }

    pub(super) fn hash_digits(&self) -> usize {
        self.hash_digits
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

    fn links(&mut self, id: ObjectId) -> Result<Links, LedgerError> {
        if let Some(links) = self.links.get(&id) {
            return Ok(links.clone());
        }
        let links = self.read_links(id)?;
        self.links.insert(id, links.clone());
        Ok(links)
    }

    fn read_links(&mut self, id: ObjectId) -> Result<Links, LedgerError> {
        let failed = LedgerError::git("Walking the history");
        if let Some((graph, commit)) =
            self.graph.as_ref().and_then(|graph| Some((graph, graph.commit_by_id(id)?)))
        {
            let mut parents = ParentIds::default();
            for position in commit.iter_parents() {
                parents.push(graph.id_at(position.map_err(&failed)?).to_owned());
            }
            let seconds = i64::try_from(commit.committer_timestamp()).unwrap_or(i64::MAX);
            return Ok(Links { tree: commit.root_tree_id().to_owned(), parents, seconds });
        }
        let mut buffer = mem::take(&mut self.buffer);
        let commit = self.repository.objects.find_commit_iter(&id, &mut buffer).map_err(&failed)?;
        let links = self.links_in(id, commit)?;
        self.texts.insert(id, buffer.as_slice().into());
        self.buffer = buffer;
        Ok(links)
    }

    fn links_in(&self, id: ObjectId, mut commit: CommitRefIter) -> Result<Links, LedgerError> {
        let failed = LedgerError::git("Walking the history");
        let seconds = if self.first_parent {
            0
        } else {
            commit.committer().and_then(|it| it.time()).map_err(&failed)?.seconds
        };
        let tree = commit.tree_id().map_err(&failed)?;
        let mut parents = ParentIds::default();
        if !self.shallow.contains(&id) {
            let parent = |token| if let Ok(Token::Parent { id }) = token { Some(id) } else { None };
            parents.extend(commit.map_while(parent));
        }
        Ok(Links { tree, parents, seconds })
    }

    /// The commits whose parents are followed from this one.
    fn followed<'a>(&self, links: &'a Links) -> &'a [ObjectId] {
        let count = if self.first_parent { links.parents.len().min(1) } else { links.parents.len() };
        &links.parents[..count]
    }

    /// What the path leads to in a commit's tree, looked up together with the commits behind it.
    fn lookup(&mut self, id: ObjectId, path: &BString) -> Result<Option<ObjectId>, LedgerError> {
        let tree = self.links(id)?.tree;
        if let Some(answer) = self.answers.get(path).and_then(|answers| answers.get(&tree)) {
            return Ok(*answer);
        }
        let trees = self.trees_ahead(id, path);
        self.look_ahead = (self.look_ahead * 2).min(LONGEST_LOOK_AHEAD);
        let found = self.look_up_all(&trees, path.as_ref());
        let answers = self.answers.entry(path.clone()).or_default();
        answers.extend(found);
        match answers.get(&tree) {
            Some(answer) => Ok(*answer),
            None => blob_at(&self.repository, tree, path.as_ref()),
        }
    }

    /// What the path leads to in each of these trees, folder by folder: each is read once, and all at one level in the
    /// order in which that goes fastest. Trees that cannot be read are left out.
    fn look_up_all(&self, trees: &[ObjectId], path: &BStr) -> Vec<(ObjectId, Option<ObjectId>)> {
        let mut answers = Vec::with_capacity(trees.len());
        let mut reached: Vec<(ObjectId, ObjectId)> = trees.iter().map(|tree| (*tree, *tree)).collect();
        for (name, is_file) in names(path) {
            let folders: IdSet<ObjectId> = reached.iter().map(|(_, folder)| *folder).collect();
            let mut folders: Vec<ObjectId> = folders.into_iter().collect();
            folders.sort_by_cached_key(|folder| self.order.place(folder));
            let entries = self.entries(&folders, name, is_file);
            reached.retain_mut(|(tree, folder)| match entries.get(folder) {
                Some(Some(id)) => {
                    *folder = *id;
                    true
                }
                Some(None) => {
                    answers.push((*tree, None));
                    false
                }
                None => false,
            });
        }
        answers.extend(reached.into_iter().map(|(tree, file)| (tree, Some(file))));
        answers
    }

    /// What a name leads to in each of these folders, on all cores.
    fn entries(&self, folders: &[ObjectId], name: &BStr, is_file: bool) -> IdMap<ObjectId, Option<ObjectId>> {
        let row = |repository: &gix::Repository, row: &[ObjectId]| {
            let mut buffer = Vec::new();
            let one = |folder: &ObjectId| {
                Some((*folder, entry(repository, *folder, name, is_file, &mut buffer).ok()?))
            };
            row.iter().filter_map(one).collect::<Vec<_>>()
        };
        if folders.len() <= ROW {
            return row(&self.repository, folders).into_iter().collect();
        }
        let shared = &self.shared;
        let own = || {
            let mut repository = shared.to_thread_local();
            repository.object_cache_size(0);
            repository
        };
        let rows = folders.par_chunks(ROW).map_init(own, |repository, folders| row(repository, folders));
        rows.collect::<Vec<_>>().into_iter().flatten().collect()
    }

    /// The trees of this commit and of those behind it, as far as the look ahead goes and as far as they are
    /// not known for this path. Where reading fails the look ahead just ends: the walk will say so in its turn.
    fn trees_ahead(&mut self, id: ObjectId, path: &BString) -> Vec<ObjectId> {
        let mut trees = Vec::new();
        let mut seen = IdSet::default();
        let mut ahead = VecDeque::from([id]);
        for _ in 0..self.look_ahead {
            let Some(id) = ahead.pop_front() else { break };
            let Ok(links) = self.links(id) else { continue };
            let known = self.answers.get(path).is_some_and(|answers| answers.contains_key(&links.tree));
            if !known && seen.insert(links.tree) {
                trees.push(links.tree);
            }
            let parents = self.followed(&links).iter();
            ahead.extend(parents.filter(|parent| seen.insert(**parent)));
        }
        trees
    }

    fn visit(&mut self, id: ObjectId, path: BString) -> Result<Step, LedgerError> {
        let here = self.lookup(id, &path)?;
        let links = self.links(id)?;
        let followed = self.followed(&links);
        let mut changed = !followed.is_empty() || here.is_some();
        let mut differs = false;
        let mut renamed = None;
        let mut before = None;
        for (place, parent) in followed.iter().enumerate() {
            let mut there = self.lookup(*parent, &path)?;
            let mut path_there = path.clone();
            if self.follow_renames && there.is_none() && here.is_some() {
                let parent_tree = self.links(*parent)?.tree;
                let source = renamed_from(&self.repository, parent_tree, links.tree, path.as_ref())?;
                if let Some((old_path, old_blob)) = source {
                    // What a merge is said to have done is said against its first parent.
                    if place == 0 {
                        renamed = Some(old_path.clone());
                    }
                    path_there = old_path;
                    there = Some(old_blob);
                }
            }
            if place == 0 {
                before = there;
            }
            differs |= there != here;
            if there == here && path_there == path {
                changed = false;
            }
            self.meet(*parent, path_there)?;
        }
        self.links.remove(&id);
        let text = self.texts.remove(&id);
        Ok(Step {
            id,
            path,
            blob: here,
            before,
            changed,
            differs,
            renamed_from: renamed,
            parents: links.parents,
            text,
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
