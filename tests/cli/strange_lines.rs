//! Lines of which the file does not know where they were drawn, or when: one answer on every page.

use std::path::Path;

use serde_json::Value;

use crate::harness::flowing;
use crate::restore::{SETUP, json, ledger, run, setup_text};

const SHEET: [&str; 3] = ["rowan/race", "--found", "rowan/loan"];

fn words(folder: &Path, command: &str, sheet: &str) -> (Option<i32>, String) {
    let screen = run(folder, &[command, "rowan/race", "--found", sheet]);
    (screen.status, flowing(&screen.text))
}

/// 3 mm on 22.2 mm are 3 · 360 / (π · 22.2) = 15.49°, beyond what a line of 0.5 mm can be misread by.
#[test]
fn a_line_that_only_the_sheet_knows_shows_that_its_joint_turned() {
    let folder = ledger(&[("loan", "mark \"X1\" on=\"right.brake-lever\" off=3; mark \"L1\" aligned")]);
    let (status, diff) = words(folder.path(), "diff", "rowan/loan");
    assert!(
        status == Some(1)
            && diff.contains("Do not ride: mark X1 on the front brake lever (right) stands apart"),
        "{diff}"
    );
    let plan = json(folder.path(), &[&["restore"][..], &SHEET].concat());
    let mark = plan["marks"].as_array().and_then(|marks| marks.iter().find(|mark| mark["name"] == "X1"));
    let mark = mark.expect("the mark");
    assert_eq!(mark["state"], "off");
    assert!((mark["turned"].as_f64().expect("degrees") - 15.485).abs() < 0.005, "{mark:#}");
    assert!(!mark["words"].to_string().contains("no evidence"), "{mark:#}");
    let steps = plan["steps"].as_array().expect("steps");
    let lever = steps.iter().find(|step| step["joint"] == "right.brake-lever").expect("a step for the lever");
    assert_eq!(lever["why"], "the halves of mark X1 stand apart");
    assert_eq!(lever["torque"]["from"], 2.5);
    assert!(lever["moves"].to_string().contains("right.brake-lever.angle"), "{lever:#}");
    assert_eq!(steps.last().expect("checks")["kind"], "checks");
    let (status, told) = words(folder.path(), "record", "rowan/loan");
    assert!(status == Some(1) && told.contains("mark X1 on the right brake lever found off"), "{told}");
    let text = setup_text(folder.path());
    assert!(text.contains("note \"2026-05-09 mark X1 on right.brake-lever found off=3\""), "{text}");
    assert!(text.contains("joint opened, torque not read"), "{text}");
    // It tells of a turn, from nobody knows where.
    assert!(text.contains("from-tip (in)6.61; angle unmeasured"), "{text}");
    run(folder.path(), &[&["record"][..], &SHEET].concat());
    assert_eq!(setup_text(folder.path()), text);
    // Within its own width it tells nothing: 0.3 mm, 1.55°, against 2 · 2.58 / √3 = 2.98°.
    let folder = ledger(&[("loan", "mark \"X1\" on=\"right.brake-lever\" off=0.3; mark \"L1\" aligned")]);
    for command in ["diff", "restore", "record"] {
        let (status, told) = words(folder.path(), command, "rowan/loan");
        assert_eq!(status, Some(0), "{command}: {told}");
    }
}

/// A sheet that finds the line of the left lever broken and reads where it was set again.
fn set_again(place: f64, angle: f64) -> String {
    format!(
        "floor 0 with=angle-gauge; mark \"L1\" broken; left {{ brake-lever {{ from-tip {place}; angle {angle} \
         with=angle-gauge }} }}"
    )
}

/// The morning's sheet was recorded and the line drawn anew. At noon it is found broken again, in the same place and not
/// tightened: that is not that sheet, and nobody can tell which line is meant.
#[test]
fn of_a_line_drawn_that_very_day_it_is_asked_which_one_is_meant() {
    let folder = ledger(&[("loan", &set_again(172.0, 32.0)), ("noon", &set_again(172.0, 32.2))]);
    let drawn = run(folder.path(), &[&["record"][..], &SHEET, &["--mark"]].concat());
    assert!(setup_text(folder.path()).contains("found broken, drawn anew"), "{}", drawn.text);
    let asks = "mark L1 on the rear brake lever (left) was not found in line on the day on which it was drawn anew: look \
                whether it is the new line that fails";
    for command in ["diff", "restore"] {
        let (status, told) = words(folder.path(), command, "rowan/noon");
        assert!(status == Some(1) && told.contains(asks), "{command}: {told}");
        assert!(told.find("Do not ride: ") < told.find("Nothing moved").or(Some(usize::MAX)), "{told}");
    }
    let (status, told) = words(folder.path(), "record", "rowan/noon");
    assert!(
        status == Some(1) && told.contains("Do not ride: mark L1 on the left brake lever found broken"),
        "{told}"
    );
    // The morning's own sheet is plainly the one that was recorded.
    let (_, told) = words(folder.path(), "diff", "rowan/loan");
    assert!(!told.contains("look whether it is the new line"), "{told}");
}

/// The same hand on another brake kills who does not know of it.
#[test]
fn that_the_front_brake_is_on_the_other_hand_is_said_when_it_is_recorded() {
    let folder = ledger(&[("loan", "rider { front-brake left }")]);
    let said = json(folder.path(), &[&["record"][..], &SHEET].concat());
    assert_eq!(said["headline"], "Do not ride: the front brake is on the left hand now.");
    assert!(setup_text(folder.path()).contains("front-brake left"));
    // Recorded, it is how the bike is.
    let again = run(folder.path(), &[&["record"][..], &SHEET].concat());
    assert_eq!(again.status, Some(0), "{}", again.text);
    let folder = ledger(&[("loan", "rider { front-brake right }")]);
    let same = json(folder.path(), &[&["record"][..], &SHEET].concat());
    assert_eq!(same["headline"], Value::Null);
}

/// The lever was opened, set again and read within reading of what is recorded, and its line drawn from that. The very sheet it
/// was drawn from asks nobody to look again; another of that day that reads it otherwise does.
#[test]
fn the_sheet_a_line_was_drawn_from_is_known_though_it_reads_within_reading() {
    let folder = ledger(&[("loan", &set_again(168.2, 32.1)), ("noon", &set_again(168.2, 32.3))]);
    run(folder.path(), &[&["record"][..], &SHEET, &["--mark"]].concat());
    let text = setup_text(folder.path());
    assert!(text.contains("from-tip 168.2 read=\"2026-05-09\"; angle 32.1 with=angle-gauge read"), "{text}");
    assert!(text.contains("drawn from-tip=168.2 angle=32.1 roll=-1.5 read=\"2026-05-09\""), "{text}");
    let asks = "look whether it is the new line that fails";
    let (_, told) = words(folder.path(), "diff", "rowan/loan");
    assert!(!told.contains(asks) && told.contains("Nothing moved"), "{told}");
    let (_, told) = words(folder.path(), "diff", "rowan/noon");
    assert!(told.contains(asks), "{told}");
    // Recorded a second time it changes nothing.
    run(folder.path(), &[&["record"][..], &SHEET, &["--mark"]].concat());
    assert_eq!(setup_text(folder.path()), text);
}

/// A post that sank 48 mm leaves a line that far apart: nothing there goes round a bar, and no angle is told. Half a line's
/// width apart it did not move: 2 · 0.5 / √3 = 0.58 mm.
#[test]
fn a_line_that_shows_no_turn_tells_millimetres() {
    let setup = SETUP.replace(
        "    mark \"B1\"",
        "    saddle { height 735 }\n    mark \"P1\" on=\"seat-clamp\" { drawn height=735 }\n    mark \"B1\"",
    );
    let found = |off: &str| {
        let folder = ledger(&[("loan", &format!("mark \"P1\" off={off}"))]);
        std::fs::write(folder.path().join("setups/rowan/race.kdl"), &setup).expect("written");
        let (_, diff) = words(folder.path(), "diff", "rowan/loan");
        let plan = json(folder.path(), &[&["restore"][..], &SHEET].concat());
        let mark = plan["marks"].as_array().expect("marks").iter().find(|mark| mark["name"] == "P1").cloned();
        (diff, mark.expect("the mark"))
    };
    let (diff, mark) = found("48");
    assert!(diff.contains("P1 across seat clamp: stands 48 mm apart: it moved by as much."), "{diff}");
    assert_eq!((&mark["state"], &mark["turned"]), (&"off".into(), &Value::Null));
    assert_eq!(
        mark["words"],
        "Mark P1 stands 48.0 mm apart. The seat clamp moved by as much; it tells no angle."
    );
    let (diff, _) = found("0.5");
    assert!(diff.contains("P1 across seat clamp: stands 0.5 mm apart: within the line's width."), "{diff}");
    // Half way round a bar is the most that a line on it shows, π · 22.2 / 2 = 34.9 mm.
    let folder = ledger(&[("loan", "mark \"L1\" off=48")]);
    let (_, told) = words(folder.path(), "diff", "rowan/loan");
    assert!(told.contains("35 is half way round"), "{told}");
}
