//! What a plan opens stays told as not tightened, wherever the written file is asked, until a torque is recorded. The demo
//! bike is the rowan; today is 25 May 2026, and the plan is of that day.

use std::fs;
use std::path::Path;

use serde_json::Value;

use super::rider::{ROWAN, json, ledger, setup, told};

const TORQUES: &str =
    "    torque \"stem-face\" 4 5 { applied 4.5 read=\"2026-05-02\"; caution \"Its maker.\" }
    torque \"left.brake-lever\" 2.5 4 { caution \"Its maker.\" }
    guard";
/// The bar is rolled from −1.5° to 1.5° and the left lever set on it; the right shifter is slid.
const ASKED: [&str; 7] = [
    "try",
    "rowan/race",
    "bar.roll=+3",
    "left.brake-lever.angle=32",
    "right.shifter.from-tip=+4",
    "--write",
    "rowan/tried",
];
/// Everything that is planned, read as planned.
const FOUND: &str = "found \"rowan/tried\" format=1 {
    measured \"2026-05-26\"
    floor 0.0
    bar { roll 1.5; offset 0 }
    left { brake-lever { from-tip 168; angle 32 } }
    right { shifter { from-tip 195; angle 44 } }
}
";
const TOO: &str = "bar in stem, left brake lever.";

fn planned() -> tempfile::TempDir {
    let folder = ledger();
    setup(folder.path(), "rowan/race", &ROWAN.replace("    guard", TORQUES));
    let (status, said) = told(folder.path(), &ASKED);
    assert_eq!(status, 0, "{said}");
    let all = "Opened for this, and not tightened yet: bar in stem, left brake lever, right shifter. What was last applied \
               there counts no more: tighten each to its range before you ride. No torque is known of right shifter: take \
               the part maker's.";
    assert!(said.contains(all), "{said}");
    setup(folder.path(), "rowan/found", FOUND);
    folder
}

fn text(folder: &Path) -> String {
    fs::read_to_string(folder.join("setups/rowan/tried.kdl")).expect("written")
}

fn noted(folder: &Path) -> Vec<String> {
    let found = json(folder, &["check", "rowan/tried"]);
    let findings = found["files"][0]["findings"].as_array().expect("a list").clone();
    let noted = findings.iter().filter(|finding| finding["code"] == "opened-noted");
    let mut joints: Vec<String> =
        noted.map(|finding| finding["measure"].as_str().expect("a joint").to_owned()).collect();
    joints.sort();
    joints
}

#[test]
fn what_a_plan_opens_is_not_tightened_as_long_as_nobody_says_so() {
    let folder = planned();
    assert_eq!(noted(folder.path()), ["left.brake-lever", "right.shifter", "stem-face"]);
    let (status, said) = told(folder.path(), &["check", "rowan/tried"]);
    let words = "A note tells that the left brake lever is opened for what was planned on 2026-05-25: its torque is not \
                 known since.";
    assert!(status == 1 && said.contains(words), "{status}: {said}");
    let open = format!("opened before, torque not read since: {TOO}");
    for asked in [&["torque", "rowan/tried"][..], &["restore", "rowan/tried", "--found", "rowan/found"]] {
        let (status, said) = told(folder.path(), asked);
        assert!(status == 1 && said.contains(&format!("Do not ride: {open}")), "{asked:?} {status}: {said}");
    }
    let (_, said) = told(folder.path(), &[]);
    assert!(said.contains(&format!("rowan/tried: do not ride: {}", open.trim_end_matches('.'))), "{said}");
    // Nothing moved, and yet each of the three has its step.
    let found = json(folder.path(), &["restore", "rowan/tried", "--found", "rowan/found"]);
    let steps = found["steps"].as_array().expect("a list").iter().filter(|step| step["kind"] == "joint");
    let joints: Vec<&Value> = steps.clone().map(|step| &step["joint"]).collect();
    assert_eq!(joints, ["stem-face", "left.brake-lever", "right.shifter"], "{found}");
    for step in steps {
        assert_eq!(step["why"], "opened for what was planned on 2026-05-25, torque not read since", "{step}");
    }
}

/// Where a joint has no torque in the file the note stands at its part, and at the top where there is none.
#[test]
fn the_note_stands_where_the_joint_is_told_of() {
    let folder = planned();
    let written = text(folder.path());
    for words in [
        "torque \"stem-face\" 4 5 { note \"2026-05-25 joint opened, torque not read (planned: applied before this",
        "note \"2026-05-25 joint opened, torque not read (planned)\" }\n    }\n    hose",
    ] {
        assert!(written.contains(words), "{words}: {written}");
    }
    setup(folder.path(), "rowan/race", ROWAN);
    told(folder.path(), &["try", "rowan/race", "stem.twist=1", "--write", "rowan/twisted"]);
    let written = fs::read_to_string(folder.path().join("setups/rowan/twisted.kdl")).expect("written");
    let top = "    note \"2026-05-25 joint stem-steerer opened, torque not read (planned)\"";
    assert!(written.lines().any(|line| line == top), "{written}");
    // A plan made from that plan says it once.
    told(folder.path(), &["try", "rowan/twisted", "stem.twist=2", "--write", "rowan/again"]);
    let written = fs::read_to_string(folder.path().join("setups/rowan/again.kdl")).expect("written");
    assert_eq!(written.matches("stem-steerer opened").count(), 1, "{written}");
}

#[test]
fn a_torque_recorded_since_answers_the_note_and_takes_it_out() {
    let folder = planned();
    let tight = FOUND.replace("\n}\n", "\n    torque \"stem-face\" { applied 4.6 }\n}\n");
    setup(folder.path(), "rowan/found", &tight);
    let (_, said) = told(folder.path(), &["record", "rowan/tried", "--found", "rowan/found"]);
    assert!(said.contains("opened before, torque not read since: left brake lever."), "{said}");
    let written = text(folder.path());
    let face = written.lines().find(|line| line.contains("torque \"stem-face\"")).expect("the joint");
    assert!(face.contains("applied 4.6 read=\"2026-05-26\"") && !face.contains("note"), "{written}");
    assert_eq!(noted(folder.path()), ["left.brake-lever", "right.shifter"]);
}

/// Files of before say it in other words and without a day.
#[test]
fn the_notes_of_earlier_plans_are_known_too() {
    let folder = ledger();
    let torque = |joint: &str, note: &str| format!("    torque \"{joint}\" 4 5 {{ note \"{note}\" }}\n");
    let notes = [
        ("stem-steerer", "applied before this was opened for the change, not since: torque not read"),
        ("stem-face", "applied to the replaced stem and bar, not to what is planned: torque not read"),
        ("left.brake-lever", "applied before the bar was cut and this slid along it: torque not read"),
    ];
    let torques: String = notes.iter().map(|(joint, note)| torque(joint, note)).collect();
    let plan =
        ROWAN.replace("rowan/race", "rowan/tried").replace("    guard", &format!("{torques}    guard"));
    setup(folder.path(), "rowan/tried", &plan);
    assert_eq!(noted(folder.path()), ["left.brake-lever", "stem-face", "stem-steerer"]);
    let (_, said) = told(folder.path(), &["check", "rowan/tried"]);
    let words = "A note tells that the bar in stem is opened for what was planned: its torque";
    assert!(said.contains(words), "{said}");
    let tight =
        "found \"rowan/tried\" format=1 { measured \"2026-05-26\"; torque \"stem-face\" { applied 4.6 } }";
    setup(folder.path(), "rowan/found", tight);
    told(folder.path(), &["record", "rowan/tried", "--found", "rowan/found"]);
    assert!(!text(folder.path()).contains("to the replaced"), "{}", text(folder.path()));
    assert_eq!(noted(folder.path()), ["left.brake-lever", "stem-steerer"]);
}
