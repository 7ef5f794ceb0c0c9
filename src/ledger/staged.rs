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
        Ok(self.staged()?.changed)
    }

    /// How what is staged of this ledger differs from `HEAD`.
    ///
    /// # Errors
    /// Failures of the repository.
    pub fn staged(&self) -> Result<Staged, LedgerError> {
        let store = self.store()?;
        let Some(prefix) = store.setups_prefix(&self.setups_folder()) else { return Ok(Staged::default()) };
        let paths = Paths::of(store, &|path| path.starts_with(prefix.as_bytes()))?;
        let files = |paths: &[BString]| {
            let names = paths.iter().filter_map(|path| setup_name(path.as_ref(), prefix.as_ref()));
            let mut files: Vec<SetupFile> = names.map(|name| self.setup_named(&name)).collect();
            files.sort();
            files.dedup();
            files
        };
        let below = |path: &BString| path[prefix.len()..].to_str_lossy().into_owned();
        let passed_over =
            paths.changed.iter().filter(|path| setup_name(path.as_ref(), prefix.as_ref()).is_none());
        Ok(Staged {
            passed_over: passed_over.filter(|path| is_kdl(path.as_ref())).map(below).collect(),
            changed: files(&paths.changed),
            unchanged: files(&paths.unchanged),
            deleted: files(&paths.deleted),
            unmerged: files(&paths.unmerged),
        })
    }

    /// The setups of which git has not settled a merge, sorted by name, with what ours and theirs are; none of a side that
    /// deleted it.
    ///
    /// # Errors
    /// Failures of the repository.
    pub fn unmerged(&self) -> Result<Vec<Unmerged>, LedgerError> {
        let store = self.store()?;
        let index = store.local().index_or_empty().map_err(LedgerError::git(DOING))?;
        // Nearly always there is none, and nobody has to be asked for it.
        if index.entries().iter().all(|entry| entry.stage() == Stage::Unconflicted) {
            return Ok(Vec::new());
        }
        let mut unmerged = Vec::new();
        for file in self.staged()?.unmerged {
            let Some(path) = store.path_of(&file) else { continue };
            let side = |stage| {
                let entry = index.entry_by_path_and_stage(path.as_ref(), stage);
                entry.map(|entry| self.read_blob(&BlobId::of(entry.id))).transpose()
            };
            let (ours, theirs) = (side(Stage::Ours)?, side(Stage::Theirs)?);
            unmerged.push(Unmerged { path: path.to_str_lossy().into_owned(), file, ours, theirs });
        }
        Ok(unmerged)
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
        let paths = Paths::of(&store, &|path| setups_end(path).is_some())?;
        let paths = [paths.changed, paths.deleted, paths.unmerged].concat();
        let roots = paths.iter().filter_map(|path| {
            let prefix = &path[..setups_end(path.as_ref())?];
            is_kdl(path.as_ref()).then_some(())?;
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

/// How what is staged of a ledger differs from `HEAD`; each sorted by name.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Staged {
    /// Setup files whose content differs, new and renamed ones included.
    pub changed: Vec<SetupFile>,
    /// Those that are as they were.
    pub unchanged: Vec<SetupFile>,
    /// Those that are gone, or have another name now.
    pub deleted: Vec<SetupFile>,
    /// Those of which git has not settled a merge.
    pub unmerged: Vec<SetupFile>,
    /// Changed files, by their paths below `setups/`, that are passed over for their name: hidden, or `.KDL`.
    pub passed_over: Vec<String>,
}

/// A setup of which git has not settled a merge.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unmerged {
    /// The file.
    pub file: SetupFile,
    /// Its path from the top of the working tree.
    pub path: String,
    /// Our version as git keeps it.
    pub ours: Option<Vec<u8>>,
    /// Theirs.
    pub theirs: Option<Vec<u8>>,
}

impl Unmerged {
    /// Whether one side deleted it and the other changed it.
    pub fn is_deleted_by_one_side(&self) -> bool {
        self.ours.is_some() != self.theirs.is_some()
    }
}

/// Whether a file would be a setup but for how its name is written.
pub(super) fn is_kdl(path: &BStr) -> bool {
    path.rfind_byte(b'.').is_some_and(|dot| path[dot + 1..].eq_ignore_ascii_case(b"kdl"))
}

/// The paths, of those that are wanted, by how what is staged differs from `HEAD`.
#[derive(Default)]
struct Paths {
    changed: Vec<BString>,
    unchanged: Vec<BString>,
    deleted: Vec<BString>,
    unmerged: Vec<BString>,
}

impl Paths {
    fn of(store: &Store, is_wanted: &dyn Fn(&BStr) -> bool) -> Result<Paths, LedgerError> {
        let mut recorded = recorded_at_head(store, is_wanted)?;
        let index = store.local().index_or_empty().map_err(LedgerError::git(DOING))?;
        let mut paths = Paths::default();
        for entry in index.entries() {
            let path = entry.path(&index);
            if !is_wanted(path) {
                continue;
            }
            let was = recorded.remove(path);
            if entry.stage() != Stage::Unconflicted {
                paths.unmerged.push(path.to_owned());
            } else if was == Some(entry.id) {
                paths.unchanged.push(path.to_owned());
            } else if !entry.flags.contains(Flags::INTENT_TO_ADD) {
                paths.changed.push(path.to_owned());
            }
        }
        paths.deleted.extend(recorded.into_keys());
        Ok(paths)
    }
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
