//! What a sheet reads and the setup has not: it is judged like anything else, for the bike in the hand is ridden.

use std::fs;
use std::path::Path;

use crate::harness::flowing;
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
        let words = flowing(&page.text);
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
        let words = flowing(&page.text);
        assert!(
            words.contains(
                "bar roll not read, and so not known: rear brake lever angle (left), front brake lever angle"
            ),
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
    let words = flowing(&diff);
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

/// Read on ground that rose 2° to the front, 32° tip down is 34° to the level; whoever sets it up again stands elsewhere.
#[test]
fn a_rebuild_gives_angles_to_the_level() {
    let folder = ledger(&[]);
    rewrite(folder.path(), "floor 0.0 with=angle-gauge", "floor 2.0 with=angle-gauge");
    let page = run(folder.path(), &["restore", "rowan/race"]).text;
    let words = flowing(&page);
    let goal = "left brake lever angle: set it to 34.0° to the level (it read 32.0° where the ground sloped), mark L1";
    assert!(words.contains(goal), "{page}");
}

/// The lever was turned 10° tip down, and the shifter on its clamp reads as before: it turned in its slot.
#[test]
fn a_control_that_did_not_turn_with_its_lever_turned_in_its_slot() {
    let read =
        "floor 0 with=angle-gauge; right { brake-lever { angle 42 with=angle-gauge }; shifter { angle 41 } }";
    let folder = ledger(&[("loan", read)]);
    let diff = run(folder.path(), ASKED[1]).text;
    assert!(diff.contains("in its slot: its lever moved 10.0° tip down  right shifter angle"), "{diff}");
    let plan = json(folder.path(), ASKED[0]);
    let steps = plan["steps"].as_array().expect("steps");
    let lever = steps.iter().find(|step| step["joint"] == "right.brake-lever").expect("the lever's step");
    let kept = lever["keeps"].as_array().expect("what it lets go");
    let shifter = kept.iter().find(|one| one["measure"] == "right.shifter.angle").expect("the shifter");
    let words = "it turned in its slot on the lever's clamp: loosen its own bolt, set it to 41.0° once the lever is back, and \
                 tighten that bolt";
    assert_eq!(shifter["move"], words);
}

/// A lowest point that reads 10 mm lower, on a lever that two readings and its line have in its place.
#[test]
fn a_lowest_point_alone_opens_no_clamp() {
    let lowest = "lowest from-tip=196 drop=38 ahead=44 ";
    let read = "floor 0 with=angle-gauge; mark \"L1\" aligned
        left { brake-lever { from-tip 168; angle 32 with=angle-gauge; lowest from-tip=196 drop=48 ahead=44 } }";
    let folder = ledger(&[("loan", read)]);
    rewrite(folder.path(), "reach 62 with=caliper", &format!("reach 62 with=caliper; {lowest}"));
    let plan = json(folder.path(), ASKED[0]);
    assert_eq!(
        (&plan["headline"], &plan["steps"]),
        (&serde_json::Value::Null, &serde_json::json!([])),
        "{plan:#}"
    );
    assert!(run(folder.path(), ASKED[1]).text.contains("lowest point below the bar"));
}
