//! Files that git knows and the working folder has lost, or has again.

use gix::index::entry::{Flags, Stage};

use super::{
    Ledger, LedgerError, SetupFile, history::was_ever_recorded, renames::located_at_head,
    repository::setup_name, revision::head_id, tree::tree_of,
};

const DOING: &str = "Reading what is staged";

impl Ledger {
    /// The setup files that are staged but gone from the working folder, sorted by name. One that lies there under
    /// another name is not gone, nor one that a sparse checkout leaves out.
    ///
    /// # Errors
    /// Failures of the repository.
    pub fn gone(&self, working: &[SetupFile]) -> Result<Vec<SetupFile>, LedgerError> {
        let store = self.store()?;
        let Some(prefix) = store.setups_prefix(&self.setups_folder()) else { return Ok(Vec::new()) };
        let repository = store.local();
        let index = repository.index_or_empty().map_err(LedgerError::git(DOING))?;
        let staged = index.entries().iter().filter(|entry| {
            entry.stage() == Stage::Unconflicted && !entry.flags.contains(Flags::SKIP_WORKTREE)
        });
        let names = staged.filter_map(|entry| setup_name(entry.path(&index), prefix.as_ref()));
        let mut gone: Vec<SetupFile> =
            names.map(|name| self.setup_named(&name)).filter(|file| !file.path.exists()).collect();
        let Some(head) = head_id(&repository)?.filter(|_| !gone.is_empty()) else { return Ok(gone) };
        let tree = tree_of(&repository, head)?;
        for file in working {
            let Some(path) = store.path_of(file) else { continue };
            if let Some((from, _)) = located_at_head(store, &repository, tree, file, path.as_ref())? {
                gone.retain(|gone| store.path_of(gone).as_ref() != Some(&from));
            }
        }
        gone.sort();
        Ok(gone)
    }

    /// Whether git held the setup at any earlier commit, along the first parents of `HEAD`.
    ///
    /// # Errors
    /// Failures of the repository.
    pub fn was_recorded(&self, setup: &SetupFile) -> Result<bool, LedgerError> {
        let store = self.store()?;
        let head = head_id(&store.local())?;
        let Some((head, path)) = head.zip(store.path_of(setup)) else { return Ok(false) };
        was_ever_recorded(store, head, path.as_ref())
    }
}
