//! The history of one setup, against the git program as the independent witness.

use std::{fmt::Write as _, fs, io::Write as _, path::Path, process::Stdio};

use clampmark::ledger::{HistoryEntry, HistoryOptions, Ledger, LedgerError};

use crate::support::{commit, folder, git, git_commit, git_ledger, git_on, renamed_ledger, text, write};

fn history(root: &Path, name: &str, first_parent: bool) -> Vec<HistoryEntry> {
    let ledger = Ledger::open(root).unwrap();
    let setup = ledger.resolve(name, root).unwrap();
    let options = HistoryOptions { first_parent, from: None };
    ledger.history(&setup, &options).unwrap().collect::<Result<_, _>>().unwrap()
}

fn ids(entries: &[HistoryEntry]) -> Vec<&str> {
    entries.iter().map(|entry| entry.revision.id.as_str()).collect()
}

fn subjects(entries: &[HistoryEntry]) -> Vec<&str> {
    entries.iter().map(|entry| entry.revision.subject.as_str()).collect()
}

#[test]
fn changes_come_newest_first_across_a_rename() {
    let (dir, ledger) = renamed_ledger();
    let entries = history(dir.path(), "rowan/wet", true);
    assert_eq!(subjects(&entries), ["Call it wet", "Lower the grips", "Measure"]);
    let paths: Vec<&str> = entries.iter().map(|entry| entry.path.as_str()).collect();
    assert_eq!(paths, ["setups/rowan/wet.kdl", "setups/rowan/race.kdl", "setups/rowan/race.kdl"]);
    assert_eq!(entries[0].renamed_from.as_deref(), Some("setups/rowan/race.kdl"));
    assert_eq!(entries[0].parents, [entries[1].revision.id.clone()]);
    let oldest = entries[2].blob.as_ref().unwrap();
    assert_eq!(ledger.read_blob(oldest).unwrap(), text("one").into_bytes());
    let setup = ledger.resolve("rowan/wet", dir.path()).unwrap();
    assert_eq!(ledger.last_change(&setup).unwrap().unwrap(), entries[0]);
}

#[test]
fn the_history_of_an_old_name_ends_with_the_new_one() {
    let (dir, _ledger) = renamed_ledger();
    let entries = history(dir.path(), "rowan/race", true);
    assert_eq!(subjects(&entries), ["Call it wet", "Lower the grips", "Measure"]);
    assert_eq!((&entries[0].blob, entries[0].renamed_to.as_deref()), (&None, Some("setups/rowan/wet.kdl")));
    assert!(entries[1..].iter().all(|entry| entry.renamed_to.is_none()));
}

#[test]
fn a_history_can_begin_at_an_older_revision() {
    let (dir, ledger) = renamed_ledger();
    let setup = ledger.resolve("rowan/wet", dir.path()).unwrap();
    let options = HistoryOptions { first_parent: true, from: Some(ledger.revision("HEAD~1").unwrap()) };
    let entries: Vec<_> = ledger.history(&setup, &options).unwrap().map(Result::unwrap).collect();
    assert_eq!(subjects(&entries), ["Lower the grips", "Measure"]);
}

#[test]
fn deletions_and_returns_are_changes_and_untouched_commits_are_not() {
    let dir = folder();
    let file = "setups/alder.kdl";
    let commits = [
        commit("Make", 1, &[(file, Some("a"))], None),
        commit("Elsewhere", 2, &[("notes.txt", Some("n"))], None),
        commit("Drop", 3, &[(file, None)], None),
        commit("Elsewhere again", 4, &[("notes.txt", Some("m"))], None),
        commit("Return", 5, &[(file, Some("a"))], None),
    ];
    clampmark::ledger::demo::build(dir.path(), &commits).unwrap();
    let entries = history(dir.path(), "alder", true);
    assert_eq!(subjects(&entries), ["Return", "Drop", "Make"]);
    assert_eq!((&entries[1].blob, &entries[1].renamed_to), (&None, &None));
    assert_eq!(entries[0].blob, entries[2].blob);
}

#[test]
fn an_uncommitted_rename_keeps_its_history() {
    let (dir, _ledger) = renamed_ledger();
    fs::rename(dir.path().join("setups/rowan/wet.kdl"), dir.path().join("setups/mud.kdl")).unwrap();
    assert_eq!(history(dir.path(), "mud", true).len(), 3);
}

/// A merge in which both sides changed the setup, and one side renamed it.
fn merged() -> tempfile::TempDir {
    let dir = git_ledger();
    let root = dir.path();
    let at = |hour: u32| format!("2031-05-02T{hour:02}:00:00+02:00");
    let record = |hour: u32, subject: &str| {
        git(root, &["add", "-A"]);
        git_on(root, &at(hour), &["commit", "-q", "-m", subject]);
    };
    git(root, &["checkout", "-q", "-b", "mechanic"]);
    let by_mechanic = format!("{}added by the mechanic\n", text("one"));
    write(root, "setups/rowan/race.kdl", &by_mechanic);
    record(9, "Mechanic measures");
    git(root, &["checkout", "-q", "main"]);
    git(root, &["mv", "setups/rowan/race.kdl", "setups/rowan/wet.kdl"]);
    record(10, "Rename");
    write(root, "setups/rowan/wet.kdl", text("changed by the rider"));
    record(11, "Rider measures");
    git_on(root, &at(12), &["merge", "-q", "-m", "Merge", "mechanic"]);
    write(
        root,
        "setups/rowan/wet.kdl",
        format!("{}added by the mechanic\nafter\n", text("changed by the rider")),
    );
    record(13, "After");
    dir
}

#[test]
#[ignore = "needs the git program"]
fn merges_follow_the_first_parent_or_all() {
    let dir = merged();
    let first = history(dir.path(), "rowan/wet", true);
    assert_eq!(subjects(&first), ["After", "Merge", "Rider measures", "Rename", "Measure"]);
    assert_eq!(first[1].parents.len(), 2);
    let all = history(dir.path(), "rowan/wet", false);
    let expected = ["After", "Merge", "Rider measures", "Rename", "Mechanic measures", "Measure"];
    assert_eq!(subjects(&all), expected);
    assert_eq!(all[4].path, "setups/rowan/race.kdl");
    // What the merge found in its other parent, under the path that it has there.
    let beside: Vec<_> = all[1].beside.iter().map(|one| &one.blob).collect();
    assert_eq!(beside, [all[4].blob.as_ref().unwrap()]);
    assert_eq!(all[1].beside[0].parent, all[4].revision.id);
    // They parted where the file was measured first.
    assert_eq!(all[1].parted, [all[5].blob.clone()]);
    assert!(first.iter().chain([&all[0], &all[2]]).all(|entry| entry.beside.is_empty()));
    let ledger = Ledger::open(dir.path()).unwrap();
    let setup = ledger.resolve("rowan/wet", dir.path()).unwrap();
    let at = ledger.read_at(&setup, &ledger.revision("mechanic").unwrap()).unwrap().unwrap();
    assert_eq!(at.bytes, format!("{}added by the mechanic\n", text("one")).into_bytes());
}

/// Thousands of commits would take the git program minutes one by one; its import takes a second.
/// Every `every`th commit touches the setup, the others another file; every 50th is a merge.
fn long_history(commits: usize, every: usize) -> tempfile::TempDir {
    let dir = folder();
    git(dir.path(), &["init", "-q", "-b", "main"]);
    let mut stream = String::new();
    for n in 0..commits {
        let (path, body) = if n % every == 0 {
            ("setups/rowan/race.kdl", text(&format!("reading {n}")))
        } else {
            ("setups/alder/other.kdl", text(&format!("other {n}")))
        };
        let merge = n > 60 && n % 50 == 0;
        let seconds = 1_900_000_000 + 60 * n;
        if merge {
            // A side branch from ten commits ago that touches the setup, too.
            let old = n - 9;
            let side = text(&format!("side {n}"));
            let mark = commits + n;
            let before = seconds - 30;
            let _ = write!(
                stream,
                "commit refs/heads/side\nmark :{mark}\ncommitter Rider <r@example.invalid> {before} +0200\n\
                 data 4\nside\nfrom :{old}\nM 100644 inline setups/rowan/race.kdl\ndata {}\n{side}\n",
                side.len()
            );
        }
        let _ = write!(
            stream,
            "commit refs/heads/main\nmark :{}\ncommitter Rider <r@example.invalid> {seconds} +0200\n\
             data 6\nchange\n{}M 100644 inline {path}\ndata {}\n{body}\n",
            n + 1,
            if merge { format!("merge :{}\n", commits + n) } else { String::new() },
            body.len()
        );
    }
    let mut import = std::process::Command::new("git")
        .args(["fast-import", "--quiet", "--force"])
        .current_dir(dir.path())
        .stdin(Stdio::piped())
        .spawn()
        .unwrap();
    import.stdin.take().unwrap().write_all(stream.as_bytes()).unwrap();
    assert!(import.wait().unwrap().success());
    git(dir.path(), &["reset", "-q", "--hard", "main"]);
    dir
}

/// Which commits changed the setup, as the git program tells it.
fn by_git(root: &Path, ways: &str) -> String {
    git(root, &["log", ways, "--format=%H", "--", "setups/rowan/race.kdl"])
}

#[test]
#[ignore = "needs the git program"]
fn two_thousand_commits_agree_with_git() {
    let dir = long_history(2_000, 5);
    let root = dir.path();
    for graph in [false, true] {
        if graph {
            git(root, &["commit-graph", "write", "--reachable"]);
        }
        let first = history(root, "rowan/race", true);
        let expected = by_git(root, "--first-parent");
        assert_eq!(ids(&first), expected.lines().collect::<Vec<_>>(), "commit graph: {graph}");
        // 2,000 / 5, every fifth commit, merges (multiples of 50) among them.
        assert_eq!(first.len(), 400);
        let all = history(root, "rowan/race", false);
        let expected = by_git(root, "--full-history");
        assert_eq!(ids(&all), expected.lines().collect::<Vec<_>>(), "commit graph: {graph}");
        assert!(all.len() > first.len());
    }
}

#[test]
#[ignore = "needs the git program"]
fn a_shallow_clone_ends_where_its_history_ends() {
    let dir = git_ledger();
    for n in 0..4 {
        write(dir.path(), "setups/rowan/race.kdl", text(&format!("change {n}")));
        git_commit(dir.path(), &format!("Change {n}"));
    }
    let clone = folder();
    let from = format!("file://{}", dir.path().display());
    git(clone.path(), &["clone", "-q", "--depth", "2", &from, "."]);
    for first_parent in [true, false] {
        let entries = history(clone.path(), "rowan/race", first_parent);
        assert_eq!(subjects(&entries), ["Change 3", "Change 2"]);
    }
}

#[test]
#[ignore = "needs the git program"]
fn a_hash_shortened_too_far_is_ambiguous() {
    // Four digits tell 65,536 commits apart: among 2,000 some share them (on average 30 pairs).
    let dir = long_history(2_000, 5);
    let all = git(dir.path(), &["log", "--format=%H"]);
    let mut sorted: Vec<&str> = all.lines().collect();
    sorted.sort_unstable();
    let pair = sorted.windows(2).find(|pair| pair[0][..4] == pair[1][..4]).unwrap();
    let ledger = Ledger::open(dir.path()).unwrap();
    let error = ledger.revision(&pair[0][..4]).unwrap_err();
    assert!(matches!(error, LedgerError::AmbiguousRevision { .. }), "{error:?}");
    assert_eq!(ledger.revision(pair[0]).unwrap().id, pair[0]);
}
