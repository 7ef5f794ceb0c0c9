//! What `history` says of a value that was never recorded, and of a torque out of its range.

use chrono::DateTime;
use clampmark::ledger::demo::{DemoCommit, build};

use crate::harness::{Bench, Commit, flowing};
use crate::texts::{RACE, changed};

const RACE_FILE: &str = "setups/rowan/race.kdl";

/// These texts of the setup, one after the other.
pub fn recorded(texts: &[&str]) -> Bench {
    let files: Vec<[(&str, &str); 1]> = texts.iter().map(|text| [(RACE_FILE, *text)]).collect();
    let commits: Vec<Commit> =
        files.iter().map(|files| Commit { subject: "Measure", files, tag: None }).collect();
    Bench::recorded(&commits)
}

/// A text of the setup on each of these days of May, or its deletion, one after the other whatever the day.
pub fn on_days(texts: &[(u32, Option<&str>)]) -> Bench {
    let bench = Bench::without_git(&[]);
    let commit = |(day, text): &(u32, Option<&str>)| DemoCommit {
        files: vec![(RACE_FILE.to_owned(), text.map(|text| text.as_bytes().to_vec()))],
        subject: "Measure",
        date: DateTime::parse_from_rfc3339(&format!("2031-05-{day:02}T08:30:00+02:00")).unwrap(),
        tag: None,
    };
    build(bench.root(), &texts.iter().map(commit).collect::<Vec<_>>()).unwrap();
    bench
}

#[test]
fn a_value_that_no_revision_has_was_never_recorded() {
    let without = changed(RACE, &[("setback 168 tol=2; ", "")]);
    let bench = recorded(&[&without, &changed(&without, &[("height 742", "height 740")])]);
    let asked = ["history", "rowan/race", "saddle.setback", "saddle.height"];
    let outcome = bench.run(&asked);
    let page = flowing(&outcome.out);
    assert!(page.starts_with("saddle setback (saddle.setback) Never recorded. saddle height"), "{page}");
    assert_eq!(page.matches("first recorded").count(), 1, "{page}");
    let table = bench.run(&[&asked[..], &["--csv"]].concat()).out;
    let verdicts: Vec<&str> = table
        .lines()
        .filter(|line| line.starts_with("saddle.setback,"))
        .map(|line| line.rsplit(',').next().unwrap())
        .collect();
    assert_eq!(verdicts, ["never recorded", "never recorded"], "{table}");
    // In a time before which there was a file all the same.
    let later = bench.run(&[&asked[..], &["--since", "HEAD~1"]].concat());
    assert!(flowing(&later.out).contains("Not recorded in that time."), "{}", later.screen());
}

#[test]
fn a_value_recorded_later_than_the_file_is_not_first_recorded_with_it() {
    let without = changed(RACE, &[("setback 168 tol=2; ", "")]);
    let bench = recorded(&[&without, RACE]);
    let outcome = bench.run(&["history", "rowan/race", "saddle.setback"]);
    let rows: Vec<&str> = outcome.out.lines().filter(|line| line.contains("2031-05-0")).collect();
    assert_eq!(rows.len(), 2, "{}", outcome.screen());
    assert!(rows[0].contains("168.0") && rows[0].contains("recorded"), "{}", outcome.screen());
    assert!(rows[1].contains("not recorded  not yet"), "{}", outcome.screen());
    let table = bench.run(&["history", "rowan/race", "saddle.setback", "--csv"]).out;
    assert!(table.lines().last().unwrap().ends_with(",not recorded"), "{table}");
}

#[test]
fn a_hose_that_no_revision_has_is_no_hose_of_the_setup() {
    let later = changed(RACE, &[("hose \"rear brake\"", "hose \"rear, \\\"x\\\"\"")]);
    let bench = recorded(&[RACE, &later]);
    let outcome = bench.run(&["history", "rowan/race", "hose.nope.free", "bar.width"]);
    assert_eq!((outcome.status, outcome.out.as_str()), (2, ""), "{}", outcome.screen());
    let said = flowing(&outcome.err);
    assert!(said.contains("No revision of rowan/race has a hose `nope`."), "{said}");
    assert!(said.contains("Its hoses: `rear brake`, `rear, \"x\"`."), "{said}");
    // One that some revision has is followed to where it was recorded.
    let outcome = bench.run(&["history", "rowan/race", "hose.rear, \"x\".free"]);
    assert_eq!(outcome.status, 0, "{}", outcome.screen());
    assert!(
        !outcome.out.contains("first recorded") && outcome.out.contains("not yet"),
        "{}",
        outcome.screen()
    );
}

#[test]
fn a_torque_applied_out_of_its_range_is_told_to_be() {
    let applied = |figure: &str| {
        let line = format!("        slips-in-a-crash\n        applied {figure} read=\"2031-05-02\"\n");
        changed(RACE, &[("        slips-in-a-crash\n", &line)])
    };
    // The lever's range is 2.5 to 4 N·m, and the bar's limit 3.5.
    let bench = recorded(&[RACE, &applied("2.8"), &applied("5"), &applied("2")]);
    let page = flowing(&bench.run(&["history", "rowan/race"]).out);
    for said in [
        "torque out of range, left brake lever: last applied: 5 N·m on 2031-05-02, now 2 N·m on 2031-05-02. 2 N·m was \
         last applied, below 2.5 N·m.",
        "torque out of range, left brake lever: last applied: 2.8 N·m on 2031-05-02, now 5 N·m on 2031-05-02. 5 N·m was \
         last applied, above 3.5 N·m, the limit of \"bar\".",
        "torque, left brake lever: tightened to 2.8 N·m on 2031-05-02.",
    ] {
        assert!(page.contains(said), "{said}: {page}");
    }
    let json = bench.run(&["history", "rowan/race", "--json"]).out;
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    let outside = |entry: usize| json["entries"][entry]["torque"][0]["out-of-range"].as_str();
    assert_eq!((outside(0), outside(2)), (Some("2 N·m was last applied, below 2.5 N·m."), None));
}

/// A clock that was wrong: of four revisions the second has an older day than the time asked for. It lies on top of one
/// that has a later day, so it came here since, and is shown.
#[test]
fn a_revision_with_an_older_day_on_top_of_a_newer_one_is_of_that_time() {
    let wide = changed(RACE, &[("height 742 tol=1", "height 742 tol=4")]);
    let click = changed(&wide, &[("rebound 7", "rebound 8")]);
    let up = changed(&click, &[("height 742", "height 762")]);
    let bench = on_days(&[(20, Some(RACE)), (2, Some(&wide)), (11, Some(&click)), (12, Some(&up))]);
    let asked = ["history", "rowan/race", "saddle.height"];
    let since = |day: &str| bench.run(&[&asked[..], &["--since", day]].concat()).out;
    let said = |page: &str| -> Vec<String> {
        let rows = page.lines().filter(|line| line.contains("2031-05-"));
        rows.map(|line| line.split("  ").nth(3).unwrap().to_owned()).collect()
    };
    let page = since("2031-05-10");
    let expected = ["20.0 mm up", "same, known less well", "first recorded"];
    assert_eq!(said(&page).len(), expected.len(), "{page}");
    for (line, expected) in said(&page).iter().zip(expected) {
        assert!(line.starts_with(expected), "{page}");
    }
    assert!(!page.contains("older revision not shown"), "{page}");
    assert_eq!(said(&since("2031-05-20")), said(&page), "the oldest is of that day");
    let none = since("2031-05-21");
    assert!(none.contains("older") && said(&none).len() == 1, "{none}");
}
