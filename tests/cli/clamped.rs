//! A bar of another thickness in the stem that stayed, and what the old bar's limits are then worth, on every line of a
//! page alike.

use std::fs;

use crate::harness::flowing;
use crate::restore::{SETUP, ledger, run, setup_text};

const FOUND: [&str; 3] = ["rowan/race", "--found", "rowan/loan"];
const THINNER: &str = "bar { clamp-diameter 31.8; material aluminium; roll -1.5; offset 0 }";

fn told(folder: &std::path::Path, command: &str) -> (Option<i32>, String) {
    let screen = run(folder, &[&[command], &FOUND[..]].concat());
    (screen.status, flowing(&screen.text))
}

#[test]
fn a_thinner_bar_in_the_old_stem_is_not_ridden_before_the_stem_is_known_to_clamp_it() {
    let folder = ledger(&[("loan", &format!("{THINNER}\n    torque \"stem-face\" {{ applied 4.5 }}"))]);
    let why = "the stem held a bar of 35 mm, and one of 31.8 mm is in it: it may not clamp that";
    for command in ["diff", "restore", "record"] {
        let (status, said) = told(folder.path(), command);
        assert_eq!(status, Some(1), "{command}: {said}");
        let headline = said.split("Do not ride").nth(1).unwrap_or_else(|| panic!("{command}: {said}"));
        assert!(headline.contains(why), "{command}: {said}");
    }
    let text = setup_text(folder.path());
    assert!(text.contains("clamp-diameter 31.8"), "{text}");
    assert!(text.contains(&format!("2026-05-09 do not ride: {why}. Take this note out")), "{text}");
    // The file keeps it.
    let check = run(folder.path(), &["check", "rowan/race"]);
    assert!(flowing(&check.text).contains(why), "{}", check.text);
    let page = run(folder.path(), &[]);
    assert!(flowing(&page.text).contains("31.8 mm"), "{}", page.text);
    // A stem that is another as well ends it.
    let sheet = "found \"rowan/race\" format=1 {\n    measured \"2026-05-10\"\n    stem { length 40 }\n}\n";
    fs::write(folder.path().join("setups/rowan/loan.kdl"), sheet).expect("written");
    let (_, said) = told(folder.path(), "record");
    let text = setup_text(folder.path());
    assert!(text.contains("length 40") && !text.contains("may not clamp"), "{text}\n{said}");
}

#[test]
fn a_thinner_bar_in_another_stem_is_no_riddle() {
    let folder = ledger(&[("loan", &format!("stem {{ length 40 }}\n    {THINNER}"))]);
    for command in ["diff", "restore", "record"] {
        let (_, said) = told(folder.path(), command);
        assert!(!said.contains("may not clamp"), "{command}: {said}");
    }
}

/// 2–3 N·m was chosen for the old bar: of the new one's limit nobody has said anything.
#[test]
fn a_range_of_the_old_bar_judges_nothing_on_the_same_page() {
    let setup = SETUP.replace(
        "    torque \"right.brake",
        "    torque \"left.grip\" 2 3 { caution \"Carbon bar: low end.\" }\n    torque \"right.brake",
    );
    let setup = setup.replace("left { brake-lever", "left { grip { length 134; hand 62 }; brake-lever");
    let sheet = format!("{THINNER}\n    torque \"left.grip\" {{ applied 2.5 }}");
    let folder = ledger(&[("loan", &sheet)]);
    fs::write(folder.path().join("setups/rowan/race.kdl"), setup).expect("written");
    for command in ["diff", "record"] {
        let (_, said) = told(folder.path(), command);
        assert!(said.contains("left.grip"), "{command}: {said}");
        assert!(!said.contains("within the 2–3 N·m"), "{command}: {said}");
        assert!(
            said.contains("tightened to 2.5 N·m, the recorded range is the old bar's"),
            "{command}: {said}"
        );
        assert!(!said.contains("tighten to 2"), "{command}: {said}");
    }
}

/// What squeezes a carbon frame is minded as what squeezes a carbon bar is.
#[test]
fn the_seat_clamp_in_a_carbon_frame_is_minded() {
    let setup = SETUP
        .replace("    steerer {", "    frame { material carbon }\n    saddle { height 742 }\n    steerer {")
        .replace(
            "    torque \"stem-steerer\"",
            "    torque \"seat-clamp\" 5 6 { caution \"Past its mark.\" }\n    torque \"stem-steerer\"",
        );
    let folder = ledger(&[("loan", "saddle { height 730 }")]);
    fs::write(folder.path().join("setups/rowan/race.kdl"), setup).expect("written");
    let plan = crate::restore::json(folder.path(), &["restore", "rowan/race", "--found", "rowan/loan"]);
    let steps = plan["steps"].as_array().expect("steps");
    let step = steps.iter().find(|step| step["joint"] == "seat-clamp").expect("the seat clamp");
    assert!(step["cautions"].to_string().contains("Carbon"), "{step:#}");
    let (_, said) = told(folder.path(), "diff");
    assert!(said.contains("Carbon: inspect before clamping"), "{said}");
}
