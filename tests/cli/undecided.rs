//! A measure that stands in a conflict is not known: not as either version has it, and not as if it were left out.

use std::fs;

use crate::harness::{Bench, Commit, Outcome, flowing};
use crate::texts::{PLUMB, RACE, changed};

const PLUMB_FILE: &str = "setups/alder/plumb.kdl";
const RACE_FILE: &str = "setups/rowan/race.kdl";

/// A repository that holds the base; in its working folder ours and theirs are merged, which cannot be decided.
fn merged(file: &str, base: &str, ours: &str, theirs: &str) -> Bench {
    let bench = Bench::recorded(&[Commit { subject: "Record", files: &[(file, base)], tag: None }]);
    for (name, text) in [("base", base), (file, ours), ("theirs", theirs)] {
        bench.write(name, text);
    }
    let outcome = bench.run(&["merge", "base", file, "theirs"]);
    assert_eq!(outcome.status, 1, "{}", outcome.screen());
    bench
}

fn derived(outcome: &Outcome, name: &str) -> serde_json::Value {
    outcome.json()["derived"][name]["value"].clone()
}

#[test]
fn undecided_spacers_are_neither_none_nor_gone() {
    let spacers = |count: &str| changed(PLUMB, &[("spacers-below 20", count)]);
    let bench = merged(PLUMB_FILE, PLUMB, &spacers("spacers-below 30"), &spacers("spacers-below 25"));
    // As nothing they would take the grips 20·sin 80° = 19.7 mm down.
    let overview = bench.run(&[]);
    assert_eq!(overview.status, 1, "{}", overview.screen());
    assert!(!overview.out.contains("grips down"), "{}", overview.screen());
    assert!(!overview.out.contains("628.4"), "{}", overview.screen());
    let grips = bench.run(&["grips", "alder/plumb", "--json"]);
    assert!(derived(&grips, "grip-stack").is_null(), "{}", grips.screen());
    assert!(!grips.out.contains("assumed\":[{\"measure\":\"steerer.spacers-below"), "{}", grips.screen());
    let diff = bench.run(&["diff", "alder/plumb"]);
    assert_eq!(diff.status, 1, "{}", diff.screen());
    let said = flowing(&diff.out);
    assert!(said.contains("Not decided spacers below the stem"), "{}", diff.screen());
    assert!(said.contains("ours 30, theirs 25"), "{}", diff.screen());
    assert!(!said.contains("No longer recorded"), "{}", diff.screen());
    assert!(!said.contains("mm down"), "{}", diff.screen());
    // Decided, it is known: 10 mm more than recorded, 648.07 + 10·sin 80° = 657.92.
    bench.write(PLUMB_FILE, spacers("spacers-below 30"));
    let stack = derived(&bench.run(&["grips", "alder/plumb", "--json"]), "grip-stack").as_f64().unwrap();
    assert!((stack - 657.92).abs() < 0.01, "{stack}");
}

#[test]
fn what_only_both_sides_record_is_undecided_as_well() {
    // The recorded text has no twist, which counts as none; ours and theirs have another each.
    let twist = |twist: &str| changed(PLUMB, &[("clamp-height 40", twist)]);
    let (ours, theirs) = (twist("clamp-height 40; twist 1"), twist("clamp-height 40; twist -2"));
    let bench = merged(PLUMB_FILE, PLUMB, &ours, &theirs);
    let diff = bench.run(&["diff", "alder/plumb"]);
    let said = flowing(&diff.out);
    assert!(said.contains("Not decided stem twist"), "{}", diff.screen());
    assert!(said.contains("ours 1, theirs -2"), "{}", diff.screen());
    let grips = bench.run(&["grips", "alder/plumb", "--json"]);
    assert!(derived(&grips, "grip-reach").is_null(), "{}", grips.screen());
}

#[test]
fn an_undecided_stem_twist_is_told_at_the_top() {
    let twist = |twist: &str| changed(RACE, &[("twist 0", twist)]);
    let bench = merged(RACE_FILE, RACE, &twist("twist 1"), &twist("twist 2"));
    let overview = flowing(&bench.run(&[]).out);
    assert!(overview.contains("1 measure of steering or brakes differs"), "{overview}");
    let diff = bench.run(&["diff", "rowan/race"]);
    let headline = diff.out.lines().take(6).collect::<Vec<_>>().join(" ");
    assert!(flowing(&headline).contains("stem twist not decided, ours 1, theirs 2"), "{}", diff.screen());
    // Decided, it is known again.
    let text = fs::read_to_string(bench.root().join(RACE_FILE)).unwrap();
    let (before, rest) = text.split_once("conflict \"stem.twist\"").unwrap();
    let after = rest.split_once("theirs").unwrap().1.split_once('\n').unwrap().1.split_once('}').unwrap().1;
    bench.write(RACE_FILE, format!("{before}twist 2{after}"));
    let diff = flowing(&bench.run(&["diff", "rowan/race"]).out);
    assert!(diff.contains("stem twist") && !diff.contains("ecided"), "{diff}");
}
