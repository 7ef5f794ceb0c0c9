//! Several lines across one joint: they tell one thing, or nothing.

use std::fs;
use std::path::Path;

use tempfile::TempDir;

use crate::harness::flowing;
use crate::restore::{SETUP, json, ledger, run, setup_text};

const RESTORE: [&str; 4] = ["restore", "rowan/race", "--found", "rowan/loan"];
const RECORD: [&str; 4] = ["record", "rowan/race", "--found", "rowan/loan"];
const L1: &str =
    "mark \"L1\" on=\"left.brake-lever\" { drawn from-tip=168 angle=32; reads \"Line meets the split\" }";

/// A ledger whose left lever has a second line, and a sheet on it.
fn two(second: &str, sheet: &str) -> TempDir {
    let folder = ledger(&[("loan", sheet)]);
    let text = SETUP.replace(L1, &format!("{L1}\n    mark \"L2\" on=\"left.brake-lever\" {second}"));
    assert_ne!(text, SETUP);
    fs::write(folder.path().join("setups/rowan/race.kdl"), text).expect("written");
    folder
}

const ALIKE: &str = "{ drawn from-tip=168 angle=32 }";

fn words(folder: &Path, arguments: &[&str]) -> String {
    flowing(&run(folder, arguments).text)
}

/// 360/(π·22.2) = 5.1618° for each millimetre: 3 mm are 15.5°. Each line is 0.5 mm wide, ±2.58°, so that two differ
/// by more than both can be misread from 2·√(2·2.58²)/√3 = 4.21° on.
#[test]
fn two_lines_that_contradict_each_other_are_no_evidence() {
    for (found, said) in [
        ("mark \"L1\" off=3; mark \"L2\" aligned", "moved 15.5° tip down, yet mark L2 that it did not move"),
        (
            "mark \"L1\" off=3; mark \"L2\" off=-3",
            "moved 15.5° tip down, yet mark L2 that it moved 15.5° tip up",
        ),
    ] {
        let folder = two(ALIKE, found);
        let before = setup_text(folder.path());
        let told = words(folder.path(), &RESTORE);
        assert!(told.contains("Do not ride: marks L1 and L2 contradict each other"), "{told}");
        assert!(
            told.contains(&format!(
                "Mark L1 tells that the left brake lever angle {said}: one of the two is false."
            )),
            "{told}"
        );
        assert!(told.contains("Look at marks L1 and L2 and measure again"), "{told}");
        for wrong in ["keep it at", "Line up mark", "Tighten to 2.5", "mark L1 Line"] {
            assert!(!told.contains(wrong), "{wrong}: {told}");
        }
        let found = json(folder.path(), &["diff", "rowan/race", "--found", "rowan/loan"]);
        let one = &found["contradictions"][0];
        assert_eq!((one["mark"].as_str(), one["other-mark"].as_str()), (Some("L1"), Some("L2")));
        assert_eq!(one["measure"], "left.brake-lever.angle");
        // Nothing at that joint is written, with or without the bike put back.
        for with in [&[][..], &["--mark"], &["--all"], &["--put-back"]] {
            let told = words(folder.path(), &[&RECORD[..], with].concat());
            assert!(told.contains("one of the two is false"), "{told}");
            assert_eq!(setup_text(folder.path()), before, "{with:?}");
        }
    }
}

/// The order of the lines in the file does not decide.
#[test]
fn of_lines_that_agree_the_finer_counts_and_of_equals_the_one_that_turned_further() {
    // 0.9 mm are 4.65°, beyond 2·2.58/√3 = 2.98°; from 0.1 mm, 0.52°, they differ by 4.13°, less than 4.21°.
    for found in ["mark \"L1\" off=0.9; mark \"L2\" off=0.1", "mark \"L1\" off=0.1; mark \"L2\" off=0.9"] {
        let folder = two(ALIKE, found);
        let told = words(folder.path(), &RESTORE);
        assert!(told.contains("left brake lever angle: turn it 4.6° tip up, to 32.0°"), "{told}");
        let by = if found.contains("\"L1\" off=0.9") { "L1" } else { "L2" };
        assert!(told.contains(&format!("to 32.0°, mark {by} ")), "{told}");
    }
    // A line of 0.1 mm, ±0.52°, and 0.3 mm apart: 1.55°, beyond 2·0.52/√3 = 0.60°. The other, as wide as ever, meets.
    let folder = two("width=0.1 { drawn from-tip=168 angle=32 }", "mark \"L1\" aligned; mark \"L2\" off=0.3");
    let told = words(folder.path(), &RESTORE);
    assert!(told.contains("left brake lever angle: turn it 1.5° tip up, to 32.0°, mark L2"), "{told}");
    let folder = two("width=0.1 { drawn from-tip=168 angle=32 }", "mark \"L1\" off=0.3; mark \"L2\" aligned");
    let told = words(folder.path(), &RESTORE);
    assert!(told.contains("Nothing moved of the 2 looked at"), "{told}");
    let plan = json(folder.path(), &RESTORE);
    assert_eq!(
        (&plan["steps"], &plan["blocked"]),
        (&serde_json::json!([]), &serde_json::json!([])),
        "{plan:#}"
    );
}

/// A reading counts before both; the line that it belies is named, and not the two against each other.
#[test]
fn a_reading_decides_between_two_lines() {
    // 32 + 15.5.
    let found = "floor 0 with=angle-gauge; bar { roll -1.5 with=angle-gauge }
    left { brake-lever { angle 47.5 with=angle-gauge; from-tip 168 } }; mark \"L1\" off=3; mark \"L2\" aligned";
    let folder = two(ALIKE, found);
    let told = words(folder.path(), &RESTORE);
    assert!(told.contains("mark L2 and left brake lever angle contradict each other"), "{told}");
    assert!(!told.contains("marks L1 and L2"), "{told}");
}

/// Drawn at a place along the bar alone, a line that stands apart tells of a turn that nobody read: 2 mm are 10.3°.
#[test]
fn a_line_drawn_at_its_place_alone_still_shows_that_its_joint_turned() {
    for (mark, joint, drawn, place, turn) in [
        (
            "L1",
            "left.brake-lever",
            "drawn from-tip=168",
            "left { brake-lever { from-tip 168 } }",
            "left brake lever angle",
        ),
        ("B1", "stem-face", "drawn offset=0", "bar { offset 0 }", "bar roll"),
    ] {
        let folder = ledger(&[("loan", &format!("{place}; mark \"{mark}\" off=2"))]);
        let text = SETUP
            .replace("{ drawn from-tip=168 angle=32; reads", "{ drawn from-tip=168; reads")
            .replace("drawn roll=-1.5", "drawn offset=0");
        fs::write(folder.path().join("setups/rowan/race.kdl"), text).expect("written");
        let plan = json(folder.path(), &RESTORE);
        let steps: Vec<&str> = plan["steps"]
            .as_array()
            .expect("steps")
            .iter()
            .map(|step| step["joint"].as_str().or(step["kind"].as_str()).expect("a word"))
            .collect();
        assert_eq!(steps, ["inspection", joint, "checks"]);
        let told = words(folder.path(), &RESTORE);
        assert!(told.contains(&format!("the halves of mark {mark} stand apart")), "{told}");
        let told = words(folder.path(), &RECORD);
        let said =
            format!("It is no evidence until it is drawn again (measure there: {turn}, record with --mark).");
        assert!(told.contains(&said), "{told}");
        let after = setup_text(folder.path());
        let note = format!("note \"2026-05-09 found off=2 (was {drawn}): no evidence until drawn again\"");
        assert!(after.contains(&note), "{after}");
        // Once more, nothing new is to be said.
        run(folder.path(), &RECORD);
        assert_eq!(setup_text(folder.path()), after);
    }
}
