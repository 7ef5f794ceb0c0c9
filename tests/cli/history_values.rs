//! What `history` says of a torque out of its range.

use crate::harness::{Bench, Commit, flowing};
use crate::texts::{RACE, changed};

const RACE_FILE: &str = "setups/rowan/race.kdl";

/// These texts of the setup, one after the other.
fn recorded(texts: &[&str]) -> Bench {
    let files: Vec<[(&str, &str); 1]> = texts.iter().map(|text| [(RACE_FILE, *text)]).collect();
    let commits: Vec<Commit> =
        files.iter().map(|files| Commit { subject: "Measure", files, tag: None }).collect();
    Bench::recorded(&commits)
}

#[test]
fn a_torque_applied_out_of_its_range_is_told_to_be() {
    let applied = |figure: &str| {
        let line = format!("        slips-in-a-crash\n        applied {figure} read=\"2031-05-02\"\n");
        changed(RACE, &[("        slips-in-a-crash\n", &line)])
    };
    // The lever's range is 2.5 to 4 N·m, and the bar's limit 3.5.
    let bench = recorded(&[RACE, &applied("2.8"), &applied("5"), &applied("2")]);
    let page = flowing(&bench.run(&["history", "rowan/race"]).out);
    for said in [
        "torque out of range, left brake lever: last applied: 5 N·m on 2031-05-02, now 2 N·m on 2031-05-02. 2 N·m was \
         last applied, below 2.5 N·m.",
        "torque out of range, left brake lever: last applied: 2.8 N·m on 2031-05-02, now 5 N·m on 2031-05-02. 5 N·m was \
         last applied, above 3.5 N·m, the limit of \"bar\".",
        "torque, left brake lever: tightened to 2.8 N·m on 2031-05-02.",
    ] {
        assert!(page.contains(said), "{said}: {page}");
    }
    let json = bench.run(&["history", "rowan/race", "--json"]).out;
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    let outside = |entry: usize| json["entries"][entry]["torque"][0]["out-of-range"].as_str();
    assert_eq!((outside(0), outside(2)), (Some("2 N·m was last applied, below 2.5 N·m."), None));
}
