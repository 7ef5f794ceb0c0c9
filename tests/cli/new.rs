//! `new`: what it writes, what it refuses, and that the file is right once the blanks are filled.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use assert_cmd::cargo::CommandCargoExt;
use clampmark::catalogue::code::Severity;
use clampmark::catalogue::{Catalogue, MeasureId};
use clampmark::check::check;
use clampmark::report::fresh;
use clampmark::setup::model::Value;
use clampmark::setup::read::read;

fn clampmark(folder: &Path, words: &[&str]) -> Output {
    let mut command = Command::cargo_bin("clampmark").unwrap();
    command.args(words).current_dir(folder).env("COLUMNS", "80").env("NO_COLOR", "1");
    command.output().unwrap()
}

fn said(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap() + &String::from_utf8(output.stderr.clone()).unwrap()
}

fn empty_ledger() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::create_dir(folder.path().join("setups")).unwrap();
    folder
}

/// The text with every blank replaced by its row's illustration.
fn filled(text: &str) -> String {
    let catalogue = Catalogue::standard();
    filled_with(text, |id| catalogue.measure(id.row).example.to_owned())
}

/// The text with every blank replaced by what is said of its measure.
fn filled_with(text: &str, value: impl Fn(&MeasureId) -> String) -> String {
    let catalogue = Catalogue::standard();
    let setup = read(catalogue, text.as_bytes(), None).setup.unwrap();
    let mut blanks: Vec<_> =
        setup.readings.iter().filter(|(_, recorded)| recorded.value == Value::Unmeasured).collect();
    blanks.sort_by_key(|(_, recorded)| std::cmp::Reverse(recorded.span.start));
    let mut text = text.to_owned();
    for (id, recorded) in blanks {
        text.replace_range(recorded.span.start as usize..recorded.span.end as usize, &value(id));
    }
    text
}

/// The text with every commented-out line made live: code is indented by whole levels and begins in lower case,
/// what teaches begins with a capital or a backtick, or hangs by two columns.
fn opened(text: &str) -> String {
    let mut lines = Vec::new();
    for line in text.lines() {
        let indent = line.len() - line.trim_start().len();
        let code = line.trim_start().strip_prefix("// ").filter(|rest| {
            let inner = rest.len() - rest.trim_start().len();
            let first = rest.trim_start().chars().next().unwrap_or(' ');
            inner % 4 == 0 && (first.is_ascii_lowercase() || first == '}')
        });
        match code {
            Some(code) => lines.push(format!("{}{code}", " ".repeat(indent))),
            None => lines.push(line.to_owned()),
        }
    }
    lines.join("\n")
}

#[test]
fn a_fresh_file_reads_without_a_fault_and_asks_for_what_the_grips_need() {
    let ledger = empty_ledger();
    let output = clampmark(ledger.path(), &["new", "rowan/rain"]);
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    let text = fs::read_to_string(ledger.path().join("setups/rowan/rain.kdl")).unwrap();
    let catalogue = Catalogue::standard();
    let read = read(catalogue, text.as_bytes(), None);
    assert!(read.findings.is_empty(), "{:?}", read.findings);
    let setup = read.setup.unwrap();
    assert_eq!(setup.name.value, "rowan/rain");
    let blanks: Vec<String> = setup.readings.keys().map(|id| catalogue.path(id)).collect();
    // What the grip points are computed from, by the geometry's description: what is required (either setback or
    // bend), and what has a natural zero that an unfilled file must not take for granted.
    assert_eq!(
        blanks,
        [
            "frame.reach",
            "frame.stack",
            "frame.head-angle",
            "headset.cover",
            "steerer.spacers-below",
            "stem.length",
            "stem.angle",
            "stem.clamp-height",
            "stem.twist",
            "bar.width",
            "bar.rise",
            "bar.back-sweep",
            "bar.up-sweep",
            "bar.bend",
            "bar.roll",
            "bar.offset",
            "left.grip.hand",
            "right.grip.hand",
        ]
    );
    assert!(
        text.lines().all(|line| line.chars().count() <= 110 || line.contains("caution \"")),
        "a line is too long to read"
    );
}

#[test]
fn filled_in_it_is_a_setup_whose_grips_are_known_and_check_finds_no_fault() {
    let ledger = empty_ledger();
    clampmark(ledger.path(), &["new", "rowan/rain"]);
    let file = ledger.path().join("setups/rowan/rain.kdl");
    let text = filled(&fs::read_to_string(&file).unwrap());
    fs::write(&file, &text).unwrap();
    let catalogue = Catalogue::standard();
    let read = read(catalogue, text.as_bytes(), None);
    assert!(read.findings.is_empty(), "{:?}", read.findings);
    let setup = read.setup.as_ref().unwrap();
    assert!(setup.readings.values().all(|recorded| recorded.value != Value::Unmeasured));
    let faults = check(catalogue, &read, Some("rowan/rain"));
    assert!(faults.iter().all(|finding| finding.severity != Severity::Fault), "{faults:?}");
    let known = clampmark(ledger.path(), &["check", "--help"]).status.success();
    if known {
        let output = clampmark(ledger.path(), &["check", "rowan/rain"]);
        assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    }
}

#[test]
fn filled_in_only_where_it_asks_it_gives_the_stack_of_a_hand_computation() {
    let ledger = empty_ledger();
    clampmark(ledger.path(), &["new", "rowan/rain"]);
    let file = ledger.path().join("setups/rowan/rain.kdl");
    let fresh = fs::read_to_string(&file).unwrap();
    let grips = || -> serde_json::Value {
        serde_json::from_str(&said(&clampmark(ledger.path(), &["grips", "rowan/rain", "--json"]))).unwrap()
    };
    // Blank, nothing counts as 0: the stack is not known.
    let before = grips();
    assert!(before["derived"]["grip-stack"]["value"].is_null(), "{before}");
    assert_eq!(before["assumed"], serde_json::json!([]), "{before}");
    let catalogue = Catalogue::standard();
    let value = |id: &MeasureId| match catalogue.path(id).as_str() {
        "frame.stack" => "600".to_owned(),
        "frame.head-angle" => "60".to_owned(),
        "headset.cover" => "10".to_owned(),
        "steerer.spacers-below" | "bar.rise" => "20".to_owned(),
        "stem.length" => "50".to_owned(),
        "stem.clamp-height" => "40".to_owned(),
        "bar.up-sweep" => "0".to_owned(),
        "bar.roll" => "30".to_owned(),
        _ => catalogue.measure(id.row).example.to_owned(),
    };
    fs::write(&file, filled_with(&fresh, value)).unwrap();
    let after = grips();
    // By hand: the steerer leans back 30° and the bar is rolled forward 30°, so the rise stands upright and the sweep
    // lies level. 600 + (10 + 20 + 40/2)·sin 60° + 50·cos 60° + 20 = 600 + 43.3013 + 25 + 20 = 688.3013.
    let stack = after["derived"]["grip-stack"]["value"].as_f64().unwrap();
    assert!((stack - 688.3013).abs() < 1e-4, "{stack}");
    assert_eq!(after["assumed"], serde_json::json!([]), "{after}");
}

#[test]
fn every_commented_line_can_be_opened() {
    let day = chrono::NaiveDate::from_ymd_opt(2026, 5, 2).unwrap();
    let catalogue = Catalogue::standard();
    let text = opened(&filled(&fresh::setup(catalogue, "rowan/rain", day)));
    let read = read(catalogue, text.as_bytes(), None);
    let said: Vec<&str> = read.findings.iter().map(|finding| finding.message.as_str()).collect();
    assert!(said.is_empty(), "{said:?}\n{text}");
    let setup = read.setup.unwrap();
    assert_eq!((setup.torques.len(), setup.marks.len(), setup.notes.len()), (1, 1, 1));
    // Every row of the table is there for the side that teaches, but the slot, which only a shared clamp has.
    for (row, measure) in catalogue.rows().filter(|(_, measure)| !measure.path.ends_with("mount.slot")) {
        assert!(setup.readings.keys().any(|id| id.row == row), "{} is not in the fresh file", measure.path);
    }
    assert!(text.contains("mount.slot") || text.contains("`slot=`"));
}

#[test]
fn it_says_what_it_wrote_and_what_to_fill_in() {
    let ledger = empty_ledger();
    insta::assert_snapshot!(said(&clampmark(ledger.path(), &["new", "rowan/rain"])), @r"
    rowan/rain is written to setups/rowan/rain.kdl, with 18 blanks to fill in. Above
      each stands how it is measured:
      frame.reach, frame.stack, frame.head-angle, headset.cover,
      steerer.spacers-below, stem.length, stem.angle, stem.clamp-height, stem.twist,
      bar.width, bar.rise, bar.back-sweep, bar.up-sweep, bar.bend, bar.roll,
      bar.offset, left.grip.hand, right.grip.hand.

    Then: clampmark check rowan/rain
    No git repository is around this ledger, so what changes will not be remembered:
      git init
    ");
}

#[test]
fn it_refuses_to_overwrite() {
    let ledger = empty_ledger();
    clampmark(ledger.path(), &["new", "rowan/rain"]);
    let file = ledger.path().join("setups/rowan/rain.kdl");
    fs::write(&file, "mine").unwrap();
    let output = clampmark(ledger.path(), &["new", "rowan/rain"]);
    assert_eq!(output.status.code(), Some(2));
    assert_eq!(fs::read_to_string(&file).unwrap(), "mine");
    insta::assert_snapshot!(said(&output), @"
    Stopped: There is a setup rowan/rain already; it was left as it is.
      Choose another name, or edit setups/rowan/rain.kdl.
    ");
}

#[test]
fn a_name_that_leads_elsewhere_is_refused_and_nothing_is_written() {
    let ledger = empty_ledger();
    for name in ["../rain", "/rain", "", "a//b", "rowan/my rain", "rowan/.rain", "rowan\\rain"] {
        let output = clampmark(ledger.path(), &["new", name]);
        assert_eq!(output.status.code(), Some(2), "{name:?}: {}", said(&output));
    }
    assert_eq!(fs::read_dir(ledger.path().join("setups")).unwrap().count(), 0);
    assert_eq!(fs::read_dir(ledger.path()).unwrap().count(), 1);
    insta::assert_snapshot!(said(&clampmark(ledger.path(), &["new", "../rain"])), @"
    Stopped: `../rain` leads out of the ledger by `..`.
      Name it by bike and purpose, for instance: clampmark new rowan/race
    ");
}

#[test]
fn without_a_ledger_it_begins_one_here_or_where_it_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let root = folder.path().canonicalize().unwrap();
    let output = clampmark(&root, &["new", "rowan/rain"]);
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    let page = said(&output);
    assert!(page.contains("There was no ledger yet"), "{page}");
    assert!(root.join("setups/rowan/rain.kdl").is_file());
    let output = clampmark(&root, &["new", "rowan/rain", "--ledger", "elsewhere"]);
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    assert!(root.join("elsewhere/setups/rowan/rain.kdl").is_file());
}

#[test]
fn from_inside_a_ledger_it_writes_into_that_ledger() {
    let ledger = empty_ledger();
    let deep = ledger.path().join("setups/rowan");
    fs::create_dir(&deep).unwrap();
    let output = clampmark(&deep, &["new", "alder/rain", "--json"]);
    let created: serde_json::Value = serde_json::from_str(&said(&output)).unwrap();
    assert!(ledger.path().join("setups/alder/rain.kdl").is_file());
    assert_eq!(created["schema"], "clampmark.new/1");
    assert_eq!(created["new-ledger"], false);
    assert_eq!(created["blanks"].as_array().unwrap().len(), 18);
}
