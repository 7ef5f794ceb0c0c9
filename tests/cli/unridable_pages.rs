//! What a file keeps against riding heads every page of the bike, whatever that page is about.

use super::rider::{ROWAN, json, ledger, setup, told};
use crate::harness::{Bench, Commit};

const PAGES: [&str; 4] = ["body", "grips", "turn", "torque"];

#[test]
fn damage_and_what_a_note_forbids_head_every_page() {
    let folder = ledger();
    for (note, words) in [
        ("damage: bar: scored under the left clamp", "Do not ride: bar: scored under the left clamp."),
        ("do not ride: the frame is cracked", "Do not ride: the frame is cracked."),
        (
            "2026-05-09 joint stem-face opened, torque not read",
            "Do not ride: opened before, torque not read since: bar in stem.",
        ),
    ] {
        setup(folder.path(), "rowan/race", &ROWAN.replacen('{', &format!("{{\n    note \"{note}\""), 1));
        for page in PAGES {
            let (status, said) = told(folder.path(), &[page, "rowan/race"]);
            assert!(status == 1 && said.contains(words), "{page}: {status}: {said}");
            assert_eq!(json(folder.path(), &[page, "rowan/race"])["headline"], words, "{page}");
        }
        let (status, said) = told(folder.path(), &["grips", "rowan/race", "--why", "grip-stack"]);
        assert!(status == 1 && said.contains(words), "{said}");
    }
    setup(folder.path(), "rowan/race", ROWAN);
    for page in PAGES {
        let (status, said) = told(folder.path(), &[page, "rowan/race"]);
        assert!(status == 0 && !said.contains("Do not ride"), "{page}: {said}");
        assert!(json(folder.path(), &[page, "rowan/race"])["headline"].is_null(), "{page}");
    }
}

/// A bar that was scored and has been replaced since: the old revision says it of its own time.
#[test]
fn an_older_revision_is_told_as_of_its_time() {
    let scored = ROWAN.replacen('{', "{\n    note \"damage: bar: scored\"", 1);
    let path = "setups/rowan/race.kdl";
    let commit = |subject, text| Commit { subject, files: text, tag: None };
    let bench =
        Bench::recorded(&[commit("Scored", &[(path, &scored)]), commit("Another bar", &[(path, ROWAN)])]);
    for page in ["body", "grips", "turn"] {
        let outcome = bench.run(&[page, "rowan/race", "--at", "HEAD~1"]);
        let words = "At HEAD~1 not to be ridden: bar: scored.";
        assert!(outcome.status == 1 && outcome.out.contains(words), "{}", outcome.screen());
        assert_eq!(bench.run(&[page, "rowan/race"]).status, 0);
    }
}

/// By the survey 598, 333 and 347 mm of 1742; four of its deviations are 91, 45 and 56 mm.
#[test]
fn lengths_that_nobody_has_together_are_told_before_the_arm_line() {
    let folder = ledger();
    let long = ROWAN.replace("stature 1780;", "stature 1742; torso 800; upper-arm 500; forearm 600;");
    setup(folder.path(), "rowan/race", &long);
    let words = "An upper arm of 500 mm and a stature of 1742 mm do not go together: by an open survey it is 333 mm, and \
                 nobody's is more than 45 mm off that.";
    let (status, said) = told(folder.path(), &["check", "rowan/race"]);
    assert!(status == 0 && said.contains(words) && said.matches("(rider-lengths)").count() == 3, "{said}");
    let (status, said) = told(folder.path(), &["body", "rowan/race"]);
    let first = said.find(words).unwrap_or_else(|| panic!("{said}"));
    assert!(status == 0 && said.find("arm line, seated").is_none_or(|line| first < line), "{said}");
    let own = ROWAN.replace("stature 1780;", "stature 1742; torso 610; upper-arm 340; forearm 340;");
    setup(folder.path(), "rowan/race", &own);
    assert!(!told(folder.path(), &["check", "rowan/race"]).1.contains("rider-lengths"));
    assert!(!told(folder.path(), &["body", "rowan/race"]).1.contains("do not go together"));
}
