//! Recording one file as a revision: like `git commit -- FILE`, what else is staged stays staged; unlike it, no hook
//! runs, so whoever asks for it checks the file first.

use std::io::BufWriter;

use gix::{
    bstr::{BStr, BString, ByteSlice},
    index::{
        entry::{Flags, Mode, Stage, Stat},
        fs::Metadata,
    },
    objs::tree::EntryKind,
};

use super::{
    BlobId, Ledger, LedgerError, Revision, SetupFile,
    revision::{describe, head_id, short},
    tree::{blob_at, tree_of},
};

const DOING: &str = "Committing";

impl Ledger {
    /// Whether [`Ledger::commit_file`] could commit a setup, to be asked before its file is written.
    ///
    /// # Errors
    /// [`LedgerError::NoRepository`]; [`LedgerError::NotNow`] where the file lies outside the repository, where git does
    /// not know who commits, where HEAD is on no branch, while another git holds the index, and in the middle of a merge, rebase or the like: a
    /// commit of one file would leave the rest of it behind.
    pub fn may_commit(&self, setup: &SetupFile) -> Result<(), LedgerError> {
        self.place_to_commit(setup)?;
        locked(&self.store()?.local()).map(drop)
    }

    fn place_to_commit(&self, setup: &SetupFile) -> Result<BString, LedgerError> {
        let store = self.store()?;
        let repository = store.local();
        let path = store.path_of(setup).ok_or_else(|| {
            not_now("the file lies outside the repository", "Commit it where it lies, or leave --commit out.")
        })?;
        if repository.committer().is_none() {
            return Err(not_now(
                "git does not know who you are",
                "Tell it: git config user.name \"…\", and git config user.email \"…\".",
            ));
        }
        if repository.state().is_some() {
            return Err(not_now(
                "a merge, rebase or the like is under way",
                "Finish it or abort it with git first (git status names the commands), then run this again.",
            ));
        }
        if self.branch()?.is_none() {
            return Err(not_now(
                "HEAD is on no branch, so that no branch would hold the commit",
                "Go to a branch first: git switch NAME, or git switch -c NAME for a new one.",
            ));
        }
        Ok(path)
    }

    /// The short name of the branch in use; none where HEAD is on a commit and on no branch.
    ///
    /// # Errors
    /// [`LedgerError::NoRepository`], and failures of reading.
    pub fn branch(&self) -> Result<Option<String>, LedgerError> {
        let repository = self.store()?.local();
        let name = repository.head_name().map_err(LedgerError::git(DOING))?;
        Ok(name.map(|name| name.shorten().to_string()))
    }

    /// Whether the branch in use has a setup otherwise than these bytes, or not at all.
    ///
    /// # Errors
    /// Those of [`Ledger::may_commit`] but for the lock, and failures of reading.
    pub fn would_commit(&self, setup: &SetupFile, bytes: &[u8]) -> Result<bool, LedgerError> {
        let path = self.place_to_commit(setup)?;
        let repository = self.store()?.local();
        let Some(head) = head_id(&repository)? else { return Ok(true) };
        let tree = tree_of(&repository, head)?;
        let Some(id) = blob_at(&repository, tree, path.as_ref())? else { return Ok(true) };
        Ok(self.read_blob(&BlobId::of(id))? != bytes)
    }

    /// Commits these bytes as the content of one setup, and nothing else, to the branch in use: the very bytes that
    /// were judged, whatever the file holds by now. They are recorded as they are, without any conversion of line ends
    /// that git may be set to.
    ///
    /// # Errors
    /// Those of [`Ledger::may_commit`], and failures of reading and writing.
    pub fn commit_file(
        &self,
        setup: &SetupFile,
        bytes: &[u8],
        message: &str,
    ) -> Result<Revision, LedgerError> {
        let path = self.place_to_commit(setup)?;
        let repository = self.store()?.local();
        let failed = LedgerError::git(DOING);
        let blob = repository.write_blob(bytes).map_err(&failed)?.detach();
        // Whoever holds the lock may change what is staged, and with it what this commit is to leave staged.
        let lock = locked(&repository)?;
        let head = head_id(&repository)?;
        let before = match head {
            Some(head) => tree_of(&repository, head)?,
            None => repository.empty_tree().id,
        };
        let mut index = repository.index_or_empty().map_err(&failed)?.as_ref().clone();
        let known = index.entry_by_path_and_stage(path.as_ref(), Stage::Unconflicted).map(|entry| entry.mode);
        let may_run = known == Some(Mode::FILE_EXECUTABLE);
        let kind = if may_run { EntryKind::BlobExecutable } else { EntryKind::Blob };
        let mut editor = repository.edit_tree(before).map_err(&failed)?;
        editor.upsert(path.as_bstr(), kind, blob).map_err(&failed)?;
        let tree = editor.write().map_err(&failed)?.detach();
        let metadata =
            Metadata::from_path_no_follow(&setup.path).map_err(LedgerError::unreadable(&setup.path))?;
        let stat = Stat::from_fs(&metadata).unwrap_or_default();
        stage(&mut index, path.as_bstr(), blob, stat);
        // The index stands ready beside the old one before the branch moves: then only a rename is left to do.
        let lock = written(&index, lock)?;
        let commit = repository.commit("HEAD", message, tree, head).map_err(&failed)?.detach();
        lock.commit().map_err(|error| refused(&error.to_string()))?;
        describe(&repository, commit, &short(commit, self.store()?.hash_digits()))
    }
}

/// The index's lock, as git itself takes it; refused at once where somebody else has it.
fn locked(repository: &gix::Repository) -> Result<gix::lock::File, LedgerError> {
    let index = repository.index_path();
    gix::lock::File::acquire_to_update_resource(&index, gix::lock::acquire::Fail::Immediately, None, 0)
        .map_err(|_| {
            let lock = index.with_extension("lock");
            not_now(
                "another git is at work here, or one was killed",
                format!("Wait for it; if none is at work any more, take {} away.", lock.display()),
            )
        })
}

/// The new index in its lock's file.
fn written(index: &gix::index::File, lock: gix::lock::File) -> Result<gix::lock::File, LedgerError> {
    let mut buffered = BufWriter::new(lock);
    index.write_to(&mut buffered, gix::index::write::Options::default()).map_err(LedgerError::git(DOING))?;
    buffered.into_inner().map_err(|error| refused(&error.to_string()))
}

/// Puts the committed content into the index.
fn stage(index: &mut gix::index::File, path: &BStr, blob: gix::ObjectId, stat: Stat) {
    if let Some(entry) = index.entry_mut_by_path_and_stage(path, Stage::Unconflicted) {
        (entry.id, entry.stat) = (blob, stat);
        entry.flags.remove(Flags::INTENT_TO_ADD);
    } else {
        index.dangerously_push_entry(stat, blob, Flags::empty(), Mode::FILE, path);
        index.sort_entries();
    }
    // The cached trees belong to the old content.
    index.remove_tree();
}

fn not_now(why: &str, help: impl Into<String>) -> LedgerError {
    LedgerError::NotNow { why: why.to_owned(), help: help.into() }
}

fn refused(detail: &str) -> LedgerError {
    LedgerError::Git { doing: DOING, detail: detail.to_owned() }
}
