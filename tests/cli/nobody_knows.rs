//! Where a clamp was let go and nobody read how it stands since: the file keeps telling so until somebody does.

use std::fs;
use std::path::Path;

use crate::harness::flowing;
use crate::restore::{SETUP, json, ledger, run, setup_text};

const RECORD: [&str; 4] = ["record", "rowan/race", "--found", "rowan/loan"];
const BROKEN: &str = "mark \"R1\" broken; torque \"right.brake-lever\" { applied 2.8 }";

/// A sheet of another day.
fn sheet(folder: &Path, name: &str, day: &str, inside: &str) {
    let text = format!("found \"rowan/race\" format=1 {{\n    measured \"{day}\"\n    {inside}\n}}\n");
    fs::write(folder.join(format!("setups/rowan/{name}.kdl")), text).expect("a sheet can be written");
}

fn words(folder: &Path, arguments: &[&str]) -> (Option<i32>, String) {
    let screen = run(folder, arguments);
    (screen.status, flowing(&screen.text))
}

/// The front brake's clamp is tight again, and nobody knows where: every page says so, until it is read.
#[test]
fn a_lever_whose_line_was_broken_is_unknown_until_it_is_read() {
    assert_eq!(run(ledger(&[]).path(), &["check", "rowan/race"]).status, Some(0));
    let folder = ledger(&[("loan", BROKEN)]);
    let (status, told) = words(folder.path(), &RECORD);
    assert_eq!(status, Some(1), "{told}");
    let lost = "right brake lever place, right brake lever angle, right shifter angle";
    assert!(told.contains(&format!("{lost} no longer known: mark R1 was found broken")), "{told}");
    let text = setup_text(folder.path());
    for kept in [
        "right { brake-lever { from-tip unmeasured; angle unmeasured",
        "note \"2026-05-09 from-tip no longer known: mark R1 was found broken; it read 6.61 in before\"",
        "note \"2026-05-09 angle no longer known: mark R1 was found broken; it read 32° at a roll of -1.5° before\"",
        "note \"2026-05-09 angle no longer known: mark R1 was found broken; it read 41° at a roll of -1.5° before\"",
        "applied 2.8 read=\"2026-05-09\"",
        "left { brake-lever { from-tip 168; angle 32 with=angle-gauge",
    ] {
        assert!(text.contains(kept), "{kept}: {text}");
    }
    let since = format!("no longer known since 2026-05-09: {lost}");
    for page in [&["check", "rowan/race"][..], &[], &["torque", "rowan/race"]] {
        let (status, told) = words(folder.path(), page);
        assert!(status == Some(1) && told.contains(&since), "{page:?}: {told}");
    }
    let told = words(folder.path(), &["check", "rowan/race"]).1;
    let said = "Right brake lever angle is no longer known since 2026-05-09, when mark R1 was found broken; it read 32° at a roll of -1.5° before.";
    assert!(told.contains(said), "{told}");
    // A later sheet that tightens it and looks at the other lever does not make it known.
    sheet(
        folder.path(),
        "later",
        "2026-05-10",
        "mark \"L1\" aligned; torque \"right.brake-lever\" { applied 2.9 }",
    );
    for page in ["diff", "restore", "record"] {
        let (status, told) = words(folder.path(), &[page, "rowan/race", "--found", "rowan/later"]);
        assert!(status == Some(1) && told.contains("Do not ride: "), "{page}: {told}");
        assert!(told.contains("no longer known"), "{page}: {told}");
    }
    let plan = json(folder.path(), &["restore", "rowan/race", "--found", "rowan/later"]);
    let steps = plan["steps"].as_array().expect("steps");
    let lever = steps.iter().find(|step| step["joint"] == "right.brake-lever").expect("a step for the lever");
    assert_eq!(lever["why"], "nobody knows how it stands since 2026-05-09: mark R1 was found broken");
    assert!(lever["unknown"].to_string().contains("it read 6.61 in before"), "{lever:#}");
    // Of what a sheet reads again only the rest is asked for.
    sheet(
        folder.path(),
        "half",
        "2026-05-10",
        "floor 0 with=angle-gauge; right { brake-lever { from-tip 168; angle 32 with=angle-gauge } }",
    );
    let plan = json(folder.path(), &["restore", "rowan/race", "--found", "rowan/half"]);
    let steps = plan["steps"].as_array().expect("steps");
    let lever = steps.iter().find(|step| step["joint"] == "right.brake-lever").expect("a step for the lever");
    let unknown: Vec<&str> =
        lever["unknown"].as_array().expect("a list").iter().filter_map(|words| words.as_str()).collect();
    assert!(unknown.len() == 1 && unknown[0].starts_with("right shifter angle"), "{lever:#}");
    // What was read before the line broke tells nothing of how it stands since.
    let read = "floor 0 with=angle-gauge; right { brake-lever { from-tip 168; angle 32 with=angle-gauge }; shifter { angle 41 } }";
    sheet(folder.path(), "before", "2026-05-08", read);
    let before = setup_text(folder.path());
    let (_, told) = words(folder.path(), &["record", "rowan/race", "--found", "rowan/before"]);
    assert!(told.contains("right brake lever angle of 2026-05-08 is not written"), "{told}");
    assert_eq!(setup_text(folder.path()), before);
    // Read since, it is known again, and the old sheet told twice changes nothing.
    sheet(folder.path(), "read", "2026-05-11", read);
    let (status, told) = words(folder.path(), &["record", "rowan/race", "--found", "rowan/read"]);
    assert!(status == Some(0) && told.contains("right brake lever angle is known again"), "{told}");
    let (status, told) = words(folder.path(), &["check", "rowan/race"]);
    assert!(status == Some(0) && !told.contains("no longer known"), "{told}");
    let known = setup_text(folder.path());
    run(folder.path(), &RECORD);
    assert_eq!(setup_text(folder.path()), known);
}

/// Back to a revision that knows where it stood, it is set there.
#[test]
fn another_line_or_a_reading_tells_how_it_stands() {
    for (inside, left) in [
        // Read in full: nothing is lost.
        (
            "floor 0 with=angle-gauge; mark \"L1\" broken; left { brake-lever { from-tip 168; angle 32 with=angle-gauge } }",
            vec![],
        ),
        (
            "floor 0 with=angle-gauge; mark \"L1\" broken; left { brake-lever { angle 32 with=angle-gauge } }",
            vec!["from-tip"],
        ),
        // A second line across the clamp meets at both.
        ("mark \"L1\" broken; mark \"L2\" aligned", vec![]),
        ("mark \"L1\" missing", vec!["from-tip", "angle"]),
        ("opened \"left.brake-lever\"; torque \"left.brake-lever\" { applied 3 }", vec!["from-tip", "angle"]),
        ("opened \"left.brake-lever\"; mark \"L1\" aligned", vec![]),
    ] {
        let folder = ledger(&[("loan", inside)]);
        let text = SETUP.replace(
            "    mark \"R1\"",
            "    mark \"L2\" on=\"left.brake-lever\" { drawn from-tip=168 angle=32 }\n    mark \"R1\"",
        );
        fs::write(folder.path().join("setups/rowan/race.kdl"), &text).expect("written");
        let told = json(folder.path(), &RECORD);
        let gone = told["no-longer-known"].as_array().expect("a list");
        let gone: Vec<&str> = gone.iter().filter_map(|one| one["measure"].as_str()).collect();
        let expected: Vec<String> = left.iter().map(|word| format!("left.brake-lever.{word}")).collect();
        assert_eq!(gone, expected, "{inside}");
        // Stood as recorded again, nothing is lost either.
        fs::write(folder.path().join("setups/rowan/race.kdl"), &text).expect("written");
        let told = json(folder.path(), &[&RECORD[..], &["--put-back"]].concat());
        assert_eq!(told["no-longer-known"], serde_json::json!([]), "{inside}: {told:#}");
        assert!(!setup_text(folder.path()).contains("unmeasured"), "{inside}");
    }
}

/// A bar that stands nobody knows how tells no angle against gravity on it, and no grip point.
#[test]
fn a_bar_whose_line_was_broken_leaves_no_angle_on_it_known() {
    let folder = ledger(&[("loan", "mark \"B1\" broken; torque \"stem-face\" { applied 4.5 }")]);
    let told = json(folder.path(), &RECORD);
    let gone = told["no-longer-known"].as_array().expect("a list");
    let gone: Vec<&str> = gone.iter().filter_map(|one| one["measure"].as_str()).collect();
    let expected = [
        "bar.roll",
        "bar.offset",
        "left.brake-lever.angle",
        "right.brake-lever.angle",
        "right.shifter.angle",
    ];
    let mut sorted = gone.clone();
    sorted.sort_unstable();
    let mut all = expected;
    all.sort_unstable();
    assert_eq!(sorted, all);
    let text = setup_text(folder.path());
    assert!(
        text.contains("roll unmeasured   // line on the bar") && text.contains("offset unmeasured"),
        "{text}"
    );
    let (status, told) = words(folder.path(), &["check", "rowan/race"]);
    assert!(status == Some(1) && told.contains("no longer known since 2026-05-09: bar roll"), "{told}");
    let grips = json(folder.path(), &["grips", "rowan/race"]);
    assert!(grips["missing"].to_string().contains("bar.roll"), "{grips:#}");
}
