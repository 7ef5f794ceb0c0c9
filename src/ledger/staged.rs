//! What is staged for the next commit.

use std::{
    collections::{BTreeSet, HashMap},
    path::{Path, PathBuf},
};

use gix::{
    ObjectId,
    bstr::{BStr, BString, ByteSlice},
    index::entry::{Flags, Stage},
};

use super::{
    BlobId, Ledger, LedgerError, SetupFile,
    repository::{Backing, Store, around, setup_name},
    revision::head_id,
    tree::tree_of,
};

const DOING: &str = "Reading what is staged";

impl Ledger {
    /// The setup's staged bytes; none if it is not staged, staged as deleted, or left in conflict by a merge.
    pub fn read_staged(&self, setup: &SetupFile) -> Result<Option<Vec<u8>>, LedgerError> {
        let store = self.store()?;
        let Some(path) = store.path_of(setup) else { return Ok(None) };
        let index = store.local().index_or_empty().map_err(LedgerError::git(DOING))?;
        let entry = index.entry_by_path_and_stage(path.as_ref(), Stage::Unconflicted);
        let id = entry.filter(|entry| !entry.flags.contains(Flags::INTENT_TO_ADD)).map(|entry| entry.id);
        id.map(|id| self.read_blob(&BlobId::of(id))).transpose()
    }

    /// The setup files whose staged content differs from `HEAD`, new and renamed ones included, deleted ones
    /// not; sorted by name.
    pub fn staged_changed(&self) -> Result<Vec<SetupFile>, LedgerError> {
        let store = self.store()?;
        let Some(prefix) = store.setups_prefix(&self.setups_folder()) else { return Ok(Vec::new()) };
        let paths = changed_paths(store, &|path| path.starts_with(prefix.as_bytes()))?;
        let names = paths.iter().filter_map(|path| setup_name(path.as_ref(), prefix.as_ref()));
        let mut changed: Vec<SetupFile> = names.map(|name| self.setup_named(&name)).collect();
        changed.sort();
        Ok(changed)
    }

    /// Every ledger of the repository around a folder that has such setup files, by their staged paths alone: a ledger
    /// need not be in the working folder. None where there is no repository.
    ///
    /// # Errors
    /// [`LedgerError::BrokenRepository`], and what cannot be read of it.
    pub fn staged_around(folder: &Path) -> Result<Vec<Ledger>, LedgerError> {
        let store = match around(folder) {
            Backing::None => return Ok(Vec::new()),
            Backing::Git(store) => store,
            Backing::Broken(detail) => {
                return Err(LedgerError::BrokenRepository { root: folder.to_path_buf(), detail });
            }
        };
        let Some(top) = store.worktree() else { return Ok(Vec::new()) };
        let paths = changed_paths(&store, &|path| setups_end(path).is_some())?;
        let roots = paths.iter().filter_map(|path| {
            let prefix = &path[..setups_end(path.as_ref())?];
            setup_name(path.as_ref(), prefix.into())?;
            let below = prefix.strip_suffix(SETUPS)?;
            let folder = below.strip_suffix(b"/").unwrap_or(below).as_bstr();
            Some(top.join(gix::path::from_bstr(folder).ok()?))
        });
        let roots: BTreeSet<PathBuf> = roots.collect();
        Ok(roots.into_iter().map(|root| Ledger { root, backing: Backing::Git(store.clone()) }).collect())
    }
}

/// The top of the working tree around a folder; none where there is no repository.
pub fn top_around(folder: &Path) -> Option<PathBuf> {
    match around(folder) {
        Backing::Git(store) => store.worktree().map(Path::to_path_buf),
        Backing::None | Backing::Broken(_) => None,
    }
}

/// The folder of a ledger's setups.
const SETUPS: &[u8] = b"setups/";

/// The folder of the ledger that a setup's path from the top of the working tree lies in; empty for the top.
pub fn ledger_of(path: &str) -> Option<&str> {
    let end = setups_end(path.as_bytes().as_bstr())?;
    path[..end - SETUPS.len()].strip_suffix('/').or(Some(""))
}

/// Where the outermost `setups/` of a path ends: one inside it is a folder of that ledger.
fn setups_end(path: &BStr) -> Option<usize> {
    let starts = path.find_iter(SETUPS).find(|start| *start == 0 || path[start - 1] == b'/')?;
    Some(starts + SETUPS.len())
}

/// The paths, of those that are wanted, whose staged content differs from `HEAD`.
fn changed_paths(store: &Store, is_wanted: &dyn Fn(&BStr) -> bool) -> Result<Vec<BString>, LedgerError> {
    let recorded = recorded_at_head(store, is_wanted)?;
    let index = store.local().index_or_empty().map_err(LedgerError::git(DOING))?;
    let mut changed = Vec::new();
    for entry in index.entries() {
        let path = entry.path(&index);
        let whole = entry.stage() == Stage::Unconflicted && !entry.flags.contains(Flags::INTENT_TO_ADD);
        if whole && is_wanted(path) && recorded.get(path) != Some(&entry.id) {
            changed.push(path.to_owned());
        }
    }
    Ok(changed)
}

/// Every wanted file at `HEAD`, with its content's id.
fn recorded_at_head(
    store: &Store,
    is_wanted: &dyn Fn(&BStr) -> bool,
) -> Result<HashMap<BString, ObjectId>, LedgerError> {
    let repository = store.local();
    let Some(head) = head_id(&repository)? else { return Ok(HashMap::new()) };
    let tree = tree_of(&repository, head)?;
    let index = repository.index_from_tree(&tree).map_err(LedgerError::git(DOING))?;
    let entries = index.entries().iter().map(|entry| (entry.path(&index), entry.id));
    let below = entries.filter(|(path, _)| is_wanted(path));
    Ok(below.map(|(path, id)| (path.to_owned(), id)).collect())
}
