//! What several commands must agree on: what they refuse, and when they say that there is something to act on.

use crate::harness::{Bench, Commit, flowing};
use crate::texts::{RACE, changed};

const RACE_FILE: &str = "setups/rowan/race.kdl";
const SHEET: &str = r#"found "rowan/race" format=1 {
    measured "2031-05-09"
    right { brake-lever { angle 28 with=angle-gauge; } }
}
"#;

#[test]
fn a_sheet_is_refused_where_a_whole_setup_is_needed() {
    let bench = Bench::without_git(&[(RACE_FILE, RACE), ("setups/rowan/returned.kdl", SHEET)]);
    for arguments in [
        &["grips", "rowan/returned"][..],
        &["turn", "rowan/returned"],
        &["torque", "rowan/returned"],
        &["body", "rowan/returned"],
        &["try", "rowan/returned", "bar.width=760"],
        &["carry", "rowan/returned", "--onto", "rowan/race"],
        &["carry", "rowan/race", "--onto", "rowan/returned"],
    ] {
        let outcome = bench.run(arguments);
        assert_eq!(outcome.status, 2, "{}", outcome.screen());
        let said = flowing(&outcome.err);
        assert!(said.contains("rowan/returned is an as-found sheet"), "{}", outcome.screen());
        assert!(said.contains("clampmark diff rowan/race --found rowan/returned"), "{}", outcome.screen());
    }
}

#[test]
fn a_fault_of_the_text_is_to_act_on() {
    // The stack is off its span, so it is lost on both sides, and nothing else differs.
    let bench = Bench::without_git(&[
        ("one.kdl", &changed(RACE, &[("stack 630", "stack 6300")])),
        ("other.kdl", &changed(RACE, &[("stack 630", "stack 6300")])),
    ]);
    for arguments in [&["grips", "one.kdl"][..], &["turn", "one.kdl"], &["diff", "one.kdl", "other.kdl"]] {
        let outcome = bench.run(arguments);
        assert_eq!(outcome.status, 1, "{}", outcome.screen());
    }
}

#[test]
fn a_second_revision_beside_a_sheet_is_refused() {
    let commits = [
        Commit { subject: "Measure", files: &[(RACE_FILE, RACE)], tag: Some("venue-1") },
        Commit { subject: "Look", files: &[("setups/rowan/returned.kdl", SHEET)], tag: None },
    ];
    let bench = Bench::recorded(&commits);
    let sheet = ["--found", "rowan/returned"];
    assert_eq!(bench.run(&[&["diff", "rowan/race", "venue-1"], &sheet[..]].concat()).status, 1);
    assert_eq!(bench.run(&[&["diff", "rowan/race", "venue-1", "now"], &sheet[..]].concat()).status, 2);
}

#[test]
fn a_revision_is_told_by_its_full_name() {
    let commits = [Commit { subject: "Measure", files: &[(RACE_FILE, RACE)], tag: Some("venue-1") }];
    let bench = Bench::recorded(&commits);
    for command in ["grips", "turn", "torque", "body"] {
        let at = bench.run(&[command, "rowan/race", "--at", "venue-1", "--json"]).json();
        let revision = at["revision"].as_str().expect("a revision");
        // A SHA-1 in hexadecimal: 160 bits, four to a digit.
        assert!(revision.len() == 40 && revision.bytes().all(|digit| digit.is_ascii_hexdigit()), "{command}");
        assert_eq!(at["label"], "venue-1", "{command}");
        let now = bench.run(&[command, "rowan/race", "--json"]).json();
        assert_eq!((&now["revision"], &now["label"]), (&serde_json::Value::Null, &"now".into()), "{command}");
    }
}

#[test]
fn what_the_file_lost_is_to_act_on() {
    let lost = |from: &str, to: &str, caution: &str| {
        let with = changed(RACE, &[("slips-in-a-crash\n", caution)]);
        let bench =
            Bench::recorded(&[Commit { subject: "Measure", files: &[(RACE_FILE, &with)], tag: None }]);
        bench.write(RACE_FILE, changed(&with, &[(from, to)]));
        let back = bench.run(&["diff", "rowan/race", "now", "HEAD"]).status;
        (bench.run(&["diff", "rowan/race"]).status, back)
    };
    let caution = "slips-in-a-crash\n        caution \"Not on the cut end.\"\n";
    // A reading nobody can go back to any more; a caution nobody reads any more. The other way round both are back.
    assert_eq!(lost(" bite 36 tol=1;", "", caution), (1, 0));
    assert_eq!(lost("        caution \"Not on the cut end.\"\n", "", caution), (1, 0));
    // A limit that bounded nothing yet, what it was tightened to, a line that shows whether it moved.
    assert_eq!(lost("        ceiling \"bar\" 5\n", "", caution), (1, 0));
    let applied = "slips-in-a-crash\n        applied 2.8 read=\"2031-05-02\"\n";
    assert_eq!(lost("        applied 2.8 read=\"2031-05-02\"\n", "", applied), (1, 0));
    let mark = "    mark \"L1\" on=\"left.brake-lever\" { drawn from-tip=168 angle=32 }\n";
    let with_mark = format!("slips-in-a-crash\n    }}\n{mark}    torque \"seat-clamp\" 5 6 {{\n");
    assert_eq!(lost(mark, "", &with_mark), (1, 0));
    assert_eq!(lost(" { drawn from-tip=168 angle=32 }", "", &with_mark), (1, 0));
    // A note is no caution.
    let note = "slips-in-a-crash\n    }\n    note \"washed\"\n    torque \"seat-clamp\" 5 6 {\n";
    assert_eq!(lost("    note \"washed\"\n", "", note), (0, 0));
}
