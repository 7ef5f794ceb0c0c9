//! `record --mark` and lines that nobody looked at or measured in full, through the program: a new day vouches for all of a line.
//!
//! Recorded: levers 168 mm from the tip at 30° and 32°, their lines drawn there on 05-02 at a roll of 0°.

use serde_json::Value;
use tempfile::TempDir;

use crate::kept_figure::{SHEET, bike, page, sheet};
use crate::restore::{json, setup_text};

fn drawn(folder: &TempDir) -> Value {
    json(folder.path(), &["record", "rowan/race", "--found", SHEET, "--mark"])
}

fn names(recording: &Value) -> Vec<&str> {
    recording["marks"].as_array().expect("marks").iter().filter_map(Value::as_str).collect()
}

/// Its place is read where nobody knew it, its angle nobody knows still.
#[test]
fn a_line_is_not_drawn_at_an_angle_that_nobody_knows() {
    let lever = "left { brake-lever { from-tip 168; angle 30 with=angle-gauge } }";
    let lost = "left { brake-lever { from-tip unmeasured; angle unmeasured
        note \"2026-05-05 from-tip no longer known: the bar was cut 7 mm off each end; it read 175 mm before\"
        note \"2026-05-05 angle no longer known: mark F1 was found broken; it read 30° at a roll of 0° before\" } }";
    let folder = bike(&[(lever, lost)]);
    sheet(&folder, 9, "floor 0 with=angle-gauge; left { brake-lever { from-tip 160 } }");
    let recording = drawn(&folder);
    assert_eq!(names(&recording), ["L1"], "{recording:#}");
    assert_eq!(recording["left-out"][0]["measure"], "left.brake-lever.angle", "{recording:#}");
    let text = setup_text(folder.path());
    assert!(text.contains("drawn from-tip=160 read=\"2026-05-09\""), "{text}");
    assert!(text.contains("drawn anew, angle not read"), "{text}");
}

/// Cut by 10 mm at each end, 168 - 10 = 158: the right line stands where it was drawn, and nobody read the angle there.
#[test]
fn a_line_on_a_bar_that_was_cut_keeps_its_day() {
    let folder = bike(&[]);
    sheet(
        &folder,
        9,
        "floor 0 with=angle-gauge
    bar { roll 0 with=angle-gauge; width 760; offset 0 }
    left { brake-lever { from-tip 158; angle 30 with=angle-gauge } }
    right { brake-lever { from-tip 158 } }
    mark \"L1\" aligned
    mark \"H1\" aligned",
    );
    for run in 1..=2 {
        let recording = drawn(&folder);
        assert!(names(&recording).is_empty(), "run {run}: {recording:#}");
        let text = setup_text(folder.path());
        let line =
            "mark \"R1\" on=\"right.brake-lever\" { drawn from-tip=158.0 angle=32 roll=0 read=\"2026-05-02\"";
        assert!(text.contains(line), "run {run}: {text}");
    }
    // Turned by hand meanwhile, it stands apart: that is no line of this day which meets.
    sheet(&folder, 16, "bar { roll 0 with=angle-gauge }; mark \"R1\" off=-2.0");
    let (status, told) = page(&folder, &["diff"]);
    assert!(status == Some(1) && told.contains("R1") && told.contains("Do not ride"), "{told}");
}

/// Rolled by 6°, the right lever went along from 32° to 38°; whether it was slid nobody looked.
#[test]
fn a_line_on_a_rolled_bar_whose_place_nobody_read_keeps_its_day() {
    let folder = bike(&[]);
    sheet(
        &folder,
        9,
        "floor 0 with=angle-gauge; bar { roll 6 with=angle-gauge; offset 0 }
        right { brake-lever { angle 38 with=angle-gauge } }",
    );
    for run in 1..=2 {
        let recording = drawn(&folder);
        assert!(!names(&recording).contains(&"R1"), "run {run}: {recording:#}");
        let text = setup_text(folder.path());
        assert!(text.contains("drawn from-tip=168 angle=32 roll=0 read=\"2026-05-02\""), "run {run}: {text}");
    }
}

/// 168.2 for 168 is within reading, and nobody read the angle: asked to write even that, the line stays as old as it is.
#[test]
fn a_place_within_reading_draws_no_line_at_an_angle_that_was_not_read() {
    let folder = bike(&[]);
    sheet(&folder, 9, "floor 0 with=angle-gauge; left { brake-lever { from-tip 168.2 } }");
    page(&folder, &["record", "--mark", "--all"]);
    let text = setup_text(folder.path());
    assert!(text.contains("from-tip 168.2"), "{text}");
    assert!(text.contains("drawn from-tip=168 angle=30 roll=0 read=\"2026-05-02\""), "{text}");
}
