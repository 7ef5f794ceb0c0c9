//! `body`, `try` and `carry` as a person sees them. The numbers on these pages are held by `tests/references/body.rs`
//! and by `tests/properties/{trial,carry}.rs`; the snapshots hold the words and the layout.

use crate::harness::flowing;
use std::fs;
use std::path::Path;

use assert_cmd::Command;
use insta::assert_snapshot;
use serde_json::Value;
use tempfile::TempDir;

/// Writes a setup of the ledger.
pub(super) fn setup(folder: &Path, name: &str, text: &str) {
    fs::write(folder.join(format!("setups/{name}.kdl")), text).expect("written");
}

/// The exit status and the page in one line.
pub(super) fn told(folder: &Path, asked: &[&str]) -> (i32, String) {
    let (status, said) = run(folder, 80, asked);
    (status, crate::harness::flowing(&said))
}

pub(super) const ROWAN: &str = r#"setup "rowan/race" format=1 {
    measured "2026-05-02"
    floor 0.0
    rider { stature 1780; front-brake right }
    frame { reach 470; stack 630; head-angle 64.5; steering-stop 75; top-tube { drop 38; slope 32; diameter 42 } }
    headset { cover 9 }
    steerer { spacers-below 15; spacers-above 5 }
    stem { length 50; angle 0; clamp-height 40; twist 0; supplied-length 50 }
    bar { width 780; rise 25; back-sweep 8; up-sweep 5; bend 90; roll -1.5; offset 0 }
    saddle { height 742 tol=1; setback 168 tol=2 }
    left {
        grip { hand 62 }
        brake-lever { from-tip 168; angle 32; reach 62; bite 34; blade 74; finger 66; lowest from-tip=196 drop=38 ahead=44 }
    }
    right {
        grip { hand 62 }
        brake-lever { from-tip 168; angle 32; reach 62; bite 19; blade 74; finger 66 }
        shifter { mount own; from-tip 191; angle 41; lowest from-tip=214 drop=58 ahead=2 }
    }
    hose "rear brake" { free 420; leaves side=left from-tip=215 ahead=30 up=-5; enters side=left down=55 back=25 out=22 }
    guard "head tube, left"
}
"#;

const BOX: &str = r#"parts "race box" format=1 {
    steerer left=75
    stem "short" length=40 angle=6 clamp-height=40
    stem "long" length=60 angle=10 clamp-height=38
    bar "wide" width=780 rise=25 back-sweep=8 up-sweep=5 bend=90 roll-from=-5 roll-to=5
    spacer 5 count=2
    spacer 10
}
"#;

pub(super) fn ledger() -> TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    let alder = ROWAN
        .replace("rowan/race", "alder/trail")
        .replace("reach 470; stack 630", "reach 452; stack 618")
        .replace("width 780", "width 800");
    for (path, text) in
        [("setups/rowan/race.kdl", ROWAN), ("setups/alder/trail.kdl", &alder), ("box.kdl", BOX)]
    {
        let file = folder.path().join(path);
        fs::create_dir_all(file.parent().expect("inside the folder")).expect("folders");
        fs::write(file, text).expect("written");
    }
    folder
}

/// The alder with so much above its stem, mm, on 15 below and a clamp of 40: as high a pile as a box says.
pub(super) fn above_the_stem(folder: &Path, above: u32) {
    let file = folder.join("setups/alder/trail.kdl");
    let text = fs::read_to_string(&file).expect("the file");
    fs::write(file, text.replace("spacers-above 5", &format!("spacers-above {above}"))).expect("written");
}

/// Exit status, and what was said on either way out.
pub(super) fn run(folder: &Path, columns: u32, arguments: &[&str]) -> (i32, String) {
    let output = Command::cargo_bin("clampmark")
        .expect("the program")
        .current_dir(folder)
        .env("COLUMNS", columns.to_string())
        .env("NO_COLOR", "1")
        .env("CLAMPMARK_TODAY", "2026-05-25")
        .args(arguments)
        .output()
        .expect("it runs");
    let said =
        String::from_utf8(output.stdout).expect("text") + &String::from_utf8(output.stderr).expect("text");
    (output.status.code().expect("a status"), said)
}

pub(super) fn json(folder: &Path, arguments: &[&str]) -> Value {
    let (_, said) = run(folder, 80, &[&["--json"], arguments].concat());
    serde_json::from_str(&said).expect("one JSON object")
}

#[test]
fn the_rider_on_a_page() {
    let folder = ledger();
    let (status, page) = run(folder.path(), 80, &["body", "rowan/race"]);
    assert_eq!(status, 0);
    assert_snapshot!("body_80", page);
    assert_snapshot!("body_120", run(folder.path(), 120, &["body", "rowan/race"]).1);
}

#[test]
fn recorded_lengths_leave_stature_no_part_in_the_doubt() {
    let folder = ledger();
    let measured = ROWAN.replace("stature 1780", "stature 1780; torso 605; upper-arm 340; forearm 350");
    fs::write(folder.path().join("setups/rowan/race.kdl"), measured).expect("written");
    let (_, page) = run(folder.path(), 120, &["body", "rowan/race"]);
    assert!(page.contains("% is how far the elbow is opened.") && !page.contains("from stature"), "{page}");
}

#[test]
fn an_arm_too_short_says_so() {
    let folder = ledger();
    let short = ROWAN
        .replace("stature 1780", "torso 350; upper-arm 200; forearm 250")
        .replace("rowan/race", "rowan/short");
    fs::write(folder.path().join("setups/rowan/short.kdl"), short).expect("written");
    // Elbow at 60°: arm √(200² + 250² − 200·250) = 229.1, with the torso 579.1. Saddle 168 back and grips over 452
    // forward: the way is over 620.
    let (status, page) = run(folder.path(), 120, &["body", "rowan/short", "--elbow", "60"]);
    assert_eq!(status, 0);
    assert!(page.contains("No arm line. Torso and arm together are"), "{page}");
    let (status, said) = run(folder.path(), 80, &["body", "rowan/race", "--elbow", "200"]);
    assert_eq!(status, 2);
    assert!(said.contains("An elbow does not open to 200°."), "{said}");
}

#[test]
fn a_try_on_a_page() {
    let folder = ledger();
    let asked = ["try", "rowan/race", "stem.length=20", "bar.roll=+4"];
    let (status, page) = run(folder.path(), 80, &asked);
    assert_eq!(status, 0);
    assert_snapshot!("try_80", page);
    assert_snapshot!("try_120", run(folder.path(), 120, &asked).1);
}

#[test]
fn a_try_that_tightens_a_hose_is_to_be_acted_on() {
    let folder = ledger();
    let found = json(folder.path(), &["try", "rowan/race", "hose.rear brake.free=150"]);
    assert_eq!(found["schema"], "clampmark.try/1");
    assert!(found["hoses"][0]["was"]["tight-at"].is_null());
    assert!(found["hoses"][0]["now"]["tight-at"].is_number());
    assert_eq!(run(folder.path(), 80, &["try", "rowan/race", "hose.rear brake.free=150"]).0, 1);
}

#[test]
fn a_kept_value_comes_back_from_the_written_file() {
    let folder = ledger();
    let asked = ["stem.length=40", "--keep", "grip-stack", "--by", "stem.angle", "--write", "rowan/tried"];
    let (status, _) = run(folder.path(), 80, &[&["try", "rowan/race"][..], &asked].concat());
    assert_eq!(status, 0);
    // The same stack again, so the file as written needs no other angle to keep it.
    let again = json(folder.path(), &["try", "rowan/tried", "--keep", "grip-stack", "--by", "stem.angle"]);
    let stack = |found: &Value, when: &str| {
        let rows = found["derived"].as_array().expect("rows");
        let row = rows.iter().find(|row| row["name"] == "grip-stack").expect("the row");
        row[when].as_f64().expect("a number")
    };
    let first = json(folder.path(), &["try", "rowan/race", "stem.length=50"]);
    // Written with three decimals, so that half a thousandth may be lost.
    assert!((stack(&again, "was") - stack(&first, "was")).abs() < 5e-4);
    let (status, said) = run(folder.path(), 80, &[&["try", "rowan/race"][..], &asked].concat());
    assert_eq!(status, 2, "a setup is never written over: {said}");
}

#[test]
fn what_cannot_be_tried_stops_with_a_hint() {
    let folder = ledger();
    for (change, hint) in [
        ("stem.lenght=40", "Did you mean `stem.length`?"),
        ("stem.length=400", "it lies between 0 and 150"),
        ("stem.length=forty", "is not a number"),
        ("stem.length", "is not a change"),
        ("bar.material=wood", "aluminium, carbon, titanium, steel"),
        ("fork.pressure=+5", "is not recorded"),
    ] {
        let (status, said) = run(folder.path(), 80, &["try", "rowan/race", change]);
        assert_eq!(status, 2, "{change}");
        assert!(flowing(&said).contains(hint), "{said}");
    }
}

#[test]
fn a_position_carried_over_on_a_page() {
    let folder = ledger();
    above_the_stem(folder.path(), 20);
    let asked = ["carry", "rowan/race", "--onto", "alder/trail", "--parts", "box.kdl"];
    let (status, page) = run(folder.path(), 80, &asked);
    // 17 mm of spacers are lacking above the stem.
    assert_eq!(status, 1);
    assert_snapshot!("carry_80", page);
    assert_snapshot!("carry_120", run(folder.path(), 120, &asked).1);
}

#[test]
fn the_written_assembly_is_as_far_off_as_was_said() {
    let folder = ledger();
    above_the_stem(folder.path(), 20);
    // 75 mm less the lowest clamp leave 37 for spacers: with these none is lacking.
    fs::write(folder.path().join("box.kdl"), BOX.replace("spacer 10", "spacer 10 count=3")).expect("written");
    let asked =
        ["carry", "rowan/race", "--onto", "alder/trail", "--parts", "box.kdl", "--write", "alder/race"];
    let said = json(folder.path(), &asked);
    assert_eq!((&said["schema"], &said["written"]), (&"clampmark.carry/1".into(), &"alder/race".into()));
    let distance = said["assemblies"][0]["distance"].as_f64().expect("a distance");
    // With what is on it now, in the roll it has: nothing is nearer, and this is as near.
    let again = json(folder.path(), &["carry", "rowan/race", "--onto", "alder/race", "--parts", "box.kdl"]);
    assert!((again["assemblies"][0]["distance"].as_f64().expect("a distance") - distance).abs() < 1e-6);
    let itself = json(folder.path(), &["carry", "alder/race", "--onto", "alder/race"]);
    assert!(itself["assemblies"][0]["distance"].as_f64().expect("a distance") < 1e-6);
}

#[test]
fn a_box_with_a_fault_says_where() {
    let folder = ledger();
    fs::write(folder.path().join("bad.kdl"), BOX.replace("angle=6", "angel=6")).expect("written");
    let (status, said) =
        run(folder.path(), 120, &["carry", "rowan/race", "--onto", "alder/trail", "--parts", "bad.kdl"]);
    assert_eq!(status, 2);
    assert!(said.contains("line 3"), "{said}");
}
