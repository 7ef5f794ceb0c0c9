//! Angles that all read otherwise by as much, where the file or the sheet does not say how the ground slopes: whether it is the
//! ground, and that nothing is written for it, through the program.
//!
//! Recorded: roll 0°, levers 30° and 32°, shifter 41°, saddle -1.0°, all to ±0.2°.

use serde_json::Value;

use crate::kept_figure::{bike, change, found, page, sheet};
use crate::restore::setup_text;

const FLOOR: &str = "    floor 0 with=angle-gauge\n";
const LEVEL: &str = "floor 0 with=angle-gauge; ";

fn saddle_moved(diff: &Value) -> bool {
    let changes = diff["changes"].as_array().expect("changes");
    changes.iter().any(|one| one["measure"] == "saddle.tilt" && one["verdict"] == "moved")
}

/// Rolled back by 5°, and the levers turned until the gauge reads as before: 30 - (-5) - (30 - 0) = 5° tip down on the bar. The
/// saddle reads as it did, so that the ground is what it was.
#[test]
fn levers_turned_back_on_a_rolled_bar_are_not_put_down_to_the_ground() {
    let read = "bar { roll -5 with=angle-gauge }; saddle { tilt -1.0 with=angle-gauge }
        left { brake-lever { angle 30 with=angle-gauge } }
        right { brake-lever { angle 32 with=angle-gauge }; shifter { angle 41 with=angle-gauge } }";
    for (in_the_file, on_the_sheet) in [("", LEVEL), (FLOOR, ""), ("", "")] {
        let folder = bike(&[(FLOOR, in_the_file)]);
        sheet(&folder, 9, &format!("{on_the_sheet}{read}"));
        let diff = found(&folder, "diff");
        assert_eq!(diff["common-shift"], Value::Null, "{diff:#}");
        assert!(!saddle_moved(&diff), "{diff:#}");
        let lever = change(&diff, "left.brake-lever.angle");
        let turned = lever["on-bar"]["delta"].as_f64().expect("a turn");
        assert!((turned - 5.0).abs() < 1e-6, "{lever:#}");
        for command in ["diff", "restore"] {
            let (status, told) = page(&folder, &[command]);
            assert_eq!(status, Some(1), "{command}: {told}");
            let moved = "left brake lever angle moved 5.0° tip down on the bar";
            assert!(told.contains(moved), "{command}: {told}");
            assert!(!told.contains("saddle tilt:") && !told.contains("nose up"), "{command}: {told}");
        }
    }
}

/// The sheet was read on level ground: what slopes is the ground of the file's own readings, 2° for three of four. The left lever
/// was turned by 42 - 30 - 2 = 10° besides.
#[test]
fn a_sheet_that_reads_its_floor_is_on_known_ground() {
    let folder = bike(&[(FLOOR, "")]);
    let read = "saddle { tilt -3.0 with=angle-gauge }; left { brake-lever { angle 42 with=angle-gauge } }
        right { brake-lever { angle 34 with=angle-gauge }; shifter { angle 43 with=angle-gauge } }";
    sheet(&folder, 9, &format!("{LEVEL}{read}"));
    let told = page(&folder, &["diff"]).1;
    assert!(told.contains("the ground probably sloped where the file's own were read"), "{told}");
    assert!(!told.contains("Measure it and write it down"), "{told}");
    let before = setup_text(folder.path());
    let told = page(&folder, &["record", "--all"]).1;
    let held =
        "Find out the slope of the ground where the file's own were read, write it in the file (floor)";
    assert!(
        told.contains(held) && told.contains("Held back, not written: left brake lever angle 42°"),
        "{told}"
    );
    let unknown = "Do not ride: slope of the ground under the file's own angles not known, and so not known: left brake \
                   lever angle";
    assert!(told.contains(unknown), "{told}");
    let text = setup_text(folder.path());
    assert!(text.contains("angle 30 ") && text.contains("tilt -1.0"), "{told}\n{text}");
    assert_eq!(text.lines().count(), before.lines().count() + 1, "{text}");
}

/// The ground slopes by 2.3° and nobody read it: 30 - 5 + 2.3 = 27.3, 32 - 5 + 2.3 = 29.3, 41 - 5 + 2.3 = 38.3, -1.0 - 2.3 = -3.3.
#[test]
fn angles_put_down_to_the_ground_are_held_back_and_told_twice_alike() {
    let folder = bike(&[(FLOOR, "")]);
    let read = "bar { roll -5 with=angle-gauge }; saddle { tilt -3.3 with=angle-gauge }
        left { brake-lever { angle 27.3 with=angle-gauge } }
        right { brake-lever { angle 29.3 with=angle-gauge }; shifter { angle 38.3 with=angle-gauge } }";
    sheet(&folder, 9, read);
    let mut texts = Vec::new();
    for run in 1..=2 {
        let (status, told) = page(&folder, &["record"]);
        assert_eq!(status, Some(1), "run {run}: {told}");
        assert!(told.contains("Held back, not written: left brake lever angle 27.3°"), "run {run}: {told}");
        assert!(told.contains("Note at the top: 2026-05-09 4 angles read"), "run {run}: {told}");
        let diff = found(&folder, "diff");
        assert!(!saddle_moved(&diff) && diff["common-shift"] != Value::Null, "run {run}: {diff:#}");
        texts.push(setup_text(folder.path()));
    }
    assert_eq!(texts[0], texts[1]);
    let text = &texts[0];
    assert!(text.contains("roll -5") && text.contains("tilt -1.0 with=angle-gauge }"), "{text}");
    assert!(!text.contains("27.3") && !text.contains("joint saddle-rails opened"), "{text}");
    // Read on the level a week later: they went along with the bar, and the saddle stands as it did.
    let level = "bar { roll -5 with=angle-gauge }; saddle { tilt -1.0 with=angle-gauge }
        left { brake-lever { angle 25 with=angle-gauge } }
        right { brake-lever { angle 27 with=angle-gauge }; shifter { angle 36 with=angle-gauge } }";
    sheet(&folder, 16, &format!("{LEVEL}{level}"));
    let diff = found(&folder, "diff");
    let moved = |one: &&Value| one["verdict"] == "moved";
    assert_eq!(diff["changes"].as_array().expect("changes").iter().find(moved), None, "{diff:#}");
    page(&folder, &["record"]);
    let text = setup_text(folder.path());
    assert!(text.contains("angle 25 ") && text.contains("angle 27 "), "{text}");
}
