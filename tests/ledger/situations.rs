//! Where a ledger can lie: working trees, sub-folders, bare and damaged repositories, other owners.

use std::fs;

use clampmark::ledger::{HistoryOptions, Ledger, LedgerError};

use crate::support::{folder, git, git_commit, git_ledger, renamed_ledger, text, write};

fn text_at(ledger: &Ledger, name: &str, spec: &str) -> Option<String> {
    let setup = ledger.resolve(name, ledger.root()).unwrap();
    let at = ledger.read_at(&setup, &ledger.revision(spec).unwrap()).unwrap();
    at.map(|at| String::from_utf8(at.bytes).unwrap())
}

#[test]
fn a_ledger_may_lie_in_a_sub_folder_of_a_repository() {
    let dir = folder();
    let path = "bikes/my ledger/setups/rowan/race.kdl";
    let commits = [
        crate::support::commit("Measure", 1, &[(path, Some("one"))], None),
        crate::support::commit("Change", 2, &[(path, Some("two"))], None),
    ];
    clampmark::ledger::demo::build(dir.path(), &commits).unwrap();
    let ledger = Ledger::find(&dir.path().join("bikes/my ledger/setups/rowan")).unwrap();
    assert_eq!(text_at(&ledger, "rowan/race", "HEAD~1"), Some(text("one")));
    let setup = ledger.resolve("rowan/race", ledger.root()).unwrap();
    let history = ledger.history(&setup, &HistoryOptions::default()).unwrap();
    assert_eq!(history.map(|entry| entry.unwrap().path).collect::<Vec<_>>(), [path, path]);
    assert_eq!(ledger.worktree().unwrap(), dir.path().canonicalize().unwrap());
}

#[test]
fn a_damaged_configuration_is_said_and_files_stay_readable() {
    let (dir, _ledger) = renamed_ledger();
    fs::write(dir.path().join(".git/config"), "[core\nbare = maybe").unwrap();
    let ledger = Ledger::open(dir.path()).unwrap();
    assert!(ledger.has_repository());
    let error = ledger.revision("HEAD").unwrap_err();
    assert!(matches!(error, LedgerError::BrokenRepository { .. }), "{error:?}");
    assert!(!error.to_string().contains('\n'));
    let setup = ledger.resolve("rowan/wet", dir.path()).unwrap();
    assert_eq!(ledger.read_now(&setup).unwrap(), text("three").into_bytes());
}

#[test]
fn a_missing_object_is_an_error_and_never_a_panic() {
    let (dir, ledger) = renamed_ledger();
    let id = ledger.revision("v1").unwrap().id;
    fs::remove_file(dir.path().join(".git/objects").join(&id[..2]).join(&id[2..])).unwrap();
    let ledger = Ledger::open(dir.path()).unwrap();
    assert!(ledger.revision("v1").is_err());
    let setup = ledger.resolve("rowan/wet", dir.path()).unwrap();
    let history: Vec<_> = ledger.history(&setup, &HistoryOptions::default()).unwrap().collect();
    assert!(matches!(history.last(), Some(Err(LedgerError::Git { .. }))), "{history:?}");
}

#[cfg(unix)]
#[test]
fn a_setup_that_links_to_another_has_that_ones_history() {
    let (dir, ledger) = renamed_ledger();
    std::os::unix::fs::symlink("rowan/wet.kdl", dir.path().join("setups/today.kdl")).unwrap();
    assert_eq!(text_at(&ledger, "today", "HEAD"), Some(text("three")));
}

#[test]
fn a_ledger_is_shared_between_threads() {
    let (dir, ledger) = renamed_ledger();
    let setup = ledger.resolve("rowan/wet", dir.path()).unwrap();
    let revision = ledger.revision("v1").unwrap();
    std::thread::scope(|scope| {
        let read = || ledger.read_at(&setup, &revision).unwrap().unwrap().bytes;
        let threads = [scope.spawn(read), scope.spawn(read)];
        for thread in threads {
            assert_eq!(thread.join().unwrap(), text("one").into_bytes());
        }
    });
}

#[test]
#[ignore = "needs the git program"]
fn a_second_working_tree_has_its_own_head_and_staged_files() {
    let dir = git_ledger();
    let other = folder();
    let tree = other.path().join("wet");
    git(dir.path(), &["worktree", "add", "-q", "-b", "wet", tree.to_str().unwrap()]);
    write(&tree, "setups/rowan/race.kdl", text("wet"));
    git_commit(&tree, "Wet setup");
    write(&tree, "setups/rowan/race.kdl", text("staged here"));
    git(&tree, &["add", "-A"]);
    let ledger = Ledger::find(&tree.join("setups/rowan")).unwrap();
    assert_eq!(ledger.revision("HEAD").unwrap().subject, "Wet setup");
    assert_eq!(ledger.revision("main").unwrap().subject, "Measure");
    assert_eq!(text_at(&ledger, "rowan/race", "main"), Some(text("one")));
    assert_eq!(ledger.staged_changed().unwrap().len(), 1);
    let main = Ledger::open(dir.path()).unwrap();
    assert_eq!(main.revision("HEAD").unwrap().subject, "Measure");
    assert!(main.staged_changed().unwrap().is_empty());
    let real = |path: std::path::PathBuf| path.canonicalize().unwrap();
    assert_eq!(real(ledger.git_folder().unwrap()), real(dir.path().join(".git")));
}

#[test]
#[ignore = "needs the git program"]
fn a_bare_repository_is_read_from_its_revisions() {
    let dir = git_ledger();
    let bare = folder();
    git(bare.path(), &["clone", "-q", "--bare", dir.path().to_str().unwrap(), "ledger.git"]);
    let ledger = Ledger::open(&bare.path().join("ledger.git")).unwrap();
    let setups = ledger.setups().unwrap();
    assert_eq!(setups.len(), 1);
    assert_eq!((setups[0].name.as_str(), setups[0].exists), ("rowan/race", false));
    assert_eq!(text_at(&ledger, "rowan/race", "HEAD"), Some(text("one")));
}

#[test]
#[ignore = "needs the git program"]
fn a_sha256_repository_is_read_like_any_other() {
    let dir = folder();
    git(dir.path(), &["init", "-q", "-b", "main", "--object-format=sha256"]);
    write(dir.path(), "setups/rowan/race.kdl", text("one"));
    git_commit(dir.path(), "Measure");
    git(dir.path(), &["mv", "setups/rowan/race.kdl", "setups/rowan/wet.kdl"]);
    git_commit(dir.path(), "Rename");
    let ledger = Ledger::open(dir.path()).unwrap();
    assert_eq!(ledger.revision("HEAD").unwrap().id.len(), 64);
    assert_eq!(text_at(&ledger, "rowan/wet", "HEAD~1"), Some(text("one")));
    let setup = ledger.resolve("rowan/wet", dir.path()).unwrap();
    assert_eq!(ledger.history(&setup, &HistoryOptions::default()).unwrap().count(), 2);
}

#[test]
#[ignore = "needs the git program"]
fn a_checkout_with_crlf_is_read_as_it_is_on_both_sides() {
    let dir = git_ledger();
    let clone = folder();
    let from = dir.path().to_str().unwrap();
    git(clone.path(), &["clone", "-q", "-c", "core.autocrlf=true", from, "."]);
    let ledger = Ledger::open(clone.path()).unwrap();
    let setup = ledger.resolve("rowan/race", clone.path()).unwrap();
    assert_eq!(ledger.read_now(&setup).unwrap(), text("one").replace('\n', "\r\n").into_bytes());
    assert_eq!(text_at(&ledger, "rowan/race", "HEAD"), Some(text("one")));
}

#[cfg(unix)]
#[test]
#[ignore = "needs the right to give files away (root)"]
fn a_repository_of_another_owner_is_read() {
    let (dir, _ledger) = renamed_ledger();
    let mut folders = vec![dir.path().to_path_buf()];
    while let Some(folder) = folders.pop() {
        std::os::unix::fs::chown(&folder, Some(12_345), None).unwrap();
        for entry in fs::read_dir(&folder).unwrap() {
            let path = entry.unwrap().path();
            std::os::unix::fs::chown(&path, Some(12_345), None).unwrap();
            if path.is_dir() {
                folders.push(path);
            }
        }
    }
    let ledger = Ledger::open(dir.path()).unwrap();
    assert_eq!(text_at(&ledger, "rowan/wet", "v1"), Some(text("one")));
}
