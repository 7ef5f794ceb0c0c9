//! Recording what was found: what is dangerous is said first and stays in the file.

use std::fs;

use crate::restore::{SETUP, json, ledger, run, setup_text};

const RECORD: [&str; 4] = ["record", "rowan/race", "--found", "rowan/loan"];

#[test]
fn damage_is_said_first_and_stays_in_the_file() {
    let folder = ledger(&[("loan", "damage on=\"bar\" \"scored under the left clamp\"")]);
    let screen = run(folder.path(), &RECORD);
    assert_eq!(screen.status, Some(1), "{}", screen.text);
    let words = screen.text.split_whitespace().collect::<Vec<_>>().join(" ");
    let expected = "rowan/race recorded from the sheet Do not ride on it until it is replaced or a qualified \
                    mechanic has passed it: bar: scored under the left clamp. Carbon: inspect";
    assert!(words.starts_with(expected), "{}", screen.text);
    // One line more, behind what the bar's group holds, and nothing else.
    let expected = SETUP.replace(
        "        material carbon\n",
        "        material carbon\n        note \"2026-05-09 damage: scored under the left clamp\"\n",
    );
    assert_eq!(setup_text(folder.path()), expected);
    // The same sheet again says it again, and writes nothing twice.
    let again = run(folder.path(), &RECORD);
    assert_eq!(again.status, Some(1), "{}", again.text);
    assert!(again.text.contains("Do not ride on it"), "{}", again.text);
    assert_eq!(setup_text(folder.path()), expected);
    // Without any sheet the steps back stop there, and check speaks of it.
    let plan = json(folder.path(), &["restore", "rowan/race"]);
    assert_eq!(plan["headline"], "Do not ride: bar: scored under the left clamp.");
    assert!(run(folder.path(), &["check", "rowan/race"]).text.contains("damage-noted"));
}

#[test]
fn damage_on_what_has_no_group_stands_at_the_top() {
    let folder = ledger(&[(
        "loan",
        "damage on=\"frame\" \"dent in the \\\"down tube\\\"\"; damage on=\"stem-face\" \"thread stripped\"",
    )]);
    let result = json(folder.path(), &RECORD);
    assert_eq!(result["damages"][0]["noted-at"], "");
    assert_eq!(result["damages"][1]["noted-at"], "torque.stem-face");
    assert_eq!(result["damages"][1]["written"], true);
    let expected = SETUP
        .replace(
            "    measured \"2026-05-02\"\n",
            "    measured \"2026-05-02\"\n    note \"2026-05-09 damage on frame: dent in the \\\"down tube\\\"\"\n",
        )
        .replace(
            "caution \"Carbon bar: even gap.\" }",
            "caution \"Carbon bar: even gap.\"; note \"2026-05-09 damage: thread stripped\" }",
        );
    assert_eq!(setup_text(folder.path()), expected);
}

/// Whoever draws a new line across the joint and later finds it aligned must not be told that nothing moved.
#[test]
fn a_broken_mark_is_no_evidence_any_more() {
    let folder = ledger(&[
        ("loan", "mark \"L1\" broken"),
        ("later", "mark \"L1\" aligned"),
        (
            "set",
            "left { brake-lever { from-tip 170; angle 30 with=angle-gauge } }
    mark \"L1\" aligned",
        ),
    ]);
    let screen = run(folder.path(), &RECORD);
    assert_eq!(screen.status, Some(1), "{}", screen.text);
    assert!(screen.text.contains("Mark L1 was found broken: the left brake lever"), "{}", screen.text);
    let expected = SETUP.replace(
        "drawn from-tip=168 angle=32; reads",
        "note \"2026-05-09 found broken (was drawn from-tip=168 angle=32): no evidence until drawn again\"; reads",
    );
    assert_eq!(setup_text(folder.path()), expected);
    let again = run(folder.path(), &RECORD);
    assert!(
        again.text.contains("nothing to record") && again.text.contains("found broken"),
        "{}",
        again.text
    );
    assert_eq!(again.status, Some(1));
    assert_eq!(setup_text(folder.path()), expected);
    let found = json(folder.path(), &["diff", "rowan/race", "--found", "rowan/later"]);
    let not_looked_at = found["not-looked-at"].to_string();
    assert!(not_looked_at.contains("left.brake-lever.angle"), "{not_looked_at}");
    // Measured and drawn again, it counts again.
    run(folder.path(), &["record", "rowan/race", "--found", "rowan/set", "--mark"]);
    let text = setup_text(folder.path());
    assert!(text.contains("drawn from-tip=170 angle=30 read=\"2026-05-09\""), "{text}");
}

#[test]
fn what_was_found_broken_and_drawn_anew_needs_no_note() {
    let folder = ledger(&[(
        "loan",
        "left { brake-lever { from-tip 168; angle 32 with=angle-gauge } }\n    mark \"L1\" broken",
    )]);
    let screen = run(folder.path(), &["record", "rowan/race", "--found", "rowan/loan", "--mark"]);
    assert_eq!(screen.status, Some(0), "{}", screen.text);
    assert!(screen.text.contains("The mark is drawn anew."), "{}", screen.text);
    let text = fs::read_to_string(folder.path().join("setups/rowan/race.kdl")).expect("the setup");
    assert!(text.contains("drawn from-tip=168 angle=32 read=\"2026-05-09\"; reads"), "{text}");
}
