//! Renames: under which path a file's content was known before.
//!
//! A file counts as renamed when its path is new, another path is gone, and their contents are alike (at
//! least half of it, git's own measure).

use std::ops::ControlFlow;

use gix::{
    ObjectId,
    bstr::{BStr, BString, ByteSlice},
    diff::Rewrites,
    object::tree::diff::Change,
    objs::tree::EntryKind,
};

use super::{LedgerError, SetupFile, read_file, repository::Store, tree::blob_at};

/// The path and content from which the file at `path` in `new_tree` was renamed, seen from `old_tree`.
pub(super) fn renamed_from(
    repository: &gix::Repository,
    old_tree: ObjectId,
    new_tree: ObjectId,
    path: &BStr,
) -> Result<Option<(BString, ObjectId)>, LedgerError> {
    let found = rename(repository, old_tree, new_tree, |_, location| location == path)?;
    Ok(found.map(|rename| (rename.from, rename.content)))
}

/// The path in `new_tree` that the file at `path` in `old_tree` was given.
pub(super) fn renamed_to(
    repository: &gix::Repository,
    old_tree: ObjectId,
    new_tree: ObjectId,
    path: &BStr,
) -> Result<Option<BString>, LedgerError> {
    let found = rename(repository, old_tree, new_tree, |source, _| source == path)?;
    Ok(found.map(|rename| rename.to))
}

/// One file under two paths.
struct Rename {
    from: BString,
    /// What it held under the old path.
    content: ObjectId,
    to: BString,
}

/// The first rename between two trees whose old and new path fit.
fn rename(
    repository: &gix::Repository,
    old_tree: ObjectId,
    new_tree: ObjectId,
    fits: impl Fn(&BStr, &BStr) -> bool,
) -> Result<Option<Rename>, LedgerError> {
    let failed = LedgerError::git("Looking for a rename");
    let old = repository.find_tree(old_tree).map_err(&failed)?;
    let new = repository.find_tree(new_tree).map_err(&failed)?;
    let mut found = None;
    let mut changes = old.changes().map_err(&failed)?;
    changes.options(|options| {
        options.track_path().track_rewrites(Some(Rewrites::default()));
    });
    changes
        .for_each_to_obtain_tree(&new, |change| {
            if let Change::Rewrite {
                source_location,
                source_id,
                location,
                source_entry_mode,
                copy: false,
                ..
            } = change
                && fits(source_location, location)
                && source_entry_mode.is_blob()
            {
                found = Some(Rename {
                    from: source_location.to_owned(),
                    content: source_id.detach(),
                    to: location.to_owned(),
                });
                return Ok(ControlFlow::Break(()));
            }
            Ok(ControlFlow::Continue(()))
        })
        .map_err(&failed)?;
    Ok(found)
}

/// The path in the tree of `HEAD` from which the working file was renamed, when that is not committed yet.
///
/// The working folder is seen as one more tree: files that are gone from it are left out, the file asked
/// for is put in. That tree lives in memory only.
fn uncommitted_source(
    store: &Store,
    tree: ObjectId,
    setup: &SetupFile,
    path: &BStr,
) -> Result<Option<(BString, ObjectId)>, LedgerError> {
    let Some(worktree) = store.worktree().filter(|_| setup.exists) else { return Ok(None) };
    let failed = LedgerError::git("Looking for a rename");
    let repository = store.own().with_object_memory();
    // Git keeps line ends as LF where it converts at all; without that a CRLF file resembles nothing.
    let bytes = read_file(&setup.path)?.replace("\r\n", "\n");
    let index = repository.index_from_tree(&tree).map_err(&failed)?;
    let mut editor = repository.find_tree(tree).map_err(&failed)?.edit().map_err(&failed)?;
    let mut any_gone = false;
    for entry in index.entries() {
        let entry_path = entry.path(&index);
        let on_disk = worktree.join(gix::path::from_bstr(entry_path).map_err(&failed)?);
        if entry_path.ends_with(b".kdl") && !on_disk.is_file() {
            editor.remove(entry_path).map_err(&failed)?;
            any_gone = true;
        }
    }
    if !any_gone {
        return Ok(None);
    }
    let blob = repository.write_blob(&bytes).map_err(&failed)?.detach();
    editor.upsert(path, EntryKind::Blob, blob).map_err(&failed)?;
    let working = editor.write().map_err(&failed)?.detach();
    renamed_from(&repository, tree, working, path)
}

/// Where the setup is in the tree of `HEAD`: under its own path, or under the one it had before a rename
/// that is not committed yet.
pub(super) fn located_at_head(
    store: &Store,
    repository: &gix::Repository,
    head_tree: ObjectId,
    setup: &SetupFile,
    path: &BStr,
) -> Result<Option<(BString, ObjectId)>, LedgerError> {
    match blob_at(repository, head_tree, path)? {
        Some(id) => Ok(Some((path.to_owned(), id))),
        None => uncommitted_source(store, head_tree, setup, path),
    }
}
