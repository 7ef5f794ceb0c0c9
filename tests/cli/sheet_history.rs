//! Two revisions of an as-found sheet that names its setup's instruments.

use crate::harness::{Bench, Commit};
use crate::texts::RACE;

const RACE_PATH: &str = "setups/rowan/race.kdl";
const SHEET_PATH: &str = "setups/rowan/race-found.kdl";

#[test]
fn a_sheet_is_read_with_the_instruments_of_its_setup() {
    let sheet = |reach: &str| {
        format!(
            "found \"rowan/race\" format=1 {{\n    measured \"2031-05-09\"\n    \
             left {{ brake-lever {{ reach {reach} with=caliper }} }}\n}}\n"
        )
    };
    let (was, now) = (sheet("62"), sheet("58"));
    let bench = Bench::recorded(&[
        Commit { subject: "Found", files: &[(RACE_PATH, RACE), (SHEET_PATH, &was)], tag: None },
        Commit { subject: "Corrected", files: &[(SHEET_PATH, &now)], tag: None },
    ]);
    bench.write("base", &was);
    let git_diff = ["git-diff", SHEET_PATH, "base", "1111111", "100644", SHEET_PATH, "0000000", "100644"];
    for asked in [&["history", SHEET_PATH][..], &["diff", SHEET_PATH, "HEAD~1"], &git_diff] {
        let outcome = bench.run(asked);
        assert!(!outcome.out.contains("whole") && !outcome.out.contains("caliper"), "{}", outcome.screen());
        // 62 - 58 = 4.
        assert!(outcome.out.contains("4.0 mm"), "{}", outcome.screen());
    }
}

#[test]
fn a_sheet_is_read_with_its_setup_as_that_was_when_the_sheet_was_recorded() {
    let sheet = |angle: &str| {
        format!(
            "found \"rowan/race\" format=1 {{\n    measured \"2031-05-09\"\n    \
             left {{ brake-lever {{ angle {angle} with=angle-gauge }} }}\n}}\n"
        )
    };
    let (was, now) = (sheet("28"), sheet("30"));
    // A coarser gauge, and none at all.
    let coarse = RACE.replace("angle-gauge tol=0.2", "angle-gauge tol=3");
    let gone = RACE.replace("        angle-gauge tol=0.2\n", "").replace(" with=angle-gauge", "");
    let bench = Bench::recorded(&[
        Commit { subject: "Found", files: &[(RACE_PATH, RACE), (SHEET_PATH, &was)], tag: None },
        Commit { subject: "Corrected", files: &[(SHEET_PATH, &now)], tag: Some("corrected") },
        Commit { subject: "Another gauge", files: &[(RACE_PATH, &coarse)], tag: None },
        Commit { subject: "No gauge", files: &[(RACE_PATH, &gone)], tag: None },
    ]);
    // 30 - 28 = 2; U = 2·√2·0.2/√3 = 0.33, so it moved; with the coarse gauge 4.9 would hide it.
    for asked in [&["history", SHEET_PATH][..], &["diff", SHEET_PATH, "corrected~1", "corrected"]] {
        let outcome = bench.run(asked);
        assert!(outcome.out.contains("2.0°") && !outcome.out.contains("angle-gauge"), "{}", outcome.screen());
    }
    let values = bench.run(&["history", SHEET_PATH, "left.brake-lever.angle"]);
    // U = 2·0.2/√3 = 0.231 (GUM 4.3.7).
    assert_eq!(values.out.matches("± 0.23°").count(), 2, "{}", values.screen());
}
