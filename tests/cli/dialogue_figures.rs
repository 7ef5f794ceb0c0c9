//! More than one number in an answer: a half-width, several readings, and a point that was left out.

use std::fs;
use std::path::Path;

use crate::dialogue::{NOT_LOOKED_OVER, ask};
use crate::harness::flowing;
use crate::restore::ledger;

/// Questions between the last look and the one that is meant: the spacers, the twist, the left lever's angle.
const SPACERS: &str = "\n";
const TWIST: &str = "\n\n\n";
const ANGLE: &str = "\n\n\n\n\n\n\n";

/// What is said in one line to this answer to the question behind those, and the sheet if there is one.
fn answered(folder: &Path, before: &str, typed: &str) -> (String, String) {
    let screen = ask(folder, &format!("{NOT_LOOKED_OVER}{before}{typed}\nquit\n"));
    let path = folder.join("sheet.kdl");
    let sheet = fs::read_to_string(&path).unwrap_or_default();
    if path.exists() {
        fs::remove_file(&path).expect("it goes");
    }
    (flowing(&screen.text), sheet)
}

/// Recorded 32°, 15 mm and 0°. A ± that would swallow a lever 4° off is not kept, however often it is typed.
#[test]
fn a_second_number_that_is_no_half_width_is_not_taken_for_one() {
    let folder = ledger(&[]);
    for (before, typed, asked, ways) in [
        (
            ANGLE,
            "36 5",
            "36° ± 5°? It is usually read to ± 0.5°.",
            "Type `36.5` with its point, `36, 5` for two",
        ),
        (
            ANGLE,
            "36 36.2",
            "36° ± 36.2°?",
            "Type `36, 36.2` for two readings, or `36 ±36.2` or `36 tol=36.2` if",
        ),
        (SPACERS, "20 5", "20 mm ± 5 mm?", "`20.5` with its point"),
        (SPACERS, "2 0.5 cm", "2 cm ± 0.5 cm? It is usually read to ± 0.5 mm.", "`2 ±0.5 cm`"),
        (TWIST, "3 3.1", "3° ± 3.1°?", "`3, 3.1` for two readings"),
        // Within three times the half-degree that a twist is read to, and as large as the first number.
        (TWIST, "1.4 1.3", "1.4° ± 1.3°?", "`1.4, 1.3` for two readings"),
    ] {
        let (said, sheet) = answered(folder.path(), before, &format!("{typed}\n{typed}"));
        assert_eq!(said.matches(asked).count(), 2, "{typed}: {said}");
        assert!(said.contains(ways), "{typed}: {said}");
        assert!(sheet.is_empty() && said.contains("0 answers kept"), "{typed}: {said}\n{sheet}");
    }
    // Asked again, it goes on with what was meant: 36.5 - 32 = 4.5.
    let (said, sheet) = answered(folder.path(), ANGLE, "36 5\n36.5");
    assert!(said.contains("moved 4.5° tip down: do not ride"), "{said}");
    assert!(sheet.contains("angle 36.5 with=angle-gauge"), "{sheet}");
}

#[test]
fn a_half_width_that_is_named_is_taken_and_said() {
    let folder = ledger(&[]);
    for typed in ["36 ±5", "36±5", "36 ± 5 deg", "36 +-5", "36 +/- 5", "36 tol=5", "36 Tol=5", "tol=5"] {
        let (said, sheet) = answered(folder.path(), ANGLE, typed);
        if typed == "tol=5" {
            assert!(said.contains("Say a number") && sheet.is_empty(), "{said}");
            continue;
        }
        assert!(said.contains("36° ± 5°: within reading"), "{typed}: {said}");
        assert!(sheet.contains("angle 36 tol=5"), "{typed}: {sheet}");
    }
    // Gone back to, it is said whole.
    let (said, _) = answered(folder.path(), ANGLE, "36 ±5\nback\n");
    assert!(said.contains("Answered: 36° ± 5°."), "{said}");
}

/// What people write: a rule's half-millimetre, a saddle that gives way by one or two.
#[test]
fn a_plain_half_width_as_people_write_it_is_taken() {
    let folder = ledger(&[]);
    for (before, typed, kept) in [
        (SPACERS, "15.1 0.3", "spacers-below 15.1 tol=0.3"),
        (SPACERS, "15 1", "spacers-below 15 tol=1"),
        (TWIST, "0 0.5", "twist 0 tol=0.5"),
        (ANGLE, "32 1", "angle 32 tol=1"),
    ] {
        let (said, sheet) = answered(folder.path(), before, typed);
        assert!(sheet.contains(kept), "{typed}: {said}\n{sheet}");
    }
    let path = folder.path().join("setups/rowan/race.kdl");
    let text = fs::read_to_string(&path).expect("the setup");
    fs::write(&path, text.replace("    tyres {", "    saddle { height 742 tol=1 }\n    tyres {"))
        .expect("written");
    // The seat clamp is looked over, too; then six questions come before the saddle's.
    let (said, sheet) = answered(folder.path(), "s\n\n\n\n\n\n\n", "742 2");
    assert!(sheet.contains("saddle { height 742 tol=2 }"), "{said}\n{sheet}");
    assert!(said.contains("742 mm ± 2 mm: same"), "{said}");
}

/// Two or more readings of one measure, as a person lists them; kept as the file writes repeats.
#[test]
fn several_readings_can_be_typed() {
    let folder = ledger(&[]);
    for typed in ["36, 36.2", "36 and 36.2", "36 , 36.2", "36; 36.2", "36;36.2", "36.0,36.2"] {
        let (said, sheet) = answered(folder.path(), ANGLE, typed);
        let first = if typed.starts_with("36.0") { "36.0" } else { "36" };
        assert!(sheet.contains(&format!("angle {first} 36.2 with=angle-gauge")), "{typed}: {said}\n{sheet}");
        // (36 + 36.2)/2 - 32 = 4.1
        let words = format!("mean of {first}° and 36.2°: moved 4.1° tip down: do not ride");
        assert!(said.contains(&words), "{typed}: {said}");
    }
    for (before, typed, kept) in [
        (ANGLE, "36, 36.2, 36.4", "angle 36 36.2 36.4 with=angle-gauge"),
        (ANGLE, "36, 36.2 ±0.3", "angle 36 36.2 tol=0.3"),
        (SPACERS, "1.5, 1.51 cm", "spacers-below (cm)1.5 (cm)1.51 with=caliper"),
        (SPACERS, "15 mm, 15.1 mm", "spacers-below 15 15.1 with=caliper"),
    ] {
        let (said, sheet) = answered(folder.path(), before, typed);
        assert!(sheet.contains(kept), "{typed}: {said}\n{sheet}");
    }
    for typed in ["36,", "36, 36.2 5", "36 5, 36.2", "36 36.2 36.4", ", 36"] {
        let (said, sheet) = answered(folder.path(), ANGLE, typed);
        assert!(said.contains("Say a number such as 32.5") && sheet.is_empty(), "{typed}: {said}\n{sheet}");
    }
    let (said, _) = answered(folder.path(), ANGLE, "?");
    assert!(said.contains("`32.5, 32.7` if read twice"), "{said}");
}

/// A decimal comma with a blank behind it, or a slip: the mean would be near nothing that was read.
#[test]
fn readings_far_apart_are_asked_again() {
    let folder = ledger(&[]);
    // 36 - 5 = 31; two half-widths of 0.5 are 1.
    let (said, sheet) = answered(folder.path(), ANGLE, "36, 5");
    assert!(said.contains("These readings lie 31° apart, and reading explains 1° at most."), "{said}");
    assert!(sheet.is_empty(), "{sheet}");
    let (_, sheet) = answered(folder.path(), ANGLE, "34, 36\n34, 36");
    assert!(sheet.contains("angle 34 36 with=angle-gauge"), "{sheet}");
}

/// It may be the ruler that reads the same: the mark was not asked for, and still is.
#[test]
fn the_same_reading_is_not_the_mark() {
    let folder = ledger(&[]);
    for typed in ["same", "mark"] {
        let (said, sheet) = answered(folder.path(), ANGLE, typed);
        let words = format!(
            "`{typed}` does not say what you looked at. Type the number you read (recorded: 32°), or `same mark` if its \
             witness mark lines up."
        );
        assert!(said.contains(&words), "{said}");
        assert!(sheet.is_empty(), "{sheet}");
    }
    // What reads as recorded is a reading; mark L1 has its own question.
    let (said, sheet) = answered(folder.path(), ANGLE, "same\n32\n\n\n\n\n\n\naligned");
    assert!(
        sheet.contains("angle 32 with=angle-gauge") && sheet.contains("mark \"L1\" aligned"),
        "{said}\n{sheet}"
    );
    let (said, sheet) = answered(folder.path(), ANGLE, "same mark");
    assert!(said.contains("mark L1 lines up: same"), "{said}");
    assert!(sheet.contains("mark \"L1\" aligned") && !sheet.contains("angle"), "{sheet}");
}
