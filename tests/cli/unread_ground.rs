//! Angles on ground whose slope nobody read, and what of a sheet is told and stays in the file, through the program.
//!
//! Recorded on level ground: levers 32°, bar 780 mm.

use std::fs;

use crate::harness::flowing;
use crate::restore::{json, run, setup_text};
use crate::roll_unread::{APPLIED, RECORD, names, with, words};

/// 25° more, or 4° of ground and nothing: a level position nobody read is none to go back to.
#[test]
fn an_angle_on_unread_ground_is_held_back_and_costs_no_torque() {
    let sheet = "right { brake-lever { angle 28 with=angle-gauge } }; tyres { front 25 }";
    let folder = with(sheet, &[]);
    let before = setup_text(folder.path());
    let page = run(folder.path(), &RECORD);
    let told = flowing(&page.text);
    assert_eq!(page.status, Some(1), "{told}");
    let held = "Held back, not written: right brake lever angle 28° (recorded 32°). Read the slope of the ground where \
                they were read, add it to the sheet (floor), and record it again.";
    assert!(told.contains(held), "{told}");
    let unknown = "Do not ride: slope of the ground not read, and so not known: right brake lever angle.";
    assert!(told.contains(unknown), "{told}");
    // The tyre has no part in that.
    assert_eq!(setup_text(folder.path()), before.replace("front 23", "front 25 read=\"2026-05-09\""));
    let recording = json(folder.path(), &RECORD);
    assert_eq!(
        names(&recording["on-unread-ground"], "measure"),
        ["right.brake-lever.angle"],
        "{recording:#}"
    );
    // With the slope it counts: 28 + 4 = 32 on the recorded ground, and 28 + 0 = 28.
    for (floor, is_written) in [("floor 4 with=angle-gauge", false), ("floor 0 with=angle-gauge", true)] {
        let folder = with(&format!("{floor}; {sheet}"), &[]);
        let told = words(folder.path(), &RECORD);
        assert!(!told.contains("Held back"), "{told}");
        assert_eq!(setup_text(folder.path()).contains("angle 28 with=angle-gauge"), is_written, "{told}");
        assert_eq!(setup_text(folder.path()).matches(APPLIED).count(), 2 - usize::from(is_written), "{told}");
    }
}

/// Where the file says nothing of its ground either, nothing is corrected on both sides.
#[test]
fn angles_of_a_file_without_a_floor_are_taken_as_they_read() {
    let folder = with("right { brake-lever { angle 28 } }", &[("    floor 0.0 with=angle-gauge\n", "")]);
    let told = words(folder.path(), &RECORD);
    assert!(!told.contains("Held back"), "{told}");
    assert!(setup_text(folder.path()).contains("angle 28"), "{told}");
}

/// Its line is broken: that it stands as recorded nobody knows, and what it reads is no level position either.
#[test]
fn a_lever_let_go_and_read_on_unread_ground_is_not_known() {
    let folder = with("mark \"R1\" broken; right { brake-lever { from-tip 168; angle 28 } }", &[]);
    let told = words(folder.path(), &RECORD);
    let text = setup_text(folder.path());
    assert!(told.contains("Held back, not written: right brake lever angle 28°"), "{told}");
    assert!(text.contains("angle unmeasured") && !text.contains("28"), "{text}");
    assert!(text.contains("mark R1 was found broken; it read 32° at a roll of -1.5° before"), "{text}");
}

/// The bar was let go on 05-09 and its roll not read; on 05-10 nobody reads it either.
#[test]
fn a_later_gauge_on_a_bar_of_unread_roll_tells_as_little() {
    let folder = with("floor 0; mark \"B1\" broken; torque \"stem-face\" { applied 4.5 }", &[]);
    run(folder.path(), &RECORD);
    let once = setup_text(folder.path());
    assert!(once.contains("roll unmeasured"), "{once}");
    let sheet = "found \"rowan/race\" format=1 { measured \"2026-05-10\"; floor 0
        left { brake-lever { angle 42 } }; right { brake-lever { angle 42 }; shifter { angle 51 } } }\n";
    fs::write(folder.path().join("setups/rowan/loan.kdl"), sheet).expect("written");
    for page in ["diff", "restore", "record"] {
        let told = words(folder.path(), &[page, "rowan/race", "--found", "rowan/loan"]);
        let why = "The bar's roll was not read, and is no longer known since 2026-05-09, when mark B1 was found broken";
        assert!(told.contains(why), "{page}: {told}");
        assert!(told.contains("bar roll not read, and so not known: "), "{page}: {told}");
    }
    assert_eq!(setup_text(folder.path()), once);
    // With the roll, they count.
    let sheet = sheet.replace("floor 0", "floor 0; bar { roll -1.5 }");
    fs::write(folder.path().join("setups/rowan/loan.kdl"), sheet).expect("written");
    let told = words(folder.path(), &RECORD);
    let text = setup_text(folder.path());
    assert_eq!(text.matches("angle 42").count(), 2, "{told}\n{text}");
    assert!(told.contains("reads 42°, and read 32°"), "{told}");
}

/// Saddle and levers all read 2° otherwise: told, and kept for whoever reads the file next; with the slope it is answered.
/// Three angles ±0.2° on both days and the recorded floor ±0.2°: U = 2·√(0.2²·2/9 + 0.2²/3) = 0.30.
#[test]
fn angles_that_read_alike_otherwise_leave_a_note() {
    let saddle = [("    tyres", "    saddle { height 740; tilt -1.0 with=angle-gauge }\n    tyres")];
    let sheet = "saddle { tilt 1 with=angle-gauge }; left { brake-lever { angle 30 with=angle-gauge } }
        right { brake-lever { angle 30 with=angle-gauge } }";
    let folder = with(sheet, &saddle);
    let before = setup_text(folder.path());
    let told = words(folder.path(), &RECORD);
    let note = "note \"2026-05-09 3 angles read 2.00 ± 0.30° higher at tip or nose, all alike: the ground probably sloped\"";
    let once = setup_text(folder.path());
    assert!(once.contains(note), "{told}\n{once}");
    assert!(told.contains("Note at the top: 2026-05-09 3 angles read"), "{told}");
    words(folder.path(), &RECORD);
    assert_eq!(setup_text(folder.path()), once);
    let path = folder.path().join("setups/rowan/loan.kdl");
    let with_floor = fs::read_to_string(&path)
        .expect("the sheet")
        .replace("saddle {", "floor 2 with=angle-gauge\n    saddle {");
    fs::write(path, with_floor).expect("written");
    let told = words(folder.path(), &RECORD);
    assert!(told.contains("Answered, and taken out: 2026-05-09 3 angles read"), "{told}");
    assert_eq!(setup_text(folder.path()), before);
}

/// 780 to 760: nobody is to ride before it is known which bar that is, and the file says so until a sheet answers.
#[test]
fn a_narrower_bar_that_nobody_explained_keeps_from_riding() {
    let folder = with("bar { width 760 }", &[]);
    let before = setup_text(folder.path());
    words(folder.path(), &RECORD);
    let once = setup_text(folder.path());
    let note = "note \"2026-05-09 do not ride: found 20 mm narrower: cut, or another one, nobody says\"";
    assert!(once.contains(note) && once.contains("width 780"), "{once}");
    words(folder.path(), &RECORD);
    assert_eq!(setup_text(folder.path()), once);
    let told = words(folder.path(), &["check", "rowan/race"]);
    assert!(told.contains("found 20 mm narrower"), "{told}");
    // Where the sheet finds it again it is told once.
    for page in ["diff", "restore"] {
        let told = words(folder.path(), &[page, "rowan/race", "--found", "rowan/loan"]);
        assert!(told.contains("Do not ride: bar") && !told.contains("found 20 mm"), "{page}: {told}");
    }
    for (answer, width) in [("width 760; supplied-width 780", "width 760"), ("width 780", "width 780")] {
        fs::write(folder.path().join("setups/rowan/race.kdl"), &once).expect("written");
        let sheet =
            format!("found \"rowan/race\" format=1 {{ measured \"2026-05-12\"; bar {{ {answer} }} }}\n");
        fs::write(folder.path().join("setups/rowan/loan.kdl"), sheet).expect("written");
        let told = words(folder.path(), &RECORD);
        let text = setup_text(folder.path());
        assert!(told.contains("Answered, and taken out: 2026-05-09 do not ride: found 20 mm"), "{told}");
        assert!(!text.contains("do not ride") && text.contains(width), "{text}");
    }
    assert_eq!(setup_text(folder.path()), before);
}

/// What a clamp let go is not known by an angle on ground that nobody read, however tight it is: 4° of slope and 4° of turn
/// read the same.
#[test]
fn an_angle_on_unread_ground_answers_neither_an_opened_clamp_nor_what_was_forgotten() {
    let tight = "torque \"right.brake-lever\" { applied 3 }";
    let read = "right { brake-lever { from-tip 168; angle 32 with=angle-gauge }; shifter { angle 41 } }";
    let pages = |folder: &std::path::Path, is_known: bool| {
        for command in ["diff", "restore", "record"] {
            let page = run(folder, &[command, "rowan/race", "--found", "rowan/loan"]);
            let told = flowing(&page.text);
            let names = told.contains("Do not ride") && told.contains("right brake lever angle");
            assert_eq!(names, !is_known, "{command}: {told}");
            assert!(is_known || page.status == Some(1), "{command}: {told}");
        }
    };
    for opened in ["opened \"right.brake-lever\"", "mark \"R1\" missing"] {
        let sheet = format!("{opened}; {read}; {tight}");
        pages(with(&sheet, &[]).path(), false);
    }
    pages(with(&format!("floor 0; opened \"right.brake-lever\"; {read}; {tight}"), &[]).path(), true);
    // Opened and recorded on one day, read on a later one.
    for (floor, is_known) in [("", false), ("floor 0;", true)] {
        let folder = with(&format!("opened \"right.brake-lever\"; {tight}"), &[]);
        run(folder.path(), &RECORD);
        assert!(setup_text(folder.path()).contains("angle unmeasured"));
        let later =
            format!("found \"rowan/race\" format=1 {{ measured \"2026-05-11\"; {floor} {read}; {tight} }}\n");
        fs::write(folder.path().join("setups/rowan/loan.kdl"), later).expect("written");
        pages(folder.path(), is_known);
    }
}
