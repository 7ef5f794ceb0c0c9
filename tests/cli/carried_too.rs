//! What a commit of the file carries besides the sheet.

use crate::harness::{Bench, Commit, flowing};
use crate::restore::SETUP;

#[test]
fn edits_that_were_never_committed_are_named_with_the_commit_that_carries_them() {
    let bench = Bench::recorded(&[Commit {
        subject: "Measure",
        files: &[("setups/rowan/race.kdl", SETUP)],
        tag: None,
    }])
    .known_to_git();
    let sheet = "found \"rowan/race\" format=1 {\n    measured \"2026-05-09\"\n    tyres { front 25 }\n}\n";
    bench.write("setups/rowan/loan.kdl", sheet);
    let record = ["record", "rowan/race", "--found", "rowan/loan"];
    // Nothing but the sheet.
    let page = flowing(&bench.run(&record).out);
    assert!(!page.contains("carries more"), "{page}");
    bench.write("setups/rowan/race.kdl", SETUP.replace("rear 26", "rear 28"));
    let page = flowing(&bench.run(&record).out);
    assert!(
        page.contains("carries more than the sheet") && page.contains("rear tyre was 26 psi, now 28 psi"),
        "{page}"
    );
    bench.write("setups/rowan/race.kdl", SETUP.replace("rear 26", "rear 28"));
    let outcome = bench.run(&[&record[..], &["--commit", "-m", "tyre"]].concat());
    let page = flowing(&outcome.out);
    assert!(page.contains("Committed as"), "{page}{}", outcome.err);
    assert!(page.contains("rear tyre was 26 psi, now 28 psi"), "{page}");
    assert!(!page.contains("front tyre was 23 psi, now"), "{page}");
}

/// What is only read again is no other place.
#[test]
fn what_is_read_again_is_not_said_to_be_another() {
    let bench = Bench::without_git(&[("setups/rowan/race.kdl", SETUP)]);
    let sheet = "found \"rowan/race\" format=1 {\n    measured \"2026-05-09\"\n    right { brake-lever { from-tip 168 } }\n}\n";
    bench.write("setups/rowan/loan.kdl", sheet);
    let page = flowing(&bench.run(&["record", "rowan/race", "--found", "rowan/loan", "--all"]).out);
    assert!(page.contains("6.61 in read again"), "{page}");
    assert!(!page.contains("goes back to this from now on"), "{page}");
}
