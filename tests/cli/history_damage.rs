//! Damage and what else a text tells otherwise, between two revisions and over all of them: each once, and everywhere.

use serde_json::json;

use crate::harness::{Bench, Commit, flowing};
use crate::history_values::recorded;
use crate::texts::RACE;

/// RACE with these lines at its end.
fn with(lines: &str) -> String {
    RACE.replacen("    fork {", &format!("{lines}    fork {{"), 1)
}

/// Damage that is there from the first, told otherwise, taken out; and one on another part.
fn told() -> Bench {
    recorded(&[
        &with("    damage on=\"stem\" \"do not ride, cracked\"\n"),
        &with("    damage on=\"stem\" \"scored\"\n"),
        RACE,
        &with("    damage on=\"bar\" \"scored\"\n"),
    ])
}

#[test]
fn damage_is_told_once_in_each_revision() {
    let bench = told();
    let page = bench.run(&["history", "rowan/race"]).out;
    let lines: Vec<&str> = page.lines().filter(|line| line.contains("damage")).map(str::trim).collect();
    let expected = [
        "damage on bar: scored",
        "damage on stem: no longer told, was: scored",
        "damage on stem: scored, was do not ride, cracked",
        "damage on stem: do not ride, cracked",
    ];
    assert_eq!(lines, expected, "{page}");
    let table = bench.run(&["history", "rowan/race", "--csv"]).out;
    let rows: Vec<&str> = table.lines().skip(1).map(|line| line.splitn(5, ',').last().unwrap()).collect();
    let expected = [
        "changed,damage.bar,,scored,,,,recorded",
        "changed,damage.stem,scored,,,,,not recorded",
        "changed,damage.stem,\"do not ride, cracked\",scored,,,,changed",
        "recorded,damage.stem,,\"do not ride, cracked\",,,,recorded",
    ];
    assert_eq!(rows, expected, "{table}");
}

#[test]
fn a_difference_and_a_history_have_the_same_damage() {
    let bench = told();
    let history = bench.run(&["history", "rowan/race", "--json"]).json();
    let expected = [
        json!([{ "on": "bar", "text": "scored" }]),
        json!([]),
        json!([{ "on": "stem", "text": "scored" }]),
        json!([{ "on": "stem", "text": "do not ride, cracked" }]),
    ];
    for (back, damages) in expected.iter().enumerate() {
        assert_eq!(history["entries"][back]["damages"], *damages, "{back}: {history:#}");
        if back < 3 {
            let (from, to) = (format!("HEAD~{}", back + 1), format!("HEAD~{back}"));
            let diff = bench.run(&["diff", "rowan/race", &from, &to, "--json"]).json();
            assert_eq!(diff["damages"], *damages, "{back}: {diff:#}");
        }
    }
    let page = flowing(&bench.run(&["diff", "rowan/race", "HEAD~1", "HEAD"]).out);
    assert!(page.contains("Damaged bar: scored") && !page.contains("Told otherwise"), "{page}");
    let page = flowing(&bench.run(&["diff", "rowan/race", "HEAD~3", "HEAD~2"]).out);
    assert!(!page.contains("Damaged") && page.contains("damage on stem: scored, was do not ride"), "{page}");
    // Seen from the newer one it is no news.
    let diff = bench.run(&["diff", "rowan/race", "HEAD~2", "HEAD~3", "--json"]).json();
    assert_eq!(diff["damages"], json!([]), "{diff:#}");
}

/// An empty list is a list.
#[test]
fn every_entry_has_the_same_lists() {
    let json = told().run(&["history", "rowan/race", "--json"]).json();
    for entry in json["entries"].as_array().expect("entries") {
        for list in ["forbidding", "left-open", "besides", "damages", "notes", "floor-not-read"] {
            assert!(entry[list].is_array(), "{list}: {entry:#}");
        }
    }
}

/// What is accepted stood in a row without a word.
#[test]
fn a_table_has_what_is_accepted() {
    let accept = |why: &str| with(&format!("    accept \"position-without-mark\" \"{why}\"\n"));
    let bench = recorded(&[&accept("no paint here"), &accept("drawn on the spare")]);
    let table = bench.run(&["history", "rowan/race", "--csv"]).out;
    let row = "changed,accepted.position-without-mark,no paint here,drawn on the spare,,,,changed";
    assert!(table.contains(row), "{table}");
}

/// A file that comes with an open joint, and one that names damage, are no clean beginning.
#[test]
fn a_file_that_is_new_tells_what_it_keeps_against_riding() {
    let note = "        note \"2031-04-18 joint opened, torque not read\"\n";
    let ceiling = "        ceiling \"bar\" 5\n";
    let open = RACE.replacen(ceiling, &format!("{ceiling}{note}"), 1);
    let bench = recorded(&[&open]);
    let page = flowing(&bench.run(&["history", "rowan/race"]).out);
    assert!(page.contains("opened, torque not known: bar in stem"), "{page}");
    let json = bench.run(&["history", "rowan/race", "--json"]).json();
    assert_eq!(json["entries"][0]["left-open"][0]["joint"], "stem-face", "{json:#}");
}

const LINED: &str = include_str!("../git/race.kdl");

/// A sheet draws no lines: what it newly tells of one is how that was found.
#[test]
fn what_a_sheet_newly_tells_of_a_line_is_how_it_was_found() {
    let sheet = |line: &str| {
        format!(
            "found \"rowan/race\" format=1 {{\n    measured \"2031-05-09\"\n    stem {{ twist 0 }}\n{line}}}\n"
        )
    };
    for (line, words, is_grave) in [
        ("    mark \"L1\" broken\n", "mark L1 found broken", true),
        ("    mark \"L1\" missing\n", "mark L1 found gone", true),
        ("    mark \"L1\" off=2\n", "mark L1 found apart", true),
        ("    mark \"L1\" aligned\n", "Also: mark L1 found in line.", false),
    ] {
        let (path, before, after) = ("setups/rowan/back.kdl", sheet(""), sheet(line));
        let bench = Bench::recorded(&[
            Commit {
                subject: "Measured",
                files: &[("setups/rowan/race.kdl", LINED), (path, &before)],
                tag: None,
            },
            Commit { subject: "Looked at", files: &[(path, &after)], tag: None },
        ]);
        let page = bench.run(&["history", "rowan/back"]).out;
        assert!(page.lines().any(|line| line.trim() == words), "{words}: {page}");
        let table = bench.run(&["history", "rowan/back", "--csv"]).out;
        let told = words.split("L1 ").nth(1).unwrap().trim_end_matches('.');
        assert!(table.lines().any(|row| row.contains(",mark.L1,") && row.ends_with(told)), "{told}: {table}");
        let diff = bench.run(&["diff", "rowan/back", "HEAD~1", "HEAD"]);
        assert_eq!(
            diff.out.contains("Nothing moved."),
            !is_grave || line.contains("missing"),
            "{}",
            diff.screen()
        );
    }
}
