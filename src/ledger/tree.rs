//! Looking up one path in the trees of many commits.
//!
//! Neighbouring commits share most of their folders, so each folder level remembers what it answered
//! last: an unchanged folder is neither read nor searched again.

use gix::{
    ObjectId,
    bstr::{BStr, BString, ByteSlice},
    objs::{FindExt, TreeRefIter},
};

use super::LedgerError;

/// One folder level's last answer: what the name led to in that tree, and whether it is a folder.
#[derive(Debug, Clone, Copy)]
struct Answer {
    tree: ObjectId,
    found: Option<(ObjectId, bool)>,
}

/// A path to look up, with its memory.
pub(super) struct PathLookup {
    names: Vec<BString>,
    answers: Vec<Option<Answer>>,
    buffer: Vec<u8>,
}

impl PathLookup {
    pub(super) fn new(path: &BStr) -> Self {
        let names: Vec<BString> = path.split(|byte| *byte == b'/').map(BString::from).collect();
        Self { answers: vec![None; names.len()], names, buffer: Vec::new() }
    }

    /// The id of the file at the path below `tree`; none when there is no regular file.
    pub(super) fn blob(
        &mut self,
        repository: &gix::Repository,
        tree: ObjectId,
    ) -> Result<Option<ObjectId>, LedgerError> {
        let mut folder = tree;
        for level in 0..self.names.len() {
            let last = level + 1 == self.names.len();
            match self.step(repository, folder, level, last)? {
                Some((id, false)) if last => return Ok(Some(id)),
                Some((id, true)) if !last => folder = id,
                _ => return Ok(None),
            }
        }
        Ok(None)
    }

    fn step(
        &mut self,
        repository: &gix::Repository,
        tree: ObjectId,
        level: usize,
        want_file: bool,
    ) -> Result<Option<(ObjectId, bool)>, LedgerError> {
        if let Some(answer) = self.answers[level].filter(|answer| answer.tree == tree) {
            return Ok(answer.found);
        }
        let entries: TreeRefIter<'_> = repository
            .objects
            .find_tree_iter(&tree, &mut self.buffer)
            .map_err(LedgerError::git("Reading a folder of a revision"))?;
        let name = self.names[level].as_bstr();
        let mut found = None;
        for entry in entries {
            let entry = entry.map_err(LedgerError::git("Reading a folder of a revision"))?;
            let fits = if want_file { entry.mode.is_blob() } else { entry.mode.is_tree() };
            if fits && entry.filename == name {
                found = Some((entry.oid.to_owned(), entry.mode.is_tree()));
                break;
            }
        }
        self.answers[level] = Some(Answer { tree, found });
        Ok(found)
    }
}

/// Looks one path up once.
pub(super) fn blob_at(
    repository: &gix::Repository,
    tree: ObjectId,
    path: &BStr,
) -> Result<Option<ObjectId>, LedgerError> {
    PathLookup::new(path).blob(repository, tree)
}

/// The root tree of a commit.
pub(super) fn tree_of(repository: &gix::Repository, commit: ObjectId) -> Result<ObjectId, LedgerError> {
    let failed = LedgerError::git("Reading a revision");
    let commit = repository.find_commit(commit).map_err(&failed)?;
    Ok(commit.tree_id().map_err(&failed)?.detach())
}
