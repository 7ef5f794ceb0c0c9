//! A bar that was rolled by hand, and only its roll written: the levers went along, and their angles are those of before.
//!
//! The levers were read at 32° on 2026-05-02 with the bar at 0°; on 2026-05-20 it was rolled to 4°. Gone along they stand at
//! 32 + 4 = 36°, set back at 32°.

use std::fs;

use serde_json::Value;

use crate::harness::{Bench, Commit, Outcome, flowing};

const PATH: &str = "setups/rowan/race.kdl";
const SETUP: &str = r#"setup "rowan/race" format=1 {
    measured "2026-05-02"
    floor 0 with=angle-gauge
    instruments { angle-gauge tol=0.2 }
    stem { length 50; angle 0; clamp-height 40 }
    bar { width 780; roll 0 with=angle-gauge }
    left { brake-lever { from-tip 168; angle 32 with=angle-gauge } }
    right { brake-lever { from-tip 168; angle 32 with=angle-gauge }
        shifter { mount own; from-tip 193; angle 41 with=angle-gauge } }
    torque "left.brake-lever" 2.5 4 { caution "Low end." }
    torque "right.brake-lever" 2.5 4 { caution "Low end." }
    mark "L1" on="left.brake-lever" { drawn from-tip=168 angle=32 roll=0 }
    mark "R1" on="right.brake-lever" { drawn from-tip=168 angle=32 }
}
"#;
const UNROLLED: &str = "roll 0 with=angle-gauge";
const ROLLED: &str = "roll 4 with=angle-gauge read=\"2026-05-20\"";
/// The same without a day: nothing of the file tells that it is later.
const ROLLED_THAT_DAY: &str = "roll 4 with=angle-gauge";
const CODE: &str = "(read-before-roll)";

fn rolled() -> String {
    SETUP.replace(UNROLLED, ROLLED)
}

fn ledger(text: &str) -> Bench {
    Bench::without_git(&[(PATH, text)])
}

fn check(text: &str) -> String {
    flowing(&ledger(text).run(&["check", "rowan/race"]).out)
}

/// What was written one after the other.
fn written(texts: &[&str]) -> Bench {
    let files: Vec<[(&str, &str); 1]> = texts.iter().map(|text| [(PATH, *text)]).collect();
    let commits: Vec<Commit> =
        files.iter().map(|files| Commit { subject: "Write", files, tag: None }).collect();
    Bench::recorded(&commits)
}

fn step(page: &Outcome, joint: &str) -> Value {
    let plan = page.json();
    let steps = plan["steps"].as_array().expect("steps");
    steps.iter().find(|step| step["joint"] == joint).unwrap_or_else(|| panic!("{joint}: {plan:#}")).clone()
}

fn is_narrow(page: &Outcome) {
    let widest = page.out.lines().map(|line| line.chars().count()).max().unwrap_or_default();
    assert!(widest <= 80, "{}", page.out);
}

#[test]
fn check_tells_of_angles_older_than_the_roll_brakes_first() {
    let page = check(&rolled());
    let words = "Caution. Read 2026-05-02 with the bar at 0°; on 2026-05-20 it stood at 4°: left brake lever angle 32° (36.0° gone \
                 along), right brake lever angle 32° (36.0° gone along), right shifter angle 41° (45.0° gone along). Gone along \
                 with the bar or set back: nobody says which. (read-before-roll) Read them again on the bar as it stands, \
                 brakes first,";
    assert!(page.contains(words), "{page}");
    // The line is not said to be stale: gone along with the bar the lever stands at it.
    assert!(page.contains("Mark L1 tells where this stood on the bar"), "{page}");
    assert!(!page.contains("Mark L1 is stale"), "{page}");
    // Without a line that says a roll nobody knows whether the bar was rolled at all.
    let page = check(&rolled().replace(" roll=0 ", " "));
    let words = "Read 2026-05-02, and the bar's roll, 4°, only on 2026-05-20: left brake lever angle 32°, right brake lever \
                 angle 32°, right shifter angle 41°. Nobody says whether the bar was rolled in between. (read-before-roll)";
    assert!(page.contains(words), "{page}");
    // The bar's own line tells how it stood as well.
    let page = check(&rolled().replace(
        "mark \"L1\" on=\"left.brake-lever\" { drawn from-tip=168 angle=32 roll=0 }",
        "mark \"B1\" on=\"stem-face\" { drawn roll=-1 }",
    ));
    assert!(
        page.contains("with the bar at -1°")
            && page.contains("left brake lever angle 32° (37.0° gone along)"),
        "{page}"
    );
}

/// Read on different days they are told apart, and what is accepted of one lever says nothing of the other.
#[test]
fn each_day_is_told_of_by_itself_and_accepted_by_itself() {
    let text =
        rolled().replacen("angle 32 with=angle-gauge", "angle 32 with=angle-gauge read=\"2026-05-10\"", 1);
    let page = check(&text.replace("angle=32 roll=0", "angle=33 roll=0"));
    assert!(
        page.contains(
            "Read 2026-05-10, and the bar's roll, 4°, only on 2026-05-20: left brake lever angle 32°. "
        ),
        "{page}"
    );
    assert!(
        page.contains("Read 2026-05-02 with the bar at 0°; on 2026-05-20 it stood at 4°: right brake lever"),
        "{page}"
    );
    let accepted = "accept read-before-roll on=\"left.brake-lever\" \"Looked at\"\n    torque \"left";
    let page = check(&rolled().replacen("torque \"left", accepted, 1));
    assert!(
        page.contains("it stood at 4°: right brake lever angle 32° (36.0° gone along), right shifter"),
        "{page}"
    );
}

/// On one day nothing tells what came first, but that a line was drawn at the very figure and another roll.
#[test]
fn a_line_drawn_at_another_roll_tells_it_without_a_day() {
    let text = SETUP.replace(UNROLLED, ROLLED_THAT_DAY);
    let page = check(&text);
    let words = "Read with the bar at 4° or, as mark L1 has it, at 0°: left brake lever angle 32° (36.0° gone along), right \
                 brake lever angle 32° (36.0° gone along), right shifter angle 41° (45.0° gone along).";
    assert!(page.contains(words), "{page}");
    let page = check(&text.replace(" roll=0 ", " "));
    assert!(!page.contains(CODE), "{page}");
}

#[test]
fn nothing_is_said_of_angles_that_were_read_on_the_bar_as_it_stands() {
    let read = |text: &str, day: &str| {
        text.replace("with=angle-gauge }", &format!("with=angle-gauge read=\"{day}\" }}"))
    };
    let silent = [
        SETUP.to_owned(),
        // All of it measured on one later day, on which the line went along: 32 + 4 = 36.
        SETUP
            .replace(UNROLLED, ROLLED_THAT_DAY)
            .replace("angle 32 with", "angle 36 with")
            .replace("02", "20"),
        // Read again on the day of the roll, or after it.
        read(&rolled(), "2026-05-20"),
        read(&rolled(), "2026-05-22"),
        // Only the roll was read again, within reading: 0.1° with ± 0.2° on both.
        rolled().replace("roll 4 with", "roll 0.1 with"),
    ];
    for text in silent {
        // Of the roll's own day, where the replacing above left one without.
        let text =
            text.replace("roll 4 with=angle-gauge read=\"2026-05-20\" read", "roll 4 with=angle-gauge read");
        let page = check(&text);
        assert!(!page.contains(CODE), "{text}\n{page}");
    }
    // Set back and read on the rolled bar, the lever has left its line: that is sure.
    let page = check(&read(&rolled(), "2026-05-22"));
    assert!(page.contains("Mark L1 is stale: drawn at left brake lever angle 32° with the bar's roll at 0°, recorded is 32° at 4°."), "{page}");
    // A line drawn there on the rolled bar tells that the lever stood so; the shifter has none.
    let drawn =
        rolled().replace("angle=32 ", "angle=32 read=\"2026-05-21\" ").replace(" roll=0 ", " roll=4 ");
    let page = check(&drawn);
    assert!(page.contains("right shifter angle 41°") && !page.contains("brake lever angle 32°"), "{page}");
}

/// A plan says how all of it is to stand together: a lever that is to read 32° on the rolled bar was not read before.
#[test]
fn a_plan_is_no_reading() {
    let bench = ledger(SETUP);
    bench.run(&["try", "rowan/race", "bar.roll=4", "left.brake-lever.angle=32", "--write", "rowan/tried"]);
    let text = fs::read_to_string(bench.root().join("setups/rowan/tried.kdl")).expect("a plan");
    assert!(text.contains("roll 4"), "{text}");
    let page = flowing(&bench.run(&["check", "rowan/tried"]).out);
    assert!(!page.contains(CODE), "{page}");
}

/// Rolled once more in a plan, the levers go along from nobody knows where.
#[test]
fn a_plan_settles_no_old_angle() {
    let bench = ledger(&rolled());
    let page = bench.run(&["try", "rowan/race", "bar.roll=6"]);
    is_narrow(&page);
    let text = flowing(&page.out);
    let words = "Read before the bar was rolled last, and not again: left brake lever angle, right brake lever angle, right \
                 shifter angle. What they are to read here is worked out of that: read them first.";
    assert!(text.contains(words) && !text.contains("read-before-roll"), "{text}");
}

#[test]
fn nobody_is_sent_to_the_old_angle_nor_to_the_line_alone() {
    let bench = ledger(&rolled());
    let page = bench.run(&["restore", "rowan/race"]);
    is_narrow(&page);
    let text = flowing(&page.out);
    let words = "Not known: left brake lever angle: 32° was read 2026-05-02 with the bar at 0°; on 2026-05-20 it stood at 4°. Read \
                 it on the bike before its clamp is touched, and record it. If that is too late, gone along with the bar it \
                 stands at 36.0°, where mark L1 meets; set back, at 32°: ask who worked on the bar, ride slowly, and record it.";
    assert!(text.contains(words), "{text}");
    assert!(
        text.contains(
            "Do not ride: left brake lever angle read before the bar was rolled; right brake lever angle"
        ),
        "{text}"
    );
    assert!(!text.contains("Line up mark") && !text.contains("brake lever angle: set it to"), "{text}");
    for joint in ["left.brake-lever", "right.brake-lever"] {
        let step = step(&bench.run(&["restore", "rowan/race", "--json"]), joint);
        let moved: Vec<&str> = step["moves"]
            .as_array()
            .expect("moves")
            .iter()
            .filter_map(|one| one["measure"].as_str())
            .collect();
        assert_eq!(moved, [format!("{joint}.from-tip")], "{step:#}");
    }
    // What is accepted of one lever is its target again.
    let accepted = "accept read-before-roll on=\"left.brake-lever\" \"Looked at\"\n    torque \"left";
    let text = flowing(
        &ledger(&rolled().replacen("torque \"left", accepted, 1)).run(&["restore", "rowan/race"]).out,
    );
    assert!(text.contains("Do not ride: right brake lever angle read before the bar was rolled;"), "{text}");
    assert!(text.contains("left brake lever angle: set it to 32.0°"), "{text}");
    // Read again, it is set to what was read, and its line lined up: 32 - 0 = 36 - 4.
    let read = rolled().replace("angle 32 with=angle-gauge", "angle 36 with=angle-gauge read=\"2026-05-20\"");
    let text = flowing(&ledger(&read).run(&["restore", "rowan/race"]).out);
    assert!(text.contains("left brake lever angle: set it to 36.0°, mark L1"), "{text}");
}

/// The roll read again and found the same, or written for the first time: nobody knows that the bar was rolled at all. The
/// figure stays the target, and the step says what to mind.
#[test]
fn a_roll_that_was_only_read_later_forbids_nobody_to_ride() {
    let bare = SETUP.replace(" roll=0 ", " ");
    for roll in ["roll 0 with=angle-gauge read=\"2026-05-20\"", ROLLED] {
        let bench = ledger(&bare.replace(UNROLLED, roll));
        let page = bench.run(&["restore", "rowan/race"]);
        is_narrow(&page);
        let text = flowing(&page.out);
        assert!(
            text.contains("Do not ride: no torque known: stem on steerer, bar in stem. Before"),
            "{text}"
        );
        assert!(text.contains("right brake lever angle: set it to 32.0°"), "{text}");
        let degrees = if roll == ROLLED { "4°" } else { "0°" };
        let mind = format!(
            "Mind: right brake lever angle: 32° was read 2026-05-02, and the bar's roll, {degrees}, only on 2026-05-20. If the \
             bar was rolled in between it stands otherwise: read it first."
        );
        assert!(text.contains(&mind), "{text}");
        assert!(check(&bare.replace(UNROLLED, roll)).contains(CODE));
        // Accepted, nothing is to be minded.
        let accepted = "accept read-before-roll \"The bar never moved\"\n    torque \"left";
        let text = bare.replace(UNROLLED, roll).replacen("torque \"left", accepted, 1);
        let text = flowing(&ledger(&text).run(&["restore", "rowan/race"]).out);
        assert!(!text.contains("read it first") && text.contains("lever angle: set it to 32.0°"), "{text}");
    }
}

const FOUND: [&str; 3] = ["rowan/race", "--found", "rowan/loan"];

/// The rolled bike with a sheet of a later day that finds its left lever at so many degrees, and its line meeting.
fn found(lever: &str) -> Bench {
    let bench = ledger(&rolled());
    let sheet = format!(
        "found \"rowan/race\" format=1 {{\n    measured \"2026-05-23\"\n    floor 0 with=angle-gauge
    left {{ brake-lever {{ angle {lever} with=angle-gauge }} }}; mark \"L1\" aligned\n}}\n"
    );
    bench.write("setups/rowan/loan.kdl", sheet);
    bench
}

fn on_found(bench: &Bench, command: &str) -> String {
    let page = bench.run(&[&[command][..], &FOUND].concat());
    is_narrow(&page);
    flowing(&page.out)
}

/// A sheet that reads 36° finds the lever where the bar took it: nobody touched its clamp, its line is evidence again, and what
/// is recorded loses neither its place nor its torque.
#[test]
fn a_lever_that_is_found_where_the_bar_took_it_did_not_move() {
    let bench = found("36");
    let text = on_found(&bench, "diff");
    assert!(
        text.contains("Nothing moved of the 2") && text.contains("L1 across left brake lever: lines up"),
        "{text}"
    );
    assert!(!text.contains("Do not ride") && !text.contains("older than the bar's roll"), "{text}");
    assert!(!on_found(&bench, "restore").contains("left brake lever (left"), "{text}");
    let page = on_found(&bench, "record");
    assert!(page.contains("left brake lever angle 36° was 32°"), "{page}");
    assert!(!page.contains("opened") && !page.contains("no longer known"), "{page}");
    let text = fs::read_to_string(bench.root().join(PATH)).expect("a setup");
    let left = "left { brake-lever { from-tip 168; angle 36 with=angle-gauge read=\"2026-05-23\" } }";
    assert!(text.contains(left), "{text}");
    // The other lever was not read again, and is told of still.
    let check = flowing(&bench.run(&["check", "rowan/race"]).out);
    assert!(check.contains("it stood at 4°: right brake lever angle 32°"), "{check}");
    assert!(!check.contains("Mark L1"), "{check}");
}

/// Found elsewhere it is held against the old figure, and no page says in silence that this tells how far it moved.
#[test]
fn a_lever_that_is_found_elsewhere_is_not_held_against_the_old_angle_in_silence() {
    for (lever, told) in [("32", "did not move"), ("25", "moved 7.0° tip up")] {
        let bench = found(lever);
        let text = on_found(&bench, "diff");
        let words = "Held against a figure older than the bar's roll: left brake lever angle (32°; 36.0° gone along with the bar). \
                     Whether it moved on the bar the figures do not say.";
        assert!(text.contains(words) && text.contains(told), "{text}");
        let line = "L1 across left brake lever: the angle beside it was read before the bar was rolled";
        assert!(text.contains(line), "{text}");
        let json = bench.run(&[&["diff"][..], &FOUND, &["--json"]].concat()).json();
        assert_eq!(json["was-read-before-the-roll"][0]["along-written"], "36.0°", "{json:#}");
        let text = on_found(&bench, "restore");
        assert!(!text.contains("turn it") && !text.contains("Line up"), "{text}");
        // Read again it is known, whatever it reads.
        bench.run(&[&["record"][..], &FOUND].concat());
        let text = fs::read_to_string(bench.root().join(PATH)).expect("a setup");
        assert!(text.contains(&format!("angle {lever} with=angle-gauge read=\"2026-05-23\"")), "{text}");
        let check = flowing(&bench.run(&["check", "rowan/race"]).out);
        assert!(check.contains("it stood at 4°: right brake lever angle 32°"), "{check}");
        assert!(check.contains("Mark L1 is stale"), "{check}");
    }
}

/// The revisions know on which bar an angle was read, with or without a day in the file.
#[test]
fn the_story_of_a_line_does_not_call_it_stale_for_an_angle_that_nobody_read_again() {
    let then = SETUP.replace(" roll=0 ", " ");
    for roll in [ROLLED, ROLLED_THAT_DAY] {
        let bench = written(&[&then, &then.replace(UNROLLED, roll)]);
        let page = bench.run(&["history", "rowan/race", "--marks"]);
        is_narrow(&page);
        let text = flowing(&page.out);
        let words = "the left brake lever angle, 32°, was read 2026-05-02 with the bar at 0°, which stands at 4° now. Read the left \
                     brake lever angle again: then the line is held against that.";
        assert!(text.contains(words), "{text}");
        assert!(text.contains("no evidence from here on") && !text.contains("tale"), "{text}");
    }
    // Read again where the bar took it, the lever stands at its line: 36 - 4 = 32 - 0. Read at 32°, it left it.
    for (lever, told) in [("36", "evidence again"), ("32", "went stale: left.brake-lever.angle")] {
        let read = format!("angle {lever} with=angle-gauge read=\"2026-05-20\"");
        let after = rolled().replace("angle 32 with=angle-gauge", &read);
        let bench = written(&[SETUP, &rolled(), &after]);
        let text = flowing(&bench.run(&["history", "rowan/race", "--marks"]).out);
        let (left, _) = text.split_once("Mark R1 on").expect("its story");
        assert!(left.contains(told), "{left}");
    }
}

/// Turned from 32° to 36° and written, then rolled along by 4°: the lever was moved on the bar, and its 36° are not those of
/// the rolled bar.
#[test]
fn a_lever_that_was_moved_before_the_bar_was_rolled_did_not_go_along() {
    let moved = SETUP.replacen("angle 32 with", "angle 36 with", 1);
    let bench = written(&[SETUP, &moved, &moved.replace(UNROLLED, ROLLED)]);
    for (asked, way) in [(["HEAD~2", "HEAD"], "down"), (["HEAD", "HEAD~2"], "up")] {
        let page = bench.run(&[&["diff", "rowan/race"][..], &asked].concat());
        is_narrow(&page);
        let text = flowing(&page.out);
        assert!(!text.contains("with the bar ") && !text.contains("on the rolled bar"), "{text}");
        assert!(text.contains(&format!("left brake lever angle moved 4.0° tip {way}.")), "{text}");
        assert!(
            text.contains("Read before the bar was rolled: left brake lever angle, right brake"),
            "{text}"
        );
    }
    // The revision between the two tells it where no day does, up to the working file as well.
    let rolled = moved.replace(UNROLLED, ROLLED_THAT_DAY).replace(" roll=0 ", " ");
    let bench = written(&[SETUP, &moved, &rolled]);
    for asked in [&["HEAD~2", "HEAD"][..], &["HEAD~2"], &["HEAD", "HEAD~2"]] {
        let text = flowing(&bench.run(&[&["diff", "rowan/race"][..], asked].concat()).out);
        assert!(
            text.contains("left brake lever angle moved 4.0° tip ") && !text.contains("with the bar "),
            "{text}"
        );
    }
    // Written in one go, they are one change.
    let bench = written(&[SETUP, &rolled]);
    let text = flowing(&bench.run(&["diff", "rowan/race", "HEAD~1"]).out);
    assert!(text.contains("left brake lever angle, with the bar"), "{text}");
    // Read on the day of the roll it went along.
    let read = moved.replace("angle 36 with=angle-gauge", "angle 36 with=angle-gauge read=\"2026-05-20\"");
    let bench = written(&[SETUP, &read.replace(UNROLLED, ROLLED)]);
    let text = flowing(&bench.run(&["diff", "rowan/race", "HEAD~1", "HEAD"]).out);
    assert!(text.contains("left brake lever angle, with the bar"), "{text}");
}

/// Rolled to 4° and no lever read, then to 6° and all read: 36° = 30 + 6 went along, 32° and 41° were set back or moved. Of the
/// figures before nobody knows on which bar they were read, but none of the three is left out, nor said not to be read.
#[test]
fn what_is_read_again_after_an_old_angle_is_told() {
    let bare = SETUP.replacen("angle 32 with", "angle 30 with", 1).replace(" roll=0 ", " ");
    let unread = bare.replace(UNROLLED, "roll 4 with=angle-gauge read=\"2026-06-01\"");
    let day = "with=angle-gauge read=\"2026-06-10\"";
    let read = bare
        .replace(UNROLLED, &format!("roll 6 {day}"))
        .replace("angle 30 with=angle-gauge", &format!("angle 36 {day}"))
        .replace("angle 32 with=angle-gauge", &format!("angle 32 {day}"))
        .replace("angle 41 with=angle-gauge", &format!("angle 41 {day}"));
    let bench = written(&[&bare, &unread, &read]);
    let page = bench.run(&["diff", "rowan/race", "HEAD~1", "HEAD"]);
    is_narrow(&page);
    let text = flowing(&page.out);
    let old = "left brake lever angle (30°), right brake lever angle (32°), right shifter angle (41°)";
    assert!(text.contains(&format!("Held against a figure older than the bar's roll: {old}.")), "{text}");
    assert!(!text.contains("Read before the bar was rolled"), "{text}");
    let page = bench.run(&["history", "rowan/race"]);
    is_narrow(&page);
    let told =
        format!("held against a figure older than the bar's roll, not known whether moved on the bar: {old}");
    assert!(flowing(&page.out).contains(&told), "{}", page.out);
}

/// Drawn on 04-01 with the bar at 4°, the line is older than the 32° that were read on 05-02 with the bar at 0°: that both read
/// 32° is no proof that the lever stands so on the bar of 05-20, which is at 4° again. Gone along it stands at 32 + 4 = 36°.
#[test]
fn a_line_that_is_older_than_the_angle_is_no_proof_of_it() {
    let text = rolled().replace("angle=32 roll=0 }", "angle=32 roll=4 read=\"2026-04-01\" }").replace(
        "mark \"R1\" on=\"right.brake-lever\" { drawn from-tip=168 angle=32 }",
        "mark \"F1\" on=\"stem-face\" { drawn roll=0 }",
    );
    let page = check(&text);
    let told =
        "with the bar at 0°; on 2026-05-20 it stood at 4°: left brake lever angle 32° (36.0° gone along)";
    assert!(page.contains(told), "{page}");
    let text = flowing(&ledger(&text).run(&["restore", "rowan/race"]).out);
    assert!(!text.contains("left brake lever angle: set it to"), "{text}");
}

/// The line says that the bar was at 4°, and the file no longer says how it stands: nobody read 0°.
#[test]
fn a_roll_that_is_not_written_was_read_by_nobody() {
    let text = SETUP.replace("; roll 0 with=angle-gauge", "").replace("roll=0", "roll=4");
    let page = check(&text);
    let words = "Read 2026-05-02, and the bar's roll is not written: left brake lever angle 32°, right brake lever angle 32°";
    assert!(page.contains(words) && !page.contains("bar at 0°") && !page.contains("28"), "{page}");
    let text = flowing(&ledger(&text).run(&["restore", "rowan/race"]).out);
    assert!(!text.contains("28.0°"), "{text}");
}

/// The lever read at 36° on 05-10, on a sheet of 05-23: the bar was rolled only afterwards, so that nothing took it to 36°.
#[test]
fn a_reading_of_an_earlier_day_did_not_go_along_with_a_later_roll() {
    let bench = ledger(&rolled());
    let sheet = "found \"rowan/race\" format=1 {\n    measured \"2026-05-23\"\n    floor 0 with=angle-gauge
    left { brake-lever { angle 36 with=angle-gauge read=\"2026-05-10\" } }\n}\n";
    bench.write("setups/rowan/loan.kdl", sheet);
    let page = bench.run(&[&["diff"][..], &FOUND].concat());
    let text = flowing(&page.out);
    assert!(text.contains("left brake lever angle moved 4.0° tip down"), "{text}");
    assert_eq!(page.status, 1, "{text}");
}

/// Found at 36° = 32 + 4 it went along, or somebody set it back to the 32° that the file has and it was turned by 4° afterwards:
/// only its line tells.
#[test]
fn nobody_says_that_it_did_not_move_where_no_line_does() {
    for (line, is_sure) in [("mark \"L1\" aligned", true), ("mark \"L1\" off=2", false), ("", false)] {
        let bench = found("36");
        let sheet = fs::read_to_string(bench.root().join("setups/rowan/loan.kdl")).expect("a sheet");
        bench.write("setups/rowan/loan.kdl", sheet.replace("mark \"L1\" aligned", line));
        let page = bench.run(&[&["diff"][..], &FOUND].concat());
        let text = flowing(&page.out);
        let words = "Held against a figure older than the bar's roll: left brake lever angle (32°; 36° gone along with the bar). \
                     Whether it moved on the bar the figures do not say.";
        assert_eq!((text.contains(words), page.status), (!is_sure, i32::from(!is_sure)), "{text}");
        // The way back has nothing to do, and says as little that all is well.
        let page = bench.run(&[&["restore"][..], &FOUND].concat());
        is_narrow(&page);
        assert_eq!(
            (flowing(&page.out).contains(words), page.status),
            (!is_sure, i32::from(!is_sure)),
            "{}",
            page.out
        );
    }
}

/// One sheet, the lever read on the 16th and the roll of 5° on the 20th, recorded 32° and 0°: rolled after the 16th, a lever that
/// read 32 + 5 = 37° was moved on the bar, and one that read 32° was not; rolled before it, the other way round.
#[test]
fn an_angle_that_is_older_than_the_roll_of_its_own_sheet_says_nothing_of_its_clamp() {
    for lever in ["32", "37"] {
        let bench = ledger(SETUP);
        let sheet = format!(
            "found \"rowan/race\" format=1 {{\n    measured \"2026-05-20\"\n    floor 0 with=angle-gauge
    left {{ brake-lever {{ angle {lever} with=angle-gauge read=\"2026-05-16\" }} }}
    bar {{ roll 5 with=angle-gauge }}\n}}\n"
        );
        bench.write("setups/rowan/loan.kdl", sheet);
        let text = on_found(&bench, "diff");
        let words = format!(
            "Read on an earlier day than the bar's roll: left brake lever angle ({lever}° on 2026-05-16)."
        );
        assert!(text.contains(&words), "{text}");
        assert!(text.contains("unless turned since, nobody looked: left brake lever angle"), "{text}");
        let told = ["left brake lever angle moved", "left brake lever angle, with the bar"];
        assert!(!told.iter().any(|words| text.contains(words)), "{text}");
        let text = on_found(&bench, "restore");
        assert!(
            !text.contains("their clamps stay shut: left") && !text.contains("its clamp stays shut: left"),
            "{text}"
        );
        assert!(!text.contains("tip down on the bar"), "{text}");
    }
}

/// Read at 45° on the 16th, recorded at 32°: 45 - 32 = 13° off had the bar not been rolled yet, 45 - 32 - 5 = 8° if it had.
#[test]
fn an_angle_that_is_off_on_either_bar_is_told_to_have_moved() {
    let bench = ledger(SETUP);
    let sheet = "found \"rowan/race\" format=1 {\n    measured \"2026-05-20\"\n    floor 0 with=angle-gauge
    left { brake-lever { angle 45 with=angle-gauge read=\"2026-05-16\" } }
    bar { roll 5 with=angle-gauge }\n}\n";
    bench.write("setups/rowan/loan.kdl", sheet);
    let text = on_found(&bench, "diff");
    assert!(text.contains("left brake lever angle moved"), "{text}");
    let back = bench.run(&["record", "rowan/race", "--found", "rowan/loan", "--put-back"]);
    assert_eq!(back.status, 1, "{}", back.screen());
}

/// The lever was found at 45° and its clamp tightened again: on which bar the recorded 32° were read nobody knows, so nobody put
/// it back to that, and no reading of the day is made of it.
#[test]
fn nothing_is_put_back_to_an_angle_older_than_the_roll() {
    let bench = ledger(&rolled());
    let sheet = "found \"rowan/race\" format=1 {\n    measured \"2026-05-23\"\n    floor 0 with=angle-gauge
    left { brake-lever { angle 45 with=angle-gauge } }\n    torque \"left.brake-lever\" { applied 3 }\n}\n";
    bench.write("setups/rowan/loan.kdl", sheet);
    let back = bench.run(&["record", "rowan/race", "--found", "rowan/loan", "--put-back"]);
    let text = fs::read_to_string(bench.root().join(PATH)).expect("the file");
    assert_eq!(back.status, 1, "{}", back.screen());
    assert!(text.contains("left { brake-lever { from-tip 168; angle unmeasured;"), "{text}");
    assert!(flowing(&back.out).contains("left brake lever angle no longer known"), "{}", back.screen());
}
