//! `try` of a bar that is cut: what is slid, the lines that stay on the bar, and what is looked over before riding.

use std::fs;

use super::rider::{ROWAN, ledger, run};
use crate::harness::flowing;

/// 780 to 760 mm takes 10 mm off each end: a line at 168 mm from the old end is at 158 from the new one.
#[test]
fn a_line_on_a_bar_that_is_cut_comes_nearer_to_its_end() {
    let folder = ledger();
    let race = folder.path().join("setups/rowan/race.kdl");
    let lever = "torque \"left.brake-lever\" 2.5 4 { slips-in-a-crash; applied 3; }
    torque \"stem-face\" 4 5 { applied 4.5; }
    mark \"L1\" on=\"left.brake-lever\" { drawn from-tip=168 angle=32 read=\"2026-05-02\" }
    guard";
    fs::write(&race, ROWAN.replace("    guard", lever)).expect("written");
    let (_, said) = run(folder.path(), 80, &["try", "rowan/race", "bar.width=760", "--write", "rowan/cut"]);
    let said = flowing(&said);
    for words in [
        "They stay on the bar, 10 mm nearer to the new ends, and are written so.",
        "What was applied to the clamps that are slid counts no more.",
        "Before riding",
        "qualified mechanic",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
    let written = fs::read_to_string(folder.path().join("setups/rowan/cut.kdl")).expect("written");
    assert!(written.contains("from-tip=158 angle=32"), "{written}");
    assert!(!written.contains("applied 3"), "{written}");
    assert!(written.contains("applied before the bar was cut"), "{written}");
    // The stem's bolts are not opened for that.
    assert!(written.contains("applied 4.5"), "{written}");
}
