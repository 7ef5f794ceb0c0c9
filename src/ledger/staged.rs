//! What is staged for the next commit.

use std::collections::HashMap;

use gix::{
    ObjectId,
    bstr::{BStr, BString, ByteSlice},
    index::entry::{Flags, Stage},
};

use super::{
    BlobId, Ledger, LedgerError, SetupFile,
    repository::{Store, setup_name},
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
        let recorded = recorded_at_head(store, prefix.as_ref())?;
        let index = store.local().index_or_empty().map_err(LedgerError::git(DOING))?;
        let mut changed = Vec::new();
        for entry in index.entries() {
            let path = entry.path(&index);
            let whole = entry.stage() == Stage::Unconflicted && !entry.flags.contains(Flags::INTENT_TO_ADD);
            if !whole || recorded.get(path.as_bstr()) == Some(&entry.id) {
                continue;
            }
            changed.extend(setup_name(path, prefix.as_ref()).map(|name| self.setup_named(&name)));
        }
        changed.sort();
        Ok(changed)
    }
}

/// Every file under `setups/` at `HEAD`, with its content's id.
fn recorded_at_head(store: &Store, prefix: &BStr) -> Result<HashMap<BString, ObjectId>, LedgerError> {
    let repository = store.local();
    let Some(head) = head_id(&repository)? else { return Ok(HashMap::new()) };
    let tree = tree_of(&repository, head)?;
    let index = repository.index_from_tree(&tree).map_err(LedgerError::git(DOING))?;
    let entries = index.entries().iter().map(|entry| (entry.path(&index), entry.id));
    let below = entries.filter(|(path, _)| path.starts_with(prefix.as_bytes()));
    Ok(below.map(|(path, id)| (path.to_owned(), id)).collect())
}
