//! The day of a mark that was seen and of a joint that was open, where it is another than the sheet's.

use std::fs;

use crate::harness::{Bench, Commit, Outcome, flowing};
use crate::texts::{RACE, changed};

const RACE_FILE: &str = "setups/rowan/race.kdl";
const SHEET_FILE: &str = "setups/rowan/back.kdl";
const FOUND: [&str; 4] = ["diff", "rowan/race", "--found", "rowan/back"];
const RECORD: [&str; 4] = ["record", "rowan/race", "--found", "rowan/back"];

/// A line across the rear brake lever's clamp, of the file's own day, the 2nd.
const L1: [(&str, &str); 1] = [(
    "    fork {",
    "    mark \"L1\" on=\"left.brake-lever\" { drawn from-tip=168 angle=32 read=\"2031-05-02\" }\n    fork {",
)];

/// The rear brake lever of the setup.
const LEFT: &str = "angle 32 with=angle-gauge; reach 62 with=caliper; bite 34";

fn setup() -> String {
    changed(RACE, &L1)
}

/// A sheet of the 20th.
fn sheet(lines: &str) -> String {
    format!("found \"rowan/race\" format=1 {{\n    measured \"2031-05-20\"\n    floor 0\n{lines}}}\n")
}

fn bench(setup: &str, lines: &str) -> Bench {
    Bench::without_git(&[(RACE_FILE, setup), (SHEET_FILE, &sheet(lines))])
}

/// What the setup holds once the sheet is recorded.
fn recorded(setup: &str, lines: &str) -> (String, Outcome) {
    let bench = bench(setup, lines);
    let outcome = bench.run(&RECORD);
    (fs::read_to_string(bench.root().join(RACE_FILE)).unwrap(), outcome)
}

#[test]
fn a_mark_and_an_opened_joint_may_bear_a_day_of_their_own() {
    // It is June 2031.
    for (lines, codes) in [
        ("    mark \"L1\" broken read=\"2031-05-16\"\n", &[][..]),
        ("    mark \"L1\" off=0.8 read=\"2031-05-16\"\n", &[][..]),
        ("    opened \"stem-face\" read=\"2031-05-16\"\n", &[][..]),
        ("    mark \"L1\" broken read=\"2031-08-01\"\n", &["date-ahead", "2031-08-01 is yet to come"][..]),
        ("    opened \"stem-face\" read=\"2031-08-01\"\n", &["date-ahead", "2031-08-01 is yet to come"][..]),
        ("    mark \"L1\" broken read=\"16 May\"\n", &["bad-date", "line 4"][..]),
        ("    opened \"stem-face\" read=\"2031-05-32\"\n", &["bad-date", "line 4"][..]),
        ("    mark \"L1\" on=\"left.brake-lever\" read=\"2031-05-16\"\n", &["out-of-place"][..]),
    ] {
        let check = bench(&setup(), lines).run(&["check", "rowan/back"]);
        let is_told = check.out.contains("Caution") || check.out.contains("Fault");
        assert_eq!(is_told, !codes.is_empty(), "{lines}: {}", check.screen());
        assert!(codes.iter().all(|code| check.out.contains(code)), "{lines}: {}", check.screen());
    }
    // In a setup that is the day of a line, and stands beside where it was drawn.
    let misplaced =
        changed(&setup(), &[("on=\"left.brake-lever\" {", "on=\"left.brake-lever\" read=\"2031-05-16\" {")]);
    let check = bench(&misplaced, "").run(&["check", "rowan/race"]);
    assert!(
        check.out.contains("out-of-place") && flowing(&check.out).contains("drawn from-tip=168 read="),
        "{}",
        check.screen()
    );
}

#[test]
fn a_torque_answers_no_joint_that_was_open_after_it() {
    let torque = |day: &str| format!("    torque \"stem-face\" {{ applied 4.5{day} }}\n");
    let opened = |day: &str| format!("    opened \"stem-face\"{day}\n");
    let (of_16, of_18, of_20) = (" read=\"2031-05-16\"", " read=\"2031-05-18\"", "");
    for (tightened, open, is_tight) in [
        (of_16, of_20, false),
        (of_16, of_18, false),
        (of_18, of_16, true),
        (of_20, of_16, true),
        (of_16, of_16, true),
    ] {
        let bench = bench(&setup(), &format!("{}{}", torque(tightened), opened(open)));
        let words = if is_tight { "tightened to 4.5 N·m" } else { "torque unknown" };
        for asked in [&FOUND[..], &[]] {
            let outcome = bench.run(asked);
            let said = flowing(&outcome.out);
            let told = said.contains("opened, torque unknown: bar in stem");
            assert_eq!(told, !is_tight, "{tightened} {open}: {}", outcome.screen());
        }
        let diff = bench.run(&FOUND);
        assert!(flowing(&diff.out).contains(words), "{}", diff.screen());
        let record = bench.run(&RECORD);
        let text = fs::read_to_string(bench.root().join(RACE_FILE)).unwrap();
        assert_eq!(text.contains("applied 4.5"), is_tight, "{}\n{text}", record.screen());
        let day = if open == of_18 { 18 } else { 20 };
        let note = format!("note \"2031-05-{day} joint opened, torque not read\"");
        assert_eq!(text.contains(&note), !is_tight, "{}\n{text}", record.screen());
    }
    // Its line found broken after it was tightened, it may have been opened since.
    let lost = "    torque \"left.brake-lever\" { applied 3 read=\"2031-05-16\" }\n    mark \"L1\" broken\n";
    let diff = bench(&setup(), lost).run(&FOUND);
    let told = "tightened to 3 N·m on 2031-05-16, and opened after that, torque unknown";
    assert!(flowing(&diff.out).contains(told), "{}", diff.screen());
}

#[test]
fn what_was_tightened_or_drawn_since_a_sheet_saw_it_holds() {
    // Tightened on the 18th, between the day on which it was seen open and the sheet's.
    let tightened =
        changed(RACE, &[("tool=\"T25\" {", "tool=\"T25\" {\n        applied 2.8 read=\"2031-05-18\"")]);
    let opened = |day: &str| format!("    opened \"left.brake-lever\"{day}\n");
    let (text, record) = recorded(&tightened, &opened(" read=\"2031-05-16\""));
    assert!(text.contains("applied 2.8 read=\"2031-05-18\""), "{}\n{text}", record.screen());
    assert!(!text.contains("joint opened"), "{text}");
    let (text, _) = recorded(&tightened, &opened(""));
    assert!(
        !text.contains("applied 2.8") && text.contains("2031-05-20 joint opened, torque not read"),
        "{text}"
    );
    // So it is with a line that was drawn on the 18th: what was broken on the 16th was the one before.
    let drawn = changed(&setup(), &[("angle=32 read=\"2031-05-02\"", "angle=32 read=\"2031-05-18\"")]);
    let broken = |day: &str| format!("    mark \"L1\" broken{day}\n");
    let (text, _) = recorded(&drawn, &broken(" read=\"2031-05-16\""));
    assert!(text.contains("drawn from-tip=168 angle=32 read=\"2031-05-18\""), "{text}");
    let (text, _) = recorded(&drawn, &broken(""));
    assert!(text.contains("2031-05-20 found broken (was drawn from-tip=168"), "{text}");
}

#[test]
fn what_is_recorded_of_it_bears_its_day() {
    let lines = "    mark \"L1\" broken read=\"2031-05-16\"\n    opened \"stem-face\" read=\"2031-05-18\"\n";
    let (text, record) = recorded(&setup(), lines);
    for note in [
        "2031-05-16 found broken (was drawn from-tip=168 angle=32 read=2031-05-02): no evidence until drawn again",
        "2031-05-16 from-tip no longer known: mark L1 was found broken",
        "2031-05-16 joint opened, torque not read",
        "2031-05-18 roll no longer known: the bar in stem was opened",
        "2031-05-18 joint opened, torque not read",
    ] {
        assert!(text.contains(note), "{note}: {}\n{text}", record.screen());
    }
    assert!(flowing(&record.out).contains("Mark L1 was found broken on 2031-05-16"), "{}", record.screen());
    // Recorded once more, nothing is new.
    let bench = Bench::without_git(&[(RACE_FILE, &text), (SHEET_FILE, &sheet(lines))]);
    bench.run(&RECORD);
    assert_eq!(fs::read_to_string(bench.root().join(RACE_FILE)).unwrap(), text);
    // The pages before it say the day, too.
    let bench = Bench::without_git(&[(RACE_FILE, &setup()), (SHEET_FILE, &sheet(lines))]);
    let diff = bench.run(&FOUND);
    let said = flowing(&diff.out);
    assert!(
        said.contains("L1 across rear brake lever (left)") || said.contains("L1 across left brake lever"),
        "{said}"
    );
    assert!(said.contains("by how much nobody knows, seen 2031-05-16."), "{}", diff.screen());
    assert!(said.contains("opened, seen 2031-05-18, torque unknown"), "{}", diff.screen());
    let json = bench.run(&[&FOUND[..], &["--json"]].concat()).json();
    let mark = json["marks"].as_array().unwrap().iter().find(|mark| mark["mark"] == "L1").unwrap();
    assert_eq!(mark["read"], "2031-05-16", "{json}");
    let json = bench.run(&["restore", "rowan/race", "--found", "rowan/back", "--json"]).json();
    let mark = json["marks"].as_array().unwrap().iter().find(|mark| mark["name"] == "L1").unwrap();
    assert_eq!(mark["read"], "2031-05-16", "{json}");
    assert!(mark["words"].as_str().unwrap().ends_with("That was seen on 2031-05-16."), "{json}");
}

#[test]
fn what_an_older_sheet_saw_since_the_setup_forbids_to_ride() {
    // The setup is of the 25th, the sheet of the 20th.
    let later = changed(&setup(), &[("measured \"2031-05-02\"", "measured \"2031-05-25\"")]);
    for (lines, told) in [
        ("    mark \"L1\" broken read=\"2031-05-26\"\n", "mark L1 "),
        ("    opened \"stem-face\" read=\"2031-05-26\"\n", "opened, torque unknown: bar in stem"),
        (
            "    opened \"stem-face\" read=\"2031-05-26\"\n    torque \"stem-face\" { applied 4.5 read=\"2031-05-27\" }\n",
            "bar in stem opened, and not read since",
        ),
        ("    mark \"L1\" aligned read=\"2031-05-26\"\n", ""),
        ("    mark \"L1\" broken\n    opened \"stem-face\"\n", ""),
    ] {
        let overview = bench(&later, lines).run(&[]);
        let said = flowing(&overview.out);
        assert_eq!(said.contains("o not ride"), !told.is_empty(), "{lines}: {}", overview.screen());
        assert!(said.contains(told), "{lines}: {}", overview.screen());
    }
}

#[test]
fn two_revisions_of_a_sheet_tell_when_only_the_day_differs() {
    let of = |day: &str| sheet(&format!("    mark \"L1\" broken{day}\n    opened \"stem-face\"{day}\n"));
    let dated = of(" read=\"2031-05-16\"");
    let bench = Bench::recorded(&[
        Commit { subject: "Found", files: &[(RACE_FILE, &setup()), (SHEET_FILE, &of(""))], tag: None },
        Commit { subject: "Dated", files: &[(SHEET_FILE, &dated)], tag: None },
        // A sheet that is of that day as a whole says the same.
        Commit {
            subject: "Whole",
            files: &[(SHEET_FILE, &of("").replace("measured \"2031-05-20\"", "measured \"2031-05-16\""))],
            tag: None,
        },
    ]);
    let said = flowing(&bench.run(&["history", SHEET_FILE]).out);
    assert!(said.contains("mark L1: broken, seen 2031-05-16, was broken"), "{said}");
    assert!(said.contains("bar in stem: opened, seen 2031-05-16, was opened"), "{said}");
    assert_eq!(said.matches("seen 2031-05-16").count(), 2, "{said}");
}

/// A sheet merged from two tells of two days: what was read before its joint was seen open tells nothing of it since.
#[test]
fn what_was_read_before_its_joint_was_open_is_not_known_since() {
    let read = |day: &str| format!("    left {{ brake-lever {{ from-tip 168{day}; angle 32{day} }} }}\n");
    let of_16 = " read=\"2031-05-16\"";
    let tight = "    torque \"left.brake-lever\" { applied 3 }\n";
    for (lines, is_known) in [
        (format!("{}    opened \"left.brake-lever\"\n{tight}", read(of_16)), false),
        (format!("{}    mark \"L1\" broken\n{tight}", read(of_16)), false),
        (format!("    mark \"L1\" aligned{of_16}\n    opened \"left.brake-lever\"\n{tight}"), false),
        (format!("{}    opened \"left.brake-lever\"{of_16}\n{tight}", read("")), true),
        (format!("{}    opened \"left.brake-lever\"\n{tight}", read("")), true),
        (format!("    mark \"L1\" aligned\n    opened \"left.brake-lever\"{of_16}\n{tight}"), true),
    ] {
        let (text, record) = recorded(&setup(), &lines);
        assert_eq!(
            !text.contains("from-tip no longer known"),
            is_known,
            "{lines}: {}\n{text}",
            record.screen()
        );
        let diff = bench(&setup(), &lines).run(&FOUND);
        let told = flowing(&diff.out).contains("not read since: left brake lever place");
        assert_eq!(told, !is_known && !lines.contains("broken"), "{lines}: {}", diff.screen());
    }
}

/// The gauge of the 16th was laid on the bar before that was let go.
#[test]
fn an_angle_read_before_the_bar_was_open_tells_nothing_of_its_roll() {
    let lines = |day: &str| {
        format!(
            "    mark \"L1\" aligned{day}\n    left {{ brake-lever {{ angle 32 with=angle-gauge{day} }} }}\n    \
             opened \"stem-face\"\n"
        )
    };
    let diff = |day: &str| flowing(&bench(&setup(), &lines(day)).run(&FOUND).out);
    assert!(diff("").contains("By the line there and the gauge the bar stands within"), "{}", diff(""));
    let said = diff(" read=\"2031-05-16\"");
    assert!(
        !said.contains("the bar stands within") && said.contains("L1 across left brake lever: lines up"),
        "{said}"
    );
    let (text, _) = recorded(&setup(), &lines(" read=\"2031-05-16\""));
    assert!(
        text.contains("angle no longer known: the bar in stem was opened; it read 32° at a roll"),
        "{text}"
    );
}

#[test]
fn what_a_line_tells_is_written_with_the_day_on_which_it_was_seen() {
    let off = "    mark \"L1\" off=1 read=\"2031-05-16\"\n";
    let (text, record) = recorded(&setup(), off);
    // 1 mm on a bar of 22.2 mm is 1·360/(π·22.2) = 5.16°; 32 + 5.16 = 37.16. Its width of 0.5 mm is half of that, 2.6°.
    assert!(text.contains("angle 37.2 tol=2.6 read=\"2031-05-16\""), "{}\n{text}", record.screen());
    // Recorded once more, nothing is new.
    let bench = Bench::without_git(&[(RACE_FILE, &text), (SHEET_FILE, &sheet(off))]);
    bench.run(&RECORD);
    assert_eq!(fs::read_to_string(bench.root().join(RACE_FILE)).unwrap(), text);
    // The lever was read on the 18th: the line of the 16th is older.
    let read = changed(
        &setup(),
        &[(LEFT, &LEFT.replace("32 with=angle-gauge", "32 with=angle-gauge read=\"2031-05-18\""))],
    );
    let (text, record) = recorded(&read, off);
    assert!(
        text.contains("angle 32 with=angle-gauge read=\"2031-05-18\"") && !text.contains("37.2"),
        "{}\n{text}",
        record.screen()
    );
    // Read after it was seen, the lever contradicts no line.
    let both = |day: &str| {
        format!("    mark \"L1\" aligned{day}\n    left {{ brake-lever {{ from-tip 160; angle 25 }} }}\n")
    };
    let contradicts =
        |day: &str| self::bench(&setup(), &both(day)).run(&FOUND).out.contains("one of the two is");
    assert!(contradicts("") && !contradicts(" read=\"2031-05-16\""));
}

/// A lever that was found turned on the bar by 40 - 32 = 8° before anybody opened the stem, whose bar was then read where it
/// stood before, has not come back by that.
#[test]
fn a_lever_found_turned_before_the_bar_was_open_is_told() {
    let (of_16, of_18) = (" read=\"2031-05-16\"", " read=\"2031-05-18\"");
    let of_the_bar = format!(
        "    left {{ brake-lever {{ angle 40 with=angle-gauge{of_16} }} }}\n    bar {{ roll -1.3 with=angle-gauge; offset 0 }}\n    \
         opened \"stem-face\"{of_18}\n    torque \"stem-face\" {{ applied 4.5 }}\n"
    );
    let diff = bench(&setup(), &of_the_bar).run(&FOUND);
    let told = flowing(&diff.out);
    assert_eq!(diff.status, 1, "{}", diff.screen());
    assert!(told.contains("Do not ride: rear brake lever angle (left) moved 8.0° tip down"), "{told}");
}
