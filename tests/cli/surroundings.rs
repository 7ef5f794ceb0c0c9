use std::process::{Command, Stdio};

use crate::harness::Bench;
use crate::texts::{PLUMB, RACE};

fn ledger() -> Bench {
    Bench::without_git(&[("setups/alder/plumb.kdl", PLUMB), ("setups/rowan/race.kdl", RACE)])
}

#[test]
fn a_reader_that_went_away_is_no_failure() {
    let bench = ledger();
    let (reader, writer) = std::io::pipe().unwrap();
    drop(reader);
    let status = Command::new(env!("CARGO_BIN_EXE_clampmark"))
        .args(["grips", "rowan/race"])
        .current_dir(bench.root())
        .stdout(writer)
        .stderr(Stdio::null())
        .status()
        .unwrap();
    assert_eq!(status.code(), Some(0));
}

#[test]
fn the_ledger_is_found_upward() {
    let bench = ledger();
    bench.write("setups/alder/notes/here.txt", "");
    let expected = bench.run(&["grips", "alder/plumb"]).out;
    assert!(expected.contains("442.3"));
    for folder in ["setups", "setups/alder", "setups/alder/notes"] {
        assert_eq!(bench.run_in(folder, &["grips", "alder/plumb"]).out, expected, "{folder}");
    }
    assert_eq!(bench.run_in("setups/alder", &["grips", "plumb.kdl"]).out, expected);
}

#[test]
fn the_ledger_can_be_named() {
    let bench = ledger();
    let elsewhere = tempfile::tempdir().unwrap();
    let root = bench.root().to_str().unwrap().to_owned();
    let named = bench
        .command(&["--ledger", &root, "grips", "alder/plumb"])
        .current_dir(elsewhere.path())
        .output()
        .unwrap();
    assert_eq!(String::from_utf8(named.stdout).unwrap(), bench.run(&["grips", "alder/plumb"]).out);
    let lost = bench.command(&[]).current_dir(elsewhere.path()).output().unwrap();
    assert_eq!(lost.status.code(), Some(2));
    let said = String::from_utf8(lost.stderr).unwrap();
    assert!(said.contains("--ledger DIR"), "{said}");
}

#[test]
fn colour_only_when_asked_and_adding_no_words() {
    let bench = ledger();
    let bare = bench.run(&["grips", "rowan/race"]).out;
    assert!(!bare.contains('\u{1b}'));
    assert_eq!(bench.run(&["--colour", "never", "grips", "rowan/race"]).out, bare);
    let painted = bench.run(&["--colour", "always", "grips", "rowan/race"]).out;
    assert!(painted.contains('\u{1b}'), "an explicit word wins over NO_COLOR");
    let mut stripped = String::new();
    let mut rest = painted.as_str();
    while let Some((before, after)) = rest.split_once('\u{1b}') {
        stripped.push_str(before);
        rest = after.split_once('m').unwrap().1;
    }
    stripped.push_str(rest);
    assert_eq!(stripped, bare);
    assert!(!bench.run(&["--json", "--colour", "always", "grips", "rowan/race"]).out.contains('\u{1b}'));
}

#[test]
fn a_failure_is_an_object_with_json() {
    let bench = ledger();
    let outcome = bench.run(&["grips", "rowan/rase", "--json"]);
    assert_eq!(outcome.status, 2);
    assert_eq!(outcome.json()["schema"], "clampmark.failure/1");
    assert_eq!(outcome.err, "");
}

#[test]
fn bad_arguments_end_with_two() {
    let bench = ledger();
    assert_eq!(bench.run(&["grips"]).status, 2);
    assert_eq!(bench.run(&["grisp", "rowan/race"]).status, 2);
    assert_eq!(bench.run(&["completions", "tcsh"]).status, 2);
    assert_eq!(bench.run(&["--help"]).status, 0);
    assert_eq!(bench.run(&["--version"]).status, 0);
}
