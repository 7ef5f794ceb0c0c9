//! `tour`: what it builds, that it walks through, and that it writes into nothing but an empty folder.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use assert_cmd::cargo::CommandCargoExt;
use clampmark::ledger::{HistoryOptions, Ledger};

fn tour(folder: &Path, words: &[&str]) -> Output {
    let mut command = Command::cargo_bin("clampmark").unwrap();
    command.arg("tour").args(words).current_dir(folder).env("COLUMNS", "80").env("NO_COLOR", "1");
    command.env("TMPDIR", folder);
    command.output().unwrap()
}

fn said(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap() + &String::from_utf8(output.stderr.clone()).unwrap()
}

#[test]
fn it_builds_a_ledger_with_a_history_that_can_be_played_with() {
    let folder = tempfile::tempdir().unwrap();
    let output = tour(folder.path(), &["demo"]);
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    let ledger = Ledger::open(&folder.path().join("demo")).unwrap();
    let names: Vec<String> = ledger.setups().unwrap().into_iter().map(|setup| setup.name).collect();
    assert_eq!(names, ["alder/trail", "rowan/home", "rowan/race", "rowan/returned"]);
    for tag in ["home-1", "home-2", "valley-practice", "valley-race", "main"] {
        assert!(ledger.revision(tag).is_ok(), "{tag} is not there");
    }
    let home = ledger.setup_named("rowan/home");
    let history = ledger.history(&home, &HistoryOptions::default()).unwrap();
    assert_eq!(history.count(), 2, "home was measured, then changed once");
}

#[test]
fn what_it_leaves_is_what_the_committed_setups_say() {
    let folder = tempfile::tempdir().unwrap();
    tour(folder.path(), &["demo"]);
    let ledger = Ledger::open(&folder.path().join("demo")).unwrap();
    let head = ledger.revision("HEAD").unwrap();
    let committed = Path::new(env!("CARGO_MANIFEST_DIR")).join("setups");
    for setup in ledger.setups().unwrap() {
        let file = committed.join(format!("{}.kdl", setup.name));
        let recorded = ledger.read_at(&setup, &head).unwrap().unwrap().bytes;
        assert_eq!(recorded, fs::read(&file).unwrap(), "{}", setup.name);
        let changed = ledger.read_now(&setup).unwrap() != recorded;
        assert_eq!(changed, setup.name == "rowan/home", "{}: only home was tinkered with", setup.name);
    }
}

#[test]
fn each_command_stands_before_its_output_with_its_reason() {
    let folder = tempfile::tempdir().unwrap();
    let page = said(&tour(folder.path(), &["demo"]));
    let command = page.find("> clampmark diff rowan/home home-1 home-2").expect("the command is shown");
    let why = page.find("One spacer was moved in March.").expect("the reason is shown");
    // 5 mm more under the stem, 5 mm less above it: what the spacers of the two versions differ by.
    let moved = page[command..].find("5.0 mm more").expect("the spacer is found to have moved");
    assert!(why < command && moved > 0);
    assert!(page.contains("Do not ride"), "the returned bike is dangerous");
    assert!(page.contains(&format!("cd {}", folder.path().join("demo").display())));
}

#[test]
fn without_a_folder_it_keeps_a_temporary_one_and_names_it() {
    let folder = tempfile::tempdir().unwrap();
    let output = tour(folder.path(), &["--json"]);
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    let result: serde_json::Value = serde_json::from_str(&said(&output)).unwrap();
    let kept = Path::new(result["folder"].as_str().unwrap());
    assert!(kept.join("setups/rowan/race.kdl").is_file());
    assert_eq!(result["schema"], "clampmark.tour/1");
    let steps = result["steps"].as_array().unwrap();
    assert!(steps.iter().all(|step| matches!(step["status"].as_i64(), Some(0 | 1))), "{steps:#?}");
}

#[test]
fn it_touches_no_folder_that_holds_something() {
    let folder = tempfile::tempdir().unwrap();
    fs::create_dir(folder.path().join("full")).unwrap();
    fs::write(folder.path().join("full/mine.txt"), "mine").unwrap();
    for given in ["full", "full/mine.txt"] {
        let output = tour(folder.path(), &[given]);
        assert_eq!(output.status.code(), Some(2), "{}", said(&output));
    }
    assert_eq!(fs::read_dir(folder.path().join("full")).unwrap().count(), 1);
    insta::assert_snapshot!(said(&tour(folder.path(), &["full"])), @"
    Stopped: full is not empty; nothing was written.
      Name an empty folder, or one that does not exist yet.
    ");
}

#[test]
fn an_empty_folder_will_do() {
    let folder = tempfile::tempdir().unwrap();
    fs::create_dir(folder.path().join("empty")).unwrap();
    assert_eq!(tour(folder.path(), &["empty"]).status.code(), Some(0));
    assert!(folder.path().join("empty/setups/alder/trail.kdl").is_file());
}
