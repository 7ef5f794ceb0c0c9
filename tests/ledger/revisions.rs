//! Naming revisions, and reading a setup at one.

use std::fs;

use clampmark::ledger::{
    Ledger, LedgerError,
    demo::{DemoCommit, build},
};

use crate::support::{commit, date, folder, git, git_commit, git_ledger, renamed_ledger, text, write};

/// How the revision is called that last changed a setup.
fn last_label(ledger: &Ledger, setup: &str) -> String {
    ledger.last_change(&ledger.setup_named(setup)).unwrap().expect("a change").revision.label
}

#[test]
fn every_way_of_naming_a_revision_leads_to_the_commit_meant() {
    let (_dir, ledger) = renamed_ledger();
    let subject = |spec: &str| ledger.revision(spec).unwrap().subject;
    // The three commits, oldest first: Measure (v1), Lower the grips, Call it wet (v2, main, HEAD).
    for (spec, expected) in [
        ("v1", "Measure"),
        ("v2", "Call it wet"),
        ("main", "Call it wet"),
        ("HEAD", "Call it wet"),
        ("@", "Call it wet"),
        ("HEAD~2", "Measure"),
        ("HEAD^", "Lower the grips"),
        ("v2~1", "Lower the grips"),
        ("main^^", "Measure"),
        ("refs/tags/v1", "Measure"),
        ("v1^{commit}", "Measure"),
        ("@{1}", "Lower the grips"),
        ("HEAD@{2}", "Measure"),
        ("main@{1}", "Lower the grips"),
    ] {
        assert_eq!(subject(spec), expected, "{spec}");
    }
    let head = ledger.revision("HEAD").unwrap();
    assert_eq!(subject(&head.id), "Call it wet");
    let short = last_label(&ledger, "rowan/wet");
    assert_eq!(subject(&short), "Call it wet");
    assert!(head.id.starts_with(&short) && short.len() >= 7);
}

#[test]
fn a_revision_knows_its_date_author_and_label() {
    let (_dir, ledger) = renamed_ledger();
    let revision = ledger.revision("v1").unwrap();
    // As given to the builder; the offset is the committer's own, not this machine's.
    assert_eq!(revision.date.to_rfc3339(), "2031-05-01T08:30:00+02:00");
    assert_eq!((revision.author.as_str(), revision.label.as_str()), ("Demo Rider", "v1"));
    assert_eq!(ledger.head().unwrap().unwrap().id, ledger.revision("main").unwrap().id);
}

#[test]
fn what_is_no_revision_is_said_with_its_own_reason() {
    let (_dir, ledger) = renamed_ledger();
    let error = |spec: &str| ledger.revision(spec).unwrap_err();
    for (spec, expected) in
        [("v3", Some("v1")), ("mian", Some("main")), ("mian~1", Some("main")), ("zebra", None)]
    {
        match error(spec) {
            LedgerError::UnknownRevision { nearest, .. } => {
                assert_eq!(nearest.as_deref(), expected, "{spec}");
            }
            other => panic!("{spec}: {other:?}"),
        }
    }
    assert!(matches!(error(&"0".repeat(40)), LedgerError::UnknownRevision { .. }));
    for spec in ["HEAD~3", "v1^", "HEAD@{9}", "@{9}"] {
        assert!(matches!(error(spec), LedgerError::BeyondHistory { .. }), "{spec}: {:?}", error(spec));
    }
    for spec in [
        "v1..v2",
        "^v1",
        "HEAD:setups/rowan/wet.kdl",
        ":/Measure",
        "",
        " ",
        "v1^{tree}",
        "HEAD^!",
        "@{upstream}",
        "HEAD^{/zebra}",
    ] {
        assert!(matches!(error(spec), LedgerError::UnsupportedRevision { .. }), "{spec}: {:?}", error(spec));
    }
}

#[test]
fn strange_revisions_are_errors_and_never_a_panic() {
    let (_dir, ledger) = renamed_ledger();
    for spec in [
        "~",
        "^",
        "@{",
        "@{}",
        "HEAD~99999999999999999999",
        "@{-1}",
        "@{upstream}",
        "\u{0}",
        "ä",
        "{",
        "--",
        "v1^{/",
    ] {
        let result = ledger.revision(spec);
        assert!(result.is_err(), "{spec:?}: {result:?}");
    }
}

#[test]
fn a_committed_rename_is_followed_back() {
    let (dir, ledger) = renamed_ledger();
    let setup = ledger.resolve("rowan/wet", dir.path()).unwrap();
    let read = |spec: &str| ledger.read_at(&setup, &ledger.revision(spec).unwrap()).unwrap().unwrap();
    assert_eq!(read("v2").bytes, text("three").into_bytes());
    assert_eq!(read("v2").path, "setups/rowan/wet.kdl");
    let before = read("HEAD~1");
    assert_eq!((before.bytes, before.path.as_str()), (text("two").into_bytes(), "setups/rowan/race.kdl"));
    assert_eq!(read("v1").bytes, text("one").into_bytes());
    assert_eq!(ledger.read_blob(&read("v1").blob).unwrap(), text("one").into_bytes());
}

#[test]
fn a_rename_not_yet_committed_is_followed_too() {
    let (dir, ledger) = renamed_ledger();
    let root = dir.path();
    fs::remove_file(root.join("setups/rowan/wet.kdl")).unwrap();
    // Moved, one line changed, and checked out with CRLF: still the same setup.
    write(root, "setups/rowan/mud.kdl", text("four").replace('\n', "\r\n"));
    let setup = ledger.resolve("rowan/mud", root).unwrap();
    assert_eq!(ledger.last_recorded(&setup).unwrap().unwrap().subject, "Call it wet");
    for (spec, expected) in [("HEAD", "three"), ("HEAD~1", "two"), ("v1", "one")] {
        let at = ledger.read_at(&setup, &ledger.revision(spec).unwrap()).unwrap().unwrap();
        assert_eq!(at.bytes, text(expected).into_bytes(), "{spec}");
    }
}

#[test]
fn a_copy_is_not_a_rename() {
    let (dir, ledger) = renamed_ledger();
    write(dir.path(), "setups/rowan/copy.kdl", text("three"));
    let setup = ledger.resolve("rowan/copy", dir.path()).unwrap();
    assert_eq!(ledger.last_recorded(&setup).unwrap(), None);
    assert_eq!(ledger.last_change(&setup).unwrap(), None);
    assert_eq!(ledger.read_at(&setup, &ledger.revision("HEAD").unwrap()).unwrap(), None);
}

#[test]
fn a_setup_is_absent_before_it_was_made_and_a_deleted_one_is_read_where_it_was() {
    let dir = folder();
    build(
        dir.path(),
        &[
            commit("Begin", 1, &[("setups/alder.kdl", Some("a"))], Some("v1")),
            commit("Add", 2, &[("setups/rowan/race.kdl", Some("one"))], Some("v2")),
            commit("Drop alder", 3, &[("setups/alder.kdl", None)], Some("v3")),
        ],
    )
    .unwrap();
    let ledger = Ledger::open(dir.path()).unwrap();
    let read = |name: &str, spec: &str| {
        let setup = ledger.resolve(name, dir.path()).unwrap();
        ledger.read_at(&setup, &ledger.revision(spec).unwrap()).unwrap().map(|at| at.bytes)
    };
    assert_eq!(read("rowan/race", "v1"), None);
    assert_eq!(read("rowan/race", "v2"), Some(text("one").into_bytes()));
    assert_eq!(read("alder", "v3"), None);
    assert_eq!(read("alder", "v2"), Some(text("a").into_bytes()));
    assert!(!dir.path().join("setups/alder.kdl").exists());
}

#[test]
fn without_commits_it_says_so() {
    let dir = folder();
    build(dir.path(), &[]).unwrap();
    write(dir.path(), "setups/rowan/race.kdl", "x");
    let ledger = Ledger::open(dir.path()).unwrap();
    assert!(ledger.has_repository());
    for spec in ["HEAD", "HEAD~1", "main", "v1", "@{1}"] {
        assert!(matches!(ledger.revision(spec), Err(LedgerError::NoCommits)), "{spec}");
    }
    let setup = ledger.resolve("rowan/race", dir.path()).unwrap();
    assert_eq!(ledger.last_recorded(&setup).unwrap(), None);
    assert_eq!(ledger.last_change(&setup).unwrap(), None);
    assert_eq!(ledger.head().unwrap(), None);
    assert_eq!(ledger.staged_changed().unwrap(), []);
}

#[test]
fn names_with_spaces_and_beyond_ascii_are_read() {
    let dir = folder();
    let path = "setups/späte Rennen/größe 2.kdl";
    build(dir.path(), &[commit("Messen – früh", 1, &[(path, Some("one"))], Some("früh"))]).unwrap();
    let ledger = Ledger::open(dir.path()).unwrap();
    let setup = ledger.resolve("späte Rennen/größe 2", dir.path()).unwrap();
    let revision = ledger.revision("früh").unwrap();
    assert_eq!(revision.subject, "Messen – früh");
    assert_eq!(ledger.read_at(&setup, &revision).unwrap().unwrap().path, path);
}

#[test]
fn a_rename_on_another_branch_is_found_by_likeness() {
    // Built by hand from two histories: `side` holds the setup under its old name and never saw the rename.
    let (dir, ledger) = renamed_ledger();
    let setup = ledger.resolve("rowan/wet", dir.path()).unwrap();
    let orphan = folder();
    let files = vec![("setups/rowan/race.kdl".to_owned(), Some(text("side").into_bytes()))];
    let lone = DemoCommit { files, subject: "Side", date: date("2031-05-02T09:00:00+02:00"), tag: None };
    build(orphan.path(), &[lone]).unwrap();
    copy_objects(orphan.path(), dir.path());
    let id = Ledger::open(orphan.path()).unwrap().head().unwrap().unwrap().id;
    let at = ledger.read_at(&setup, &ledger.revision(&id).unwrap()).unwrap().unwrap();
    assert_eq!(at.bytes, text("side").into_bytes());
}

/// Adds the loose objects of one repository to another.
fn copy_objects(from: &std::path::Path, to: &std::path::Path) {
    for fan in fs::read_dir(from.join(".git/objects")).unwrap() {
        let fan = fan.unwrap();
        if fan.file_name().len() != 2 {
            continue;
        }
        let target = to.join(".git/objects").join(fan.file_name());
        fs::create_dir_all(&target).unwrap();
        for object in fs::read_dir(fan.path()).unwrap() {
            let object = object.unwrap();
            let copy = target.join(object.file_name());
            if !copy.exists() {
                fs::copy(object.path(), copy).unwrap();
            }
        }
    }
}

#[test]
#[ignore = "needs the git program"]
fn the_demo_repository_is_whole_and_clean_in_the_eyes_of_git() {
    let (dir, ledger) = renamed_ledger();
    assert_eq!(git(dir.path(), &["status", "--porcelain"]), "");
    assert_eq!(git(dir.path(), &["branch", "--show-current"]), "main");
    git(dir.path(), &["fsck", "--strict"]);
    assert_eq!(git(dir.path(), &["rev-parse", "HEAD"]), ledger.revision("HEAD").unwrap().id);
    let log = git(dir.path(), &["log", "--format=%an <%ae> %cI %s", "-1", "v1"]);
    assert_eq!(log, "Demo Rider <rider@example.invalid> 2031-05-01T08:30:00+02:00 Measure");
    assert_eq!(git(dir.path(), &["cat-file", "-t", "v1"]), "tag");
}

#[test]
#[ignore = "needs the git program"]
fn git_agrees_on_what_each_name_means() {
    let dir = git_ledger();
    let root = dir.path();
    for n in 0..5 {
        write(root, "setups/rowan/race.kdl", text(&format!("change {n}")));
        git_commit(root, &format!("Change {n}"));
    }
    git(root, &["tag", "light", "HEAD~1"]);
    git(root, &["tag", "-a", "-m", "heavy", "heavy", "HEAD~2"]);
    git(root, &["tag", "-a", "-m", "tag of a tag", "nested", "heavy"]);
    git(root, &["checkout", "-q", "-b", "side", "HEAD~3"]);
    git(root, &["checkout", "-q", "main"]);
    let ledger = Ledger::open(root).unwrap();
    for packed in [false, true] {
        if packed {
            git(root, &["gc", "-q", "--prune=now"]);
            assert!(root.join(".git/packed-refs").exists());
        }
        for spec in [
            "HEAD",
            "HEAD~3",
            "HEAD^",
            "light",
            "heavy",
            "nested",
            "side",
            "side~1",
            "@{1}",
            "@{2}",
            "@{-1}",
            "main@{3}",
            "heavy^{}",
            "heavy~1",
            "HEAD^{/Change 2}",
        ] {
            let expected = git(root, &["rev-parse", &format!("{spec}^{{commit}}")]);
            let ledger = Ledger::open(root).unwrap();
            assert_eq!(ledger.revision(spec).unwrap().id, expected, "{spec}, packed: {packed}");
        }
    }
    let short = git(root, &["rev-parse", "--short", "HEAD"]);
    assert!(last_label(&ledger, "rowan/race").starts_with(&short));
    assert_eq!(ledger.revision(&short[..5]).unwrap().label, short[..5]);
}
