//! A clamp that was open holds nothing that anybody knows until it is read: through the program, sheet after sheet.
//!
//! Recorded: twist 0, levers 168 mm from the tip at 32° on level ground, roll -1.5°, every line drawn there.

use std::fs;
use std::path::Path;

use tempfile::TempDir;

use crate::harness::flowing;
use crate::restore::{SETUP, json, ledger, run, setup_text};

const SWAPPED: &str =
    "steerer { spacers-below 5; spacers-above 15 }; torque \"stem-steerer\" { applied 5.5 }";

/// The ledger with one sheet of that day in it.
fn with(day: &str, inside: &str) -> TempDir {
    let folder = ledger(&[]);
    sheet(folder.path(), day, inside);
    folder
}

/// Writes the sheet anew.
fn sheet(folder: &Path, day: &str, inside: &str) {
    let text = format!("found \"rowan/race\" format=1 {{\n    measured \"{day}\"\n    {inside}\n}}\n");
    fs::write(folder.join("setups/rowan/loan.kdl"), text).expect("a sheet");
}

fn said(folder: &Path, page: &str) -> (Option<i32>, String) {
    let screen = run(folder, &[page, "rowan/race", "--found", "rowan/loan"]);
    (screen.status, flowing(&screen.text))
}

/// Records the sheet twice: the second time nothing changes.
fn record(folder: &Path, options: &[&str]) -> String {
    let arguments = [&["record", "rowan/race", "--found", "rowan/loan"], options].concat();
    let told = run(folder, &arguments);
    let text = setup_text(folder);
    run(folder, &arguments);
    assert_eq!(setup_text(folder), text, "told twice");
    flowing(&told.text)
}

#[test]
fn a_stem_that_was_off_the_steerer_stands_nobody_knows_how() {
    for mark in ["", "; mark \"S1\" off=0.7", "; mark \"S1\" aligned"] {
        let folder = with("2026-05-09", &format!("{SWAPPED}{mark}"));
        record(folder.path(), &[]);
        let text = setup_text(folder.path());
        assert!(text.contains("twist unmeasured"), "{mark}: {text}");
        let note = "2026-05-09 twist no longer known: the stem on steerer was opened; it read 0° before";
        assert!(text.contains(note), "{mark}: {text}");
        let check = run(folder.path(), &["check", "rowan/race"]);
        assert!(check.status == Some(1) && check.text.contains("Do not ride"), "{}", check.text);
        let (status, told) = said(folder.path(), "diff");
        assert!(status == Some(1) && told.contains("no longer known since 2026-05-09: stem twist"), "{told}");
    }
    // Read beside it, it is known.
    let folder = with("2026-05-09", &format!("{SWAPPED}; stem {{ twist 0 }}"));
    record(folder.path(), &[]);
    assert!(!setup_text(folder.path()).contains("unmeasured"), "{}", setup_text(folder.path()));
}

#[test]
fn a_clamp_that_was_opened_for_one_thing_let_go_of_the_other() {
    let floor = "floor 0 with=angle-gauge";
    for (read, unknown, was) in [
        ("from-tip 178", "angle", "32° at a roll of -1.5°"),
        ("angle 42 with=angle-gauge", "from-tip", "168 mm"),
    ] {
        let folder = with("2026-05-09", &format!("{floor}; left {{ brake-lever {{ {read} }} }}"));
        record(folder.path(), &[]);
        let text = setup_text(folder.path());
        let note = format!(
            "2026-05-09 {unknown} no longer known: the left brake lever was opened; it read {was} before"
        );
        assert!(text.contains(&note) && text.contains(&format!("{unknown} unmeasured")), "{text}");
        let check = run(folder.path(), &["check", "rowan/race"]);
        assert!(check.status == Some(1) && check.text.contains("Do not ride"), "{}", check.text);
    }
    let both = format!("{floor}; left {{ brake-lever {{ from-tip 178; angle 32 }} }}");
    let folder = with("2026-05-09", &both);
    record(folder.path(), &[]);
    assert!(!setup_text(folder.path()).contains("unmeasured"), "{}", setup_text(folder.path()));
}

/// The line's other half turned freely with the spacers: whether it meets anything four days later tells nothing.
#[test]
fn a_line_that_was_struck_out_tells_nothing_until_it_is_drawn() {
    let folder = with("2026-05-09", &format!("{SWAPPED}; stem {{ twist 0 }}"));
    record(folder.path(), &[]);
    for state in ["aligned", "off=0.7"] {
        sheet(folder.path(), "2026-05-13", &format!("mark \"S1\" {state}"));
        for page in ["diff", "restore"] {
            let (status, told) = said(folder.path(), page);
            assert_eq!(status, Some(1), "{page}: {told}");
            assert!(told.contains("Nothing on the sheet tells whether anything moved"), "{page}: {told}");
        }
        let before = setup_text(folder.path());
        let told = record(folder.path(), &[]);
        let why = "Mark S1 on the stem on steerer was struck out on 2026-05-09 and is not drawn again";
        assert!(told.contains(why), "{state}: {told}");
        assert_eq!(setup_text(folder.path()), before);
    }
    // Drawn with its twist read, it counts again.
    sheet(folder.path(), "2026-05-14", "mark \"S1\" aligned; stem { twist 0 }");
    let told = record(folder.path(), &["--mark"]);
    assert!(!told.contains("not drawn again"), "{told}");
    sheet(folder.path(), "2026-05-15", "mark \"S1\" aligned");
    let (status, told) = said(folder.path(), "diff");
    assert!(status == Some(0) && told.contains("did not move"), "{told}");
}

#[test]
fn a_torque_tells_nothing_of_how_a_joint_stands_whose_line_is_gone() {
    for (mark, joint, applied, unread) in [
        ("R1", "right.brake-lever", "3", "right brake lever angle"),
        ("S1", "stem-steerer", "5.5", "stem twist"),
        ("B1", "stem-face", "4.5", "bar roll"),
    ] {
        let inside = format!(
            "mark \"{mark}\" missing; tyres {{ front 23 }}; torque \"{joint}\" {{ applied {applied} }}"
        );
        let folder = with("2026-05-09", &inside);
        for page in ["diff", "restore", "record"] {
            let (status, told) = said(folder.path(), page);
            assert!(status == Some(1) && told.contains("Do not ride"), "{mark}, {page}: {told}");
            assert!(told.contains(unread), "{mark}, {page}: {told}");
        }
    }
    let read = "mark \"S1\" missing; stem { twist 0 }; torque \"stem-steerer\" { applied 5.5 }";
    let folder = with("2026-05-09", read);
    let diff = json(folder.path(), &["diff", "rowan/race", "--found", "rowan/loan"]);
    assert!(diff["headline"].is_null(), "{}", diff["headline"]);
}

/// Let go and tightened on the 9th, read on the 10th: nobody opened it in between.
#[test]
fn a_torque_applied_since_the_clamp_was_let_go_outlives_the_first_reading() {
    let let_go = "mark \"B1\" broken; torque \"stem-face\" { applied 4.5 }";
    let folder = with("2026-05-09", let_go);
    record(folder.path(), &[]);
    sheet(folder.path(), "2026-05-10", "floor 0 with=angle-gauge; bar { roll 5 with=angle-gauge }");
    let (_, told) = said(folder.path(), "diff");
    assert!(!told.contains("opened, torque unknown"), "{told}");
    record(folder.path(), &[]);
    let text = setup_text(folder.path());
    assert!(text.contains("applied 4.5 read=\"2026-05-09\"") && text.contains("roll 5"), "{text}");
    assert!(!text.contains("joint opened, torque not read"), "{text}");
    // Found elsewhere again it was opened again.
    sheet(folder.path(), "2026-05-11", "floor 0 with=angle-gauge; bar { roll 9 with=angle-gauge; offset 0 }");
    record(folder.path(), &[]);
    let text = setup_text(folder.path());
    assert!(
        text.contains("2026-05-11 joint opened, torque not read") && !text.contains("applied 4.5"),
        "{text}"
    );
}

/// What was found at another place twice stands there.
#[test]
fn where_a_part_stood_before_is_over_once_it_is_found_twice_where_it_is() {
    let folder = with("2026-05-09", "mark \"L1\" broken; torque \"left.brake-lever\" { applied 2.8 }");
    record(folder.path(), &[]);
    let read = "floor 0 with=angle-gauge; left { brake-lever { from-tip 150; angle 32 } }";
    sheet(folder.path(), "2026-05-10", read);
    record(folder.path(), &[]);
    let note = "from-tip no longer known: mark L1 was found broken; it read 168 mm before";
    assert!(setup_text(folder.path()).contains(note), "{}", setup_text(folder.path()));
    sheet(folder.path(), "2026-05-11", read);
    let told = record(folder.path(), &[]);
    assert!(told.contains(note) && told.contains("taken out"), "{told}");
    assert!(!setup_text(folder.path()).contains(note), "{}", setup_text(folder.path()));
}

/// Levers 4° lower and the saddle's nose 4° higher: the ground rises by 4°, and no bar was rolled.
#[test]
fn ground_that_is_read_answers_the_note_that_it_may_have_sloped() {
    let folder = with(
        "2026-05-09",
        "left { brake-lever { angle 28 } }; right { brake-lever { angle 28 }; shifter { angle 37 } }; saddle { tilt 3 }",
    );
    let text = SETUP.replace("    tyres {", "    saddle { tilt -1 with=angle-gauge }\n    tyres {");
    fs::write(folder.path().join("setups/rowan/race.kdl"), text).expect("written");
    record(folder.path(), &[]);
    let text = setup_text(folder.path());
    assert!(text.contains("note \"2026-05-09 4 angles read"), "{text}");
    // Three angles do not answer for four.
    let three = "floor 0; left { brake-lever { angle 32 } }; right { brake-lever { angle 32 }; shifter { angle 41 } }";
    sheet(folder.path(), "2026-05-10", three);
    record(folder.path(), &[]);
    assert!(setup_text(folder.path()).contains("all alike"), "{}", setup_text(folder.path()));
    sheet(folder.path(), "2026-05-10", &format!("{three}; saddle {{ tilt -1 }}"));
    let told = record(folder.path(), &[]);
    assert!(told.contains("Answered, and taken out: 2026-05-09 4 angles read"), "{told}");
    assert!(!setup_text(folder.path()).contains("all alike"), "{}", setup_text(folder.path()));
}

#[test]
fn of_a_bar_that_is_found_narrower_the_last_width_is_noted() {
    let folder = with("2026-05-09", "bar { width 760 }");
    record(folder.path(), &[]);
    assert_eq!(setup_text(folder.path()).matches("found 20 mm narrower").count(), 1);
    sheet(folder.path(), "2026-05-10", "bar { width 759 }");
    record(folder.path(), &[]);
    let text = setup_text(folder.path());
    assert_eq!(text.matches(" mm narrower").count(), 1, "{text}");
    assert!(text.contains("found 21 mm narrower"), "{text}");
}

/// The bar turned by its line, the lever read beside a line that meets: nobody drew that one, however often it is told.
#[test]
fn a_line_that_meets_is_not_drawn_anew_the_second_time() {
    let inside = "floor 0 with=angle-gauge; left { brake-lever { angle 33 with=angle-gauge } }
        mark \"B1\" off=0.7; mark \"L1\" aligned";
    let folder = with("2026-05-09", inside);
    record(folder.path(), &["--mark"]);
    let text = setup_text(folder.path());
    assert!(text.contains("drawn from-tip=168 angle=32 roll=-1.5"), "{text}");
}
