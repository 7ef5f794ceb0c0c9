//! Recording one file as a revision, as `git commit -- FILE` does: what else is staged stays staged.

use gix::{
    bstr::ByteSlice,
    index::{
        entry::{Flags, Mode, Stage, Stat},
        fs::Metadata,
    },
    objs::tree::EntryKind,
};

use super::{Ledger, LedgerError, Revision, SetupFile, files::read_file, revision::head_id, tree::tree_of};

const DOING: &str = "Committing";

impl Ledger {
    /// Commits the working content of one setup, and nothing else, to the branch in use. The bytes are recorded as
    /// they are, without any conversion of line ends that git may be set to.
    ///
    /// # Errors
    /// [`LedgerError::NoRepository`]; [`LedgerError::Git`] also where git does not know who commits.
    pub fn commit_file(&self, setup: &SetupFile, message: &str) -> Result<Revision, LedgerError> {
        let store = self.store()?;
        let repository = store.local();
        let failed = LedgerError::git(DOING);
        let refused = |detail: &str| LedgerError::Git { doing: DOING, detail: detail.to_owned() };
        let path = store.path_of(setup).ok_or_else(|| refused("the file lies outside the repository"))?;
        if repository.committer().is_none() {
            return Err(refused("git does not know who you are (set user.name and user.email)"));
        }
        let blob = repository.write_blob(read_file(&setup.path)?).map_err(&failed)?.detach();
        let head = head_id(&repository)?;
        let before = match head {
            Some(head) => tree_of(&repository, head)?,
            None => repository.empty_tree().id,
        };
        let mut editor = repository.edit_tree(before).map_err(&failed)?;
        editor.upsert(path.as_bstr(), EntryKind::Blob, blob).map_err(&failed)?;
        let tree = editor.write().map_err(&failed)?.detach();
        let commit = repository.commit("HEAD", message, tree, head).map_err(&failed)?.detach();
        let mut index = repository.index_or_empty().map_err(&failed)?.as_ref().clone();
        let metadata =
            Metadata::from_path_no_follow(&setup.path).map_err(LedgerError::unreadable(&setup.path))?;
        let stat = Stat::from_fs(&metadata).unwrap_or_default();
        if let Some(entry) = index.entry_mut_by_path_and_stage(path.as_ref(), Stage::Unconflicted) {
            (entry.id, entry.stat) = (blob, stat);
        } else {
            index.dangerously_push_entry(stat, blob, Flags::empty(), Mode::FILE, path.as_ref());
            index.sort_entries();
        }
        // The cached trees belong to the old content.
        index.remove_tree();
        index.write(gix::index::write::Options::default()).map_err(&failed)?;
        self.revision(&commit.to_string())
    }
}
