//! What a sheet reads and the setup has not: it is judged like anything else, for the bike in the hand is ridden.

use std::fs;
use std::path::Path;

use crate::restore::{SETUP, json, ledger, run};

const ASKED: [&[&str]; 2] =
    [&["restore", "rowan/race", "--found", "rowan/loan"], &["diff", "rowan/race", "--found", "rowan/loan"]];

fn rewrite(folder: &Path, from: &str, to: &str) {
    let text = SETUP.replace(from, to);
    assert_ne!(text, SETUP);
    fs::write(folder.join("setups/rowan/race.kdl"), text).expect("written");
}

#[test]
fn a_bite_that_was_never_recorded_is_told_all_the_same() {
    let read = "floor 0 with=angle-gauge; right { brake-lever { bite 3; angle 32 with=angle-gauge } }";
    let folder = ledger(&[("loan", read)]);
    for asked in ASKED {
        let page = run(folder.path(), asked);
        assert_eq!(page.status, Some(1), "{}", page.text);
        assert!(page.text.contains("Do not ride: right brake bite 3 mm."), "{}", page.text);
    }
    // The bike as a whole is not passed by its checks.
    let plan = json(folder.path(), ASKED[0]);
    let checks = plan["steps"].as_array().and_then(|steps| steps.last()).expect("steps").clone();
    assert!(checks["held-up"].to_string().contains("The right brake bites 3 mm from the grip"), "{checks:#}");
    let overview = run(folder.path(), &[]);
    assert_eq!(overview.status, Some(1), "{}", overview.text);
    assert!(overview.text.contains("right brake bite 3 mm"), "{}", overview.text);
}

/// `twist` left out counts as 0: a bar that stands 4° askew has turned, whether or not somebody wrote the 0.
#[test]
fn what_counts_as_nothing_when_left_out_has_moved_where_it_reads_something() {
    let folder = ledger(&[("loan", "stem { twist 4 }")]);
    rewrite(folder.path(), "clamp-height 40; twist 0 }", "clamp-height 40 }");
    for asked in ASKED {
        let page = run(folder.path(), asked);
        assert_eq!(page.status, Some(1), "{}", page.text);
        assert!(page.text.contains("Do not ride: stem twist moved 4.0° to the left"), "{}", page.text);
    }
    // What was tightened there before does not hold any more.
    run(folder.path(), &["record", "rowan/race", "--found", "rowan/loan"]);
    let text = fs::read_to_string(folder.path().join("setups/rowan/race.kdl")).expect("the setup");
    assert!(text.contains("note \"2026-05-09 joint opened, torque not read\""), "{text}");
}

/// A figure of the day before says nothing of a joint that was opened since.
#[test]
fn an_older_torque_does_not_end_what_a_later_note_keeps() {
    let folder = ledger(&[("loan", "torque \"stem-steerer\" { applied 5.5 }")]);
    let opened = "{ caution \"Preload first.\"; note \"2026-05-16 joint opened, torque not read\" }";
    rewrite(folder.path(), "{ caution \"Preload first.\" }", opened);
    for asked in ASKED {
        let page = run(folder.path(), asked);
        assert_eq!(page.status, Some(1), "{}", page.text);
        let words = page.text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(words.contains("opened before, torque not read since: stem on steerer"), "{}", page.text);
    }
    // One of that day or later does.
    let later = "found \"rowan/race\" format=1 { measured \"2026-05-16\"; torque \"stem-steerer\" { applied 5.5 } }\n";
    fs::write(folder.path().join("setups/rowan/loan.kdl"), later).expect("written");
    for asked in ASKED {
        let page = run(folder.path(), asked);
        assert!(!page.text.contains("opened before"), "{}", page.text);
    }
}

/// Three levers and shifters that read 6° higher sit on one bar: it may be the bar as well as the ground.
#[test]
fn angles_of_one_bar_alone_are_not_put_down_to_the_ground() {
    let read = "left { brake-lever { angle 26 with=angle-gauge } }
        right { brake-lever { angle 26 with=angle-gauge }; shifter { angle 35 } }";
    let folder = ledger(&[("loan", read)]);
    for asked in ASKED {
        let page = run(folder.path(), asked);
        assert_eq!(page.status, Some(1), "{}", page.text);
        let words = page.text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(
            words.contains("Do not ride: rear brake lever angle (left) moved 6.0° tip up"),
            "{}",
            page.text
        );
        assert!(words.contains("the bar was rolled, or the ground slopes"), "{}", page.text);
    }
    // With the bar's roll read in its place it can only be the ground.
    let rolled = format!(
        "found \"rowan/race\" format=1 {{ measured \"2026-05-09\"; bar {{ roll -1.5 with=angle-gauge }}; {read} }}\n"
    );
    fs::write(folder.path().join("setups/rowan/loan.kdl"), rolled).expect("written");
    let diff = run(folder.path(), ASKED[1]).text;
    let words = diff.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("the ground probably slopes") && !words.contains("Do not ride"), "{diff}");
}

/// How tight a clamp is tells nothing of where it stands.
#[test]
fn a_joint_that_was_opened_and_tightened_is_not_in_its_place_for_that() {
    let folder = ledger(&[("loan", "opened \"stem-face\"; torque \"stem-face\" { applied 4.5 }")]);
    for asked in ASKED {
        let page = run(folder.path(), asked);
        assert_eq!(page.status, Some(1), "{}", page.text);
        assert!(
            page.text.contains("Do not ride: bar in stem opened, and not read since: bar roll, bar offset."),
            "{}",
            page.text
        );
        assert!(!page.text.contains("did not move"), "{}", page.text);
    }
    let tight =
        "found \"rowan/race\" format=1 { measured \"2026-05-09\"; torque \"stem-face\" { applied 4.5 } }\n";
    fs::write(folder.path().join("setups/rowan/loan.kdl"), tight).expect("written");
    let diff = run(folder.path(), ASKED[1]);
    assert_eq!(diff.status, Some(1), "{}", diff.text);
    assert!(diff.text.contains("Nothing on the sheet tells whether anything moved"), "{}", diff.text);
}
