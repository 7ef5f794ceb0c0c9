//! Writing a working file so that it is either the old one or the new one, never half of each.

use std::{
    fs::{self, Permissions},
    io::{ErrorKind, Write},
    path::Path,
};

use tempfile::NamedTempFile;

use super::LedgerError;

/// Replaces a file's content, or creates the file, in one step.
///
/// `expected_before` is the content the new one was made from: if the file differs from it at the moment of
/// writing, nothing is written. `None` creates a file that must not exist yet, with its folders. A symbolic
/// link stays a link and its target is replaced; permissions are kept. (A hard link to the old file keeps
/// the old content.)
///
/// # Errors
/// [`LedgerError::ChangedUnderneath`], [`LedgerError::AlreadyThere`], [`LedgerError::ReadOnly`],
/// [`LedgerError::Unreadable`], [`LedgerError::Unwritable`]; in each case the file is as it was.
pub fn write_atomically(
    path: &Path,
    expected_before: Option<&[u8]>,
    contents: &[u8],
) -> Result<(), LedgerError> {
    match expected_before {
        Some(expected) => replace(path, expected, contents),
        None => create(path, contents),
    }
}

fn replace(path: &Path, expected: &[u8], contents: &[u8]) -> Result<(), LedgerError> {
    let target = fs::canonicalize(path).map_err(|error| gone_or_unreadable(path, error))?;
    let permissions = fs::metadata(&target).map_err(LedgerError::unreadable(path))?.permissions();
    if permissions.readonly() {
        return Err(LedgerError::ReadOnly { path: path.to_path_buf() });
    }
    refuse_if_changed(path, &target, expected)?;
    let temporary = temporary_beside(path, &target, contents, Some(permissions))?;
    // Writing took its time: look once more, as late as possible.
    refuse_if_changed(path, &target, expected)?;
    temporary.persist(&target).map_err(|error| LedgerError::unwritable(path)(error.error))?;
    settle(&target);
    Ok(())
}

fn create(path: &Path, contents: &[u8]) -> Result<(), LedgerError> {
    let already_there = || LedgerError::AlreadyThere { path: path.to_path_buf() };
    if fs::symlink_metadata(path).is_ok() {
        return Err(already_there());
    }
    if let Some(folder) = path.parent() {
        fs::create_dir_all(folder).map_err(LedgerError::unwritable(path))?;
    }
    let temporary = temporary_beside(path, path, contents, None)?;
    temporary.persist_noclobber(path).map_err(|error| match error.error.kind() {
        ErrorKind::AlreadyExists => already_there(),
        _ => LedgerError::unwritable(path)(error.error),
    })?;
    settle(path);
    Ok(())
}

fn refuse_if_changed(path: &Path, target: &Path, expected: &[u8]) -> Result<(), LedgerError> {
    let now = fs::read(target).map_err(|error| gone_or_unreadable(path, error))?;
    if now == expected { Ok(()) } else { Err(LedgerError::ChangedUnderneath { path: path.to_path_buf() }) }
}

/// A file that vanished since it was read has changed, too.
fn gone_or_unreadable(path: &Path, error: std::io::Error) -> LedgerError {
    match error.kind() {
        ErrorKind::NotFound => LedgerError::ChangedUnderneath { path: path.to_path_buf() },
        _ => LedgerError::unreadable(path)(error),
    }
}

/// The new content in a hidden file in the same folder (only there can it be moved into place in one step),
/// written through to the disk.
fn temporary_beside(
    path: &Path,
    target: &Path,
    contents: &[u8],
    permissions: Option<Permissions>,
) -> Result<NamedTempFile, LedgerError> {
    let folder = target.parent().filter(|folder| !folder.as_os_str().is_empty());
    let mut builder = tempfile::Builder::new();
    builder.prefix(".clampmark-");
    #[cfg(unix)]
    if permissions.is_none() {
        use std::os::unix::fs::PermissionsExt;
        // What any new file gets; the user's umask takes its part away.
        builder.permissions(Permissions::from_mode(0o666));
    }
    let made = builder.tempfile_in(folder.unwrap_or(Path::new(".")));
    let mut temporary = made.map_err(LedgerError::unwritable(path))?;
    temporary.write_all(contents).map_err(LedgerError::unwritable(path))?;
    if let Some(permissions) = permissions {
        temporary.as_file().set_permissions(permissions).map_err(LedgerError::unwritable(path))?;
    }
    temporary.as_file().sync_all().map_err(LedgerError::unwritable(path))?;
    Ok(temporary)
}

/// Writes the folder's new entry through to the disk, where the system can; the content is safe either way.
fn settle(target: &Path) {
    if let Some(folder) = target.parent()
        && let Ok(folder) = fs::File::open(folder)
    {
        drop(folder.sync_all());
    }
}
