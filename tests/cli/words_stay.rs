//! What somebody wrote into the file stays, where the program takes out its own words.

use std::fs;

use crate::harness::flowing;
use crate::restore::{SETUP, ledger, run, setup_text};

const RECORD: [&str; 4] = ["record", "rowan/race", "--found", "rowan/loan"];

#[test]
fn what_was_written_behind_a_note_outlives_it() {
    let folder = ledger(&[("loan", "torque \"stem-steerer\" { applied 5.5 }")]);
    let opened = "joint opened, torque not read";
    let text = SETUP.replace(
        "caution \"Preload first.\"",
        &format!(
            "caution \"Preload first.\"\n        note \"2026-05-03 {opened}\"
        note \"2026-05-04 {opened}. Left thread stripped: never above 4\" // Ask the maker
       "
        ),
    );
    fs::write(folder.path().join("setups/rowan/race.kdl"), &text).expect("written");
    let told = flowing(&run(folder.path(), &RECORD).text);
    let said = "The note that it was opened is taken out. What was written behind it stays: 2026-05-04 Left thread stripped: \
                never above 4";
    assert!(told.contains(said), "{told}");
    let after = setup_text(folder.path());
    assert!(!after.contains(opened), "{after}");
    assert!(
        after.contains("note \"2026-05-04 Left thread stripped: never above 4\" // Ask the maker"),
        "{after}"
    );
}

#[test]
fn comments_among_the_figures_of_a_torque_that_holds_no_more_stay() {
    let folder = ledger(&[("loan", "opened \"stem-steerer\"")]);
    let text = SETUP.replace(
        "caution \"Preload first.\"",
        "applied /* by click */ 5.5 /* old wrench */ read=\"2026-05-02\" // evening\n        caution \"Preload first.\"",
    );
    fs::write(folder.path().join("setups/rowan/race.kdl"), &text).expect("written");
    run(folder.path(), &RECORD);
    let after = setup_text(folder.path());
    let kept = "note \"2026-05-09 joint opened, torque not read\" /* by click */ /* old wrench */ // evening";
    assert!(after.contains(kept), "{after}");
}
