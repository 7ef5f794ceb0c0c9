//! What is staged, told apart from the working file and from `HEAD`.

use std::fs;

use clampmark::ledger::Ledger;

use crate::support::{git, git_commit, git_ledger, renamed_ledger, text, write};

fn names(ledger: &Ledger) -> Vec<String> {
    ledger.staged_changed().unwrap().into_iter().map(|setup| setup.name).collect()
}

#[test]
fn after_a_commit_the_staged_content_is_the_recorded_one() {
    let (dir, ledger) = renamed_ledger();
    write(dir.path(), "setups/rowan/wet.kdl", text("edited, not staged"));
    let setup = ledger.resolve("rowan/wet", dir.path()).unwrap();
    assert_eq!(ledger.read_staged(&setup).unwrap(), Some(text("three").into_bytes()));
    assert_eq!(names(&ledger), [""; 0]);
}

#[test]
#[ignore = "needs the git program"]
fn staged_content_is_neither_the_working_file_nor_head() {
    let dir = git_ledger();
    let root = dir.path();
    write(root, "setups/rowan/race.kdl", text("staged"));
    write(root, "setups/alder.kdl", text("new"));
    write(root, "setups/only noted.kdl", text("later"));
    write(root, "README.md", "not a setup");
    git(root, &["add", "setups/rowan/race.kdl", "setups/alder.kdl", "README.md"]);
    git(root, &["add", "-N", "setups/only noted.kdl"]);
    write(root, "setups/rowan/race.kdl", text("edited after"));
    let ledger = Ledger::open(root).unwrap();
    let read = |name: &str| ledger.read_staged(&ledger.resolve(name, root).unwrap()).unwrap();
    assert_eq!(names(&ledger), ["alder", "rowan/race"]);
    assert_eq!(read("rowan/race"), Some(text("staged").into_bytes()));
    assert_eq!(read("alder"), Some(text("new").into_bytes()));
    assert_eq!(read("only noted"), None);
}

#[test]
#[ignore = "needs the git program"]
fn a_staged_rename_counts_and_a_staged_deletion_does_not() {
    let dir = git_ledger();
    let root = dir.path();
    git(root, &["mv", "setups/rowan/race.kdl", "setups/rowan/wet.kdl"]);
    let ledger = Ledger::open(root).unwrap();
    assert_eq!(names(&ledger), ["rowan/wet"]);
    let setup = ledger.resolve("rowan/wet", root).unwrap();
    assert_eq!(ledger.last_recorded(&setup).unwrap().unwrap().subject, "Measure");
    git(root, &["rm", "-q", "--cached", "setups/rowan/wet.kdl"]);
    fs::remove_file(root.join("setups/rowan/wet.kdl")).unwrap();
    assert_eq!(names(&ledger), [""; 0]);
}

#[test]
#[ignore = "needs the git program"]
fn everything_is_staged_before_the_first_commit() {
    let dir = crate::support::folder();
    git(dir.path(), &["init", "-q"]);
    write(dir.path(), "setups/alder.kdl", "a");
    git(dir.path(), &["add", "."]);
    assert_eq!(names(&Ledger::open(dir.path()).unwrap()), ["alder"]);
}

/// A ledger whose git knows who commits.
fn named_ledger() -> tempfile::TempDir {
    let dir = git_ledger();
    git(dir.path(), &["config", "user.name", "Test Rider"]);
    git(dir.path(), &["config", "user.email", "test@example.invalid"]);
    dir
}

#[test]
#[ignore = "needs the git program"]
fn committing_one_file_leaves_the_rest_staged() {
    let dir = named_ledger();
    let root = dir.path();
    git(root, &["update-index", "--chmod=+x", "setups/rowan/race.kdl"]);
    git(root, &["commit", "-q", "-m", "May be run"]);
    write(root, "setups/rowan/race.kdl", text("lower"));
    write(root, "setups/alder.kdl", text("new"));
    git(root, &["add", "setups/alder.kdl"]);
    let ledger = Ledger::open(root).unwrap();
    let setup = ledger.resolve("rowan/race", root).unwrap();
    let revision = ledger.commit_file(&setup, &ledger.read_now(&setup).unwrap(), "Lower the grips").unwrap();
    assert_eq!(revision.subject, "Lower the grips");
    // What git itself says of it.
    assert_eq!(
        git(root, &["log", "-1", "--format=%s", "--name-status"]),
        "Lower the grips\n\nM\tsetups/rowan/race.kdl"
    );
    assert_eq!(git(root, &["show", "HEAD:setups/rowan/race.kdl"]), text("lower").trim_end());
    assert!(git(root, &["ls-tree", "HEAD", "setups/rowan/race.kdl"]).starts_with("100755"));
    assert_eq!(git(root, &["diff", "--cached", "--name-only"]), "setups/alder.kdl");
    assert_eq!(git(root, &["diff", "--name-only", "--", "*.kdl", ":!setups/rowan"]), "");
    git(root, &["fsck", "--strict"]);
}

#[test]
#[ignore = "needs the git program"]
fn a_merge_under_way_is_not_committed_in_part() {
    let dir = named_ledger();
    let root = dir.path();
    git(root, &["checkout", "-q", "-b", "wet"]);
    write(root, "setups/alder.kdl", text("wet"));
    git_commit(root, "Wet");
    git(root, &["checkout", "-q", "main"]);
    write(root, "setups/birch.kdl", text("dry"));
    git_commit(root, "Dry");
    git(root, &["merge", "-q", "--no-commit", "wet"]);
    let before = git(root, &["rev-parse", "HEAD"]);
    let ledger = Ledger::open(root).unwrap();
    let setup = ledger.resolve("rowan/race", root).unwrap();
    let refused = ledger.commit_file(&setup, &ledger.read_now(&setup).unwrap(), "Half a merge").unwrap_err();
    assert!(refused.to_string().contains("under way"), "{refused}");
    assert_eq!(git(root, &["rev-parse", "HEAD"]), before);
}
