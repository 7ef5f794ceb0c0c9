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

const NOT_KNOWN: &str =
    "Not known whether anything moved: it hangs on the slope of the ground, which was not read.";
const OF_THE_FILE: &str = "The slope of the ground where the file's own were read is not known (floor), and is taken for \
                           level: right brake lever angle.";

/// What all three commands tell of a sheet on which nothing looks moved, though only one side tells its ground.
fn nobody_knows(folder: &tempfile::TempDir, ground: &str, of_the_file: bool) {
    let before = setup_text(folder.path());
    for command in ["diff", "restore", "record"] {
        let (status, told) = page(folder, &[command]);
        assert!(told.contains(NOT_KNOWN) && told.contains(ground), "{command}: {told}");
        assert!(!told.contains("did not move") && !told.contains("what the setup says"), "{command}: {told}");
        assert_eq!(status, Some(1), "{command}: {told}");
        let json = found(folder, command);
        assert_eq!(json["floor-not-read"], serde_json::json!(["right brake lever angle"]), "{json:#}");
        assert_eq!(json["floor-in-doubt"], true, "{json:#}");
        assert_eq!(json["floor-of-the-earlier"], of_the_file, "{json:#}");
    }
    assert_eq!(setup_text(folder.path()), before);
}

/// 29.1 + 3 = 32.1° to the level, within reading of the file's 32° to a ground nobody knows.
#[test]
fn a_sheet_that_alone_tells_a_slope_does_not_tell_that_nothing_moved() {
    let folder = bike(&[(FLOOR, "")]);
    sheet(&folder, 9, "floor 3 with=angle-gauge; right { brake-lever { angle 29.1 with=angle-gauge } }");
    nobody_knows(&folder, OF_THE_FILE, true);
    let told = page(&folder, &["record", "--all"]).1;
    assert!(told.contains("Held back, not written: right brake lever angle 29.1°"), "{told}");
}

/// 32 + 3 = 35°, or still 32° on the same ground: told as moved, and not written.
#[test]
fn what_a_slope_of_one_side_alone_moves_is_told_with_it_and_held_back() {
    let folder = bike(&[(FLOOR, "")]);
    sheet(&folder, 9, "floor 3 with=angle-gauge; right { brake-lever { angle 32 with=angle-gauge } }");
    let before = setup_text(folder.path());
    for command in ["diff", "restore"] {
        let (status, told) = page(&folder, &[command]);
        assert!(told.contains("right brake lever angle moved 3.0° tip down"), "{command}: {told}");
        assert!(told.contains(OF_THE_FILE), "{command}: {told}");
        assert_eq!(status, Some(1), "{command}: {told}");
    }
    let told = page(&folder, &["record"]).1;
    let held = "Held back, not written: right brake lever angle 32° (recorded 32°). Find out the slope of the ground where \
                the file's own were read";
    assert!(told.contains(held) && told.contains(OF_THE_FILE), "{told}");
    assert!(told.contains("slope of the ground under the file's own angles not known"), "{told}");
    assert_eq!(setup_text(folder.path()), before);
}

/// The same figures as recorded on a slope of 3°, on ground that nobody read: 35 - 3 = 32.
#[test]
fn a_sheet_that_is_silent_on_a_slope_does_not_tell_that_nothing_moved() {
    let folder = bike(&[(FLOOR, "    floor 3 with=angle-gauge\n")]);
    sheet(&folder, 9, "right { brake-lever { angle 35 with=angle-gauge } }");
    let ground =
        "The slope of the ground was not read (floor), and is taken for level: right brake lever angle.";
    nobody_knows(&folder, ground, false);
}

/// 0.2° ± 0.2° is level within reading.
#[test]
fn level_ground_on_one_side_is_no_doubt() {
    for (in_the_file, on_the_sheet) in [("", LEVEL), ("", "floor 0.2 with=angle-gauge;"), (FLOOR, "")] {
        let folder = bike(&[(FLOOR, in_the_file)]);
        sheet(&folder, 9, &format!("{on_the_sheet} right {{ brake-lever {{ angle 32 with=angle-gauge }} }}"));
        for command in ["diff", "restore"] {
            let (status, told) = page(&folder, &[command]);
            assert!(told.contains("The one thing that was looked at did not move"), "{command}: {told}");
            assert_eq!(told.contains("slope of the ground"), in_the_file == FLOOR, "{command}: {told}");
            assert_eq!(status, Some(0), "{command}: {told}");
        }
        assert_eq!(page(&folder, &["record"]).0, Some(0));
    }
}

/// 27 + 3 = 30, 29 + 3 = 32, 38 + 3 = 41 and 2 - 3 = -1: all of them turned alike, or none did.
#[test]
fn angles_that_bear_one_another_out_leave_no_doubt_of_the_ground() {
    let folder = bike(&[(FLOOR, "")]);
    let read = "saddle { tilt 2 with=angle-gauge }; left { brake-lever { angle 27 with=angle-gauge } }
        right { brake-lever { angle 29 with=angle-gauge }; shifter { angle 38 with=angle-gauge } }";
    sheet(&folder, 9, &format!("floor 3 with=angle-gauge; {read}"));
    let (status, told) = page(&folder, &["diff"]);
    assert!(told.contains("Nothing moved of the 4 looked at"), "{told}");
    assert_eq!(status, Some(0), "{told}");
    // 20 + 3 = 23: of the one that differs it is known by the others that it moved.
    sheet(&folder, 9, &format!("floor 3 with=angle-gauge; {}", read.replace("angle 29", "angle 20")));
    let told = page(&folder, &["record"]).1;
    assert!(!told.contains("Held back") && setup_text(folder.path()).contains("angle 23.0"), "{told}");
}

/// 2 - 3 = -1° to the level: nothing is held against it.
#[test]
fn an_angle_that_the_file_does_not_have_is_written_from_a_known_slope() {
    let folder = bike(&[(FLOOR, ""), ("; tilt -1.0 with=angle-gauge", "")]);
    sheet(&folder, 9, "floor 3 with=angle-gauge; saddle { tilt 2 with=angle-gauge }");
    let told = page(&folder, &["record"]).1;
    assert!(setup_text(folder.path()).contains("tilt -1.0"), "{told}");
    assert!(!told.contains("Held back") && !told.contains(NOT_KNOWN), "{told}");
}
