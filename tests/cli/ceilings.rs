//! The ceilings of a joint, told where they come, go or change.

use crate::harness::{Bench, Commit, flowing};
use crate::texts::{RACE, changed};

const RACE_PATH: &str = "setups/rowan/race.kdl";
const CEILING: &str = "ceiling \"bar\" 5";

#[test]
fn a_ceiling_that_binds_nothing_is_told_all_the_same() {
    // The range is 4 to 5: a ceiling of 5 leaves all of it, and so does one of 6 or none.
    for (now, told) in [
        ("ceiling \"bar\" 6", vec!["ceiling of bar: 5 N·m, now 6 N·m"]),
        ("", vec!["ceiling of bar: 5 N·m, now not recorded"]),
        (
            "ceiling \"bar clamp\" 5",
            vec!["ceiling of bar: 5 N·m, now not recorded", "ceiling of bar clamp: not recorded, now 5 N·m"],
        ),
    ] {
        let after = changed(RACE, &[(CEILING, now)]);
        let files = [[(RACE_PATH, RACE)], [(RACE_PATH, after.as_str())]];
        let commits = files.each_ref().map(|files| Commit { subject: "Measure", files, tag: None });
        let bench = Bench::recorded(&commits);
        bench.write("base", RACE);
        let git_diff = ["git-diff", RACE_PATH, "base", "1111111", "100644", RACE_PATH, "0000000", "100644"];
        for asked in [&["diff", "rowan/race", "HEAD~1"][..], &["history", "rowan/race"], &git_diff] {
            let outcome = bench.run(asked);
            let said = flowing(&outcome.out);
            assert!(told.iter().all(|told| said.contains(told)), "{asked:?}: {}", outcome.screen());
        }
        let table = bench.run(&["history", "rowan/race", "--csv"]).out;
        assert!(table.contains("torque.stem-face.ceiling.bar,"), "{table}");
    }
}
