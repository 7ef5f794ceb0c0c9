//! Recording and days: what is older does not overwrite, what has no day or one to come is refused, and what was found
//! and not answered since stays said.

use std::fs;
use std::path::Path;

use crate::harness::flowing;
use crate::restore::{SETUP, json, ledger, run, setup_text};

const RECORD: [&str; 4] = ["record", "rowan/race", "--found", "rowan/loan"];
const MARK: [&str; 5] = ["record", "rowan/race", "--found", "rowan/loan", "--mark"];

/// The sheet as it stands, with one of its words changed.
fn resheet(folder: &Path, name: &str, from: &str, to: &str) {
    let path = folder.join("setups/rowan").join(name).with_extension("kdl");
    let text = fs::read_to_string(&path).expect("the sheet");
    assert!(text.contains(from), "{from}");
    fs::write(path, text.replace(from, to)).expect("written");
}

#[test]
fn an_older_sheet_overwrites_nothing_newer() {
    let inside = "floor 0 with=angle-gauge\n    right { brake-lever { angle 28 with=angle-gauge } }";
    let folder = ledger(&[("loan", inside)]);
    let setup = SETUP
        .replace("slips-in-a-crash; caution", "slips-in-a-crash; applied 2.8 read=\"2026-03-01\"; caution");
    fs::write(folder.path().join("setups/rowan/race.kdl"), &setup).expect("written");
    resheet(folder.path(), "loan", "2026-05-09", "2026-04-01");
    let screen = run(folder.path(), &MARK);
    assert_eq!(screen.status, Some(1), "{}", screen.text);
    let expected =
        "right brake lever angle of 2026-04-01 is not written: the file's reading is of 2026-05-02.";
    assert!(flowing(&screen.text).contains(expected), "{}", screen.text);
    assert_eq!(setup_text(folder.path()), setup);
    let result = json(folder.path(), &RECORD);
    assert_eq!(result["older"][0]["measure"], "right.brake-lever.angle");
    assert_eq!(result["older"][0]["recorded"], "2026-05-02");
    // A reading's own day counts before the sheet's.
    resheet(
        folder.path(),
        "loan",
        "angle 28 with=angle-gauge",
        "angle 28 with=angle-gauge read=\"2026-05-03\"",
    );
    run(folder.path(), &RECORD);
    assert!(setup_text(folder.path()).contains("angle 28 with=angle-gauge read=\"2026-05-03\""));
}

#[test]
fn a_sheet_without_a_day_or_of_one_to_come_is_refused() {
    let folder = ledger(&[("loan", "tyres { front 25 }")]);
    resheet(folder.path(), "loan", "    measured \"2026-05-09\"\n", "");
    let screen = run(folder.path(), &RECORD);
    assert_eq!(screen.status, Some(2), "{}", screen.text);
    assert!(flowing(&screen.text).contains("a line of its own: measured \"YYYY-MM-DD\""), "{}", screen.text);
    let folder = ledger(&[("loan", "tyres { front 25 read=\"9999-05-09\" }")]);
    let screen = run(folder.path(), &RECORD);
    assert_eq!(screen.status, Some(2), "{}", screen.text);
    assert!(flowing(&screen.text).contains("9999-05-09 is yet to come"), "{}", screen.text);
    assert_eq!(setup_text(folder.path()), SETUP);
    assert!(run(folder.path(), &["check", "rowan/loan"]).text.contains("date-ahead"));
    // Tomorrow here is today somewhere.
    let folder = ledger(&[("loan", "tyres { front 25 }")]);
    for (day, status) in [("2026-05-27", Some(2)), ("2026-05-26", Some(0))] {
        let sheet = format!(
            "found \"rowan/race\" format=1 {{\n    measured \"{day}\"\n    tyres {{ front 25 }}\n}}\n"
        );
        fs::write(folder.path().join("setups/rowan/loan.kdl"), sheet).expect("written");
        assert_eq!(run(folder.path(), &RECORD).status, status, "{day}");
    }
}

/// The line was drawn on a day after the sheet's: whether the sheet tells of it or of the one before, nobody knows.
#[test]
fn a_mark_found_broken_or_off_before_it_was_drawn_is_not_nothing() {
    for state in ["broken", "off=1.5"] {
        let folder = ledger(&[("loan", &format!("mark \"R1\" {state}"))]);
        let setup = SETUP.replace(
            "drawn from-tip=(in)6.61 angle=32 }",
            "drawn from-tip=(in)6.61 angle=32 read=\"2026-05-20\" }",
        );
        fs::write(folder.path().join("setups/rowan/race.kdl"), &setup).expect("written");
        let screen = run(folder.path(), &RECORD);
        assert_eq!(screen.status, Some(1), "{state}: {}", screen.text);
        assert!(!screen.text.contains("is what the setup says"), "{state}: {}", screen.text);
        assert!(screen.text.contains("Mark R1 was found"), "{state}: {}", screen.text);
        let headline = &json(folder.path(), &RECORD)["headline"];
        let starts =
            headline.as_str().is_some_and(|line| line.starts_with("Do not ride: mark R1 on the front brake"));
        assert!(
            starts || headline.as_str().is_some_and(|line| line.contains("mark R1")),
            "{state}: {headline}"
        );
    }
}

/// A second after the recording the sheet is put away: that the front brake's clamp may be loose must not be.
#[test]
fn an_opened_joint_stays_said_until_it_is_tightened() {
    let inside =
        "floor 0 with=angle-gauge\n    right { brake-lever { from-tip (in)6.3; angle 38 with=angle-gauge } }
    left { brake-lever { from-tip 168; angle 24 with=angle-gauge } }\n    stem { twist 4 }";
    let folder = ledger(&[
        ("loan", inside),
        ("tight", "torque \"right.brake-lever\" { applied 3 }\n    torque \"stem-steerer\" { applied 5.5 }"),
    ]);
    let setup = SETUP
        .replace("slips-in-a-crash; caution", "slips-in-a-crash; applied 2.8 read=\"2026-05-02\"; caution");
    fs::write(folder.path().join("setups/rowan/race.kdl"), &setup).expect("written");
    run(folder.path(), &MARK);
    let text = setup_text(folder.path());
    let note = "note \"2026-05-09 joint opened, torque not read\"";
    // In place of the figure, at a torque without one, and at the part where there is no torque.
    assert!(text.contains(&format!("slips-in-a-crash; {note}; caution")), "{text}");
    assert!(text.contains(&format!("caution \"Preload first.\"; {note} }}")), "{text}");
    assert!(text.contains(&format!("reach 62 with=caliper; {note} }} }}")), "{text}");
    let opened = |text: &str| text.matches("opened-noted").count();
    assert_eq!(opened(&run(folder.path(), &["check", "rowan/race"]).text), 3);
    let torque = flowing(&run(folder.path(), &["torque", "rowan/race"]).text);
    assert!(torque.contains("was opened on 2026-05-09: its torque is not known since"), "{torque}");
    // Once is enough.
    run(folder.path(), &MARK);
    assert_eq!(setup_text(folder.path()), text);
    // Tightened on a later day, two of the three are answered.
    resheet(folder.path(), "tight", "2026-05-09", "2026-05-10");
    run(folder.path(), &["record", "rowan/race", "--found", "rowan/tight"]);
    let text = setup_text(folder.path());
    assert!(text.contains("applied 3 read=\"2026-05-10\"") && text.matches(note).count() == 1, "{text}");
    assert_eq!(opened(&run(folder.path(), &["check", "rowan/race"]).text), 1);
}

/// Who drew a line there later knew where it stood: an older sheet does not know better.
#[test]
fn a_line_that_was_drawn_later_is_newer_than_the_sheet() {
    let folder = ledger(&[("loan", "bar { roll 1.5 with=angle-gauge }")]);
    let setup = SETUP.replace("{ drawn roll=-1.5 }", "{ drawn roll=-1.5 read=\"2026-05-20\" }");
    fs::write(folder.path().join("setups/rowan/race.kdl"), setup).expect("written");
    let screen = run(folder.path(), &RECORD);
    assert_eq!(screen.status, Some(1), "{}", screen.text);
    let expected = "bar roll of 2026-05-09 is not written: the line of mark B1 is of 2026-05-20.";
    assert!(flowing(&screen.text).contains(expected), "{}", screen.text);
    assert!(setup_text(folder.path()).contains("roll -1.5 with"), "{}", setup_text(folder.path()));
}

/// What was looked at later and found within reading left no day at the reading; the file tells of the day elsewhere.
#[test]
fn a_sheet_older_than_what_the_file_tells_is_called_so() {
    let folder =
        ledger(&[("loan", "floor 0 with=angle-gauge; right { brake-lever { angle 28 with=angle-gauge } }")]);
    let setup = SETUP.replace("tyres { front 23;", "tyres { front 23 read=\"2026-05-20\";");
    fs::write(folder.path().join("setups/rowan/race.kdl"), setup).expect("written");
    let screen = run(folder.path(), &RECORD);
    assert_eq!(screen.status, Some(1), "{}", screen.text);
    let expected = "The sheet is of 2026-05-09, and the setup tells of 2026-05-20";
    assert!(flowing(&screen.text).contains(expected), "{}", screen.text);
}

/// A day does not tell whether a clamp was opened before or after it was tightened.
#[test]
fn a_torque_of_the_day_on_which_the_joint_was_opened_is_told_of() {
    for (opened, same) in [("2026-05-09", true), ("2026-05-08", false)] {
        let folder = ledger(&[("loan", "torque \"stem-face\" { applied 4.5 }")]);
        let note = format!("Carbon bar: even gap.\"; note \"{opened} joint opened, torque not read\" }}");
        let setup = SETUP.replace("Carbon bar: even gap.\" }", &note);
        assert_ne!(setup, SETUP);
        fs::write(folder.path().join("setups/rowan/race.kdl"), setup).expect("written");
        let screen = run(folder.path(), &RECORD);
        let said = flowing(&screen.text);
        assert!(said.contains("The note that it was opened is taken out."), "{said}");
        assert_eq!(said.contains("Both are of 2026-05-09, and a day does not tell"), same, "{said}");
    }
}
