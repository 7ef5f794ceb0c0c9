//! Writing a working file so that it is either the old one or the new one, never half of each.

use std::{
    fs::{self, File, Permissions},
    io::{self, ErrorKind, Write},
    path::{Path, PathBuf},
    time::Duration,
};

use tempfile::NamedTempFile;

use super::LedgerError;

/// How the name of a file begins that is not yet in its place.
const TEMPORARY: &str = ".clampmark-";

/// Longer than it takes from making such a file to locking it.
const MAKING: Duration = Duration::from_secs(2);

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
    let temporary = temporary_for(path, &target, contents, Some(permissions))?;
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
    let temporary = temporary_for(path, path, contents, None)?;
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
fn gone_or_unreadable(path: &Path, error: io::Error) -> LedgerError {
    match error.kind() {
        ErrorKind::NotFound => LedgerError::ChangedUnderneath { path: path.to_path_buf() },
        _ => LedgerError::unreadable(path)(error),
    }
}

/// The new content in a file of its own, written through to the disk, from where it can be moved into place in one step.
fn temporary_for(
    path: &Path,
    target: &Path,
    contents: &[u8],
    permissions: Option<Permissions>,
) -> Result<NamedTempFile, LedgerError> {
    let mut temporary =
        temporary_near(target, permissions.is_none()).map_err(LedgerError::unwritable(path))?;
    temporary.write_all(contents).map_err(LedgerError::unwritable(path))?;
    if let Some(permissions) = permissions {
        temporary.as_file().set_permissions(permissions).map_err(LedgerError::unwritable(path))?;
    }
    temporary.as_file().sync_all().map_err(LedgerError::unwritable(path))?;
    Ok(temporary)
}

/// An empty file that can be moved over the target: in the repository's own folder, where what a killed program leaves
/// behind can never be committed; else hidden beside the target.
fn temporary_near(target: &Path, is_new: bool) -> io::Result<NamedTempFile> {
    let beside = target.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    clear_left_behind(beside);
    if let Some(repository) = repository_around(beside)
        && let Ok(temporary) = temporary_in(&repository, is_new)
    {
        clear_left_behind(&repository);
        return Ok(temporary);
    }
    // A repository that cannot be written to.
    temporary_in(beside, is_new)
}

fn temporary_in(folder: &Path, is_new: bool) -> io::Result<NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(TEMPORARY);
    #[cfg(unix)]
    if is_new {
        use std::os::unix::fs::PermissionsExt;
        // What any new file gets; the user's umask takes its part away.
        builder.permissions(Permissions::from_mode(0o666));
    }
    let temporary = builder.tempfile_in(folder)?;
    // Who holds the lock is alive. Where a file system knows no locks nothing is cleared either.
    let _ = temporary.as_file().try_lock();
    Ok(temporary)
}

/// Takes away what killed programs left in a folder: nobody holds its lock any more.
fn clear_left_behind(folder: &Path) {
    let Ok(entries) = fs::read_dir(folder) else { return };
    for entry in entries.flatten().filter(|entry| entry.file_name().to_string_lossy().starts_with(TEMPORARY))
    {
        let path = entry.path();
        // Between its making and its lock a file belongs to nobody.
        let is_old = |file: &File| {
            let age = file.metadata().and_then(|about| about.modified()).map(|at| at.elapsed());
            matches!(age, Ok(Ok(age)) if age > MAKING)
        };
        let is_left = File::open(&path).is_ok_and(|file| is_old(&file) && file.try_lock().is_ok());
        if is_left {
            let _ = fs::remove_file(&path);
        }
    }
}

/// The folder of the repository around a folder, if it is on the same file system: from elsewhere nothing can be moved
/// in one step.
fn repository_around(folder: &Path) -> Option<PathBuf> {
    let folder = fs::canonicalize(folder).ok()?;
    let repository = folder.ancestors().map(|above| above.join(".git")).find(|git| git.exists())?;
    let is_there = repository.join("HEAD").is_file() && is_on_one_file_system(&folder, &repository);
    is_there.then_some(repository)
}

#[cfg(unix)]
fn is_on_one_file_system(one: &Path, other: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    let device = |path: &Path| fs::metadata(path).map(|about| about.dev()).ok();
    device(one).is_some() && device(one) == device(other)
}

#[cfg(not(unix))]
fn is_on_one_file_system(_: &Path, _: &Path) -> bool {
    false
}

/// Writes the folder's new entry through to the disk, where the system can; the content is safe either way.
fn settle(target: &Path) {
    if let Some(folder) = target.parent()
        && let Ok(folder) = File::open(folder)
    {
        drop(folder.sync_all());
    }
}
