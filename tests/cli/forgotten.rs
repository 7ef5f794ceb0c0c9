//! What a sheet reads of a measure that nobody knew any more: it is held against what the note keeps, through the program.
//!
//! Recorded: right lever 168 mm (6.61 in) from the tip at 32°, shifter on its clamp at 41°; found with its line broken on 05-09.

use std::fs;
use std::path::Path;

use serde_json::Value;
use tempfile::TempDir;

use crate::harness::flowing;
use crate::restore::{SETUP, json, run, setup_text};

const BROKEN: &str =
    "floor 0 with=angle-gauge; mark \"R1\" broken; torque \"right.brake-lever\" { applied 2.8 }";

/// The ledger, its levers' angles on level ground, with these sheets by name and day.
fn with(sheets: &[(&str, &str, &str)]) -> TempDir {
    let folder = crate::restore::ledger(&[]);
    assert!(SETUP.contains("floor 0.0"));
    for (name, day, inside) in sheets {
        let text = format!("found \"rowan/race\" format=1 {{\n    measured \"{day}\"\n    {inside}\n}}\n");
        fs::write(folder.path().join(format!("setups/rowan/{name}.kdl")), text).expect("a sheet");
    }
    folder
}

fn words(folder: &Path, page: &str, sheet: &str) -> (Option<i32>, String) {
    let screen = run(folder, &[page, "rowan/race", "--found", sheet]);
    (screen.status, flowing(&screen.text))
}

fn change<'d>(diff: &'d Value, measure: &str) -> &'d Value {
    let changes = diff["changes"].as_array().expect("changes");
    changes.iter().find(|one| one["measure"] == measure).unwrap_or_else(|| panic!("{measure}: {diff:#}"))
}

#[test]
fn a_forgotten_lever_read_elsewhere_has_moved() {
    let next =
        "floor 0 with=angle-gauge; right { brake-lever { from-tip 150; angle 5 }; shifter { angle 14 } }";
    let folder = with(&[("loan", "2026-05-09", BROKEN), ("next", "2026-05-10", next)]);
    assert_eq!(words(folder.path(), "record", "rowan/loan").0, Some(1));
    // 150 - 167.894 (6.61 · 25.4) = -17.894 mm; 5 - 32 = -27°.
    let diff = json(folder.path(), &["diff", "rowan/race", "--found", "rowan/next"]);
    let place = change(&diff, "right.brake-lever.from-tip");
    assert_eq!(place["verdict"], "moved", "{place:#}");
    assert!((place["delta"].as_f64().expect("a distance") + 17.894).abs() < 1e-6, "{place:#}");
    let angle = change(&diff, "right.brake-lever.angle");
    assert!((angle["delta"].as_f64().expect("a turn") + 27.0).abs() < 1e-6, "{angle:#}");
    let (status, told) = words(folder.path(), "diff", "rowan/next");
    assert!(status == Some(1) && told.contains("Do not ride: "), "{told}");
    let (status, told) = words(folder.path(), "restore", "rowan/next");
    assert!(status == Some(1) && told.contains("to 32.0°"), "{told}");
    assert!(told.contains("Do not ride: "), "{told}");
    // Recorded, it is where it was found; that it stood elsewhere is said, and stays in the file.
    let (status, told) = words(folder.path(), "record", "rowan/next");
    let said = "right brake lever angle reads 5°, and read 32° before its clamp was let go";
    assert!(status == Some(1) && told.contains(said), "{told}");
    assert!(told.contains("Do not ride: "), "{told}");
    let text = setup_text(folder.path());
    assert!(
        text.contains(
            "angle no longer known: mark R1 was found broken; it read 32° at a roll of -1.5° before"
        ),
        "{text}"
    );
    assert!(text.contains("from-tip 150") && !text.contains("unmeasured"), "{text}");
}

#[test]
fn a_forgotten_lever_read_where_it_stood_is_known_again() {
    let next =
        "floor 0 with=angle-gauge; right { brake-lever { from-tip 168; angle 32 }; shifter { angle 41 } }";
    let folder = with(&[("loan", "2026-05-09", BROKEN), ("next", "2026-05-10", next)]);
    words(folder.path(), "record", "rowan/loan");
    let diff = json(folder.path(), &["diff", "rowan/race", "--found", "rowan/next"]);
    let is_moved = |change: &&Value| change["verdict"] == "moved";
    assert_eq!(diff["changes"].as_array().expect("changes").iter().find(is_moved), None, "{diff:#}");
    let (status, told) = words(folder.path(), "record", "rowan/next");
    assert!(!told.contains("Do not ride"), "{status:?} {told}");
    assert!(told.contains("right brake lever angle is known again"), "{told}");
    let text = setup_text(folder.path());
    assert!(!text.contains("no longer known") && !text.contains("unmeasured"), "{text}");
}

#[test]
fn the_way_back_of_a_forgotten_measure_names_where_it_stood() {
    let later = "mark \"L1\" aligned";
    let folder = with(&[("loan", "2026-05-09", BROKEN), ("later", "2026-05-10", later)]);
    words(folder.path(), "record", "rowan/loan");
    let told = words(folder.path(), "restore", "rowan/later").1;
    assert!(told.contains("Set it to 32° as before with someone who knows"), "{told}");
}

/// The front brake's line broke on 05-09; on 05-10 its lever was read where it stood, and tightened; nobody drew the line.
fn read_since() -> Vec<(&'static str, &'static str, &'static str)> {
    let read =
        "floor 0 with=angle-gauge; right { brake-lever { from-tip 168; angle 32 }; shifter { angle 41 } }
        torque \"right.brake-lever\" { applied 2.8 }";
    vec![("loan", "2026-05-09", BROKEN), ("read", "2026-05-10", read)]
}

#[test]
fn an_old_line_that_still_looks_broken_is_no_news() {
    let mut sheets = read_since();
    sheets.push(("old-line", "2026-05-11", "mark \"R1\" broken; mark \"L1\" aligned"));
    let folder = with(&sheets);
    words(folder.path(), "record", "rowan/loan");
    words(folder.path(), "record", "rowan/read");
    let before = setup_text(folder.path());
    assert!(before.contains("applied 2.8 read=\"2026-05-10\""), "{before}");
    let (status, told) = words(folder.path(), "record", "rowan/old-line");
    assert!(told.contains("was struck out on 2026-05-09 and is not drawn again"), "{told}");
    // It asks for no more than before, on any page.
    assert_eq!(status, Some(0), "{told}");
    for page in ["diff", "restore"] {
        assert_eq!(words(folder.path(), page, "rowan/old-line").0, Some(0), "{page}");
    }
    assert!(!told.contains("Do not ride"), "{told}");
    assert_eq!(setup_text(folder.path()), before);
}

#[test]
fn a_line_struck_out_that_day_does_not_line_up() {
    let same = "floor 0 with=angle-gauge; mark \"L1\" aligned; mark \"R1\" aligned
        right { brake-lever { from-tip 168; angle 32 }; shifter { angle 41 } }";
    let folder = with(&[("loan", "2026-05-09", BROKEN), ("same", "2026-05-09", same)]);
    words(folder.path(), "record", "rowan/loan");
    let before = setup_text(folder.path());
    for page in ["diff", "restore", "record"] {
        let (status, told) = words(folder.path(), page, "rowan/same");
        let said = "Mark R1 lines up, yet the file has it found broken on that day, and not drawn again";
        assert!(status == Some(1) && told.contains(said), "{page}: {told}");
        assert!(!told.contains("Nothing moved"), "{page}: {told}");
    }
    assert_eq!(setup_text(folder.path()), before);
}

#[test]
fn a_bar_that_came_along_with_its_stem_is_unknown_until_it_is_read() {
    let levers =
        "floor 0 with=angle-gauge; left { brake-lever { angle 42 } }; right { brake-lever { angle 42 } }
        torque \"stem-face\" { applied 4.5 }";
    let angle = |side: &str| format!("{side}.brake-lever.angle");
    for (told, forgotten) in [
        ("bar { offset 5 }", &["bar.roll"][..]),
        (
            "stem { length 35 }; torque \"stem-steerer\" { applied 5.5 }",
            &["bar.roll", "bar.offset", "stem.twist"],
        ),
    ] {
        let folder = with(&[("loan", "2026-05-09", &format!("{levers}; {told}"))]);
        let recording = json(folder.path(), &["record", "rowan/race", "--found", "rowan/loan"]);
        let gone = recording["no-longer-known"].as_array().expect("a list");
        let gone: Vec<&str> = gone.iter().map(|one| one["measure"].as_str().expect("a path")).collect();
        for measure in forgotten.iter().map(|path| (*path).to_owned()).chain([angle("left"), angle("right")])
        {
            assert!(gone.contains(&measure.as_str()), "{told}: {measure}: {gone:?}");
        }
        let check = run(folder.path(), &["check", "rowan/race"]);
        assert!(check.status == Some(1) && check.text.contains("Do not ride"), "{told}: {}", check.text);
        assert!(setup_text(folder.path()).contains("it read -1.5° before"), "{told}");
    }
}

/// Rolled from -1.5° to 3°, 4.5° forward: who touched no clamp finds the levers at 32 + 4.5 = 36.5°, the shifter at 45.5°.
#[test]
fn an_angle_forgotten_on_a_rolled_bar_is_held_against_where_the_bar_brought_it() {
    let rolled = "floor 0 with=angle-gauge; bar { roll 3 with=angle-gauge }";
    let along = "floor 0 with=angle-gauge; left { brake-lever { angle 36.5 } }
        right { brake-lever { angle 5 }; shifter { angle 14 } }";
    let folder = with(&[("loan", "2026-05-09", rolled), ("next", "2026-05-10", along)]);
    words(folder.path(), "record", "rowan/loan");
    let noted =
        "angle no longer known: the bar was rolled 4.5° forward; it read 32° at a roll of -1.5° before";
    assert_eq!(setup_text(folder.path()).matches(noted).count(), 2, "{}", setup_text(folder.path()));
    let diff = json(folder.path(), &["diff", "rowan/race", "--found", "rowan/next"]);
    let changes = diff["changes"].as_array().expect("changes");
    assert!(changes.iter().all(|one| one["measure"] != "left.brake-lever.angle"), "{diff:#}");
    // 5 - 36.5 = -31.5°.
    let right = change(&diff, "right.brake-lever.angle");
    assert!((right["delta"].as_f64().expect("a turn") + 31.5).abs() < 1e-6, "{right:#}");
    let (status, told) = words(folder.path(), "record", "rowan/next");
    let said = "right brake lever angle reads 5°, and would read 36.5° had the bar alone moved";
    assert!(status == Some(1) && told.contains(said), "{told}");
    assert!(told.contains("left brake lever angle is known again"), "{told}");
    let text = setup_text(folder.path());
    assert_eq!(text.matches(noted).count(), 1, "{text}");
    assert!(text.contains("angle 36.5") && text.contains("angle 5"), "{text}");
}

/// An older note does not say how far: what it keeps is told all the same.
#[test]
fn what_an_older_note_keeps_of_a_rolled_bar_is_told() {
    let next = "floor 0 with=angle-gauge; left { brake-lever { angle 5 } }";
    let folder = with(&[("next", "2026-05-10", next)]);
    let note = "angle unmeasured; note \"2026-05-09 angle no longer known: the bar was rolled; it read 32° before\"; reach 62";
    let text = SETUP.replace("angle 32 with=angle-gauge; reach 62", note);
    fs::write(folder.path().join("setups/rowan/race.kdl"), text).expect("written");
    let told = words(folder.path(), "record", "rowan/next").1;
    let said = "left brake lever angle is known again: the note that it was not is taken out. On the bar as it stood then it \
                read 32°.";
    assert!(told.contains(said), "{told}");
}

/// Cut by 10 mm off each end: who slid nothing finds the levers at 168 - 10 = 158 mm from the new ends.
#[test]
fn a_place_forgotten_on_a_cut_bar_is_held_against_the_new_end() {
    let cut = "bar { width 760; supplied-width 780 }";
    let next = "left { brake-lever { from-tip 158 } }; right { brake-lever { from-tip (mm)150 } }";
    let folder = with(&[("loan", "2026-05-09", cut), ("next", "2026-05-10", next)]);
    words(folder.path(), "record", "rowan/loan");
    let text = setup_text(folder.path());
    assert!(
        text.contains("from-tip no longer known: the bar was cut 10 mm off each end; it read 168 mm"),
        "{text}"
    );
    let told = words(folder.path(), "record", "rowan/next").1;
    assert!(told.contains("left brake lever place is known again"), "{told}");
    // 6.61 · 25.4 = 167.894; less 10 mm.
    let said = "right brake lever place reads 150 mm, and would read 157.894 mm had the bar alone moved";
    assert!(told.contains(said), "{told}");
}
