//! `history`, `merge`, `adopt` and `gate` through the program.

use std::{fs, path::Path};

use crate::harness::{Bench, Commit, Outcome, flowing, widest};
use crate::texts::{RACE, changed};

const RACE_FILE: &str = "setups/rowan/race.kdl";

/// A mark behind the tyres of RACE.
const MARK: (&str, &str) = (
    "    fork { pressure",
    "    mark \"L1\" on=\"left.brake-lever\" { drawn from-tip=168 angle=32 roll=-1.3 read=\"2031-05-01\" }\n    fork { pressure",
);

/// RACE with a mark; a lever turned 4° and a spacer moved; a file that cannot be read; mended, with damage noted.
fn season() -> Bench {
    let marked = changed(RACE, &[MARK]);
    let turned = marked
        .replacen("from-tip 168; angle 32 with=angle-gauge", "from-tip 168; angle 28 with=angle-gauge", 1)
        .replacen("spacers-below 15 with=caliper", "spacers-below 20 with=caliper", 1);
    let broken = turned.replacen("width (in)30.75", "widht (in)30.75", 1);
    let mended =
        turned.replacen("    fork {", "    damage on=\"bar\" \"scored under the clamp\"\n    fork {", 1);
    Bench::recorded(&[
        Commit { subject: "Measure", files: &[(RACE_FILE, &marked)], tag: Some("venue-1") },
        Commit { subject: "Raise the grips", files: &[(RACE_FILE, &turned)], tag: None },
        Commit { subject: "A slip", files: &[(RACE_FILE, &broken)], tag: None },
        Commit { subject: "Mend it", files: &[(RACE_FILE, &mended)], tag: None },
    ])
}

#[test]
fn what_moved_at_each_revision() {
    let bench = season();
    insta::assert_snapshot!("revisions", bench.run(&["history", "rowan/race"]).screen());
    insta::assert_snapshot!("since", bench.run(&["history", "rowan/race", "--since", "venue-1"]).screen());
    let none = bench.run(&["history", "rowan/race", "--since", "2040-01-01"]);
    assert!(none.out.contains("no revision in that time"), "{}", none.screen());
}

#[test]
fn one_value_over_the_revisions() {
    let bench = season();
    let asked = ["history", "rowan/race", "steerer.spacers-below", "grip-stack"];
    let outcome = bench.run(&asked);
    assert!(widest(&outcome.out) <= 80);
    insta::assert_snapshot!("series", outcome.screen());
    insta::assert_snapshot!("series_csv", bench.run(&[&asked[..], &["--csv"]].concat()).out);
}

/// The lines of a table of values that name such a thing, without the revision, its day, author and subject.
fn lines_of<'t>(table: &'t str, name: &str) -> Vec<&'t str> {
    let named = |line: &&str| line.split(',').nth(5).is_some_and(|cell| cell == name);
    table.lines().filter(named).map(|line| line.splitn(5, ',').last().unwrap()).collect()
}

#[test]
fn a_table_tells_torques_marks_and_notes_by_what_they_were_and_are() {
    let marked = changed(RACE, &[MARK]);
    let after = changed(
        RACE,
        &[
            ("torque \"stem-face\" 4 5 tool=\"4 mm hex\"", "torque \"stem-face\" 4 4.5 tool=\"T25\""),
            ("steep and rough", "steep, rough"),
        ],
    );
    let bench = Bench::recorded(&[
        Commit { subject: "Measure", files: &[(RACE_FILE, &marked)], tag: None },
        Commit { subject: "Less on the face plate", files: &[(RACE_FILE, &after)], tag: None },
    ]);
    let table = bench.run(&["history", "rowan/race", "--csv"]).out;
    // Event, what, was, now, delta, U, unit, verdict. RFC 4180: a comma inside a cell puts it in quotes.
    let face = "changed,torque.stem-face,4 to 5,4 to 4.5,,,N-m,narrower";
    assert_eq!(lines_of(&table, "torque.stem-face"), [face], "{table}");
    let tool = "changed,torque.stem-face.tool,4 mm hex,T25,,,,changed";
    assert_eq!(lines_of(&table, "torque.stem-face.tool"), [tool], "{table}");
    assert_eq!(lines_of(&table, "mark.L1"), ["changed,mark.L1,,,,,,no longer recorded"], "{table}");
    let purpose = "changed,note.purpose,\"Two-day stage race, steep and rough\",\"Two-day stage race, steep, rough\",,,,changed";
    assert_eq!(lines_of(&table, "note.purpose"), [purpose], "{table}");
}

#[test]
fn a_series_has_a_row_for_a_revision_that_cannot_be_read() {
    let bench = season();
    let table = bench.run(&["history", "rowan/race", "steerer.spacers-below", "--csv"]).out;
    let rows: Vec<Vec<&str>> = table.lines().skip(1).map(|line| line.split(',').collect()).collect();
    let told: Vec<(&str, &str)> = rows.iter().map(|cells| (cells[3], cells[7])).collect();
    let expected = [("20", "same"), ("", "unreadable"), ("20", "moved"), ("15", "first recorded")];
    assert_eq!(told, expected, "{table}");
    let json = bench.run(&["history", "rowan/race", "steerer.spacers-below", "--json"]).json();
    let points = json["series"][0]["points"].as_array().unwrap();
    let told: Vec<&str> = points.iter().map(|point| point["event"].as_str().unwrap()).collect();
    assert_eq!(told, ["changed", "unreadable", "changed", "recorded"]);
    assert!(points[1]["value"].is_null() && points[1]["verdict"].is_null(), "{}", points[1]);
}

#[test]
fn the_story_of_the_marks() {
    let outcome = season().run(&["history", "rowan/race", "--marks"]);
    // A stale mark is something to act on.
    assert_eq!(outcome.status, 1);
    insta::assert_snapshot!("marks", outcome.screen());
}

#[test]
fn json_has_the_fixed_parts() {
    let json = season().run(&["history", "rowan/race", "--json"]).json();
    assert_eq!((&json["schema"], &json["setup"]), (&"clampmark.history/1".into(), &"rowan/race".into()));
    let subjects: Vec<&str> =
        json["entries"].as_array().unwrap().iter().filter_map(|entry| entry["subject"].as_str()).collect();
    assert_eq!(subjects, ["Mend it", "A slip", "Raise the grips", "Measure"]);
    let raised = &json["entries"][2];
    assert!(raised["revision"].as_str().is_some_and(|id| id.len() == 40), "{raised}");
    // The committed days run from 1 May 2031.
    assert_eq!(raised["date"], "2031-05-02");
    let spacer = raised["changes"]
        .as_array()
        .unwrap()
        .iter()
        .find(|change| change["measure"] == "steerer.spacers-below")
        .unwrap();
    // 20 − 15 mm.
    assert_eq!((&spacer["delta"], &spacer["verdict"]), (&5.0.into(), &"moved".into()));
    assert_eq!(json["entries"][0]["damages"][0]["on"], "bar");
}

#[test]
fn what_history_cannot_answer() {
    let bench = season();
    let screens: Vec<String> = [
        &["history", "rowan/race", "grip-stak"][..],
        &["history", "rowan/race", "--since", "venue-9"],
        &["history", "rowan/rice"],
    ]
    .map(|asked| bench.run(asked).screen())
    .into();
    insta::assert_snapshot!("history_refused", screens.join("\n"));
}

#[test]
fn what_only_looks_like_a_day_is_no_unknown_revision() {
    let bench = season();
    let month = bench.run(&["history", "rowan/race", "--since", "2026-13-40"]);
    assert_eq!(month.status, 2);
    assert!(month.err.contains("`2026-13-40` is no date: there is no month 13."), "{}", month.screen());
    let order = bench.run(&["history", "rowan/race", "--since", "02.05.2031"]);
    assert!(order.err.contains("is no date") && order.err.contains("2031-05-02"), "{}", order.screen());
}

#[test]
fn the_marks_of_a_named_measure_are_those_that_fix_it() {
    let stem = (
        "    tyres {",
        "    mark \"S1\" on=\"stem-steerer\" { drawn twist=0 read=\"2031-05-01\" }\n    tyres {",
    );
    let marked = changed(RACE, &[MARK, stem]);
    let bench = Bench::recorded(&[Commit { subject: "Measure", files: &[(RACE_FILE, &marked)], tag: None }]);
    let marks = |more: &[&str]| -> Vec<String> {
        let asked = [&["history", "rowan/race", "--marks", "--json"], more].concat();
        let json = bench.run(&asked).json();
        let marks = json["marks"].as_array().unwrap().iter();
        marks.map(|story| story["mark"].as_str().unwrap().to_owned()).collect()
    };
    assert_eq!(marks(&[]), ["L1", "S1"]);
    assert_eq!(marks(&["stem.twist"]), ["S1"]);
    assert_eq!(marks(&["left.brake-lever.angle", "bar.width"]), ["L1"]);
    assert!(marks(&["bar.width"]).is_empty());
    let derived = bench.run(&["history", "rowan/race", "grip-stack", "--marks"]);
    assert_eq!(derived.status, 2);
    assert!(derived.err.contains("no mark fixes it"), "{}", derived.screen());
}

#[test]
fn the_story_of_the_marks_keeps_to_the_time_asked_for() {
    let bench = season();
    let outcome = bench.run(&["history", "rowan/race", "--marks", "--since", "2031-05-02"]);
    // Drawn on the 1st, stale on the 2nd.
    assert!(outcome.out.contains("went stale") && !outcome.out.contains("drawn on"), "{}", outcome.screen());
    assert!(!outcome.out.contains("(on 2031-05-01)"), "{}", outcome.screen());
}

#[test]
fn an_old_name_tells_the_new_one() {
    let bench = Bench::renamed(RACE_FILE, "setups/rowan/wet.kdl", RACE);
    let outcome = bench.run(&["history", "rowan/race"]);
    let said = flowing(&outcome.out);
    let expected = "Renamed to setups/rowan/wet.kdl. What became of it: clampmark history rowan/wet.";
    assert!(said.contains(expected) && !said.contains("Deleted"), "{}", outcome.screen());
    let json = bench.run(&["history", "rowan/race", "--json"]).json();
    assert_eq!(json["entries"][0]["renamed-to"], "setups/rowan/wet.kdl");
    let series = bench.run(&["history", "rowan/race", "bar.width"]);
    assert!(series.out.contains("Renamed to setups/rowan/wet.kdl."), "{}", series.screen());
    let table = bench.run(&["history", "rowan/race", "--csv"]).out;
    let path = "deleted,path,setups/rowan/race.kdl,setups/rowan/wet.kdl,,,,changed";
    assert_eq!(lines_of(&table, "path"), [path], "{table}");
    let new = bench.run(&["history", "rowan/wet"]);
    assert!(new.out.contains("Renamed from setups/rowan/race.kdl."), "{}", new.screen());
}

#[test]
fn another_tolerance_or_instrument_is_told_though_nothing_moved() {
    let worse = changed(RACE, &[("rule tol=0.5", "rule tol=1.0"), ("bite 34 tol=1", "bite 34 tol=2")]);
    let worse = worse.replace("stack 630 with=sheet", "stack 630 with=rule");
    let ruled = changed(RACE, &[("stem { length 50;", "stem { length 50 with=rule;")]);
    let worse = changed(&worse, &[("stem { length 50;", "stem { length 50 with=rule;")]);
    let bench = Bench::recorded(&[
        Commit { subject: "Measure", files: &[(RACE_FILE, &ruled)], tag: None },
        Commit { subject: "The rule is worn", files: &[(RACE_FILE, &worse)], tag: None },
    ]);
    let diff = bench.run(&["diff", "rowan/race", "HEAD~1"]);
    let said = flowing(&diff.out);
    // What moved is told as before; the stem's length is read with the rule, which tells of it.
    for words in [
        "Nothing moved.",
        "instrument rule: was ±0.5, now ±1.",
        "left brake bite: was ±1 mm, now ±2 mm.",
        "frame stack: was ±0.5 mm with sheet, now ±1 mm with rule.",
    ] {
        assert!(said.contains(words), "{words}: {}", diff.screen());
    }
    assert!(!said.contains("stem length"), "{}", diff.screen());
    let history = bench.run(&["history", "rowan/race"]);
    let said = flowing(&history.out);
    assert!(said.contains("instrument rule, ±0.5, then ±1;"), "{}", history.screen());
    assert!(said.contains("left brake bite read ±1 mm, then ±2 mm"), "{}", history.screen());
    assert!(!said.contains("Nothing moved"), "{}", history.screen());
    // What the rule tells is doubted more; the roll was read with the gauge.
    let series = bench.run(&["history", "rowan/race", "stem.length", "bar.roll"]);
    let said = flowing(&series.out);
    assert!(said.contains("same, known less well"), "{}", series.screen());
    assert_eq!(said.matches("Unchanged in 1 other revision.").count(), 1, "{}", series.screen());
    let table = bench.run(&["history", "rowan/race", "--csv"]).out;
    assert_eq!(
        lines_of(&table, "instrument.rule"),
        ["changed,instrument.rule,±0.5,±1,,,,changed"],
        "{table}"
    );
    let json = bench.run(&["diff", "rowan/race", "HEAD~1", "--json"]).json();
    assert_eq!(json["instruments"][0]["now"], "±1");
    let otherwise: Vec<&str> = json["read-otherwise"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| one["measure"].as_str().unwrap())
        .collect();
    assert_eq!(otherwise, ["frame.stack", "left.brake-lever.bite"]);
}

#[test]
fn a_table_tells_what_was_applied_before_and_after_in_columns_of_their_own() {
    let applied = |words: &str| {
        changed(
            RACE,
            &[("        slips-in-a-crash\n", &format!("        slips-in-a-crash\n        {words}\n"))],
        )
    };
    let versions = [
        RACE.to_owned(),
        applied("applied 2.8 read=\"2031-05-02\""),
        applied("applied 2.6 read=\"2031-05-09\""),
        applied("applied 2.6 read=\"2031-05-16\""),
        applied("applied (in-lb)22 read=\"2031-05-16\""),
        RACE.to_owned(),
    ];
    let commits: Vec<[(&str, &str); 1]> = versions.iter().map(|text| [(RACE_FILE, text.as_str())]).collect();
    let commits: Vec<Commit> =
        commits.iter().map(|files| Commit { subject: "Tighten", files, tag: None }).collect();
    let bench = Bench::recorded(&commits);
    let table = bench.run(&["history", "rowan/race", "--csv"]).out;
    let (figures, days) = (
        lines_of(&table, "torque.left.brake-lever.applied"),
        lines_of(&table, "torque.left.brake-lever.applied.read"),
    );
    // Newest first: what was, what is, no difference and no uncertainty, the unit, what became of it.
    let named = |rows: &[&str], name: &str| -> Vec<String> {
        let beginning = format!("changed,torque.left.brake-lever.{name},");
        rows.iter().map(|row| row.strip_prefix(&beginning).expect("the row").to_owned()).collect()
    };
    assert_eq!(
        named(&figures, "applied"),
        [
            "22,,,,in-lb,not recorded",
            "2.6 N·m,22 in·lb,,,,changed",
            "2.6,2.6,,,N-m,same",
            "2.8,2.6,,,N-m,changed",
            ",2.8,,,N-m,recorded",
        ],
        "{table}"
    );
    assert_eq!(
        named(&days, "applied.read"),
        [
            "2031-05-16,,,,,not recorded",
            "2031-05-09,2031-05-16,,,,changed",
            "2031-05-02,2031-05-09,,,,changed",
            ",2031-05-02,,,,recorded",
        ],
        "{table}"
    );
    // The page and the JSON say it in words, as before.
    let page = bench.run(&["history", "rowan/race"]);
    let said = flowing(&page.out);
    for words in [
        "last applied 22 in·lb on 2031-05-16, no longer recorded",
        "tightened again to 2.6 N·m on 2031-05-16",
        "last applied: 2.8 N·m on 2031-05-02, now 2.6 N·m on 2031-05-09",
        "tightened to 2.8 N·m on 2031-05-02",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
    assert!(widest(&page.out) <= 80, "{}", page.out);
}

#[test]
fn every_page_of_a_history_fits_eighty_columns() {
    let bench = season();
    bench.write("setups/rowan/a-day-in-the-wet-with-the-other-fork-and-bar.kdl", RACE);
    let values = ["steerer.spacers-below", "grip-stack", "left.brake-lever.angle"];
    let pages: [&[&str]; 6] = [
        &["rowan/race"],
        &["rowan/race", "--marks"],
        &["rowan/race", "--since", "2040-01-01"],
        &[&["rowan/race", "--since", "2040-01-01"][..], &values].concat(),
        &[&["rowan/race", "--since", "HEAD~1"][..], &values].concat(),
        &["rowan/a-day-in-the-wet-with-the-other-fork-and-bar"],
    ];
    for page in pages {
        let outcome = bench.run(&[&["history"][..], page].concat());
        assert!(widest(&outcome.out) <= 80 && !outcome.out.is_empty(), "{}", outcome.screen());
    }
    let older = bench.run(&[&["history", "rowan/race", "--since", "2040-01-01"][..], &values].concat());
    let never = bench.run(&["history", "rowan/a-day-in-the-wet-with-the-other-fork-and-bar"]);
    insta::assert_snapshot!("older_and_never", [older.screen(), never.screen()].join("\n"));
}

/// The three versions merged, and what ours then holds.
fn merged(ours: &str, theirs: &str) -> (Outcome, String) {
    let bench = Bench::without_git(&[("base", RACE), ("ours", ours), ("theirs", theirs)]);
    let outcome = bench.run(&["merge", "base", "ours", "theirs", "--path", RACE_FILE]);
    (outcome, fs::read_to_string(bench.root().join("ours")).unwrap())
}

#[test]
fn a_merge_says_what_it_decided_and_what_it_could_not() {
    let torque = ("torque \"stem-face\" 4 5", "torque \"stem-face\" 4 4.5");
    let (alone, text) =
        merged(&changed(RACE, &[("width (in)30.75", "width (in)30.5")]), &changed(RACE, &[torque]));
    assert_eq!(text, changed(RACE, &[("width (in)30.75", "width (in)30.5"), torque]));
    let (both, conflict) = merged(
        &changed(RACE, &[("width (in)30.75", "width (in)30.5")]),
        &changed(RACE, &[("width (in)30.75", "width (in)30.25"), ("rebound 7", "rebound 9")]),
    );
    assert!(conflict.contains("rebound 9"), "{conflict}");
    let stands: Vec<&str> = conflict.lines().skip_while(|line| !line.contains("conflict")).take(4).collect();
    insta::assert_snapshot!("merge", [alone.screen(), both.screen(), stands.join("\n")].join("\n"));
}

/// Runs the program where a shell finds it by its name, so that no path of the machine is on the screen.
fn by_name(bench: &Bench, arguments: &[&str]) -> String {
    let folder = Path::new(env!("CARGO_BIN_EXE_clampmark")).parent().unwrap();
    let output = bench.command(arguments).env("PATH", folder).output().unwrap();
    let text = String::from_utf8([output.stdout, output.stderr].concat()).unwrap();
    format!("> clampmark {}\n{text}(exit status {})\n", arguments.join(" "), output.status.code().unwrap())
}

#[test]
fn adopting_shows_what_it_writes() {
    let bench = season();
    let asked = [&["adopt", "--dry-run"][..], &["adopt"], &["adopt"], &["adopt", "--undo"]];
    insta::assert_snapshot!("adopt", asked.map(|asked| by_name(&bench, asked)).join("\n"));
}

#[test]
fn the_gate_stops_a_staged_fault() {
    let bench = season();
    assert_eq!(bench.run(&["gate"]).screen(), "> clampmark gate\n(exit status 0)\n");
    let faulty = RACE.replacen("width (in)30.75", "width (in)307.5", 1);
    let bench = Bench::recorded(&[
        Commit { subject: "Measure", files: &[(RACE_FILE, RACE)], tag: Some("sound") },
        Commit { subject: "A slip", files: &[(RACE_FILE, &faulty)], tag: None },
    ]);
    // Back to the first commit, what is staged kept: the second is then what would be committed.
    let store = bench.root().join(".git");
    let head = fs::read_to_string(store.join("HEAD")).unwrap();
    let branch = head.trim().trim_start_matches("ref: ");
    let first = bench.run(&["history", "rowan/race", "--json"]).json()["entries"][1]["revision"].clone();
    fs::write(store.join(branch), format!("{}\n", first.as_str().unwrap())).unwrap();
    // The working file is mended; what is staged is not.
    bench.write(RACE_FILE, RACE);
    insta::assert_snapshot!("gate", bench.run(&["gate"]).screen());
}

/// The race setup as it was, with this text staged over it: what comes after the first commit is taken back, but not from
/// what is staged.
fn staged(text: &str) -> Bench {
    assert_ne!(text, RACE);
    let bench = Bench::recorded(&[
        Commit { subject: "Measure", files: &[(RACE_FILE, RACE)], tag: None },
        Commit { subject: "After", files: &[(RACE_FILE, text)], tag: None },
    ]);
    let store = bench.root().join(".git");
    let head = fs::read_to_string(store.join("HEAD")).unwrap();
    let branch = head.trim().trim_start_matches("ref: ");
    let first = bench.run(&["history", "rowan/race", "--json"]).json()["entries"][1]["revision"].clone();
    fs::write(store.join(branch), format!("{}\n", first.as_str().unwrap())).unwrap();
    bench
}

/// The gate judges the file: that a bike is not to be ridden is no reason to lose what is known of it.
#[test]
fn the_gate_lets_a_known_damage_into_the_history() {
    let damaged =
        RACE.replacen("    measured ", "    note \"2031-05-02 damage on frame: dent\"\n    measured ", 1);
    let bench = staged(&damaged);
    let gate = bench.run(&["gate"]);
    assert!(gate.out.contains("damage-noted") && gate.out.contains("the commit goes on"), "{}", gate.out);
    assert_eq!((gate.status, bench.run(&["check"]).status), (0, 1), "{}", gate.out);
}

/// What `check` heads its page with stands above what the gate finds, too.
#[test]
fn the_gate_says_that_a_joint_left_open_is_not_to_be_ridden() {
    let open = RACE.replacen(
        "    measured ",
        "    note \"2031-05-02 joint stem-steerer opened, torque not read\"\n    measured ",
        1,
    );
    // A crossed front brake is a caution of its own: it hides nothing.
    let crossed = open.replacen("front-brake right", "front-brake left", 1);
    assert_ne!(crossed, open);
    for text in [open, crossed] {
        let bench = staged(&text);
        let told = "opened before, torque not read since: stem on steerer.";
        for command in ["check", "gate"] {
            let page = flowing(&bench.run(&[command]).out);
            let headline = page.split("Do not ride: ").nth(1).expect("a headline");
            assert!(headline.contains(told), "{command}: {page}");
        }
        let gate = bench.run(&["gate"]);
        assert!(gate.status == 0 && gate.out.contains("the commit goes on"), "{}", gate.out);
    }
}
