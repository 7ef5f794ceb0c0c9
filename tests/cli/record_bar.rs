//! Recording on a bar that was rolled, and a sheet that contradicts itself.
//!
//! An angle against gravity is the angle on the bar plus the bar's roll: what a rolled bar's levers read is worked out
//! by hand from that.

use std::fs;
use std::path::Path;

use crate::harness::{Bench, Commit, flowing};
use crate::restore::{SETUP, json, ledger, run, setup_text};

const RECORD: [&str; 4] = ["record", "rowan/race", "--found", "rowan/loan"];
const MARK: [&str; 5] = ["record", "rowan/race", "--found", "rowan/loan", "--mark"];
/// From -1.5 to 2.5: 4° forward.
const ROLLED: &str = "floor 0 with=angle-gauge\n    bar { roll 2.5 with=angle-gauge; offset 0 }";

/// What a later sheet finds moved.
fn moved(folder: &Path, inside: &str) -> Vec<String> {
    let text = format!("found \"rowan/race\" format=1 {{\n    measured \"2026-05-20\"\n    {inside}\n}}\n");
    fs::write(folder.join("setups/rowan/later.kdl"), text).expect("written");
    let found = json(folder, &["diff", "rowan/race", "--found", "rowan/later"]);
    let changes = found["changes"].as_array().expect("changes").iter();
    let moved = changes.filter(|change| change["verdict"] == "moved");
    moved.map(|change| change["measure"].as_str().expect("a measure").to_owned()).collect()
}

#[test]
fn levers_whose_marks_line_up_go_along_with_the_bar() {
    let folder = ledger(&[("loan", &format!("{ROLLED}\n    mark \"L1\" aligned\n    mark \"R1\" aligned"))]);
    for asked in [&RECORD[..], &MARK[..]] {
        fs::write(folder.path().join("setups/rowan/race.kdl"), SETUP).expect("written");
        let screen = run(folder.path(), asked);
        let text = setup_text(folder.path());
        // 32 + 4 and 41 + 4; the lines are where they were, and so is their day. They say now at which roll.
        assert!(text.contains("left { brake-lever { from-tip 168; angle 36.0 "), "{text}\n{}", screen.text);
        assert!(text.contains("slot=inner; angle 45.0 "), "{text}");
        assert!(text.contains("drawn from-tip=168 angle=32 roll=-1.5;"), "{text}");
        assert!(text.contains("drawn from-tip=(in)6.61 angle=32 roll=-1.5 }"), "{text}");
        // The same bike, by the gauge and by the marks.
        let level = "floor 0 with=angle-gauge";
        let lever =
            |angle: f64| format!("{level}\n    left {{ brake-lever {{ angle {angle} with=angle-gauge }} }}");
        assert_eq!(moved(folder.path(), &lever(36.0)), [""; 0]);
        assert_eq!(moved(folder.path(), &format!("{level}\n    mark \"L1\" aligned")), [""; 0]);
        // One that turned back by 4° reads what it read before the bar was rolled.
        assert_eq!(moved(folder.path(), &lever(32.0)), ["left.brake-lever.angle"]);
    }
}

/// A repository with the setup and a sheet of 9 May 2026.
pub fn recorded(inside: &str) -> Bench {
    let files = [("setups/rowan/race.kdl", SETUP)];
    let bench = Bench::recorded(&[Commit { subject: "Measure", files: &files, tag: None }]);
    let sheet = format!("found \"rowan/race\" format=1 {{\n    measured \"2026-05-09\"\n    {inside}\n}}\n");
    bench.write("setups/rowan/loan.kdl", sheet);
    bench
}

#[test]
fn lines_that_rolled_with_the_bar_are_said_to_and_were_not_drawn() {
    // Of the left lever nobody looked at the line: it is on the bar all the same.
    let bench = recorded(&format!("{ROLLED}\n    mark \"R1\" aligned"));
    let page = bench.run(&RECORD);
    let said = "The bar was rolled, and with it the lines of L1 (from 32° to 36.0°), R1 (from 32° to 36.0°). Nobody drew \
                anything: on the bar the lines are where drawn, and only a gauge reads otherwise.";
    assert!(flowing(&page.out).contains(said), "{}", page.out);
    assert!(!page.out.contains("Drawn anew"), "{}", page.out);
    let read = page.out.lines().filter(|line| !line.contains("git commit"));
    assert!(read.clone().all(|line| line.chars().count() <= 80), "{}", page.out);
    // What its line told is no reading.
    assert!(
        flowing(&page.out).contains("right brake lever angle 36.0° was 32°; worked out, not read"),
        "{}",
        page.out
    );
    let diff = bench.run(&["diff", "rowan/race"]);
    assert!(!diff.out.contains("drawn anew"), "{}", diff.out);
    // By another angle than the roll, or on another day, it is another line.
    let file = bench.root().join("setups/rowan/race.kdl");
    let text = fs::read_to_string(&file).expect("the setup");
    let rolled = "angle=32 roll=-1.5 }";
    for (from, to) in [
        (rolled, "angle=33 roll=-1.5 }"),
        (rolled, "angle=32 roll=-0.5 }"),
        (rolled, "angle=32 roll=-1.5 read=\"2026-05-09\" }"),
    ] {
        assert!(text.contains(from), "{text}");
        fs::write(&file, text.replace(from, to)).expect("written");
        let diff = bench.run(&["diff", "rowan/race"]);
        assert!(diff.out.contains("R1 across right brake lever: drawn anew"), "{to}: {}", diff.out);
        assert!(!diff.out.contains("L1 across left brake lever: drawn anew"), "{to}: {}", diff.out);
    }
}

#[test]
fn the_story_of_a_line_does_not_have_it_drawn_when_the_bar_was_rolled() {
    let bench = recorded(&format!("{ROLLED}\n    mark \"R1\" aligned")).known_to_git();
    let committed = bench.run(&[&RECORD[..], &["--commit", "-m", "As found"]].concat());
    assert!(committed.out.contains("Committed as"), "{}", committed.screen());
    let story = bench.run(&["history", "rowan/race", "--marks"]);
    let (_, right) = story.out.split_once("Mark R1").expect("its story");
    let right = right.split("Mark ").next().expect("its story");
    assert!(right.contains("drawn ") && !right.contains("drawn anew"), "{}", story.out);
    assert!(right.contains("Stands where the setup wants it."), "{}", story.out);
}

#[test]
fn a_lever_that_no_mark_vouches_for_is_no_longer_known() {
    let folder = ledger(&[("loan", &format!("{ROLLED}\n    mark \"R1\" aligned"))]);
    let screen = run(folder.path(), &RECORD);
    assert_eq!(screen.status, Some(1), "{}", screen.text);
    let told = flowing(&screen.text);
    assert!(told.contains("left brake lever angle no longer known: the bar was rolled"), "{told}");
    let text = setup_text(folder.path());
    assert!(text.contains("left { brake-lever { from-tip 168; angle unmeasured; reach"), "{text}");
    let note = "2026-05-09 angle no longer known: the bar was rolled 4.0° forward; it read 32° at a roll of -1.5° before";
    assert!(text.contains(note), "{text}");
    // Its line on the bar went along; once the lever is measured, the line is evidence again.
    assert!(text.contains("drawn from-tip=168 angle=32 roll=-1.5; reads"), "{text}");
    let result = json(folder.path(), &["record", "rowan/race", "--found", "rowan/loan"]);
    assert_eq!(result["no-longer-known"].as_array().map(Vec::len), Some(0), "said once");
}

#[test]
fn what_shares_a_clamp_turns_along_with_its_lever() {
    let inside = "floor 0 with=angle-gauge\n    right { brake-lever { angle 38 with=angle-gauge } }";
    let folder = ledger(&[("loan", inside)]);
    run(folder.path(), &RECORD);
    let text = setup_text(folder.path());
    // 41 + (38 − 32).
    assert!(text.contains("angle 38 with=angle-gauge") && text.contains("slot=inner; angle 47.0 "), "{text}");
}

/// The line says that the lever did not turn, the gauge that it did by 4°: one of the two is false.
#[test]
fn nothing_is_written_where_a_sheet_contradicts_itself() {
    let inside = "floor 0 with=angle-gauge\n    bar { roll -1.5 with=angle-gauge }
    right { brake-lever { from-tip (in)6.61; angle 28 with=angle-gauge } }\n    mark \"R1\" aligned
    torque \"right.brake-lever\" { applied 3 }";
    let folder = ledger(&[("loan", inside)]);
    let screen = run(folder.path(), &MARK);
    assert_eq!(screen.status, Some(1), "{}", screen.text);
    let told = flowing(&screen.text);
    assert!(told.contains("Nothing was written of what this joint holds: right brake lever."), "{told}");
    assert_eq!(setup_text(folder.path()), SETUP);
    let committed = [&MARK[..], &["--commit", "-m", "As found"]].concat();
    let screen = run(folder.path(), &committed);
    assert_eq!(screen.status, Some(1), "{}", screen.text);
    assert!(
        flowing(&screen.text).contains("Not committed: the sheet contradicts itself."),
        "{}",
        screen.text
    );
    assert_eq!(json(folder.path(), &MARK)["held-back"][0]["joint"], "right.brake-lever");
}

/// Whether the bar stands as its line or as the gauge says, nobody knows, and so neither of what is on it.
#[test]
fn a_contradiction_about_the_bar_holds_back_what_stands_on_it() {
    let inside =
        format!("{ROLLED}\n    mark \"B1\" aligned\n    mark \"L1\" off=1.5\n    tyres {{ front 25 }}");
    let folder = ledger(&[("loan", &inside)]);
    let screen = run(folder.path(), &MARK);
    assert_eq!(screen.status, Some(1), "{}", screen.text);
    assert_eq!(setup_text(folder.path()), SETUP.replace("front 23", "front 25 read=\"2026-05-09\""));
}

/// The bar's mean of three readings is drawn as it is rounded; read again as recorded, nobody draws it anew.
#[test]
fn a_mark_where_nothing_moved_keeps_its_day() {
    let inside = "floor 0 with=angle-gauge\n    bar { roll -1.3 with=angle-gauge; offset 0 }
    left { brake-lever { angle 20 with=angle-gauge } }";
    let folder = ledger(&[("loan", inside)]);
    let text = SETUP
        .replace("roll -1.5 with", "roll -1.5 -1.0 -1.5 with")
        .replace("drawn roll=-1.5", "drawn roll=-1.3 offset=0 read=\"2026-05-02\"");
    fs::write(folder.path().join("setups/rowan/race.kdl"), &text).expect("written");
    run(folder.path(), &MARK);
    let text = setup_text(folder.path());
    assert!(text.contains("drawn roll=-1.3 offset=0 read=\"2026-05-02\""), "{text}");
}
