//! Finding a ledger, listing and naming its setups, without any repository.

use std::fs;

use clampmark::ledger::{Ledger, LedgerError, read_file};

use crate::support::{folder, renamed_ledger, write};

fn names(ledger: &Ledger) -> Vec<String> {
    ledger.setups().unwrap().into_iter().map(|setup| setup.name).collect()
}

#[test]
fn a_ledger_is_found_from_above_below_and_inside() {
    let dir = folder();
    write(dir.path(), "setups/rowan/race.kdl", "x");
    for start in ["", "setups", "setups/rowan"] {
        let ledger = Ledger::find(&dir.path().join(start)).unwrap();
        assert_eq!(ledger.root(), dir.path(), "from {start:?}");
    }
    // `..` leads out of a folder before the search begins: what the left folder holds does not count.
    write(dir.path(), "beside/setups/alder.kdl", "x");
    assert_eq!(Ledger::find(&dir.path().join("beside/../setups")).unwrap().root(), dir.path());
    fs::create_dir_all(dir.path().join("deep/er")).unwrap();
    assert_eq!(Ledger::find(&dir.path().join("deep/er")).unwrap().root(), dir.path());
}

#[test]
fn no_ledger_is_said_with_the_place_and_the_way_out() {
    let dir = folder();
    let error = Ledger::open(dir.path()).unwrap_err();
    assert!(matches!(&error, LedgerError::NoLedger { start } if start == dir.path()));
    assert!(error.to_string().contains("setups/"));
    assert!(error.help().contains("--ledger"));
}

#[test]
fn setups_are_sorted_and_hidden_and_foreign_files_are_left_out() {
    let dir = folder();
    let listed = ["alder.kdl", "rowan/race.kdl", "rowan/late summer/größe.kdl"];
    for path in listed.iter().chain(&[".hidden.kdl", ".folder/x.kdl", "rowan/.x.kdl", "notes.txt", ".kdl"]) {
        write(dir.path(), &format!("setups/{path}"), "x");
    }
    fs::create_dir_all(dir.path().join("setups/folder.kdl")).unwrap();
    let ledger = Ledger::open(dir.path()).unwrap();
    assert_eq!(names(&ledger), ["alder", "rowan/late summer/größe", "rowan/race"]);
}

#[cfg(unix)]
#[test]
fn links_that_loop_or_lead_nowhere_do_no_harm() {
    use std::os::unix::fs::symlink;
    let dir = folder();
    write(dir.path(), "setups/rowan/race.kdl", "x");
    symlink("..", dir.path().join("setups/rowan/loop")).unwrap();
    symlink("rowan", dir.path().join("setups/again")).unwrap();
    symlink("nowhere.kdl", dir.path().join("setups/dangling.kdl")).unwrap();
    let ledger = Ledger::open(dir.path()).unwrap();
    assert_eq!(names(&ledger), ["rowan/race"]);
}

#[test]
fn a_setup_is_resolved_however_it_is_named() {
    let dir = folder();
    let file = write(dir.path(), "setups/rowan/race.kdl", "x");
    let ledger = Ledger::open(dir.path()).unwrap();
    let root = dir.path().to_path_buf();
    let cases = [
        ("rowan/race", root.clone()),
        ("rowan/race.kdl", root.clone()),
        ("setups/rowan/race.kdl", root.clone()),
        ("setups/rowan/race", root.clone()),
        ("./setups/rowan/race.kdl", root.clone()),
        ("race.kdl", root.join("setups/rowan")),
        ("race", root.join("setups/rowan")),
        ("../rowan/race", root.join("setups/rowan")),
        ("setups/rowan/race.kdl", root.join("setups")),
        (file.to_str().unwrap(), std::env::temp_dir()),
    ];
    for (named, cwd) in cases {
        let setup = ledger.resolve(named, &cwd).unwrap();
        assert_eq!((setup.name.as_str(), setup.exists), ("rowan/race", true), "{named} in {}", cwd.display());
        assert_eq!(setup.path, file);
    }
}

#[test]
fn what_looks_like_a_path_is_one_and_what_looks_like_a_name_is_one() {
    let dir = folder();
    let below = write(dir.path(), "setups/race.kdl", "x");
    let beside = write(dir.path(), "race.kdl", "y");
    let ledger = Ledger::open(dir.path()).unwrap();
    assert_eq!(ledger.resolve("race", dir.path()).unwrap().path, below);
    let outside = ledger.resolve("race.kdl", dir.path()).unwrap();
    assert_eq!((outside.path, outside.name.as_str()), (beside, "race"));
}

#[test]
fn an_unknown_setup_comes_with_the_nearest_name() {
    let dir = folder();
    write(dir.path(), "setups/rowan/race.kdl", "x");
    write(dir.path(), "setups/alder.kdl", "x");
    let ledger = Ledger::open(dir.path()).unwrap();
    for (named, expected) in [
        ("rowan/rcae", Some("rowan/race")),
        ("race", Some("rowan/race")),
        ("setups/aldre.kdl", Some("alder")),
        ("something-else", None),
        ("", None),
        ("../../..", None),
    ] {
        match ledger.resolve(named, dir.path()) {
            Err(LedgerError::UnknownSetup { named: said, nearest }) => {
                assert_eq!((said.as_str(), nearest.as_deref()), (named, expected));
            }
            other => panic!("{named}: {other:?}"),
        }
    }
}

#[test]
fn a_setup_deleted_long_ago_is_still_known_by_name() {
    let (dir, ledger) = renamed_ledger();
    let setup = ledger.resolve("rowan/race", dir.path()).unwrap();
    assert_eq!((setup.name.as_str(), setup.exists), ("rowan/race", false));
    assert_eq!(setup.path, dir.path().join("setups/rowan/race.kdl"));
    assert!(matches!(ledger.read_now(&setup), Err(LedgerError::Unreadable { .. })));
}

#[test]
fn working_files_are_read_as_they_are() {
    let dir = folder();
    let bytes = b"\xEF\xBB\xBFbike \"rowan\"\r\n\xFF\x00";
    let file = write(dir.path(), "setups/odd.kdl", bytes);
    let ledger = Ledger::open(dir.path()).unwrap();
    let setup = ledger.resolve("odd", dir.path()).unwrap();
    assert_eq!(ledger.read_now(&setup).unwrap(), bytes);
    assert_eq!(read_file(&file).unwrap(), bytes);
    assert!(matches!(read_file(dir.path()), Err(LedgerError::Unreadable { .. })));
}

#[test]
fn without_a_repository_only_files_can_be_compared() {
    let dir = folder();
    write(dir.path(), "setups/rowan/race.kdl", "x");
    let ledger = Ledger::open(dir.path()).unwrap();
    assert!(!ledger.has_repository());
    let error = ledger.revision("HEAD").unwrap_err();
    assert!(matches!(error, LedgerError::NoRepository { .. }));
    assert!(error.help().contains("only files can be compared"));
    let setup = ledger.resolve("rowan/race", dir.path()).unwrap();
    assert!(matches!(ledger.last_recorded(&setup), Err(LedgerError::NoRepository { .. })));
    assert!(matches!(ledger.staged_changed(), Err(LedgerError::NoRepository { .. })));
}
