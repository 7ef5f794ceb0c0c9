//! A plan that was built: what is still to be tightened has its step and its command, what the new stem has otherwise than
//! the old one is its own figure, and only a recording makes readings of what was planned. The demo bike is the rowan with
//! a stem of 40 mm in place of 50; today is 25 May 2026, and the plan is of that day.

use std::path::Path;

use serde_json::Value;

use super::rider::{ROWAN, json, ledger, run, setup, told};
use crate::harness::widest;

const TORQUES: &str =
    "    torque \"stem-steerer\" 5 6 { applied 5.5 read=\"2026-05-02\"; caution \"Its maker.\" }
    torque \"stem-face\" 4 5 { applied 4.5 read=\"2026-05-02\"; caution \"Its maker.\" }
    guard";
const COMMAND: &str = "clampmark record rowan/tried --found rowan/found";

fn planned() -> tempfile::TempDir {
    let folder = ledger();
    setup(folder.path(), "rowan/race", &ROWAN.replace("    guard", TORQUES));
    let (_, said) = told(folder.path(), &["try", "rowan/race", "stem.length=40", "--write", "rowan/tried"]);
    assert!(said.contains("Written as rowan/tried"), "{said}");
    folder
}

/// Everything at both joints of the stem as planned but for the stem's angle, both tightened.
fn found(folder: &Path, angle: &str, torques: &str) {
    let sheet = format!(
        "found \"rowan/tried\" format=1 {{
            measured \"2026-05-25\"
            floor 0.0
            steerer {{ spacers-below 15; spacers-above 5 }}
            stem {{ length 40; angle {angle}; clamp-height 40; twist 0 }}
            bar {{ roll -1.5; offset 0 }}
            {torques}
        }}"
    );
    setup(folder, "rowan/found", &sheet);
}

const TIGHT: &str = "torque \"stem-steerer\" { applied 5 }; torque \"stem-face\" { applied 4.5 }";
const RESTORE: [&str; 4] = ["restore", "rowan/tried", "--found", "rowan/found"];

fn joints(folder: &Path) -> Vec<Value> {
    let plan = json(folder, &RESTORE);
    let steps = plan["steps"].as_array().expect("a list");
    steps.iter().filter(|step| step["kind"] == "joint").map(|step| step["joint"].clone()).collect()
}

#[test]
fn each_joint_of_the_headline_has_its_step_and_the_page_what_closes_it() {
    let folder = planned();
    found(folder.path(), "0", TIGHT);
    assert_eq!(joints(folder.path()), ["stem-steerer", "stem-face"]);
    let (status, said) = told(folder.path(), &RESTORE);
    assert_eq!(status, 1, "{said}");
    for words in [
        "Do not ride: tightened for another part, its maker's figure not known: stem on steerer, bar in stem. ",
        "write it in the file, in N·m: `torque \"stem-steerer\" FROM TO`. A range of the old part goes, and with it the \
         caution that says whose it is.",
        "`torque \"stem-steerer\" FROM TO`. The 5 N·m it has now are right only if they lie in that; else tighten it to that.",
        "`torque \"stem-face\" FROM TO`. The 4.5 N·m it has now",
        "before riding (after any work on steering or brakes)",
        COMMAND,
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
    assert!(!said.contains("--put-back"), "{said}");
    assert!(widest(&run(folder.path(), 80, &RESTORE).1) <= 80);
    // Of a joint that is not told to be tightened it says that no torque is known.
    found(folder.path(), "0", "torque \"stem-steerer\" { applied 5 }");
    assert_eq!(joints(folder.path()), ["stem-steerer", "stem-face"]);
}

/// With the maker's own ranges nothing is left to do but to record it.
#[test]
fn with_the_makers_figures_only_the_recording_is_left() {
    let folder = planned();
    let file = folder.path().join("setups/rowan/tried.kdl");
    let text = std::fs::read_to_string(&file).expect("written");
    let old = "Limits of the replaced stem: take the new maker's figures before tightening.";
    assert_eq!(text.matches(old).count(), 2, "{text}");
    setup(folder.path(), "rowan/tried", &text.replace(old, "The new maker's."));
    found(folder.path(), "0", TIGHT);
    let (status, said) = told(folder.path(), &RESTORE);
    assert_eq!(status, 0, "{said}");
    let words =
        "make readings of the planned figures with this (with --mark, too, if lines were drawn anew):";
    assert!(said.contains(words) && said.contains(COMMAND), "{said}");
    let (_, said) = told(folder.path(), &["record", "rowan/tried", "--found", "rowan/found"]);
    assert!(said.contains("All that was planned is read now"), "{said}");
    // Nothing is planned any more, and so it can be put back.
    let (_, said) = told(folder.path(), &RESTORE);
    assert!(!said.contains("planned"), "{said}");
}

#[test]
fn put_back_says_that_what_was_planned_stays_planned() {
    let folder = planned();
    found(folder.path(), "0", TIGHT);
    let (_, said) = told(folder.path(), &["record", "rowan/tried", "--found", "rowan/found", "--put-back"]);
    let words = "Still planned, whatever the sheet reads: stem length, stem angle, stem clamp height. `record` without \
                 --put-back makes readings of those on the sheet.";
    assert!(said.contains(words), "{said}");
}

/// The stem of 40 mm that is on the bike rises by 6°: nobody asked for the 0° of the old one.
#[test]
fn a_figure_that_only_the_old_stem_had_is_not_asked_of_the_new_one() {
    let folder = planned();
    found(folder.path(), "6", TIGHT);
    let (_, said) = told(folder.path(), &RESTORE);
    let words = "Stem angle 6°: read on the stem that is fitted. Planned with the old one's 0°, which nobody asked for: \
                 nothing is taken off for it. Record it.";
    assert!(said.contains(words), "{said}");
    for words in ["fit the stem of", "Undo the top cap", "another stem is on the bike", "Fit: another stem"] {
        assert!(!said.contains(words), "{words}: {said}");
    }
    let plan = json(folder.path(), &RESTORE);
    assert_eq!(plan["of-the-part"].as_array().map(Vec::len), Some(1), "{plan}");
    // Without a sheet it is asked for, and not ordered.
    let (_, said) = told(folder.path(), &["restore", "rowan/tried"]);
    assert!(said.contains("stem angle: measure it on the new stem: 0.0° is the old one's"), "{said}");
    assert!(said.contains("stem length: 40.0 mm, as the one to fit has it"), "{said}");
    // A length that was asked for is ordered all the same.
    let sheet = "found \"rowan/tried\" format=1 { measured \"2026-05-25\"; stem { length 45; angle 6 } }";
    setup(folder.path(), "rowan/found", sheet);
    let (_, said) = told(folder.path(), &RESTORE);
    assert!(said.contains("fit the stem of 40.0 mm; the one found is 45.0 mm"), "{said}");
    assert!(!said.contains("read on the stem that is fitted"), "{said}");
    // Recorded, it is the new stem's.
    found(folder.path(), "6", TIGHT);
    told(folder.path(), &["record", "rowan/tried", "--found", "rowan/found"]);
    let text = std::fs::read_to_string(folder.path().join("setups/rowan/tried.kdl")).expect("written");
    assert!(text.contains("angle 6 read=\"2026-05-25\"") && !text.contains("Planned with"), "{text}");
}

/// The gauge reads to 0.2°: with the reading's spread of a gauge and not the half degree of a bare angle.
#[test]
fn what_is_planned_is_read_again_with_what_it_was_read_with() {
    let folder = ledger();
    let gauge = ROWAN
        .replace("    floor 0.0\n", "    instruments { angle-gauge tol=0.2 }\n    floor 0.0\n")
        .replace("angle 32; reach 62; bite 34", "angle 32 with=angle-gauge; reach 62; bite 34");
    setup(folder.path(), "rowan/race", &gauge);
    told(folder.path(), &["try", "rowan/race", "left.brake-lever.angle=35", "--write", "rowan/tried"]);
    told(folder.path(), &["found", "rowan/tried", "--date", "2026-05-25"]);
    let sheet = folder.path().join("setups/rowan/tried-found-2026-05-25.kdl");
    let text = std::fs::read_to_string(&sheet).expect("written");
    assert!(text.contains("// Recorded: 35°.\n            // angle ? with=angle-gauge\n"), "{text}");
    // The instrument that read the old figure did not read the planned one.
    let planned = std::fs::read_to_string(folder.path().join("setups/rowan/tried.kdl")).expect("written");
    assert!(planned.contains("angle 35; reach 62; bite 34"), "{planned}");
    let read = text.replace("// angle ? with", "angle 35 with").replace("// floor ?", "floor 0");
    setup(folder.path(), "rowan/tried-found-2026-05-25", &read);
    told(folder.path(), &["record", "rowan/tried", "--found", "rowan/tried-found-2026-05-25"]);
    let written = std::fs::read_to_string(folder.path().join("setups/rowan/tried.kdl")).expect("written");
    assert!(written.contains("angle 35 with=angle-gauge read=\"2026-05-25\""), "{written}");
    assert!(!written.contains("Read with"), "{written}");
}
