//! What a plan rests on that nobody measured, and what is told before it: figures of the part that goes, joints without a
//! torque, damage of the bike that it is for.

use std::fs;

use super::rider::{ROWAN, json, ledger, setup, told};

/// The rowan's stem is 50 mm long, square to the steerer and 40 mm high, read with a caliper.
#[test]
fn figures_of_the_stem_that_goes_are_told_and_written_as_no_readings() {
    let folder = ledger();
    let read = ROWAN
        .replace("floor 0.0", "instruments { caliper tol=0.1 }\n    floor 0.0")
        .replace("clamp-height 40;", "clamp-height 40 with=caliper read=\"2026-05-01\";");
    setup(folder.path(), "rowan/race", &read);
    let asked = ["try", "rowan/race", "stem.length=40", "--write", "rowan/t40"];
    let (status, said) = told(folder.path(), &asked);
    let words = "Taken from the old stem: stem angle 0°, stem clamp height 40 mm. Measure the new stem.";
    assert!(status == 0 && said.contains(words), "{status}: {said}");
    assert!(said.contains("The top cap has to clear the steerer's end by 2 to 3 mm"), "{said}");
    // It does not go along with anything: it is what it was.
    assert!(!said.contains("40 mm → 40 mm"), "{said}");
    let file = fs::read_to_string(folder.path().join("setups/rowan/t40.kdl")).expect("written");
    assert!(file.contains("stem { length 40; angle 0; clamp-height 40; twist 0"), "{file}");
    assert!(file.contains(words), "{file}");
    let found = json(folder.path(), &["try", "rowan/race", "stem.length=40"]);
    assert_eq!(found["taken-over"]["measures"], serde_json::json!(["stem.angle", "stem.clamp-height"]));
    // Said whole, nothing is taken over.
    let whole = ["try", "rowan/race", "stem.length=40", "stem.angle=6", "stem.clamp-height=40"];
    assert!(!told(folder.path(), &whole).1.contains("Taken from"));
    // A bar by one figure, too.
    let (_, said) = told(folder.path(), &["try", "rowan/race", "bar.rise=30"]);
    assert!(said.contains("Taken from the old bar: bar width 780 mm"), "{said}");
    assert!(said.contains("Measure the new bar."), "{said}");
}

#[test]
fn a_joint_without_a_mark_is_accepted_alone() {
    let folder = ledger();
    assert!(!told(folder.path(), &["check", "rowan/race"]).1.contains("accept-unused"));
    for (on, title, other) in [
        ("right.brake-lever", "right brake lever", "stem on steerer"),
        ("steerer.spacers-below", "stem on steerer", "right brake lever"),
        ("stem-steerer", "stem on steerer", "right brake lever"),
    ] {
        let accept = format!("{{\n    accept position-without-mark \"later\" on=\"{on}\"");
        setup(folder.path(), "rowan/race", &ROWAN.replacen('{', &accept, 1));
        let (_, said) = told(folder.path(), &["check", "rowan/race"]);
        assert!(!said.contains("accept-unused"), "{on}: {said}");
        let accepted = format!("accepted No mark shows where these stood: {title}.");
        assert!(said.contains(&accepted), "{on}: {said}");
        let found = json(folder.path(), &["check", "rowan/race"]);
        let standing = found["files"][0]["findings"].as_array().expect("findings");
        let still = standing.iter().find(|finding| finding["code"] == "position-without-mark");
        let message = still.and_then(|finding| finding["message"].as_str()).expect("the others");
        assert!(message.contains(other) && !message.contains(title), "{on}: {message}");
    }
}

/// No torque is recorded of the alder: every joint that is opened is told all the same.
#[test]
fn every_joint_that_is_opened_is_to_be_tightened() {
    let folder = ledger();
    let asked = ["carry", "rowan/race", "--onto", "alder/trail", "--parts", "box.kdl"];
    let opens = json(folder.path(), &asked)["opens"].clone();
    let joints = opens["joints"].as_array().expect("joints");
    assert!(joints.contains(&"stem-steerer".into()) && joints.contains(&"stem-face".into()), "{opens}");
    assert_eq!(opens["no-torque-known"].as_array().map(Vec::len), Some(joints.len()), "{opens}");
    let (_, said) = told(folder.path(), &asked);
    assert!(said.contains("Opened for this, and not tightened yet: stem on steerer"), "{said}");
    assert!(said.contains("No torque is known of stem on steerer"), "{said}");
    // What makes readings of it is named by its commands.
    assert!(said.contains("`clampmark record NAME --found SHEET --all --mark`"), "{said}");
    // A range that is recorded is that of the stem which goes.
    let alder = fs::read_to_string(folder.path().join("setups/alder/trail.kdl")).expect("there");
    let ranges = "    torque \"stem-steerer\" 5 6\n    guard";
    setup(folder.path(), "alder/trail", &alder.replace("    guard", ranges));
    let unknown = json(folder.path(), &asked)["opens"]["no-torque-known"].clone();
    let unknown = unknown.as_array().expect("titles");
    assert!(unknown.contains(&"stem on steerer".into()), "{unknown:?}");
}

#[test]
fn damage_of_the_other_bike_is_told_before_the_plan() {
    let folder = ledger();
    let alder = fs::read_to_string(folder.path().join("setups/alder/trail.kdl")).expect("there");
    let damaged = alder.replacen('{', "{\n    note \"damage: bar: creased at the clamp\"", 1);
    setup(folder.path(), "alder/trail", &damaged);
    for (asked, plan) in [
        (&["carry", "rowan/race", "--onto", "alder/trail"][..], "the nearest of"),
        (&["try", "alder/trail", "stem.length=40"], "50 mm → 40 mm"),
    ] {
        let (status, said) = told(folder.path(), asked);
        let first = said.find("creased at the clamp").unwrap_or_else(|| panic!("{said}"));
        assert!(status == 1 && first < said.find(plan).expect("the plan"), "{status}: {said}");
        assert_eq!(said.matches("creased at the clamp").count(), 1, "{said}");
    }
}
