//! What `carry` and `try` say of what is wrong with the bike already and stays wrong, or becomes otherwise.

use std::fs;
use std::path::Path;

use super::rider::{ROWAN, above_the_stem, json, ledger, run};
use crate::harness::flowing;

/// The other bike with another length of its rear hose.
fn hose(folder: &Path, free: u32) {
    let alder = folder.join("setups/alder/trail.kdl");
    let text = fs::read_to_string(&alder).expect("the file");
    fs::write(&alder, text.replace("free 420", &format!("free {free}"))).expect("written");
}

/// Spacers enough for every stem of the box: 70 mm less the lowest clamp, 38 mm, are 32.
fn full_box(folder: &Path) {
    let file = folder.join("box.kdl");
    let text = fs::read_to_string(&file).expect("the box");
    let text = text.replace("left=75", "left=70").replace("spacer 10\n", "spacer 10 count=3\n");
    fs::write(file, text).expect("written");
}

const ASKED: [&str; 6] = ["carry", "rowan/race", "--onto", "alder/trail", "--parts", "box.kdl"];

/// 150 mm of hose for ends that are some 200 apart: no stem and no bar of the box makes up for that.
#[test]
fn a_hose_too_short_on_the_other_bike_is_told_and_nothing_is_written_as_sound() {
    let folder = ledger();
    full_box(folder.path());
    hose(folder.path(), 150);
    let found = json(folder.path(), &ASKED);
    assert_eq!(found["stands"][0]["code"], "hose-tight-straight-ahead", "{found}");
    assert!(!found["appears"].to_string().contains("hose-tight"), "{found}");
    assert!(found["stands-in-all"] == true && found["sound"].is_null(), "{found}");
    assert_eq!(found["assemblies"].as_array().expect("a list").len(), 10, "{found}");
    let (status, said) = run(folder.path(), 80, &[&ASKED[..], &["--write", "alder/new"]].concat());
    let said = flowing(&said);
    assert_eq!(status, 1, "{said}");
    assert_eq!(said.matches("Stands already on alder/trail").count(), 1, "{said}");
    assert_eq!(said.matches("no part of the box mends that. Put it right on alder/trail first.").count(), 1);
    assert!(
        said.contains("Do not ride so.") && !said.contains("has a fault or lacks spacers, too"),
        "{said}"
    );
    assert!(said.contains("Nothing was written"), "{said}");
    assert!(!folder.path().join("setups/alder/new.kdl").exists());
    let picked = [&ASKED[..], &["--write", "alder/new", "--pick", "2"]].concat();
    let (status, said) = run(folder.path(), 80, &picked);
    assert!(status == 1 && flowing(&said).contains("Do not ride it so: it has a fault."), "{said}");
    assert!(folder.path().join("setups/alder/new.kdl").exists());
}

/// The nearest leaves the hose too short; one further down the list, with its stem lower, does not.
#[test]
fn the_first_that_mends_a_standing_fault_is_the_one_written() {
    let folder = ledger();
    above_the_stem(folder.path(), 15);
    full_box(folder.path());
    hose(folder.path(), 236);
    let (status, said) = run(folder.path(), 80, &ASKED);
    let said = flowing(&said);
    assert!(status == 1 && said.contains("Do not build it so. The next without a fault"), "{said}");
    let found = json(folder.path(), &[&ASKED[..], &["--write", "alder/new"]].concat());
    let sound = found["sound"].as_u64().expect("a place");
    assert!(sound > 0 && found["picked"] == sound + 1 && found["stands-in-all"] == false, "{found}");
    let faults = json(folder.path(), &["check", "alder/new"]).to_string();
    assert!(!faults.contains("hose-tight"), "{faults}");
    // With the hose as long as it was nothing stands, and the nearest can be built.
    let folder = ledger();
    above_the_stem(folder.path(), 15);
    full_box(folder.path());
    assert_eq!(run(folder.path(), 80, &ASKED).0, 0);
    assert_eq!(json(folder.path(), &ASKED)["stands"], serde_json::json!([]));
}

/// Supplied 50 mm long: 20 is 30 shorter, and 2 is 48 shorter.
#[test]
fn a_finding_that_only_gets_worse_is_told_with_both_figures() {
    let folder = ledger();
    let short = ROWAN.replace("stem { length 50;", "stem { length 20;");
    assert_ne!(short, ROWAN);
    fs::write(folder.path().join("setups/rowan/race.kdl"), short).expect("written");
    let found = json(folder.path(), &["try", "rowan/race", "stem.length=2"]);
    let otherwise = found["otherwise"].as_array().expect("a list");
    let stem = otherwise.iter().find(|one| one["code"] == "short-stem").unwrap_or_else(|| panic!("{found}"));
    assert!(stem["message"].as_str().expect("a text").contains("48 mm shorter"), "{stem}");
    assert!(stem["was"].as_str().expect("a text").contains("30 mm shorter"), "{stem}");
    let (_, said) = run(folder.path(), 80, &["try", "rowan/race", "stem.length=2"]);
    let said = flowing(&said);
    let (_, told) = said.split_once("Still to say, with other figures").unwrap_or_else(|| panic!("{said}"));
    assert!(
        told.contains("48 mm shorter")
            && told.contains("So far: … 30 mm shorter than supplied (50 → 20 mm): …"),
        "{told}"
    );
    // What stays as it is, is no news.
    let found = json(folder.path(), &["try", "rowan/race", "saddle.height=740"]);
    assert!(!found["otherwise"].to_string().contains("short-stem"), "{found}");
}

#[test]
fn a_fault_that_stands_in_what_is_tried_is_told_and_acted_on() {
    let folder = ledger();
    hose(folder.path(), 150);
    let asked = ["try", "alder/trail", "stem.length=45"];
    let (status, said) = run(folder.path(), 80, &asked);
    let said = flowing(&said);
    assert_eq!(status, 1, "{said}");
    let (_, told) = said.split_once("Stands already").unwrap_or_else(|| panic!("{said}"));
    assert!(told.starts_with(" Do not ride so.") && told.contains("is 150.0 mm long"), "{told}");
    let found = json(folder.path(), &asked);
    assert_eq!(found["stands"][0]["severity"], "fault", "{found}");
    assert!(found["stands"][0]["was"].as_str().is_some_and(|was| was != found["stands"][0]["message"]));
    // Long enough: nothing stands any more.
    let mended = json(folder.path(), &["try", "alder/trail", "hose.rear brake.free=420"]);
    assert_eq!(mended["stands"], serde_json::json!([]), "{mended}");
    assert_eq!(run(folder.path(), 80, &["try", "alder/trail", "hose.rear brake.free=420"]).0, 0);
}

/// Damage is a caution by its code and nobody is to ride with it: `check` acts on it, and so do these. It keeps no
/// assembly from being written, for a new part may be what puts it right.
#[test]
fn damage_that_is_noted_is_told_as_standing() {
    let folder = ledger();
    full_box(folder.path());
    let alder = folder.path().join("setups/alder/trail.kdl");
    let text = fs::read_to_string(&alder).expect("the file");
    let note = "    note \"2026-05-01 damage: frame, crack at the head tube\"\n    guard";
    fs::write(&alder, text.replace("    guard", note)).expect("written");
    let asked = ["try", "alder/trail", "saddle.height=740"];
    let (status, said) = run(folder.path(), 80, &asked);
    let said = flowing(&said);
    assert!(status == 1 && said.contains("Stands already Do not ride so."), "{said}");
    let found = json(folder.path(), &asked);
    assert_eq!(
        (&found["stands"][0]["code"], &found["stands"][0]["unridable"]),
        (&"damage-noted".into(), &true.into())
    );
    let (status, said) = run(folder.path(), 80, &[&ASKED[..], &["--write", "alder/new"]].concat());
    let said = flowing(&said);
    assert!(status == 1 && said.contains("Do not ride so. Put it right on alder/trail, too."), "{said}");
    assert!(said.contains("Written as alder/new."), "{said}");
}
