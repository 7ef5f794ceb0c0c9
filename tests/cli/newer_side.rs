//! Of two revisions: what the newer one keeps against riding, and no word of what nobody did between them.

use crate::harness::{Bench, Commit, Outcome, flowing};
use crate::texts::{RACE, changed};

const RACE_FILE: &str = "setups/rowan/race.kdl";
const DAMAGE: &str = "2031-05-01 damage on bar: scored under the clamp";
const STOP: &str = "do not ride: fork cracked at the crown";

/// A bike as measured, with damage noted, with that note gone and another that forbids it, and with a clamp too tight.
fn bench() -> Bench {
    let noted = |note: &str| changed(RACE, &[("    fork {", &format!("    note \"{note}\"\n    fork {{"))]);
    let tight = changed(
        RACE,
        &[(
            "tool=\"4 mm hex\" thread=M5 class=8.8 {\n        ceiling",
            "tool=\"4 mm hex\" thread=M5 class=8.8 {\n        applied 9 read=\"2031-05-04\"\n        ceiling",
        )],
    );
    let commit = |subject, files| Commit { subject, files, tag: None };
    let (damaged, stopped) = (noted(DAMAGE), noted(STOP));
    Bench::recorded(&[
        commit("Measure", &[(RACE_FILE, RACE)]),
        commit("Damaged", &[(RACE_FILE, &damaged)]),
        commit("Stopped", &[(RACE_FILE, &stopped)]),
        commit("Too tight", &[(RACE_FILE, &tight)]),
    ])
}

fn flat(outcome: &Outcome) -> String {
    flowing(&outcome.out)
}

#[test]
fn the_newer_of_two_revisions_says_first_why_nobody_rides_it() {
    let bench = bench();
    let older = bench.run(&["diff", "rowan/race", "HEAD~3", "HEAD~2"]);
    assert_eq!(older.status, 1, "{}", older.screen());
    let second = older.out.split("\n\n").nth(1).unwrap_or_default();
    assert_eq!(second, "At HEAD~2 not to be ridden: bar: scored under the clamp.", "{}", older.screen());
    // From the newer to the older it is still the newer that counts.
    let back = flat(&bench.run(&["diff", "rowan/race", "HEAD~2", "HEAD~3"]));
    assert!(back.contains("At HEAD~2 not to be ridden: bar: scored under the clamp."), "{back}");
    // What is recorded last is the bike as it stands: 9 N·m on a clamp for 4 to 5.
    let newest = bench.run(&["diff", "rowan/race", "HEAD~1", "HEAD"]);
    assert_eq!(newest.status, 1, "{}", newest.screen());
    let expected = "Do not ride: bar in stem last tightened to 9 N·m, above the 4–5 N·m allowed.";
    assert!(flat(&newest).contains(expected), "{}", newest.screen());
    // Git needs a status of nothing in any case.
    let file = bench.root().join(RACE_FILE).display().to_string();
    let old = bench.write("old", RACE).display().to_string();
    let zeros = "0".repeat(40);
    let git = bench.run(&["git-diff", RACE_FILE, &old, "1a2b3c4", "100644", &file, &zeros, "100644"]);
    assert!(git.status == 0 && flat(&git).contains(expected), "{}", git.screen());
}

#[test]
fn history_quotes_the_notes_by_which_nobody_rides() {
    let bench = bench();
    let said = flat(&bench.run(&["history", "rowan/race"]));
    assert!(said.contains(&format!("noted, not to be ridden: “{DAMAGE}”")), "{said}");
    assert!(said.contains(&format!("note taken out: “{DAMAGE}”")), "{said}");
    assert!(said.contains(&format!("noted, not to be ridden: “{STOP}”")), "{said}");
    assert!(!said.contains("a note changed"), "{said}");
    let json = bench.run(&["history", "rowan/race", "--json"]).json();
    assert_eq!(json["entries"][0]["forbidding"][0]["taken-out"], true);
    assert_eq!(json["entries"][2]["forbidding"][0]["text"], DAMAGE);
}

#[test]
fn from_the_newer_to_the_older_nothing_was_done() {
    let torque = |day: &str| {
        format!("    torque \"seat-clamp\" 4 6 {{ caution \"Even.\"; applied 5 read=\"{day}\" }}\n")
    };
    let mark = |drawn: &str| format!("    mark \"L1\" on=\"left.brake-lever\" {{ drawn {drawn} }}\n");
    let at = |day: &str, drawn: &str, more: &str| {
        changed(RACE, &[("    fork {", &format!("{}{}{more}    fork {{", torque(day), mark(drawn)))])
    };
    let older = at("2031-05-01", "angle=32 read=\"2031-05-01\"", "    note \"Creaks\"\n");
    let newer = at("2031-05-09", "angle=32 from-tip=168 read=\"2031-05-09\"", "");
    let bench = Bench::recorded(&[
        Commit { subject: "Older", files: &[(RACE_FILE, &older)], tag: None },
        Commit { subject: "Newer", files: &[(RACE_FILE, &newer)], tag: None },
    ]);
    let forth = flat(&bench.run(&["diff", "rowan/race", "HEAD~1", "now"]));
    assert!(forth.contains("tightened again to 5 N·m on 2031-05-09"), "{forth}");
    assert!(forth.contains("drawn anew: look for the new line"), "{forth}");
    for from in ["now", "HEAD"] {
        let back = bench.run(&["diff", "rowan/race", from, "HEAD~1"]);
        let said = flat(&back);
        for not_done in ["tightened again", "drawn anew", "new:"] {
            assert!(!said.contains(not_done), "{}", back.screen());
        }
        let applied = "last applied: 5 N·m on 2031-05-09, now 5 N·m on 2031-05-01";
        assert!(said.contains(applied) && said.contains("only at HEAD~1: “Creaks”"), "{}", back.screen());
    }
}

#[test]
fn a_file_of_blanks_is_recorded_with_nothing_measured() {
    let blank =
        "setup \"rowan/race\" format=1 {\n    bar { width unmeasured }\n    stem { length unmeasured }\n}\n";
    let bench = Bench::recorded(&[Commit { subject: "Blank", files: &[(RACE_FILE, blank)], tag: None }]);
    let said = bench.run(&["history", "rowan/race"]).out;
    assert!(said.contains("First recorded: nothing is measured yet."), "{said}");
}

#[test]
fn a_new_ledger_below_a_repository_needs_none_of_its_own() {
    let bench = Bench::recorded(&[Commit { subject: "Begin", files: &[("read-me", "bikes")], tag: None }]);
    std::fs::create_dir(bench.root().join("bikes")).unwrap();
    let new = bench.run_in("bikes", &["new", "rowan/rain"]);
    assert!(new.status == 0 && !new.out.contains("git init"), "{}", new.screen());
    let outside = Bench::without_git(&[("read-me", "bikes")]);
    assert!(outside.run(&["new", "rowan/rain"]).out.contains("git init"));
}

#[test]
fn what_was_measured_again_and_stands_as_it_was_is_told_so() {
    let measured = "measured \"2031-05-02\" by=\"own stand, wheels on the floor\"";
    let reach = "reach 62 with=caliper; bite 36";
    for (changes, told) in [
        (
            vec![(measured, "measured \"2031-05-20\" by=\"mechanic\"")],
            "Measured anew 2031-05-20 by mechanic.",
        ),
        (
            vec![(reach, "reach 62 with=caliper read=\"2031-05-20\"; bite 36")],
            "1 measure read again, or told with another day.",
        ),
        (vec![("    fork {", "    // wet\n    fork {")], "The text differs all the same: in its comments,"),
    ] {
        let bench = Bench::without_git(&[("base", RACE), (RACE_FILE, &changed(RACE, &changes))]);
        let asked = ["git-diff", RACE_FILE, "base", "1111111", "100644", RACE_FILE, "0000000", "100644"];
        let outcome = bench.run(&asked);
        let said = flowing(&outcome.out);
        assert!(said.contains("Nothing moved.") && said.contains(told), "{}", outcome.screen());
    }
}
