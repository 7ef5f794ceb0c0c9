//! What one sheet tells of several days: a torque, a line and a reading each bear their own.

use std::fs;

use crate::harness::{Bench, flowing};
use crate::texts::{RACE, changed};

const RACE_FILE: &str = "setups/rowan/race.kdl";
const SHEET_FILE: &str = "setups/rowan/back.kdl";
const FOUND: [&str; 4] = ["diff", "rowan/race", "--found", "rowan/back"];
const RECORD: [&str; 4] = ["record", "rowan/race", "--found", "rowan/back"];
const PUT_BACK: [&str; 5] = ["record", "rowan/race", "--found", "rowan/back", "--put-back"];

/// The setup of the 2nd, with a line across the rear brake lever's clamp at 168 mm and 32°, and a sheet of the 20th.
fn bench(lines: &str) -> Bench {
    let line = "    mark \"L1\" on=\"left.brake-lever\" { drawn from-tip=168 angle=32 read=\"2031-05-02\" }\n    fork {";
    let setup = changed(RACE, &[("    fork {", line)]);
    let sheet =
        format!("found \"rowan/race\" format=1 {{\n    measured \"2031-05-20\"\n    floor 0\n{lines}}}\n");
    Bench::without_git(&[(RACE_FILE, &setup), (SHEET_FILE, &sheet)])
}

/// The setup's text once the sheet is recorded, and what the program said.
fn recorded(lines: &str, record: &[&str]) -> (String, String) {
    let bench = bench(lines);
    let outcome = bench.run(record);
    (fs::read_to_string(bench.root().join(RACE_FILE)).unwrap(), outcome.screen())
}

fn lever(read: &str) -> String {
    format!("    left {{ brake-lever {{ {read} }} }}\n")
}

fn tightened(on: u32) -> String {
    format!("    torque \"left.brake-lever\" {{ applied 3 read=\"2031-05-{on}\" }}\n")
}

/// What moved by its reading was let go: a torque of before that day tells nothing, one of that day or later does.
#[test]
fn a_torque_of_before_the_reading_that_shows_a_move_is_void() {
    for (read, day, torque, is_tight) in [
        ("from-tip 150 read=\"2031-05-24\"", 24, 20, false),
        ("from-tip 150 read=\"2031-05-24\"", 24, 24, true),
        ("from-tip 150", 20, 16, false),
        ("from-tip 150", 20, 20, true),
        ("from-tip 150 read=\"2031-05-16\"", 16, 18, true),
        ("from-tip 150 read=\"2031-05-16\"", 16, 15, false),
    ] {
        let lines = lever(read) + &tightened(torque);
        let bench = bench(&lines);
        let diff = flowing(&bench.run(&FOUND).out);
        assert_eq!(diff.contains("opened after that"), !is_tight, "{lines}: {diff}");
        assert!(diff.contains(&format!("tightened to 3 N·m on 2031-05-{torque}")), "{lines}: {diff}");
        for record in [&RECORD[..], &PUT_BACK] {
            let (text, screen) = recorded(&lines, record);
            let applied = format!("applied 3 read=\"2031-05-{torque}\"");
            assert_eq!(text.contains(&applied), is_tight, "{lines}: {screen}\n{text}");
            let note = format!("2031-05-{day} joint opened, torque not read");
            assert_eq!(text.contains(&note), !is_tight, "{lines}: {screen}\n{text}");
            assert!(!text.contains("from-tip unmeasured"), "{lines}: {screen}\n{text}");
        }
        // What nobody read beside it is unknown since that day.
        let (text, screen) = recorded(&lines, &RECORD);
        let note = format!("2031-05-{day} angle no longer known: the left brake lever was opened");
        assert!(text.contains(&note), "{lines}: {screen}\n{text}");
    }
}

/// So it is with the bar, which was read on the 24th.
#[test]
fn a_torque_of_the_stem_from_before_the_bar_was_read_rolled_is_void() {
    let lines = |day: u32| {
        format!(
            "    bar {{ roll 7 read=\"2031-05-24\" }}\n    torque \"stem-face\" {{ applied 4.5 read=\"2031-05-{day}\" }}\n"
        )
    };
    for (day, is_tight) in [(20, false), (24, true)] {
        let (text, screen) = recorded(&lines(day), &PUT_BACK);
        assert_eq!(text.contains("applied 4.5"), is_tight, "{screen}\n{text}");
        let note = "2031-05-24 joint opened, torque not read";
        assert_eq!(text.contains(note), !is_tight, "{screen}\n{text}");
    }
}

/// Neither the line nor the gauge is false that tell of two days; of one day they are.
#[test]
fn a_line_and_a_reading_of_two_days_contradict_each_other_not() {
    let aligned = |day: &str| format!("    mark \"L1\" aligned{day}\n");
    let apart = |day: &str| format!("    mark \"L1\" off=2{day}\n");
    let angle = |figure: &str, day: &str| lever(&format!("angle {figure}{day}"));
    let of_16 = " read=\"2031-05-16\"";
    for (lines, is_false, written) in [
        // Moved since the line was seen to meet.
        (aligned(of_16) + &angle("26", ""), false, "angle 26"),
        (aligned("") + &angle("26", ""), true, "angle 32"),
        // Set back since it stood apart.
        (apart(of_16) + &angle("32", "") + &tightened(20), false, "angle 32"),
        (apart("") + &angle("32", ""), true, "angle 32"),
        // Turned since the gauge was on it: 2 mm on a bar of 22.2 mm are 2·360/(π·22.2) = 10.3°; 32 + 10.3 = 42.3.
        (apart("") + &angle("32", of_16), false, "angle 42.3"),
    ] {
        let diff = flowing(&bench(&lines).run(&FOUND).out);
        assert_eq!(diff.contains("one of the two is false"), is_false, "{lines}: {diff}");
        assert!(!diff.contains("did not move"), "{lines}: {diff}");
        let (text, screen) = recorded(&lines, &RECORD);
        assert_eq!(screen.contains("nothing was recorded"), is_false, "{lines}: {screen}");
        assert!(text.contains(written), "{lines}: {screen}\n{text}");
    }
}

/// Where nothing has a day nobody says which came first.
#[test]
fn an_undated_torque_beside_a_dated_opening_is_not_told_to_be_the_earlier() {
    let lines = "    torque \"left.brake-lever\" { applied 3 }\n    opened \"left.brake-lever\" read=\"2031-05-16\"\n";
    let bench = bench(lines);
    let sheet = fs::read_to_string(bench.root().join(SHEET_FILE)).unwrap();
    let said = flowing(&bench.run(&FOUND).out);
    assert!(said.contains("tightened to 3 N·m, within"), "{said}");
    fs::write(bench.root().join(SHEET_FILE), sheet.replace("    measured \"2031-05-20\"\n", "")).unwrap();
    let said = flowing(&bench.run(&FOUND).out);
    let told = "tightened to 3 N·m, nobody says when, and opened, seen 2031-05-16, torque unknown";
    assert!(said.contains(told), "{said}");
    // With two days the later is told.
    let dated = lines.replace("applied 3 ", "applied 3 read=\"2031-05-12\" ");
    let said = flowing(&self::bench(&dated).run(&FOUND).out);
    let told = "tightened to 3 N·m on 2031-05-12, and opened after that, seen 2031-05-16, torque unknown";
    assert!(said.contains(told), "{said}");
}

/// What was read before the clamp was open tells nothing of how it stands, and is the last that anybody read there: it is told,
/// and a note keeps it beside what was recorded.
#[test]
fn what_was_read_before_its_joint_was_open_is_told_and_kept() {
    let of_16 = " read=\"2031-05-16\"";
    let read = |of: &str| lever(&format!("from-tip 150{of}"));
    for (open, how) in [
        ("    opened \"left.brake-lever\"\n", "the left brake lever was opened"),
        ("    mark \"L1\" broken\n", "mark L1 was found broken"),
    ] {
        let bench = bench(&(read(of_16) + open));
        let told = format!("read 2031-05-16, before {how} on 2031-05-20: 150 mm");
        let diff = bench.run(&FOUND);
        assert!(flowing(&diff.out).contains(&told), "{}", diff.screen());
        let json = bench.run(&[&FOUND[..], &["--json"]].concat()).json();
        let one = &json["read-before-open"][0];
        assert_eq!(
            [&one["measure"], &one["found"], &one["read"], &one["since"]],
            ["left.brake-lever.from-tip", "150 mm", "2031-05-16", "2031-05-20"],
            "{json}"
        );
        let record = bench.run(&RECORD);
        assert!(flowing(&record.out).contains(&told), "{}", record.screen());
        let text = fs::read_to_string(bench.root().join(RACE_FILE)).unwrap();
        for note in [
            format!("2031-05-20 from-tip no longer known: {how}; it read 168 mm before"),
            format!("2031-05-16 from-tip read 150 mm, before {how} on 2031-05-20"),
        ] {
            assert!(text.contains(&note), "{note}: {}\n{text}", record.screen());
        }
        // Recorded once more, nothing is new.
        bench.run(&RECORD);
        assert_eq!(fs::read_to_string(bench.root().join(RACE_FILE)).unwrap(), text);
        // Read on the day on which it was open, it tells how the joint stands.
        let bench = self::bench(&(read("") + open));
        let json = bench.run(&[&FOUND[..], &["--json"]].concat()).json();
        assert!(json.get("read-before-open").is_none(), "{json}");
    }
    // Turned since the gauge was on it.
    let bench = bench(&(lever(&format!("angle 26{of_16}")) + "    mark \"L1\" off=2\n"));
    let told = "read 2031-05-16, before mark L1 was found apart on 2031-05-20: 26°";
    let diff = bench.run(&FOUND);
    assert!(flowing(&diff.out).contains(told), "{}", diff.screen());
}
