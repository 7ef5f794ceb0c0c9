//! What `try` says where the setup does not tell enough to say what a change would do. Expected by hand.

use std::fs;

use super::rider::{ROWAN, json, ledger, run};
use crate::harness::flowing;

#[test]
fn what_cannot_be_computed_is_told_with_what_it_lacks() {
    let folder = ledger();
    let race = folder.path().join("setups/rowan/race.kdl");
    fs::write(&race, ROWAN.replace("stack 630", "stack unmeasured")).expect("written");
    let asked = ["try", "rowan/race", "bar.roll=+3"];
    let (_, said) = run(folder.path(), 120, &asked);
    let said = flowing(&said);
    assert!(!said.contains("None of the derived values changes"), "{said}");
    assert!(said.contains("frame stack – for"), "{said}");
    assert!(said.contains("how the bar lies is not known, for want of frame stack."), "{said}");
    let missing = json(folder.path(), &asked)["missing"].clone();
    let reach = missing.as_array().expect("a list").iter().find(|one| one["derived"] == "grip-reach");
    assert_eq!(reach.expect("it is missing")["needs"][0], "frame.stack");
    // What the change has no part in is not told.
    assert!(missing.as_array().expect("a list").iter().all(|one| one["derived"] != "trail"), "{missing}");
}

#[test]
fn what_becomes_known_by_the_change_is_shown_as_new() {
    let folder = ledger();
    let race = folder.path().join("setups/rowan/race.kdl");
    fs::write(&race, ROWAN.replace("stem { length 50;", "stem { length unmeasured;")).expect("written");
    let (_, said) = run(folder.path(), 120, &["try", "rowan/race", "stem.length=40"]);
    let line = said.lines().find(|line| line.contains("grip reach")).unwrap_or_else(|| panic!("{said}"));
    assert!(line.contains("known now"), "{said}");
    fs::write(&race, ROWAN.replace("stem { length 50;", "stem { length 40;")).expect("written");
    let reach = json(folder.path(), &["grips", "rowan/race"])["derived"]["grip-reach"]["value"].as_f64();
    assert!(line.contains(&format!("{:.1} mm", reach.expect("a number"))), "{line}");
}
