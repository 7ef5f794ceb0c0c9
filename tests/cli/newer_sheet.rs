//! Sheets that are newer than all their setup tells, sheets whose setup is gone, and what was taken out of a setup since it was
//! recorded, through the program.
//!
//! Recorded on 2026-05-02: right lever 32° on level ground.

use std::fs;

use crate::harness::flowing;
use crate::history_values;
use crate::kept_figure::{BIKE, bike, page, sheet};
use crate::restore::{json, run};
use crate::roll_unread::words;
use crate::texts::RACE;

const TURNED: &str = "floor 0 with=angle-gauge; right { brake-lever { angle 28 with=angle-gauge } }";
const NEWER: &str = "A newer sheet of this setup, rowan/loan of 2026-05-09, is not written in, and says not to ride: \
                     clampmark diff rowan/race --found rowan/loan";

#[test]
fn a_newer_sheet_that_is_not_written_in_is_told_wherever_the_setup_is() {
    let folder = bike(&[]);
    sheet(&folder, 9, TURNED);
    for command in
        [&["check", "rowan/race"][..], &["check"], &["torque", "rowan/race"], &["restore", "rowan/race"]]
    {
        let screen = run(folder.path(), command);
        let told = flowing(&screen.text);
        assert_eq!(told.matches(NEWER).count(), 1, "{command:?}: {told}");
        assert_eq!(screen.status, Some(1), "{command:?}: {told}");
        let told = json(folder.path(), command);
        let newer = match command[0] {
            "check" => {
                let files = told["files"].as_array().expect("files");
                files.iter().find(|file| file["setup"] == "rowan/race").expect("the setup")["newer-sheet"]
                    .clone()
            }
            _ => told["newer-sheet"].clone(),
        };
        assert_eq!(newer["sheet"], "rowan/loan", "{command:?}: {told:#}");
        assert_eq!(newer["day"], "2026-05-09");
        assert_eq!(newer["not-to-ride"], true);
        assert_eq!(newer["command"], "clampmark diff rowan/race --found rowan/loan");
    }
    // The way back from that very sheet, and what is recorded from it, know it.
    for command in ["restore", "record"] {
        let told = page(&folder, &[command]).1;
        assert!(!told.contains("A newer sheet"), "{command}: {told}");
    }
    for command in [&["check", "rowan/race"][..], &["torque", "rowan/race"], &["restore", "rowan/race"]] {
        let told = words(folder.path(), command);
        assert!(!told.contains("A newer sheet"), "{command:?}: {told}");
    }
}

/// What says that all stands as recorded, or was read before it, is no news.
#[test]
fn a_sheet_that_tells_nothing_otherwise_or_nothing_newer_is_no_news() {
    let same = "floor 0 with=angle-gauge; right { brake-lever { angle 32 with=angle-gauge } }";
    for (day, inside) in [(9, same), (2, same), (1, TURNED)] {
        let folder = bike(&[]);
        sheet(&folder, day, inside);
        for command in
            [&["check", "rowan/race"][..], &["check"], &["torque", "rowan/race"], &["restore", "rowan/race"]]
        {
            let told = words(folder.path(), command);
            assert!(!told.contains("A newer sheet"), "{command:?}: {told}");
        }
    }
    // Put back, with the torque of that day.
    let folder = bike(&[("    mark \"L1\"", "    torque \"right.brake-lever\" 2.5 4\n    mark \"L1\"")]);
    sheet(&folder, 9, &format!("{TURNED}; torque \"right.brake-lever\" {{ applied 3 }}"));
    assert!(words(folder.path(), &["check", "rowan/race"]).contains("A newer sheet"));
    page(&folder, &["record", "--put-back"]);
    let told = words(folder.path(), &["check", "rowan/race"]);
    assert!(!told.contains("A newer sheet"), "{told}");
}

/// Of several the newest that forbids riding, and where none does the newest.
#[test]
fn the_newest_of_several_sheets_is_told() {
    let folder = bike(&[]);
    let later = |day: u32, inside: &str| {
        let text = format!(
            "found \"rowan/race\" format=1 {{ measured \"2026-05-{day}\"; {inside}; saddle {{ height 700 }} }}\n"
        );
        fs::write(folder.path().join("setups/rowan/returned.kdl"), text).expect("written");
    };
    let told = |newest: &str| {
        for told in [words(folder.path(), &["check", "rowan/race"]), page(&folder, &["restore"]).1] {
            assert!(told.contains(newest) && told.matches("A newer sheet").count() == 1, "{told}");
        }
    };
    sheet(&folder, 9, "saddle { height 720 }");
    later(20, "tyres { front 25 }");
    told("A newer sheet of this setup, rowan/returned of 2026-05-20, is not written in: clampmark diff");
    later(19, TURNED);
    told(
        "A newer sheet of this setup, rowan/returned of 2026-05-19, is not written in, and says not to ride:",
    );
    sheet(&folder, 9, TURNED);
    later(20, "tyres { front 25 }");
    let told = words(folder.path(), &["check", "rowan/race"]);
    assert!(told.contains(NEWER) && !told.contains("rowan/returned of"), "{told}");
}

#[test]
fn a_sheet_whose_setup_is_gone_tells_that_and_no_fault_of_its_instruments() {
    let folder = bike(&[]);
    sheet(&folder, 9, &format!("{TURNED}; left {{ brake-lever {{ angle 30 with=angle-gauge }} }}"));
    fs::remove_file(folder.path().join("setups/rowan/race.kdl")).expect("deleted");
    let screen = run(folder.path(), &["check"]);
    let told = flowing(&screen.text);
    let cause = "Fault. The sheet is for `rowan/race`, and the ledger holds no such setup: its instruments are not known.";
    assert!(told.contains(cause) && told.contains("1 file checked: 1 fault."), "{told}");
    assert!(!told.contains("angle-gauge` is not defined"), "{told}");
    assert_eq!(screen.status, Some(1));
    // What the sheet has wrong of its own is told still.
    sheet(&folder, 9, "saddle { hight 700 }");
    let told = words(folder.path(), &["check"]);
    assert!(
        told.contains("`hight` is not a word") && told.contains("holds no such setup. (name-differs)"),
        "{told}"
    );
}

/// Both versions of a conflict go with the measure itself: nothing in the file tells of it.
#[test]
fn a_measure_of_a_brake_taken_out_since_it_was_recorded_is_told() {
    let told = "No longer in the file, on steering or brakes: right brake lever angle.";
    let base = "right {\n        grip { length 134; hand 62 }\n        brake-lever { from-tip 168; angle 32 with=angle-gauge;";
    assert!(RACE.contains(base), "{RACE}");
    let undecided = "conflict \"right.brake-lever.angle\" { ours { angle 30 }; theirs { angle 25 } };";
    let marked = "\n<<<<<<< ours\n angle 30;\n=======\n angle 25;\n>>>>>>> theirs\n";
    for angle in ["angle 32 with=angle-gauge;", undecided, marked] {
        let recorded = RACE.replacen(base, &base.replace("angle 32 with=angle-gauge;", angle), 1);
        let bench = history_values::recorded(&[&recorded]);
        bench.write(
            "setups/rowan/race.kdl",
            RACE.replacen(base, &base.replace("angle 32 with=angle-gauge;", ""), 1),
        );
        let outcome = bench.run(&["check", "rowan/race"]);
        assert!(flowing(&outcome.out).contains(told), "{recorded}\n{}", outcome.out);
        assert_eq!(outcome.status, 1);
        let file = &bench.run(&["check", "rowan/race", "--json"]).json()["files"][0];
        assert!(file["not-to-ride"].as_str().is_some_and(|words| words.ends_with(told)), "{file:#}");
    }
    let bench = history_values::recorded(&[RACE]);
    assert!(!bench.run(&["check", "rowan/race"]).out.contains("No longer in the file"));
}

/// All angles on the bar hang on its roll, which counts as none where it is left out; and nobody knows any more how tight a clamp is
/// to be.
#[test]
fn a_roll_or_a_torque_taken_out_with_its_conflict_is_told() {
    let conflict = |about: &str, ours: &str, theirs: &str| {
        format!("conflict \"{about}\" {{ ours {{ {ours} }}; theirs {{ {theirs} }} }}")
    };
    let rolled = conflict("bar.roll", "roll 4 with=angle-gauge", "roll 6 with=angle-gauge");
    let tight = conflict(
        "torque.left.brake-lever",
        "torque \"left.brake-lever\" 2.5 4 { applied 3 }",
        "torque \"left.brake-lever\" 5 6",
    );
    let with = |roll: &str, torque: &str| {
        BIKE.replace("roll 0 with=angle-gauge;", roll)
            .replace("    mark \"L1\"", &format!("{torque}    mark \"L1\""))
    };
    let same = "roll 0 with=angle-gauge;";
    let cases = [
        (with(&rolled, ""), with("", ""), Some("bar roll")),
        (with("roll 4 with=angle-gauge;", ""), with("", ""), Some("bar roll")),
        (with(same, &format!("    {tight}\n")), with(same, ""), Some("torque of the left brake lever")),
        (
            with(same, "    torque \"right.brake-lever\" 2.5 4\n"),
            with(same, ""),
            Some("torque of the right brake lever"),
        ),
        // What is left out counts as level: the file says what it said. A shifter lets nobody down.
        (with(same, "    torque \"right.shifter\" 2.5 4\n"), with("", ""), None),
    ];
    for (recorded, left, gone) in cases {
        let bench = history_values::recorded(&[&recorded]);
        bench.write("setups/rowan/race.kdl", &left);
        let outcome = bench.run(&["check", "rowan/race"]);
        let told = flowing(&outcome.out);
        let words = gone.map(|gone| format!("No longer in the file, on steering or brakes: {gone}."));
        match words {
            Some(words) => assert!(told.contains(&words) && outcome.status == 1, "{recorded}\n{told}"),
            None => assert!(!told.contains("No longer in the file"), "{recorded}\n{told}"),
        }
    }
}
