//! What an opened joint lets go, what its line is then worth, and what nobody can know of it, through the program.

use serde_json::Value;

use crate::harness::flowing;
use crate::restore::{joints, json, ledger, run};

fn step<'p>(plan: &'p Value, joint: &str) -> &'p Value {
    let steps = plan["steps"].as_array().expect("steps");
    steps.iter().find(|step| step["joint"] == joint).unwrap_or_else(|| panic!("no step at {joint}: {plan:#}"))
}

/// Measure, words and mark of each, in order.
fn said<'p>(step: &'p Value, key: &str) -> Vec<(&'p str, &'p str, Option<&'p str>)> {
    let moves = step[key].as_array().expect("a list").iter();
    moves
        .map(|one| {
            let word = |key: &str| one[key].as_str().expect("a word");
            (word("measure"), word("move"), one["mark"].as_str())
        })
        .collect()
}

#[test]
fn what_stood_right_is_kept_while_its_joint_is_open() {
    // A lever that is slid along the bar turns, a bar that is shifted rolls: what was read right goes with it.
    let sheet = "floor 0 with=angle-gauge
        steerer { spacers-below 10 with=caliper; spacers-above 10 with=caliper }
        stem { twist 0 }
        bar { roll -1.5 with=angle-gauge; offset 4 }
        left { brake-lever { from-tip 150; angle 32 with=angle-gauge } }
        mark \"B1\" missing";
    let folder = ledger(&[("loan", sheet)]);
    let plan = json(folder.path(), &["restore", "rowan/race", "--found", "rowan/loan"]);
    let stem = step(&plan, "stem-steerer");
    assert_eq!(said(stem, "keeps"), [("stem.twist", "keep it at 0.0°", None)]);
    assert!(
        stem["check"].as_str().expect("a proof").starts_with("Bar square, sighted along the front wheel"),
        "{stem:#}"
    );
    let bar = step(&plan, "stem-face");
    assert_eq!(said(bar, "keeps"), [("bar.roll", "keep it at -1.5°", None)]);
    let lever = step(&plan, "left.brake-lever");
    assert_eq!(
        said(lever, "moves"),
        [("left.brake-lever.from-tip", "move it 18.0 mm inboard, to 168.0 mm", Some("L1"))]
    );
    assert_eq!(said(lever, "keeps"), [("left.brake-lever.angle", "keep it at 32.0°", Some("L1"))]);
    let page = run(folder.path(), &["restore", "rowan/race", "--found", "rowan/loan"]);
    assert!(page.text.contains("left brake lever angle: keep it at 32.0°, mark L1"), "{}", page.text);
}

#[test]
fn a_line_to_a_spacer_tells_nothing_once_the_stem_was_off() {
    // The spacers changed places: the one under the stem, with the line's other half, turned freely.
    for state in ["aligned", "off=0.9"] {
        let sheet = format!(
            "steerer {{ spacers-below 5 with=caliper; spacers-above 15 with=caliper }}; mark \"S1\" {state}"
        );
        let folder = ledger(&[("loan", &sheet)]);
        let diff = json(folder.path(), &["diff", "rowan/race", "--found", "rowan/loan"]);
        let measures = diff["changes"].as_array().expect("changes");
        assert!(measures.iter().all(|change| change["measure"] != "stem.twist"), "{state}: {diff:#}");
        let left = diff["not-looked-at"].as_array().expect("a list");
        assert!(left.iter().any(|one| one["measure"] == "stem.twist"), "{state}: {diff:#}");
        let plan = json(folder.path(), &["restore", "rowan/race", "--found", "rowan/loan"]);
        let stem = step(&plan, "stem-steerer");
        assert!(said(stem, "moves").contains(&("stem.twist", "set it to 0.0°", None)), "{stem:#}");
        assert!(stem["cautions"].to_string().contains("Do not set by mark S1"), "{stem:#}");
        let mark = plan["marks"].as_array().expect("marks").iter().find(|mark| mark["name"] == "S1");
        assert_eq!(mark.expect("the mark")["state"], "on-another-part");
    }
    // A twist that was read is no contradiction to it.
    let sheet = "steerer { spacers-below 5 with=caliper; spacers-above 15 with=caliper }
        stem { twist 4 }
        mark \"S1\" aligned";
    let folder = ledger(&[("loan", sheet)]);
    let plan = json(folder.path(), &["restore", "rowan/race", "--found", "rowan/loan"]);
    assert_eq!(plan["blocked"], Value::Array(Vec::new()), "{plan:#}");
    let stem = step(&plan, "stem-steerer");
    assert!(
        said(stem, "moves").contains(&("stem.twist", "turn it 4.0° to the right, to 0.0°", None)),
        "{stem:#}"
    );
}

#[test]
fn bars_in_the_box_are_put_back_on() {
    let folder = ledger(&[("flight", "opened \"stem-face\"; opened \"front-axle\"; mark \"S1\" aligned")]);
    let page = run(folder.path(), &["restore", "rowan/race", "--found", "rowan/flight"]);
    assert_eq!(page.status, Some(1), "{}", page.text);
    assert!(
        page.text.contains(
            "Do not ride: opened, torque unknown: bar in stem, front axle; no torque known:\n  front axle."
        ),
        "{}",
        page.text
    );
    let plan = json(folder.path(), &["restore", "rowan/race", "--found", "rowan/flight"]);
    assert_eq!(joints(&plan), ["inspection", "stem-face", "front-axle", "checks"]);
    let bar = step(&plan, "stem-face");
    assert!(bar["first"].as_str().expect("what comes first").starts_with("The bar held:"), "{bar:#}");
    assert_eq!(
        said(bar, "moves"),
        [("bar.roll", "set it to -1.5°", Some("B1")), ("bar.offset", "set it to 0.0 mm", None)]
    );
    let diff = run(folder.path(), &["diff", "rowan/race", "--found", "rowan/flight"]);
    assert_eq!(diff.status, Some(1), "{}", diff.text);
    assert!(diff.text.contains("bar in stem: opened, torque unknown"), "{}", diff.text);
    let record = run(folder.path(), &["record", "rowan/race", "--found", "rowan/flight"]);
    assert!(record.text.contains("bar in stem"), "{}", record.text);
    let text = crate::restore::setup_text(folder.path());
    assert!(text.contains("note \"2026-05-09 joint opened, torque not read\""), "{text}");
}

#[test]
fn a_joint_that_no_bike_has_cannot_be_opened() {
    let folder = ledger(&[("flight", "opened \"stem-fase\"")]);
    let page = run(folder.path(), &["check", "rowan/flight"]);
    assert_eq!(page.status, Some(1), "{}", page.text);
    assert!(page.text.contains("stem-fase") && page.text.contains("stem-face"), "{}", page.text);
}

#[test]
fn angles_read_on_unread_ground_are_no_proof() {
    let sheet = "left { brake-lever { angle 32 with=angle-gauge } }";
    let folder = ledger(&[("loan", sheet)]);
    for arguments in [
        ["restore", "rowan/race", "--found", "rowan/loan"],
        ["diff", "rowan/race", "--found", "rowan/loan"],
        ["record", "rowan/race", "--found", "rowan/loan"],
    ] {
        let page = run(folder.path(), &arguments);
        let words = flowing(&page.text);
        assert!(
            words.contains("The slope of the ground was not read (floor), and is taken for level: left brake lever angle."),
            "{arguments:?}: {}",
            page.text
        );
    }
    // With it, or where no floor is recorded either, there is nothing to say.
    let folder =
        ledger(&[("loan", "floor 0 with=angle-gauge; left { brake-lever { angle 32 with=angle-gauge } }")]);
    let page = run(folder.path(), &["restore", "rowan/race", "--found", "rowan/loan"]);
    assert!(!page.text.contains("not read (floor)"), "{}", page.text);
}

#[test]
fn no_brake_is_pulled_before_its_wheel_is_in() {
    let folder = ledger(&[]);
    let path = folder.path().join("setups/rowan/race.kdl");
    let torque = "    torque \"front-axle\" 9 11 { caution \"Seated.\" }\n    tyres {";
    let text = std::fs::read_to_string(&path).expect("the setup").replacen("    tyres {", torque, 1);
    std::fs::write(&path, text).expect("the setup is written");
    let plan = json(folder.path(), &["restore", "rowan/race"]);
    let axle = step(&plan, "front-axle")["number"].as_u64().expect("a number");
    let inspection = plan["steps"][0]["cautions"].to_string();
    assert!(inspection.contains("Pull no brake lever while a wheel, rotor or brake is out"), "{inspection}");
    assert!(inspection.contains(&format!("is proved once step {axle} is done")), "{inspection}");
    let lever = step(&plan, "right.brake-lever");
    assert!(lever["check"].as_str().expect("a proof").starts_with("With the wheels in"), "{lever:#}");
}

#[test]
fn what_recording_holds_back_is_not_set_either() {
    // The line on the left lever meets, and the lever reads 4° up on a bar that rolled: one of the two is false, and
    // with it how the bar stands.
    let sheet = "floor 0 with=angle-gauge
        bar { roll 1.5 with=angle-gauge }
        left { brake-lever { angle 31 with=angle-gauge } }
        mark \"L1\" aligned";
    let folder = ledger(&[("loan", sheet)]);
    let plan = json(folder.path(), &["restore", "rowan/race", "--found", "rowan/loan"]);
    let bar = step(&plan, "stem-face");
    assert_eq!((&bar["blocked"], &bar["torque"]), (&Value::Bool(true), &Value::Null), "{bar:#}");
}

#[test]
fn the_dialogue_takes_what_is_apart() {
    // Stem, frame, fork, bar: the bar lies in the box; then taken back and said again.
    let folder = ledger(&[]);
    let asked = crate::dialogue::ask(
        folder.path(),
        "good\napart\ngood\ngood\nopened\nback\ngood\nback\napart\nquit\n",
    );
    assert_eq!(asked.status, Some(1), "{}", asked.text);
    // A frame is not apart: that is said at its joint.
    assert!(asked.text.contains("Say what is apart at the stem on steerer"), "{}", asked.text);
    assert!(asked.text.contains("kept as apart: the way back puts it together"), "{}", asked.text);
    assert!(asked.text.contains("Do not ride: opened, torque unknown: bar in stem."), "{}", asked.text);
    let sheet = std::fs::read_to_string(folder.path().join("sheet.kdl")).expect("the sheet");
    assert_eq!(sheet.matches("opened \"stem-face\"").count(), 1, "{sheet}");
    assert!(!sheet.contains("looked over and good: bar"), "{sheet}");
}
