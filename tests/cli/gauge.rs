//! What a gauge shows on the ground under the bike, and what goes along with a lever.

use std::fs;

use serde_json::Value;

use crate::harness::flowing;
use crate::restore::{SETUP, json, ledger, run, setup_text};

const RESTORE: [&str; 4] = ["restore", "rowan/race", "--found", "rowan/loan"];

/// On ground that rises 3.5° to the front a lever that is to stand 1° below the level shows 1 - 3.5 = -2.5°: on the other
/// side of the level.
#[test]
fn a_gauge_that_is_to_show_less_than_nothing_is_told_with_its_sign() {
    let folder =
        ledger(&[("loan", "floor 3.5 with=angle-gauge; right { brake-lever { angle 8 with=angle-gauge } }")]);
    let low = SETUP
        .replace("(in)6.61; angle 32 with", "(in)6.61; angle 1 with")
        .replace("(in)6.61 angle=32", "(in)6.61 angle=1");
    fs::write(folder.path().join("setups/rowan/race.kdl"), low).expect("written");
    let page = run(folder.path(), &RESTORE).text;
    assert!(flowing(&page).contains("to 1.0° (the gauge shows -2.5° on this ground)"), "{page}");
}

/// A sheet that reads no floor tells nothing of the ground that the bike stands on.
#[test]
fn on_ground_that_nobody_read_no_gauge_figure_is_given() {
    let folder = ledger(&[("loan", "opened \"left.brake-lever\"")]);
    let sloped = SETUP.replace("floor 0.0 with", "floor 3.0 with");
    fs::write(folder.path().join("setups/rowan/race.kdl"), sloped).expect("written");
    let page = run(folder.path(), &RESTORE).text;
    assert!(!page.contains("the gauge shows"), "{page}");
    assert!(
        flowing(&page)
            .contains("angle: set it to 35.0° to the level (it read 32.0° where the ground sloped)"),
        "{page}"
    );
}

/// Nose down by 2° where the ground rises 3° to the front is -2 - 3 = -5° to the level; a shifter whose tip read 5° up there
/// points 5 - 3 = 2° up, and up is less than nothing.
#[test]
fn less_than_nothing_to_the_level_keeps_its_sign() {
    let folder = ledger(&[]);
    let sloped = SETUP
        .replace("floor 0.0 with", "floor 3.0 with")
        .replace("rider { front", "saddle { height 700; tilt -2.0 }\n    rider { front")
        .replace("angle 41", "angle -5");
    fs::write(folder.path().join("setups/rowan/race.kdl"), sloped).expect("written");
    let page = flowing(&run(folder.path(), &["restore", "rowan/race"]).text);
    for words in [
        "saddle tilt: set it to -5.0° to the level (it read -2.0° where the ground sloped)",
        "right shifter angle: set it to -2.0° to the level (it read -5.0° where the ground sloped)",
    ] {
        assert!(page.contains(words), "{words}: {page}");
    }
}

/// Wound in by 14 mm, a lever takes its bite along: that is no wear, and the reach goes back first.
#[test]
fn a_bite_that_came_along_with_its_lever_is_no_wear() {
    let read = "left { brake-lever { reach 48 with=caliper; bite 24 tol=1 } }";
    let folder = ledger(&[("loan", read)]);
    let bites = SETUP.replace("reach 62 with=caliper", "reach 62 with=caliper; bite 36 tol=1");
    fs::write(folder.path().join("setups/rowan/race.kdl"), bites).expect("written");
    let page = flowing(&run(folder.path(), &RESTORE).text);
    assert!(page.contains("set the reach back first, then read the bite again"), "{page}");
    assert!(!page.contains("no adjuster makes up"), "{page}");
    let put_back = run(folder.path(), &["record", "rowan/race", "--found", "rowan/loan", "--put-back"]);
    assert_ne!(put_back.status, Some(2), "{}", put_back.text);
    // Alone it is wear, and nothing puts it back.
    let alone =
        "found \"rowan/race\" format=1 { measured \"2026-05-09\"; left { brake-lever { bite 24 tol=1 } } }\n";
    fs::write(folder.path().join("setups/rowan/loan.kdl"), alone).expect("written");
    let put_back = run(folder.path(), &["record", "rowan/race", "--found", "rowan/loan", "--put-back"]);
    assert_eq!(put_back.status, Some(2), "{}", put_back.text);
}

/// Spacers are swapped on no stem that stays on: its twist is not known since, whatever its torque.
#[test]
fn swapped_spacers_tell_that_the_stem_was_off() {
    let read = "steerer { spacers-below 10 with=caliper; spacers-above 10 with=caliper }; torque \"stem-steerer\" { applied 5.5 }";
    let folder = ledger(&[("loan", read)]);
    let unread = "Do not ride: stem on steerer opened, and not read since: stem twist";
    let forgotten = "Do not ride: stem twist no longer known: the stem on steerer was opened.";
    for (command, told) in [("diff", unread), ("restore", unread), ("record", forgotten)] {
        let page = run(folder.path(), &[command, "rowan/race", "--found", "rowan/loan"]);
        assert_eq!(page.status, Some(1), "{}", page.text);
        assert!(flowing(&page.text).contains(told), "{command}: {}", page.text);
    }
    assert!(setup_text(folder.path()).contains("applied 5.5"));
}

/// Opened, read in its place and tight again: nothing is left to do there.
#[test]
fn a_joint_that_was_opened_and_is_together_again_needs_no_step() {
    let read = "opened \"stem-face\"; bar { roll -1.5 with=angle-gauge; offset 0 }; torque \"stem-face\" { applied 4.5 }";
    let folder = ledger(&[("flight", read)]);
    let plan = json(folder.path(), &["restore", "rowan/race", "--found", "rowan/flight"]);
    assert_eq!((&plan["headline"], &plan["steps"]), (&Value::Null, &serde_json::json!([])), "{plan:#}");
}

/// A brake that got worse is nothing to go back to, however far from the grip it still bites.
#[test]
fn a_bite_that_got_worse_is_held_back() {
    let folder = ledger(&[("loan", "left { brake-lever { bite 14 tol=1 } }")]);
    let bites = SETUP.replace("reach 62 with=caliper", "reach 62 with=caliper; bite 36 tol=1");
    fs::write(folder.path().join("setups/rowan/race.kdl"), &bites).expect("written");
    let record = ["record", "rowan/race", "--found", "rowan/loan"];
    let page = run(folder.path(), &record);
    assert_eq!(page.status, Some(1), "{}", page.text);
    assert!(flowing(&page.text).contains("Do not ride: left brake bite 14 mm"), "{}", page.text);
    assert_eq!(setup_text(folder.path()), bites);
    run(folder.path(), &[&record[..], &["--even-so", "left.brake-lever.bite"]].concat());
    let text = setup_text(folder.path());
    assert!(text.contains("bite 14 read="), "{text}");
}

/// What was put back and recorded so is no danger any more, though its sheet still lies there.
#[test]
fn the_overview_is_quiet_on_a_sheet_that_was_put_back() {
    let read = "floor 0 with=angle-gauge; right { brake-lever { angle 26 with=angle-gauge } }; torque \"right.brake-lever\" { applied 3 }";
    let folder = ledger(&[("loan", read)]);
    assert!(run(folder.path(), &[]).text.contains("moved 6.0° tip up"));
    run(folder.path(), &["record", "rowan/race", "--found", "rowan/loan", "--put-back"]);
    let overview = run(folder.path(), &[]);
    assert!(!overview.text.contains("do not ride"), "{}", overview.text);
}
