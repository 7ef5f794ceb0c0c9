//! A planned figure is no reading: what a sheet reads takes its place, with its instrument and its day, and the plan's
//! notes go as it is read. The demo bikes are the rowan and the alder; the plan is of 25 May 2026.

use std::fs;
use std::path::Path;

use super::rider::{ROWAN, json, ledger, run, setup, told};
use crate::harness::widest;

const INSTRUMENTS: &str = "    instruments { caliper tol=0.1; angle-gauge tol=0.2 }\n    floor 0.0\n";

/// The bar is rolled from −1.5° to 1.5°, and the left lever set on it; the right one goes along to 35°, the shifter to
/// 44°.
fn planned() -> tempfile::TempDir {
    let folder = ledger();
    setup(folder.path(), "rowan/race", &ROWAN.replace("    floor 0.0\n", INSTRUMENTS));
    let asked = ["try", "rowan/race", "bar.roll=+3", "left.brake-lever.angle=32", "--write", "rowan/tried"];
    told(folder.path(), &asked);
    folder
}

fn text(folder: &Path) -> String {
    fs::read_to_string(folder.join("setups/rowan/tried.kdl")).expect("written")
}

/// Records a sheet of the day of the plan.
fn record(folder: &Path, read: &str, more: &[&str]) -> String {
    let sheet = format!("found \"rowan/tried\" format=1 {{ measured \"2026-05-25\"; floor 0.0; {read} }}");
    setup(folder, "rowan/found", &sheet);
    told(folder, &[&["record", "rowan/tried", "--found", "rowan/found"], more].concat()).1
}

const OF_ALL: &str = "note \"Planned with `try` on rowan/race, not measured: bar.roll, left.brake-lever.angle, and what goes \
                      along: right.brake-lever.angle, right.shifter.angle.\"";

#[test]
fn a_reading_takes_the_place_of_the_same_figure_planned() {
    let folder = planned();
    assert!(text(folder.path()).contains(OF_ALL), "{}", text(folder.path()));
    // 1.4 is 0.1 from what is planned, within its half degree; 32 is the very number.
    let read = "bar { roll 1.4 with=angle-gauge }; left { brake-lever { angle 32 with=angle-gauge } }";
    let said = record(folder.path(), read, &[]);
    for words in [
        "bar roll 1.4° planned 1.5°",
        "left brake lever angle 32° as planned",
        "Still planned, and read by nobody: right brake lever angle, right shifter angle.",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
    let written = text(folder.path());
    for words in [
        "roll 1.4 with=angle-gauge read=\"2026-05-25\"",
        "angle 32 with=angle-gauge read=\"2026-05-25\"",
        "note \"Planned with `try` on rowan/race, not measured: right.brake-lever.angle, right.shifter.angle.\"",
        // What nobody read stays as it was planned: the bar stands as it was planned, too.
        "brake-lever { from-tip 168; angle 35;",
    ] {
        assert!(written.contains(words), "{words}: {written}");
    }
    let read = "right { brake-lever { angle 35.1 }; shifter { angle 44 } }";
    let said = record(folder.path(), read, &[]);
    assert!(said.contains("All that was planned is read now: the note that says so is taken out."), "{said}");
    let written = text(folder.path());
    assert!(!written.contains("Planned"), "{written}");
    assert!(written.contains("angle 35.1 read=\"2026-05-25\"; reach"), "{written}");
    assert!(written.contains("angle 44 read=\"2026-05-25\"; lowest"), "{written}");
}

/// A bike that was put back stands as planned, and nobody has read it since.
#[test]
fn what_was_put_back_is_not_read() {
    let folder = planned();
    let read = "bar { roll 1.4 with=angle-gauge }; torque \"stem-face\" { applied 4.5 }";
    record(folder.path(), read, &["--put-back"]);
    let written = text(folder.path());
    assert!(written.contains(OF_ALL) && written.contains("roll 1.5;"), "{written}");
}

#[test]
fn the_note_on_a_part_goes_once_its_figures_are_read() {
    let folder = ledger();
    let parts =
        "parts \"box\" format=1 { stem \"long\" length=60 angle=10 clamp-height=40; spacer 5 count=4 }";
    fs::write(folder.path().join("box.kdl"), parts).expect("written");
    let asked =
        ["carry", "rowan/race", "--onto", "alder/trail", "--parts", "box.kdl", "--write", "rowan/tried"];
    told(folder.path(), &asked);
    let (_, page) = run(folder.path(), 80, &["found", "rowan/tried", "--to", "-"]);
    assert!(page.contains("// length ?") && page.contains("// spacers-below ?"), "{page}");
    let stem = text(folder.path());
    let stem = stem.lines().find(|line| line.contains("stem {")).expect("the stem");
    let angle = if stem.contains("angle -10") { "-10" } else { "10" };
    record(folder.path(), "stem { length 60 tol=0.2 }", &[]);
    assert!(text(folder.path()).contains("to be fitted: stem long"), "{}", text(folder.path()));
    record(folder.path(), &format!("stem {{ angle {angle} tol=0.2 }}"), &[]);
    let written = text(folder.path());
    assert!(
        !written.contains("to be fitted: stem long") && written.contains("60 tol=0.2 read="),
        "{written}"
    );
    // What the plan says of the limits holds as before.
    assert!(written.contains("limits of the replaced stem are not the new maker's"), "{written}");
}

/// A plan of before names no figures: what is bare is planned.
#[test]
fn a_plan_that_names_no_figures_is_read_figure_by_figure() {
    let folder = planned();
    let before = "note \"Planned with `carry` for the hands of rowan/race, not measured: whatever differs from alder/trail.\"";
    setup(folder.path(), "rowan/tried", &text(folder.path()).replace(OF_ALL, before));
    record(folder.path(), "left { brake-lever { angle 32 with=angle-gauge } }", &[]);
    let written = text(folder.path());
    assert!(written.contains("angle 32 with=angle-gauge read=\"2026-05-25\""), "{written}");
    assert!(written.contains(before), "{written}");
    let (_, page) = run(folder.path(), 80, &["record", "rowan/tried", "--found", "rowan/found"]);
    assert!(page.contains("nothing to record") && widest(&page) <= 80, "{page}");
    let found = json(folder.path(), &["record", "rowan/tried", "--found", "rowan/found"]);
    assert!(found["planned"].is_null(), "{found}");
}

/// The plan said it of the old stem; that the sheet finds another one is no reason to say it again.
#[test]
fn the_limits_of_the_old_stem_are_noted_once() {
    let folder = ledger();
    told(folder.path(), &["try", "rowan/race", "stem.length=40", "--write", "rowan/tried"]);
    let said = record(folder.path(), "stem { length 40 tol=0.2; angle 6 tol=0.2 }", &[]);
    let written = text(folder.path());
    assert!(written.contains("angle 6 tol=0.2 read="), "{said}");
    assert_eq!(
        written.matches("limits of the replaced stem are not the new maker's").count(),
        1,
        "{written}"
    );
}
