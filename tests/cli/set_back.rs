//! A control that was set back to its old figure on a bar that moved below it: the figure is the same, and the control was
//! moved on its clamp.

use std::fs;

use crate::harness::{Bench, flowing};
use crate::record_bar::recorded;

const RECORD: [&str; 4] = ["record", "rowan/race", "--found", "rowan/loan"];

fn text(bench: &Bench) -> String {
    fs::read_to_string(bench.root().join("setups/rowan/race.kdl")).expect("the setup")
}

/// The bar from -1.5° to 1.5°, 3° forward; the left lever by gauge at its old 32°, the right one within reading of it.
const ROLLED: &str = "floor 0 with=angle-gauge
    bar { roll 1.5 with=angle-gauge; offset 0 }
    left { brake-lever { from-tip 168; angle 32 with=angle-gauge } }
    right { brake-lever { from-tip (in)6.61; angle 32.2 with=angle-gauge } }";

#[test]
fn a_lever_set_back_on_a_rolled_bar_is_written_with_its_day() {
    let bench = recorded(ROLLED);
    let page = bench.run(&RECORD);
    let written = text(&bench);
    for line in [
        "left { brake-lever { from-tip 168; angle 32 with=angle-gauge read=\"2026-05-09\"; reach",
        "from-tip (in)6.61; angle 32.2 with=angle-gauge read=\"2026-05-09\" }",
    ] {
        assert!(written.contains(line), "{line}: {written}");
    }
    // 32 − 1.5 is 30.5° on the bar, 32 − (−1.5) was 33.5°: 3° tip up; the other one 0.2° less.
    let said = flowing(&page.out);
    for words in [
        "left brake lever angle 32° read again; 3.0° tip up on the bar",
        "right brake lever angle 32.2° was 32°; 2.8° tip up on the bar",
        "On steering and brakes: left brake lever angle, right brake lever angle.",
        "opened, torque unknown:",
        "bar roll and 3 more as found",
    ] {
        assert!(said.contains(words), "{words}: {}", page.out);
    }
    // Both clamps were opened, and nobody read how tight they are.
    let opened = "joint opened, torque not read";
    assert_eq!(written.matches(opened).count(), 3, "{written}");
    // Once written, nothing is left to be written.
    let again = bench.run(&[&RECORD[..], &["--json"]].concat()).json();
    assert_eq!(again["changes"], serde_json::json!([]), "{again:#}");
}

#[test]
fn what_was_set_back_is_told_by_the_differences_and_the_history() {
    let bench = recorded(ROLLED).known_to_git();
    let recorded = bench.run(&[&RECORD[..], &["--commit", "-m", "As found"]].concat());
    assert!(recorded.out.contains("Committed as"), "{} {}", recorded.out, recorded.err);
    let diff = bench.run(&["diff", "rowan/race", "HEAD~1"]);
    for words in ["3.0° tip up on the bar", "left brake lever angle", "2.8° tip up on the bar"] {
        assert!(diff.out.contains(words), "{words}: {} {}", diff.out, diff.err);
    }
    let history = bench.run(&["history", "rowan/race"]);
    assert!(history.out.contains("left brake lever angle"), "{}", history.out);
    let of_the_lever = bench.run(&["history", "rowan/race", "left.brake-lever.angle"]);
    assert!(!of_the_lever.out.contains("Unchanged"), "{}", of_the_lever.out);
    assert!(of_the_lever.out.contains("3.0° tip up on the bar"), "{}", of_the_lever.out);
}

/// 780 to 760 mm takes 10 mm off each end: 168 mm from the new one is 178 from the old, 10 mm inboard. The right lever's line
/// meets, and so the bar was cut.
#[test]
fn a_lever_slid_back_on_a_cut_bar_is_written_with_its_day() {
    let bench = recorded(
        "floor 0\n    bar { width 760; supplied-width 780 }\n    left { brake-lever { from-tip 168; angle 32 } }\n    mark \"R1\" aligned",
    );
    let page = bench.run(&RECORD);
    assert!(text(&bench).contains("from-tip 168 read=\"2026-05-09\"; angle 32"), "{}", text(&bench));
    let said = flowing(&page.out);
    assert!(
        said.contains("left brake lever place 168 mm read again; 10.0 mm inboard on the bar"),
        "{}",
        page.out
    );
    let diff = bench.run(&["diff", "rowan/race"]);
    assert!(diff.out.contains("10.0 mm inboard on the bar"), "{}", diff.out);
}

/// What reads exactly as before was read again all the same, and who asks for all wants its day.
#[test]
fn all_writes_what_reads_as_before() {
    let bench = recorded("tyres { front 23; rear 26.2 }");
    let page = bench.run(&[&RECORD[..], &["--all"]].concat());
    assert!(
        text(&bench).contains("tyres { front 23 read=\"2026-05-09\"; rear 26.2 read=\"2026-05-09\" }"),
        "{}",
        page.out
    );
    assert!(flowing(&page.out).contains("front tyre 23 psi read again"), "{}", page.out);
}

/// Four joints are left open, one of them the seat clamp's: the message and the story name what steers first.
#[test]
fn joints_left_open_are_named_in_the_message_and_the_story() {
    let bench = recorded(
        "opened \"seat-clamp\"; opened \"stem-steerer\"; opened \"front-axle\"; opened \"rear-axle\"",
    );
    let bench = bench.known_to_git();
    let page = bench.run(&RECORD);
    let subject = page.out.lines().find(|line| line.contains("git commit")).expect("a command");
    assert!(subject.contains(" and 3 more left open") && !subject.contains("seat clamp and"), "{subject}");
    bench.run(&["record", "rowan/race", "--found", "rowan/loan", "--commit", "-m", "As found"]);
    // Committed by hand: the file was written before.
    let history = bench.run(&["history", "rowan/race"]);
    let said = flowing(&history.out);
    let (_, open) = said.split_once("opened, torque not known: ").expect("what is open");
    let place = |title: &str| open.find(title).unwrap_or_else(|| panic!("{title}: {said}"));
    for title in ["stem on steerer", "front axle", "rear axle"] {
        assert!(place(title) < place("seat clamp"), "{said}");
    }
}
