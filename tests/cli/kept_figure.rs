//! A lever that nobody knows, after the bar it sits on was read again: the figure its note keeps is put right by the bar's roll,
//! through the program.
//!
//! Recorded on level ground: roll 0°, left lever 30°, right lever 32°, all to ±0.2°.

use std::fs;

use serde_json::Value;
use tempfile::TempDir;

use crate::harness::flowing;
use crate::restore::{json, ledger, run, setup_text};

/// Levers, a shifter on a clamp of its own and the bar, each with its line.
pub const BIKE: &str = r#"setup "rowan/race" format=1 {
    measured "2026-05-02"
    instruments { angle-gauge tol=0.2 }
    floor 0 with=angle-gauge
    stem { length 50; angle 0; clamp-height 40; twist 0 }
    bar { width 780; roll 0 with=angle-gauge; offset 0; clamp-diameter 35.0; grip-diameter 22.2 }
    saddle { height 742 tol=1; setback 168 tol=2; tilt -1.0 with=angle-gauge }
    left { brake-lever { from-tip 168; angle 30 with=angle-gauge } }
    right { brake-lever { from-tip 168; angle 32 with=angle-gauge }
        shifter { mount own; from-tip 200; angle 41 with=angle-gauge } }
    mark "L1" on="left.brake-lever" { drawn from-tip=168 angle=30 roll=0 read="2026-05-02" }
    mark "R1" on="right.brake-lever" { drawn from-tip=168 angle=32 roll=0 read="2026-05-02" }
    mark "H1" on="right.shifter" { drawn from-tip=200 angle=41 roll=0 read="2026-05-02" }
    mark "F1" on="stem-face" { drawn roll=0 offset=0 read="2026-05-02" }
}
"#;
pub const SHEET: &str = "rowan/loan";

/// The bike with these words of its file changed for others.
pub fn bike(changes: &[(&str, &str)]) -> TempDir {
    let folder = ledger(&[]);
    let mut text = BIKE.to_owned();
    for (words, others) in changes {
        assert!(text.contains(words), "{words}");
        text = text.replacen(words, others, 1);
    }
    fs::write(folder.path().join("setups/rowan/race.kdl"), text).expect("written");
    folder
}

/// Puts a sheet of this day of May beside the setup.
pub fn sheet(folder: &TempDir, day: u32, inside: &str) {
    let text =
        format!("found \"rowan/race\" format=1 {{\n    measured \"2026-05-{day:02}\"\n    {inside}\n}}\n");
    fs::write(folder.path().join("setups/rowan/loan.kdl"), text).expect("written");
}

pub fn page(folder: &TempDir, words: &[&str]) -> (Option<i32>, String) {
    let whole = [&[words[0], "rowan/race", "--found", SHEET], &words[1..]].concat();
    let screen = run(folder.path(), &whole);
    (screen.status, flowing(&screen.text))
}

pub fn found(folder: &TempDir, command: &str) -> Value {
    json(folder.path(), &[command, "rowan/race", "--found", SHEET])
}

pub fn change<'v>(diff: &'v Value, measure: &str) -> &'v Value {
    let changes = diff["changes"].as_array().expect("changes");
    changes
        .iter()
        .find(|change| change["measure"] == measure)
        .unwrap_or_else(|| panic!("{measure}: {diff:#}"))
}

fn recorded(folder: &TempDir, day: u32, inside: &str) {
    sheet(folder, day, &format!("floor 0 with=angle-gauge; {inside}"));
    page(folder, &["record"]);
}

/// The bar's line broke and nobody read the bar; then it was read where it had been.
fn let_go_and_read_again() -> TempDir {
    let folder = bike(&[]);
    recorded(&folder, 5, "mark \"F1\" broken");
    recorded(&folder, 7, "bar { roll 0 with=angle-gauge; offset 0 }");
    let text = setup_text(folder.path());
    assert!(
        text.contains("roll 0") && text.contains("brake-lever { from-tip 168; angle unmeasured"),
        "{text}"
    );
    assert!(text.contains("it read 30° at a roll of 0° before"), "{text}");
    folder
}

/// 17 - 30 = 13° tip up on a bar that stands as it did.
#[test]
fn a_lever_is_held_against_its_kept_figure_after_the_bar_is_known_again() {
    let folder = let_go_and_read_again();
    let levers = "left { brake-lever { angle 17 with=angle-gauge } }
        right { brake-lever { angle 32 with=angle-gauge } }";
    for bar in ["", "bar { roll 0 with=angle-gauge; offset 0 }; "] {
        sheet(&folder, 9, &format!("floor 0 with=angle-gauge; {bar}{levers}"));
        for command in ["diff", "restore"] {
            let (status, told) = page(&folder, &[command]);
            assert_eq!(status, Some(1), "{command}: {told}");
            let moved = "Do not ride: left brake lever angle moved 13.0° tip up";
            assert!(told.contains(moved), "{command}: {told}");
            assert!(!told.contains("right brake lever angle moved"), "{command}: {told}");
        }
        let diff = found(&folder, "diff");
        let turned = change(&diff, "left.brake-lever.angle")["delta"].as_f64().expect("a turn");
        assert!((turned + 13.0).abs() < 1e-6, "{diff:#}");
    }
    let (status, told) = page(&folder, &["record"]);
    assert!(status == Some(1) && told.contains("Do not ride"), "{told}");
    assert!(told.contains("left brake lever angle reads 17°, and read 30°"), "{told}");
    let text = setup_text(folder.path());
    assert!(text.contains("angle 17 ") && text.contains("it read 30° at a roll of 0° before"), "{text}");
    assert!(!text.contains("it read 32°"), "{text}");
}

/// A line drawn at 30° that still meets, on a bar at the same roll, and a gauge that reads 17°: one of them is false.
#[test]
fn a_line_that_meets_belies_a_lever_read_elsewhere_than_its_kept_figure() {
    let folder = let_go_and_read_again();
    sheet(
        &folder,
        9,
        "floor 0 with=angle-gauge; left { brake-lever { angle 17 with=angle-gauge } }; mark \"L1\" aligned",
    );
    let (status, told) = page(&folder, &["diff"]);
    assert!(status == Some(1) && told.contains("L1") && told.contains("one of the two is false"), "{told}");
    page(&folder, &["record"]);
    assert!(!setup_text(folder.path()).contains("angle 17"), "{told}");
}

/// Rolled by 5° with the levers unread, then by more: a lever of 30° at a roll of 0° would read 30 + roll.
#[test]
fn a_kept_figure_follows_every_later_roll_of_the_bar() {
    for second in [0, 8, -5] {
        let folder = bike(&[]);
        recorded(&folder, 5, "bar { roll 5 with=angle-gauge }");
        recorded(&folder, 7, &format!("bar {{ roll {second} with=angle-gauge }}"));
        let (left, right) = (17, 32 + second);
        let levers = format!(
            "floor 0 with=angle-gauge; left {{ brake-lever {{ angle {left} with=angle-gauge }} }}
            right {{ brake-lever {{ angle {right} with=angle-gauge }} }}"
        );
        sheet(&folder, 9, &levers);
        let diff = found(&folder, "diff");
        // From 30 + second to 17.
        let turned = change(&diff, "left.brake-lever.angle")["delta"].as_f64().expect("a turn");
        assert!((turned + f64::from(13 + second)).abs() < 1e-6, "{second}: {diff:#}");
        let moved = |one: &Value| one["verdict"] == "moved" && one["measure"] == "right.brake-lever.angle";
        assert!(!diff["changes"].as_array().expect("changes").iter().any(moved), "{second}: {diff:#}");
        let (status, told) = page(&folder, &["diff"]);
        assert!(status == Some(1) && told.contains("Do not ride: left brake lever angle moved"), "{told}");
    }
}

/// Where nobody reads the lever, it is to be set to what its clamp held on the bar: 30 + 8 at a roll of 8°.
#[test]
fn the_way_back_names_the_kept_figure_at_the_roll_of_today() {
    let folder = bike(&[]);
    recorded(&folder, 5, "bar { roll 8 with=angle-gauge }");
    sheet(&folder, 9, "mark \"R1\" aligned");
    let told = page(&folder, &["restore"]).1;
    assert!(told.contains("to 38° as before"), "{told}");
}
