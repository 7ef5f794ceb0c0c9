//! Two revisions of an as-found sheet that names its setup's instruments.

use crate::harness::{Bench, Commit, flowing};
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

#[test]
fn the_first_revision_of_a_sheet_tells_in_short_what_it_found() {
    let marked = RACE.replacen(
        "    fork {",
        "    mark \"L1\" on=\"left.brake-lever\" { drawn from-tip=168 angle=32 }\n    fork {",
        1,
    );
    let sheet = "found \"rowan/race\" format=1 {\n    measured \"2031-05-09\"\n    floor 0 with=angle-gauge\n    \
                 right { brake-lever { angle 28 with=angle-gauge; reach 62 with=caliper } }\n    \
                 mark \"L1\" broken read=\"2031-05-08\"\n    mark \"S1\" on=\"stem-steerer\" aligned\n    \
                 opened \"seat-clamp\"\n    damage on=\"bar\" \"scored\"\n}\n";
    let bench = Bench::recorded(&[
        Commit { subject: "Race", files: &[(RACE_PATH, &marked)], tag: None },
        Commit { subject: "Found", files: &[(SHEET_PATH, sheet)], tag: None },
    ]);
    let page = bench.run(&["history", SHEET_PATH]);
    let said = flowing(&page.out);
    // 32 - 28 = 4.
    for told in [
        "First recorded, with 3 measures.",
        "damage on bar: scored",
        "4.0° tip up 32°, then 28°",
        "seat clamp: opened",
        "mark L1 found broken, seen 2031-05-08",
        "Also: mark S1 found in line.",
    ] {
        assert!(said.contains(told), "{told}: {}", page.screen());
    }
    let json = bench.run(&["history", SHEET_PATH, "--json"]).json();
    let entry = &json["entries"][0];
    assert_eq!(entry["changes"].as_array().unwrap().len(), 1, "{entry:#}");
    assert_eq!(
        (&entry["marks"][0]["mark"], &entry["marks"][0]["fate"]),
        (&"L1".into(), &"broken".into()),
        "{entry:#}"
    );
    assert_eq!(entry["besides"][0]["about"], "opened.seat-clamp", "{entry:#}");
}

#[test]
fn the_marks_of_a_sheet_were_found_and_not_drawn() {
    let sheet =
        |lines: &str| format!("found \"rowan/race\" format=1 {{\n    measured \"2031-05-09\"\n{lines}}}\n");
    let first = sheet(
        "    mark \"L1\" off=0.8\n    mark \"R1\" aligned\n    mark \"S1\" missing read=\"2031-05-08\"\n",
    );
    let then = sheet("    mark \"L1\" broken\n    mark \"R1\" aligned\n");
    let bench = Bench::recorded(&[
        Commit { subject: "Found", files: &[(SHEET_PATH, &first)], tag: None },
        Commit { subject: "Looked again", files: &[(SHEET_PATH, &then)], tag: None },
    ]);
    let page = bench.run(&["history", SHEET_PATH, "--marks"]);
    let said = flowing(&page.out);
    for told in [
        "Mark L1 Found broken on 2031-05-09.",
        "found broken (on 2031-05-09)",
        "found 0.8 mm apart (on 2031-05-09)",
        "Mark R1 Found in line on 2031-05-09.",
        "Mark S1 No longer recorded.",
        "found gone (on 2031-05-08)",
    ] {
        assert!(said.contains(told), "{told}: {}", page.screen());
    }
    assert!(!said.contains("drawn") && !said.contains("Stands where"), "{}", page.screen());
    let json = bench.run(&["history", SHEET_PATH, "--marks", "--json"]).json();
    let events = &json["marks"][0]["events"];
    assert_eq!((&events[0]["what"], &events[0]["state"]), (&"found".into(), &"broken".into()), "{json:#}");
    assert_eq!(
        (&events[1]["state"], &events[1]["seen-on"]),
        (&"off=0.8".into(), &"2031-05-09".into()),
        "{json:#}"
    );
}
