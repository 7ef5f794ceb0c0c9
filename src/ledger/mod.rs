//! The ledger: setup files in a folder, and their revisions in git.
//!
//! The only room that knows files and git; it hands texts and revisions up. It refuses to know what is in a
//! setup: it neither parses KDL nor tells a setup from an as-found sheet. Git is read with a library, so
//! no git program is needed.

mod adopt;
mod ancestry;
mod commit;
mod demo_repository;
mod error;
mod files;
mod gone;
mod history;
mod pack_order;
mod read;
mod renames;
mod repository;
mod resolve;
mod revision;
mod staged;
mod tree;
mod walk;
mod write;

use std::path::{Path, PathBuf};

pub use adopt::{Abandonment, Action, FileChange, shell_word};
pub use ancestry::Ancestry;
pub use error::LedgerError;
pub use files::{read_file, real};
pub use history::{Beside, History, HistoryEntry, HistoryOptions};
pub use read::{AtRevision, BlobReader};
pub use resolve::without_dots;
pub use revision::Revision;
pub use staged::{Staged, Unmerged, ledger_of, top_around};
pub use write::write_atomically;

use repository::{Backing, Store};

/// Builds small repositories with a given history: for the tour and for tests.
pub mod demo {
    pub use super::demo_repository::{DemoCommit, build};
}

/// One `.kdl` file under `setups/`: a setup or an as-found sheet; only its content tells which.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct SetupFile {
    /// The path below `setups/` with `/` and without `.kdl`: `rowan/race`.
    pub name: String,
    /// Where the file is, or would be.
    pub path: PathBuf,
    /// Whether the file is in the working folder now; a deleted setup lives on in the history.
    pub exists: bool,
}

/// The id of a file content in git, in hexadecimal. Equal ids are equal contents.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct BlobId(String);

impl BlobId {
    /// The full id in hexadecimal.
    pub fn as_hex(&self) -> &str {
        &self.0
    }

    fn of(id: gix::ObjectId) -> Self {
        Self(id.to_string())
    }
}

impl std::fmt::Display for BlobId {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.write_str(&self.0)
    }
}

/// A folder that holds `setups/`, with the git repository around it if there is one. May be shared
/// between threads.
#[derive(Debug)]
pub struct Ledger {
    root: PathBuf,
    backing: Backing,
}

impl Ledger {
    /// Finds the ledger at `start` or in a folder above it; `start` may lie inside `setups/`.
    pub fn find(start: &Path) -> Result<Self, LedgerError> {
        let absolute = resolve::absolute(start)?;
        let root = absolute.ancestors().find(|folder| folder.join("setups").is_dir());
        match root {
            Some(root) => Ok(Self::at(root.to_path_buf())),
            None => Err(LedgerError::NoLedger { start: absolute }),
        }
    }

    /// Opens the ledger in exactly this folder. A bare repository that has `setups/` at `HEAD` will do too:
    /// its setups are then all read from revisions.
    pub fn open(dir: &Path) -> Result<Self, LedgerError> {
        let absolute = resolve::absolute(dir)?;
        if absolute.join("setups").is_dir() {
            return Ok(Self::at(absolute));
        }
        let ledger = Self::at(absolute);
        match &ledger.backing {
            Backing::Git(store) if store.is_bare() && !ledger.setups()?.is_empty() => Ok(ledger),
            _ => Err(LedgerError::NoLedger { start: ledger.root }),
        }
    }

    fn at(root: PathBuf) -> Self {
        let backing = repository::discover(&root);
        Self { root, backing }
    }

    /// The folder that holds `setups/`.
    pub fn root(&self) -> &Path {
        &self.root
    }

    /// Whether there is a git repository around the ledger, even one that cannot be opened: what needs
    /// revisions then says why it fails.
    pub fn has_repository(&self) -> bool {
        !matches!(self.backing, Backing::None)
    }

    /// The top folder of the working tree around the ledger, if there is one.
    pub fn worktree(&self) -> Option<&Path> {
        match &self.backing {
            Backing::Git(store) => store.worktree(),
            _ => None,
        }
    }

    /// The folder git keeps its data in (hooks, configuration), shared by all working trees.
    pub fn git_folder(&self) -> Option<PathBuf> {
        match &self.backing {
            Backing::Git(store) => Some(store.local().common_dir().to_path_buf()),
            _ => None,
        }
    }

    fn setups_folder(&self) -> PathBuf {
        self.root.join("setups")
    }

    fn store(&self) -> Result<&Store, LedgerError> {
        match &self.backing {
            Backing::Git(store) => Ok(store),
            Backing::None => Err(LedgerError::NoRepository { root: self.root.clone() }),
            Backing::Broken(detail) => {
                Err(LedgerError::BrokenRepository { root: self.root.clone(), detail: detail.clone() })
            }
        }
    }
}
