//! Looking up one path in the trees of commits.

use gix::{
    ObjectId,
    bstr::{BStr, ByteSlice},
    objs::{FindExt, TreeRefIter},
};

use super::LedgerError;

/// What a name leads to in a folder, if it leads to what is wanted: a regular file, or a folder.
pub(super) fn entry(
    repository: &gix::Repository,
    folder: ObjectId,
    name: &BStr,
    want_file: bool,
    buffer: &mut Vec<u8>,
) -> Result<Option<ObjectId>, LedgerError> {
    let failed = LedgerError::git("Reading a folder of a revision");
    let entries: TreeRefIter<'_> = repository.objects.find_tree_iter(&folder, buffer).map_err(&failed)?;
    for entry in entries {
        let entry = entry.map_err(&failed)?;
        let fits = if want_file { entry.mode.is_blob() } else { entry.mode.is_tree() };
        if fits && entry.filename == name {
            return Ok(Some(entry.oid.to_owned()));
        }
    }
    Ok(None)
}

/// The names along a path, and whether each is the file's own.
pub(super) fn names(path: &BStr) -> impl Iterator<Item = (&BStr, bool)> {
    let last = path.split(|byte| *byte == b'/').count() - 1;
    path.split(|byte| *byte == b'/').enumerate().map(move |(level, name)| (name.as_bstr(), level == last))
}

/// The file that the path leads to below a tree; none when there is no regular file.
pub(super) fn blob_at(
    repository: &gix::Repository,
    tree: ObjectId,
    path: &BStr,
) -> Result<Option<ObjectId>, LedgerError> {
    let mut buffer = Vec::new();
    let mut reached = tree;
    for (name, is_file) in names(path) {
        match entry(repository, reached, name, is_file, &mut buffer)? {
            Some(id) => reached = id,
            None => return Ok(None),
        }
    }
    Ok(Some(reached))
}

/// The root tree of a commit.
pub(super) fn tree_of(repository: &gix::Repository, commit: ObjectId) -> Result<ObjectId, LedgerError> {
    let failed = LedgerError::git("Reading a revision");
    let commit = repository.find_commit(commit).map_err(&failed)?;
    Ok(commit.tree_id().map_err(&failed)?.detach())
}
