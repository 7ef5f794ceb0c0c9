//! Where a ledger can lie: working trees, sub-folders, bare and damaged repositories, other owners.

use std::{fmt::Write as _, fs};

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
    fn may_move_to_another_thread<T: Send>(value: T) -> T {
        value
    }
    let (dir, ledger) = renamed_ledger();
    let setup = ledger.resolve("rowan/wet", dir.path()).unwrap();
    let history = ledger.history(&setup, &HistoryOptions::default()).unwrap();
    assert_eq!(may_move_to_another_thread(history).count(), 3);
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
fn branches_kept_in_a_format_that_cannot_be_read_are_not_taken_for_none() {
    let dir = folder();
    git(dir.path(), &["init", "-q", "--ref-format=reftable"]);
    write(dir.path(), "setups/rowan/race.kdl", text("one"));
    git_commit(dir.path(), "Measure");
    let error = Ledger::open(dir.path()).unwrap().revision("HEAD").unwrap_err();
    assert!(matches!(error, LedgerError::BrokenRepository { .. }), "{error:?}");
    assert!(error.to_string().contains("reftable"));
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

/// Set where this test binary is to act as a hook: the file to report to.
const REPORT: &str = "CLAMPMARK_TEST_REPORT";

/// Writes down what is staged in the ledger around the current folder, as a hook would see it.
fn report_what_is_staged(report: &std::ffi::OsStr) {
    let ledger = Ledger::find(&std::env::current_dir().unwrap()).unwrap();
    let mut seen = String::new();
    for setup in ledger.staged_changed().unwrap() {
        let staged = String::from_utf8(ledger.read_staged(&setup).unwrap().unwrap()).unwrap();
        writeln!(seen, "{}: {}", setup.name, staged.lines().next().unwrap()).unwrap();
    }
    fs::write(report, seen).unwrap();
}

#[cfg(unix)]
#[test]
#[ignore = "needs the git program"]
fn inside_a_hook_git_says_which_staged_files_count() {
    use std::os::unix::fs::PermissionsExt;
    if let Some(report) = std::env::var_os(REPORT) {
        return report_what_is_staged(&report);
    }
    let dir = git_ledger();
    let root = dir.path();
    let report = root.join("report");
    let hook = write(
        root,
        ".git/hooks/pre-commit",
        format!(
            "#!/bin/sh\n{REPORT}='{}' exec '{}' --ignored --exact situations::{}\n",
            report.display(),
            std::env::current_exe().unwrap().display(),
            "inside_a_hook_git_says_which_staged_files_count",
        ),
    );
    fs::set_permissions(&hook, fs::Permissions::from_mode(0o755)).unwrap();
    write(root, "setups/alder.kdl", text("staged, not part of this commit"));
    git(root, &["add", "setups/alder.kdl"]);
    write(root, "setups/rowan/race.kdl", text("part of this commit"));
    // Committing single files makes git hand the hook an index of its own.
    git(root, &["commit", "-q", "-m", "One", "setups/rowan/race.kdl"]);
    assert_eq!(fs::read_to_string(&report).unwrap(), "rowan/race: part of this commit\n");
    git(root, &["commit", "-q", "-m", "The other"]);
    assert_eq!(fs::read_to_string(&report).unwrap(), "alder: staged, not part of this commit\n");
    // In a second working tree the hook runs with that tree's own GIT_DIR.
    let other = folder();
    let tree = other.path().join("wet");
    git(root, &["worktree", "add", "-q", "-b", "wet", tree.to_str().unwrap()]);
    write(&tree, "setups/alder.kdl", text("in the other tree"));
    git(&tree, &["commit", "-q", "-a", "-m", "Third"]);
    assert_eq!(fs::read_to_string(&report).unwrap(), "alder: in the other tree\n");
}

#[test]
#[ignore = "needs the git program"]
fn a_git_folder_kept_elsewhere_is_used_where_the_environment_names_it() {
    if let Some(report) = std::env::var_os(REPORT) {
        return report_what_is_staged(&report);
    }
    let dir = folder();
    let root = dir.path().join("work");
    let kept = dir.path().join("kept");
    write(&root, "setups/alder.kdl", text("staged"));
    git(dir.path(), &["init", "-q", "--bare", "kept"]);
    let ways = [format!("--git-dir={}", kept.display()), format!("--work-tree={}", root.display())];
    git(&root, &[&ways[0], &ways[1], "add", "setups"]);
    let report = dir.path().join("report");
    for work_tree in [Some(&root), None] {
        let mut command = std::process::Command::new(std::env::current_exe().unwrap());
        let name = "situations::a_git_folder_kept_elsewhere_is_used_where_the_environment_names_it";
        command.args(["--ignored", "--exact", name]);
        command.current_dir(&root).env("GIT_DIR", &kept).env(REPORT, &report);
        if let Some(work_tree) = work_tree {
            command.env("GIT_WORK_TREE", work_tree);
        }
        assert!(command.status().unwrap().success());
        assert_eq!(fs::read_to_string(&report).unwrap(), "alder: staged\n");
        fs::remove_file(&report).unwrap();
    }
    // Without it there is no repository.
    assert!(!Ledger::open(&root).unwrap().has_repository());
}
