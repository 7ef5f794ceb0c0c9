//! Opening the git repository around a ledger, and where the ledger's files lie in it.
//!
//! Git's own environment (`GIT_DIR`, `GIT_WORK_TREE`, `GIT_INDEX_FILE`) is honoured, for hooks and merge
//! drivers run under it; but only where it leads to a repository that contains the ledger.

use std::{
    ops::Deref,
    path::{Component, Path, PathBuf},
    sync::{Arc, Mutex, OnceLock, PoisonError},
};

use gix::{
    ThreadSafeRepository,
    bstr::{BStr, BString, ByteSlice, ByteVec},
    discover::upwards,
    sec::trust::Mapping,
};

use super::{SetupFile, error::detail, pack_order::PackOrder};

/// Bytes of decoded objects kept per reading thread; trees of neighbouring commits are mostly the same.
const OBJECT_CACHE_BYTES: usize = 4 * 1024 * 1024;

/// What stands behind a ledger's files.
#[derive(Debug)]
pub(super) enum Backing {
    /// No repository: only files.
    None,
    /// A repository.
    Git(Box<Store>),
    /// A repository that cannot be opened, and why.
    Broken(String),
}

/// An opened repository.
#[derive(Clone)]
pub(super) struct Store {
    repository: ThreadSafeRepository,
    /// Handles that nobody uses just now.
    handles: Arc<Mutex<Vec<gix::Repository>>>,
    /// The working tree's top folder, free of symbolic links; none for a bare repository.
    worktree: Option<PathBuf>,
    hash_digits: OnceLock<usize>,
    pack_order: OnceLock<Arc<PackOrder>>,
}

impl std::fmt::Debug for Store {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.debug_struct("Store").field("worktree", &self.worktree).finish_non_exhaustive()
    }
}

/// A handle lent to the calling thread. It is given back when dropped, with all that it has read and opened: to make
/// another costs more than most of what a handle is asked for.
pub(super) struct Local<'s> {
    repository: Option<gix::Repository>,
    handles: &'s Mutex<Vec<gix::Repository>>,
}

impl Deref for Local<'_> {
    type Target = gix::Repository;

    fn deref(&self) -> &gix::Repository {
        self.repository.as_ref().expect("a handle is only given back when dropped")
    }
}

impl Drop for Local<'_> {
    fn drop(&mut self) {
        self.handles.lock().unwrap_or_else(PoisonError::into_inner).extend(self.repository.take());
    }
}

impl Store {
    fn new(repository: ThreadSafeRepository) -> Self {
        Self {
            repository,
            handles: Arc::default(),
            worktree: None,
            hash_digits: OnceLock::new(),
            pack_order: OnceLock::new(),
        }
    }

    /// A handle for the calling thread.
    pub(super) fn local(&self) -> Local<'_> {
        let left = self.handles.lock().unwrap_or_else(PoisonError::into_inner).pop();
        Local { repository: Some(left.unwrap_or_else(|| self.own())), handles: &self.handles }
    }

    /// A handle to keep, or to set otherwise.
    pub(super) fn own(&self) -> gix::Repository {
        let mut repository = self.repository.to_thread_local();
        repository.object_cache_size_if_unset(OBJECT_CACHE_BYTES);
        repository
    }

    /// How many digits a shortened hash gets: what git would take for `HEAD`, and two more.
    ///
    /// Asking for every commit whether its digits are unique costs more than all the rest of a long history;
    /// two digits more make a chance likeness 256 times rarer.
    pub(super) fn hash_digits(&self) -> usize {
        *self.hash_digits.get_or_init(|| {
            let head = self.local().head_id().map(|id| id.shorten_or_id().hex_len());
            head.unwrap_or(7) + 2
        })
    }

    /// Where contents stand in the packs.
    pub(super) fn pack_order(&self) -> Arc<PackOrder> {
        self.pack_order.get_or_init(|| Arc::new(PackOrder::of(&self.local()))).clone()
    }

    /// A handle that any thread can make its own of.
    pub(super) fn shared(&self) -> ThreadSafeRepository {
        self.repository.clone()
    }

    pub(super) fn worktree(&self) -> Option<&Path> {
        self.worktree.as_deref()
    }

    pub(super) fn is_bare(&self) -> bool {
        self.worktree.is_none()
    }

    /// The path of a file or folder inside the repository, with `/`; none if it lies outside.
    ///
    /// Symbolic links are followed, so a setup that is a link to another has that one's history.
    pub(super) fn path_inside(&self, path: &Path) -> Option<BString> {
        let resolved = resolve_links(path);
        let inside = resolved.strip_prefix(self.worktree.as_ref()?).ok()?;
        Some(slashed(inside))
    }

    /// The path of a setup inside the repository.
    pub(super) fn path_of(&self, setup: &SetupFile) -> Option<BString> {
        if self.is_bare() {
            return Some(format!("setups/{}.kdl", setup.name).into());
        }
        self.path_inside(&setup.path)
    }

    /// The path of `setups/` inside the repository, with a closing `/`.
    pub(super) fn setups_prefix(&self, setups_folder: &Path) -> Option<BString> {
        let mut prefix = if self.is_bare() { "setups".into() } else { self.path_inside(setups_folder)? };
        prefix.push_byte(b'/');
        Some(prefix)
    }
}

/// A path relative to the working tree, as git writes it.
fn slashed(path: &Path) -> BString {
    let names = path.components().filter_map(|part| match part {
        Component::Normal(name) => Some(gix::path::os_str_into_bstr(name).ok()?.to_owned()),
        _ => None,
    });
    BString::from(gix::bstr::join("/", names))
}

/// Follows symbolic links in the part of the path that exists; the rest is kept as it is.
fn resolve_links(path: &Path) -> PathBuf {
    let mut missing = Vec::new();
    let mut existing = path;
    loop {
        if let Ok(resolved) = existing.canonicalize() {
            return missing.iter().rev().fold(resolved, |whole, name| whole.join(name));
        }
        match (existing.parent(), existing.file_name()) {
            (Some(parent), Some(name)) => {
                missing.push(name);
                existing = parent;
            }
            _ => return path.to_path_buf(),
        }
    }
}

/// Finds the repository that contains the ledger's `setups/` (or, for a bare one, is the folder itself).
pub(super) fn discover(root: &Path) -> Backing {
    let setups = root.join("setups");
    around(if setups.is_dir() { &setups } else { root })
}

/// Finds the repository that contains a folder.
pub(super) fn around(folder: &Path) -> Backing {
    let start = resolve_links(folder);
    if let Some(store) = from_environment(&start) {
        return Backing::Git(Box::new(store));
    }
    let options = upwards::Options { match_ceiling_dir_or_error: false, ..Default::default() };
    match ThreadSafeRepository::discover_opts(&start, options.apply_environment(), Mapping::default()) {
        Ok(repository) => opened(repository, &start),
        Err(error) if error.downcast_any_ref::<upwards::Error>().is_some() => Backing::None,
        Err(error) => Backing::Broken(detail(&error)),
    }
}

fn opened(repository: ThreadSafeRepository, start: &Path) -> Backing {
    let store = Store::new(repository);
    let kept_as = store.local().config_snapshot().string("extensions.refStorage");
    if let Some(format) = kept_as.filter(|format| format != "files") {
        // The library would take it for a repository without commits.
        return Backing::Broken(format!(
            "its branches and tags are kept as `{format}`, which cannot be read"
        ));
    }
    let worktree = store.repository.work_dir().map(resolve_links);
    match worktree {
        // A ledger inside a `.git` folder, or beside a redirected working tree, is in no working tree.
        Some(worktree) if !start.starts_with(&worktree) => Backing::None,
        None if resolve_links(store.repository.path()) != start => Backing::None,
        worktree => Backing::Git(Box::new(Store { worktree, ..store })),
    }
}

/// The repository git itself told us to use, if the ledger is in its working tree.
fn from_environment(start: &Path) -> Option<Store> {
    std::env::var_os("GIT_DIR")?;
    let repository = ThreadSafeRepository::open_with_environment_overrides(start, Mapping::default()).ok()?;
    let worktree = match repository.work_dir() {
        Some(folder) => resolve_links(folder),
        // As git has it: with GIT_DIR and no working tree configured, the current folder is its top.
        None => resolve_links(&std::env::current_dir().ok()?),
    };
    start.starts_with(&worktree).then(|| Store { worktree: Some(worktree), ..Store::new(repository) })
}

/// The name of a setup from its path inside the repository: `sub/setups/rowan/race.kdl` is `rowan/race`.
pub(super) fn setup_name(path: &BStr, setups_prefix: &BStr) -> Option<String> {
    let below = path.strip_prefix(setups_prefix.as_bytes())?;
    let name = below.strip_suffix(b".kdl")?;
    let hidden = name.split(|byte| *byte == b'/').any(|part| part.is_empty() || part[0] == b'.');
    (!hidden).then(|| name.to_str_lossy().into_owned())
}
