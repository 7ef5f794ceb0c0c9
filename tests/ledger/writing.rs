//! Writing a working file in one step.

use std::fs;

use clampmark::ledger::{LedgerError, write_atomically};

use crate::support::{folder, write};

fn entries(folder: &std::path::Path) -> usize {
    fs::read_dir(folder).unwrap().count()
}

#[test]
fn replaces_what_was_expected_and_leaves_nothing_behind() {
    let dir = folder();
    let file = write(dir.path(), "race.kdl", "old");
    write_atomically(&file, Some(b"old"), b"new").unwrap();
    assert_eq!(fs::read(&file).unwrap(), b"new");
    assert_eq!(entries(dir.path()), 1);
}

#[test]
fn refuses_when_the_file_changed_or_vanished() {
    let dir = folder();
    let file = write(dir.path(), "race.kdl", "someone else's");
    let error = write_atomically(&file, Some(b"old"), b"new").unwrap_err();
    assert!(matches!(&error, LedgerError::ChangedUnderneath { path } if *path == file));
    assert_eq!(fs::read(&file).unwrap(), b"someone else's");
    fs::remove_file(&file).unwrap();
    let error = write_atomically(&file, Some(b"old"), b"new").unwrap_err();
    assert!(matches!(error, LedgerError::ChangedUnderneath { .. }));
    assert_eq!(entries(dir.path()), 0);
}

#[test]
fn creates_with_its_folders_but_never_over_a_file() {
    let dir = folder();
    let file = dir.path().join("setups/rowan/race.kdl");
    write_atomically(&file, None, b"new").unwrap();
    assert_eq!(fs::read(&file).unwrap(), b"new");
    let error = write_atomically(&file, None, b"newer").unwrap_err();
    assert!(matches!(error, LedgerError::AlreadyThere { .. }));
    assert_eq!(fs::read(&file).unwrap(), b"new");
    assert_eq!(entries(file.parent().unwrap()), 1);
}

#[cfg(unix)]
#[test]
fn permissions_are_kept_and_a_new_file_gets_the_usual_ones() {
    use std::os::unix::fs::PermissionsExt;
    let mode = |file: &std::path::Path| fs::metadata(file).unwrap().permissions().mode() & 0o777;
    let dir = folder();
    let file = write(dir.path(), "race.kdl", "old");
    fs::set_permissions(&file, fs::Permissions::from_mode(0o640)).unwrap();
    write_atomically(&file, Some(b"old"), b"new").unwrap();
    assert_eq!(mode(&file), 0o640);
    // The witness for the umask: a file made in the plain way.
    let plain = write(dir.path(), "plain.kdl", "x");
    let fresh = dir.path().join("fresh.kdl");
    write_atomically(&fresh, None, b"x").unwrap();
    assert_eq!(mode(&fresh), mode(&plain));
}

#[cfg(unix)]
#[test]
fn a_read_only_file_is_left_alone() {
    use std::os::unix::fs::PermissionsExt;
    let dir = folder();
    let file = write(dir.path(), "race.kdl", "old");
    fs::set_permissions(&file, fs::Permissions::from_mode(0o444)).unwrap();
    let error = write_atomically(&file, Some(b"old"), b"new").unwrap_err();
    assert!(matches!(error, LedgerError::ReadOnly { .. }));
    assert_eq!(fs::read(&file).unwrap(), b"old");
}

#[cfg(unix)]
#[test]
fn a_link_stays_a_link_and_its_target_is_replaced() {
    use std::os::unix::fs::symlink;
    let dir = folder();
    let target = write(dir.path(), "shared/race.kdl", "old");
    let link = dir.path().join("race.kdl");
    symlink("shared/race.kdl", &link).unwrap();
    write_atomically(&link, Some(b"old"), b"new").unwrap();
    assert!(link.is_symlink());
    assert_eq!(fs::read(&target).unwrap(), b"new");
    // A link that leads nowhere is there, all the same.
    symlink("nowhere.kdl", dir.path().join("dangling.kdl")).unwrap();
    let error = write_atomically(&dir.path().join("dangling.kdl"), None, b"x").unwrap_err();
    assert!(matches!(error, LedgerError::AlreadyThere { .. }));
}

fn aged(file: &std::path::Path) {
    let hour_ago = std::time::SystemTime::now() - std::time::Duration::from_hours(1);
    fs::File::options().write(true).open(file).unwrap().set_modified(hour_ago).unwrap();
}

/// A killed program cannot tidy up; the next one does, and leaves alone what another is writing at that moment.
#[test]
fn what_a_killed_program_left_is_cleared_away() {
    let dir = folder();
    let file = write(dir.path(), "setups/race.kdl", "old");
    let folder = file.parent().unwrap();
    let left = write(folder, ".clampmark-dead", "half of it");
    let young = write(folder, ".clampmark-young", "");
    let writing = write(folder, ".clampmark-alive", "half of it");
    let lock = fs::File::open(&writing).unwrap();
    lock.lock().unwrap();
    for file in [&left, &writing] {
        aged(file);
    }
    write_atomically(&file, Some(b"old"), b"new").unwrap();
    assert!(!left.exists() && young.exists() && writing.exists());
    drop(lock);
    write_atomically(&folder.join("other.kdl"), None, b"new").unwrap();
    assert!(!writing.exists());
}

/// In a repository nothing unfinished ever lies among the files that git looks at.
#[cfg(unix)]
#[test]
fn in_a_repository_what_is_unfinished_lies_out_of_sight() {
    use std::os::unix::fs::PermissionsExt;
    let dir = folder();
    let file = write(dir.path(), "setups/race.kdl", "old");
    write(dir.path(), ".git/HEAD", "ref: refs/heads/main");
    let left = write(dir.path(), ".git/.clampmark-dead", "half of it");
    aged(&left);
    let done = std::sync::atomic::AtomicBool::new(false);
    std::thread::scope(|scope| {
        scope.spawn(|| {
            for _ in 0..50 {
                write_atomically(&file, Some(b"old"), b"new").unwrap();
                write_atomically(&file, Some(b"new"), b"old").unwrap();
            }
            done.store(true, std::sync::atomic::Ordering::Relaxed);
        });
        while !done.load(std::sync::atomic::Ordering::Relaxed) {
            assert_eq!(entries(file.parent().unwrap()), 1);
        }
    });
    assert!(!left.exists());
    // Where the repository may only be read, it goes on beside the file.
    let git = dir.path().join(".git");
    fs::set_permissions(&git, fs::Permissions::from_mode(0o555)).unwrap();
    write_atomically(&file, Some(b"old"), b"new").unwrap();
    fs::set_permissions(&git, fs::Permissions::from_mode(0o755)).unwrap();
    assert_eq!(fs::read(&file).unwrap(), b"new");
}
