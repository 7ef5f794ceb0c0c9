//! What stands beside a reading that is recorded over: comments and notes that spoke of the one before; units and
//! instruments of the sheet.

use std::fs;
use std::path::Path;

use crate::harness::flowing;
use crate::restore::{SETUP, ledger, run, setup_text};

/// The setup with these words in place of others.
fn with(folder: &Path, changes: &[(&str, &str)]) -> String {
    let mut text = SETUP.to_owned();
    for (words, others) in changes {
        assert!(text.contains(words), "{words}");
        text = text.replacen(words, others, 1);
    }
    fs::write(folder.join("setups/rowan/race.kdl"), &text).expect("a setup can be written");
    text
}

fn sheet(folder: &Path, name: &str, day: &str, inside: &str) {
    let text = format!("found \"rowan/race\" format=1 {{\n    measured \"{day}\"\n    {inside}\n}}\n");
    fs::write(folder.join(format!("setups/rowan/{name}.kdl")), text).expect("a sheet can be written");
}

fn record(folder: &Path, name: &str) -> String {
    let screen = run(folder, &["record", "rowan/race", "--found", &format!("rowan/{name}")]);
    assert_ne!(screen.status, Some(2), "{}", screen.text);
    flowing(&screen.text)
}

/// The comment is the user's and stays; that it may speak of what is gone is said.
#[test]
fn a_comment_beside_a_reading_that_is_written_over_is_named() {
    let folder = ledger(&[("loan", "bar { roll 3 with=angle-gauge; offset 4 }; saddle { height 742 }")]);
    let before = with(
        folder.path(),
        &[
            (
                "roll -1.5 with=angle-gauge   // line on the bar",
                "roll -1.5 -1.6 -1.4 with=angle-gauge // read three times",
            ),
            ("offset 0\n", "offset 0 /* by eye */\n"),
            ("width 780\n", "width 780 // not touched\n"),
        ],
    );
    let said = record(folder.path(), "loan");
    assert!(said.contains("Kept beside the new bar roll: // read three times If that is about"), "{said}");
    assert!(said.contains("Kept beside the new bar offset: /* by eye */ If that is about"), "{said}");
    assert!(!said.contains("not touched"), "{said}");
    let after = setup_text(folder.path());
    assert!(after.contains(" // read three times\n"), "{after}");
    assert_ne!(after, before);
}

/// A note of one recording that an angle is not known is over when a later one reads it.
#[test]
fn what_is_read_again_is_no_longer_noted_as_not_known() {
    let folder = ledger(&[("rolled", "bar { roll 3 with=angle-gauge }")]);
    record(folder.path(), "rolled");
    let unknown = setup_text(folder.path());
    let noted = "note \"2026-05-09 angle no longer known: the bar was rolled 4.5° forward; it read 32° at a roll of -1.5° before\"";
    // Both levers.
    assert_eq!(unknown.matches(noted).count(), 2, "{unknown}");
    sheet(
        folder.path(),
        "later",
        "2026-05-12",
        "floor 0 with=angle-gauge; left { brake-lever { angle 36.5 with=angle-gauge } }",
    );
    let said = record(folder.path(), "later");
    assert!(said.contains("left brake lever angle is known again"), "{said}");
    let known = setup_text(folder.path());
    let left = known.lines().find(|line| line.contains("left { brake-lever")).expect("the left lever");
    assert!(left.contains("angle 36.5") && !left.contains("no longer known"), "{known}");
    assert_eq!(known.matches(noted).count(), 1, "the right one is still not known: {known}");
}

/// By hand: 1.8 bar are 26.107 psi (1 psi = 6894.757 Pa), 28 psi 1.9305 bar, 29.5 in 749.3 mm, 0.5 rad 28.648°. What
/// rounding takes is no more than half of what the reading does not know: of ±0.5 psi 26 may stay, of ±0.2° no 29.
#[test]
fn a_reading_in_another_unit_is_written_in_the_unit_of_its_line() {
    let folder = ledger(&[(
        "loan",
        "floor 0 with=angle-gauge; bar { roll (rad)0.0524 with=angle-gauge; width (in)29.5 tol=(mm)0.5; supplied-width 780 }
    left { brake-lever { angle (rad)0.5 tol=(deg)0.2; from-tip (cm)17.2 tol=(mm)0.5 } }
    tyres { front (bar)1.8 tol=(psi)0.5; rear 28 tol=0.5 }",
    )]);
    with(folder.path(), &[("rear 26 }", "rear (bar)1.79 }")]);
    record(folder.path(), "loan");
    let text = setup_text(folder.path());
    for (written, what) in [
        // 0.0524 rad are 3.0023°.
        ("roll 3.0 ", "degrees"),
        ("width 749.3 ", "millimetres"),
        ("angle 28.6", "degrees"),
        ("from-tip 172", "millimetres"),
        ("front 26 ", "psi"),
        ("rear (bar)1.93 ", "bar"),
    ] {
        assert!(text.contains(written), "{what}: {written}: {text}");
    }
}

/// A measure that was not recorded yet keeps the sheet's unit and figures; an instrument that only the sheet knows
/// leaves its tolerance.
#[test]
fn an_instrument_of_the_sheet_alone_leaves_its_tolerance() {
    let folder = ledger(&[(
        "loan",
        "instruments { gauge tol=(bar)0.05; tape tol=(in)0.0625 }
    saddle { height (in)29.2 with=tape }
    tyres { front (bar)1.8 with=gauge; rear 29 with=gauge }",
    )]);
    record(folder.path(), "loan");
    let text = setup_text(folder.path());
    assert!(!text.contains("with=gauge") && !text.contains("with=tape"), "{text}");
    assert!(text.contains("saddle { height (in)29.2 "), "{text}");
    assert!(run(folder.path(), &["check", "rowan/race"]).status != Some(2));
    // A sheet that reads the same again moves nothing: what was written means what was read.
    let again = run(folder.path(), &["diff", "rowan/race", "--found", "rowan/loan", "--json"]);
    let report: serde_json::Value = serde_json::from_str(&again.text).expect("JSON");
    for change in report["changes"].as_array().expect("changes") {
        assert_ne!(change["verdict"], "moved", "{change:#}");
    }
    let tolerances = text.lines().filter(|line| line.contains("front ") && line.contains("tol="));
    assert_eq!(tolerances.count(), 1, "{text}");
}
