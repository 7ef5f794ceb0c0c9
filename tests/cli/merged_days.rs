//! What was seen, drawn or tightened on one day, merged with what bears another: it stays of its day.

use std::fs;

use crate::harness::{Bench, Outcome, flowing};
use crate::texts::{RACE, changed};

const RACE_FILE: &str = "setups/rowan/race.kdl";
const SHEET_FILE: &str = "setups/rowan/back.kdl";

/// A line on the left lever's clamp, drawn anew on the 18th.
fn setup() -> String {
    let mark = "    mark \"L1\" on=\"left.brake-lever\" { drawn from-tip=168 angle=32 roll=-1.3 read=\"2031-05-18\" }\n    fork {";
    changed(RACE, &[("    fork {", mark)])
}

fn sheet(day: u32, lines: &str) -> String {
    format!(
        "found \"rowan/race\" format=1 {{\n    measured \"2031-05-{day}\" by=\"rider\"\n    floor 0\n    \
         saddle {{ height 742 tol=1 }}\n{lines}}}\n"
    )
}

fn merged_sheets(setup: &str, base: &str, ours: &str, theirs: &str) -> (Bench, Outcome, String) {
    let files = [(RACE_FILE, setup), ("base", base), (SHEET_FILE, ours), ("theirs", theirs)];
    let bench = Bench::without_git(&files);
    let outcome = bench.run(&["merge", "base", SHEET_FILE, "theirs", "--path", SHEET_FILE]);
    let text = fs::read_to_string(bench.root().join(SHEET_FILE)).unwrap();
    (bench, outcome, text)
}

fn merged(base: &str, ours: &str, theirs: &str) -> (Bench, Outcome, String) {
    let bench = Bench::without_git(&[("base", base), (RACE_FILE, ours), ("theirs", theirs)]);
    let outcome = bench.run(&["merge", "base", RACE_FILE, "theirs"]);
    let text = fs::read_to_string(bench.root().join(RACE_FILE)).unwrap();
    (bench, outcome, text)
}

#[test]
fn what_a_sheet_saw_on_one_day_keeps_it() {
    let base = sheet(16, "");
    let newer = sheet(20, "    stem { twist 0 }\n");
    for seen in ["mark \"L1\" aligned", "mark \"L1\" broken", "mark \"L1\" off=0.8", "opened \"stem-face\""] {
        let older = sheet(16, &format!("    {seen}\n"));
        for (ours, theirs) in [(&older, &newer), (&newer, &older)] {
            let (bench, outcome, text) = merged_sheets(&setup(), &base, ours, theirs);
            assert_eq!(outcome.status, 0, "{seen}: {}", outcome.screen());
            assert!(text.contains("measured \"2031-05-20\""), "{text}");
            assert!(text.contains(&format!("\n    {seen} read=\"2031-05-16\"\n")), "{text}");
            assert!(!outcome.out.contains("make sure"), "{}", outcome.screen());
            // A line that met on the 16th says nothing of the one drawn on the 18th.
            let diff = bench.run(&["diff", "rowan/race", "--found", "rowan/back"]);
            assert!(!diff.out.contains("lines up"), "{}", diff.screen());
            // Merged once more with the older sheet, nothing changes.
            bench.write("theirs", &older);
            bench.write("base", &older);
            let again = bench.run(&["merge", "base", SHEET_FILE, "theirs", "--path", SHEET_FILE]);
            assert_eq!(again.status, 0, "{}", again.screen());
            assert_eq!(fs::read_to_string(bench.root().join(SHEET_FILE)).unwrap(), text);
        }
    }
    // With a note on it, the mark itself bears the day.
    let noted = sheet(16, "    mark \"L1\" broken { note \"by the split\" }\n");
    let (_, _, text) = merged_sheets(&setup(), &base, &newer, &noted);
    assert!(text.contains("mark \"L1\" broken read=\"2031-05-16\" { note \"by the split\" }"), "{text}");
    // Both on one day, it is one sheet.
    let (ours, theirs) = (sheet(16, "    mark \"L1\" aligned\n"), sheet(16, "    stem { twist 0 }\n"));
    let (_, outcome, text) = merged_sheets(&setup(), &base, &ours, &theirs);
    assert!(outcome.status == 0 && text.contains("\n    mark \"L1\" aligned\n"), "{text}");
}

#[test]
fn what_both_saw_is_so_on_the_later_day() {
    let base = sheet(14, "");
    for seen in ["mark \"L1\" broken", "opened \"stem-face\""] {
        let dated = |day: u32, own: &str| sheet(day, &format!("    {seen}{own}\n"));
        let (own, later) = (dated(20, " read=\"2031-05-16\""), dated(18, ""));
        for (ours, theirs) in [(&own, &later), (&later, &own)] {
            let (_, outcome, text) = merged_sheets(&setup(), &base, ours, theirs);
            assert_eq!(outcome.status, 0, "{}", outcome.screen());
            assert!(text.contains(&format!("\n    {seen} read=\"2031-05-18\"\n")), "{text}");
        }
    }
    // Found in two ways, it is not decided: between the two the line may have been drawn anew.
    let (ours, theirs) = (sheet(16, "    mark \"L1\" broken\n"), sheet(20, "    mark \"L1\" aligned\n"));
    let (_, outcome, text) = merged_sheets(&setup(), &base, &ours, &theirs);
    assert!(outcome.status == 1 && text.contains("{ mark \"L1\" broken read=\"2031-05-16\" }"), "{text}");
    let said = flowing(&outcome.out);
    let told =
        "Seen on 2031-05-16, in a sheet of 2031-05-20: between the two a line may have been drawn anew";
    assert!(said.contains(told) && said.contains("keep the worse of the two"), "{said}");
}

#[test]
fn damage_that_a_sheet_tells_keeps_its_day_and_from_riding() {
    let base = sheet(16, "");
    let (older, newer) =
        (sheet(16, "    damage on=\"bar\" \"scored\"\n"), sheet(20, "    stem { twist 0 }\n"));
    let record = ["record", "rowan/race", "--found", "rowan/back"];
    for (ours, theirs) in [(&older, &newer), (&newer, &older)] {
        let (bench, outcome, text) = merged_sheets(&setup(), &base, ours, theirs);
        assert_eq!(outcome.status, 0, "{}", outcome.screen());
        assert!(text.contains("measured \"2031-05-20\""), "{text}");
        assert!(text.contains("\n    damage on=\"bar\" \"scored\" read=\"2031-05-16\"\n"), "{text}");
        // It stands there: nothing went.
        assert!(!outcome.out.contains("make sure"), "{}", outcome.screen());
        for asked in [&["diff", "rowan/race", "--found", "rowan/back"][..], &record, &[]] {
            let outcome = bench.run(asked);
            assert!(outcome.status == 1 && outcome.out.contains("o not ride"), "{}", outcome.screen());
        }
        // Recorded, it bears the day on which it was seen.
        let recorded = fs::read_to_string(bench.root().join(RACE_FILE)).unwrap();
        assert!(recorded.contains("note \"2031-05-16 damage: scored\""), "{recorded}");
        // Merged once more with the friend's sheet, nothing changes.
        bench.write("theirs", &older);
        bench.write("base", &older);
        let again = bench.run(&["merge", "base", SHEET_FILE, "theirs", "--path", SHEET_FILE]);
        assert_eq!(again.status, 0, "{}", again.screen());
        assert_eq!(fs::read_to_string(bench.root().join(SHEET_FILE)).unwrap(), text);
    }
    let (bench, _, _) = merged_sheets(&setup(), &base, &older, &newer);
    let asked = ["diff", "rowan/race", "--found", "rowan/back"];
    assert!(
        bench.run(&asked).out.contains("bar: scored, seen 2031-05-16\n"),
        "{}",
        bench.run(&asked).screen()
    );
    let json = bench.run(&[&asked[..], &["--json"]].concat()).json();
    assert_eq!(json["damages"][0]["read"], "2031-05-16", "{json}");
    // A day that cannot be, and one that is yet to come: it is June 2031.
    let seen = |day: &str| sheet(20, &format!("    damage on=\"bar\" \"scored\" read=\"{day}\"\n"));
    for (day, code) in [("2031-05-32", "bad-date"), ("2031-08-01", "date-ahead")] {
        bench.write(SHEET_FILE, seen(day));
        let check = bench.run(&["check", "rowan/back"]);
        assert!(check.out.contains(code), "{}", check.screen());
    }
    // On one day it is the sheet's.
    let (ours, theirs) =
        (sheet(16, "    damage on=\"bar\" \"scored\"\n"), sheet(16, "    stem { twist 0 }\n"));
    let (_, _, text) = merged_sheets(&setup(), &base, &ours, &theirs);
    assert!(text.contains("damage on=\"bar\" \"scored\"\n"), "{text}");
}

#[test]
fn what_a_newer_sheet_left_standing_is_changed_by_no_older_one_in_silence() {
    // The 20th still says broken; of the 16th, that it met, says nothing of the 20th.
    let base = sheet(16, "    mark \"L1\" broken\n");
    let newer = sheet(20, "    mark \"L1\" broken\n");
    let older = sheet(16, "    mark \"L1\" aligned\n");
    for (ours, theirs) in [(&older, &newer), (&newer, &older)] {
        let (_, outcome, text) = merged_sheets(&setup(), &base, ours, theirs);
        assert!(outcome.status == 1 && text.contains("conflict \"mark.L1\""), "{text}");
        assert!(
            flowing(&outcome.out).contains("was measured later and has it as it was"),
            "{}",
            outcome.screen()
        );
    }
}

#[test]
fn a_torque_that_a_sheet_tells_keeps_its_day() {
    let note = "tool=\"T25\" {\n        note \"2031-05-18 joint opened, torque not read\"";
    let opened = changed(RACE, &[("tool=\"T25\" {", note)]);
    let base = sheet(16, "");
    let (older, newer) =
        (sheet(16, "    torque \"left.brake-lever\" { applied 3 }\n"), sheet(20, "    stem { twist 0 }\n"));
    for (ours, theirs) in [(&older, &newer), (&newer, &older)] {
        let (bench, outcome, text) = merged_sheets(&opened, &base, ours, theirs);
        assert_eq!(outcome.status, 0, "{}", outcome.screen());
        assert!(text.contains("measured \"2031-05-20\""), "{text}");
        assert!(text.contains("{ applied 3 read=\"2031-05-16\" }"), "{text}");
        // Tightened on the 16th, opened on the 18th: nobody knows how tight it is.
        let diff = bench.run(&["diff", "rowan/race", "--found", "rowan/back"]);
        assert_eq!(diff.status, 1, "{}", diff.screen());
        let said = flowing(&diff.out);
        assert!(said.contains("opened before, torque not read since: left brake lever"), "{}", diff.screen());
    }
}

/// What hangs on no day.
const OTHERWISE: [(&str, &str); 1] = [("steep and rough", "steep and wet")];

/// Newer than the line, and the bar rolled forward by 7.3° since.
const ROLLED: [(&str, &str); 2] =
    [("measured \"2031-05-02\"", "measured \"2031-06-10\""), ("roll -1.5 -1.0 -1.5", "roll 6 6 6")];

#[test]
fn a_line_keeps_the_day_and_the_roll_at_which_it_was_drawn() {
    let with = |drawn: &str| {
        let mark = format!("    mark \"L1\" on=\"left.brake-lever\" {{ drawn {drawn} }}\n    fork {{");
        changed(RACE, &[("    fork {", &mark)])
    };
    let met = "found \"rowan/race\" format=1 {\n    measured \"2031-06-12\"\n    mark \"L1\" aligned\n}\n";
    // The mean of -1.5, -1.0 and -1.5 is -1.33, to the tenth -1.3; a day of its own stays.
    for (drawn, settled, theirs) in [
        ("from-tip=168 angle=32", "roll=-1.3 read=\"2031-05-02\"", changed(RACE, &ROLLED)),
        ("from-tip=168 angle=32 read=\"2031-05-02\"", "roll=-1.3", changed(RACE, &ROLLED)),
        ("from-tip=168 angle=32 read=\"2031-05-02\"", "roll=-1.3", changed(RACE, &ROLLED[1..])),
        ("from-tip=168 angle=32 roll=-1.5", "read=\"2031-05-02\"", changed(RACE, &ROLLED)),
    ] {
        let ours = with(drawn);
        for (ours, theirs) in [(&ours, &theirs), (&theirs, &ours)] {
            let (bench, outcome, text) = merged(RACE, ours, theirs);
            assert_eq!(outcome.status, 0, "{}", outcome.screen());
            assert!(text.contains(&format!("{{ drawn {drawn} {settled} }}")), "{text}");
            // It meets at 32° and the 7.3° that the bar was rolled by: the lever is not where the file has it.
            bench.write(SHEET_FILE, met);
            let diff = bench.run(&["diff", "rowan/race", "--found", "rowan/back"]);
            assert_eq!(diff.status, 1, "{}", diff.screen());
        }
    }
    // Nothing is written where the file stays of that day and that roll.
    let ours = with("from-tip=168 angle=32");
    let (_, _, text) = merged(RACE, &ours, &changed(RACE, &OTHERWISE));
    assert_eq!(text, changed(&ours, &OTHERWISE));
    // Nor where the line came with the bar's new roll, and the other side changed neither.
    let both = changed(&ours, &ROLLED);
    assert_eq!(merged(RACE, &both, &changed(RACE, &OTHERWISE)).2, changed(&both, &OTHERWISE));
}

#[test]
fn a_torque_that_was_applied_keeps_its_day() {
    let ours = changed(RACE, &[("tool=\"T25\" {", "tool=\"T25\" {\n        applied 2.8")]);
    let theirs = changed(RACE, &ROLLED[..1]);
    for (ours, theirs) in [(&ours, &theirs), (&theirs, &ours)] {
        let (_, outcome, text) = merged(RACE, ours, theirs);
        assert_eq!(outcome.status, 0, "{}", outcome.screen());
        assert!(text.contains("applied 2.8 read=\"2031-05-02\"\n"), "{text}");
    }
}

#[test]
fn a_day_that_an_earlier_merge_wrote_is_no_change() {
    // The file is of the 2nd: so is the length beside which a merge wrote that.
    let newer = [("measured \"2031-05-02\"", "measured \"2031-05-18\""), ("length 50;", "length 45;")];
    let ours = changed(RACE, &[("length 50;", "length 50 read=\"2031-05-02\";")]);
    let theirs = changed(RACE, &newer);
    for (ours, theirs) in [(&ours, &theirs), (&theirs, &ours)] {
        let (_, outcome, text) = merged(RACE, ours, theirs);
        assert_eq!(outcome.status, 0, "{}", outcome.screen());
        assert!(text.contains("length 45;"), "{text}");
    }
}

#[test]
fn damage_seen_twice_is_one_seen_first_on_the_earlier_day() {
    let damage = |day: &str| format!("    damage on=\"bar\" \"scored\"{day}\n");
    let dated = " read=\"2031-05-16\"";
    let base = sheet(16, "");
    let (ours, theirs) = (sheet(20, &damage(dated)), sheet(18, &damage("")));
    let undated = (sheet(16, &damage("")), sheet(18, &damage("")));
    for (ours, theirs) in
        [(&ours, &theirs), (&theirs, &ours), (&undated.0, &undated.1), (&undated.1, &undated.0)]
    {
        let (_, outcome, text) = merged_sheets(&setup(), &base, ours, theirs);
        assert_eq!(outcome.status, 0, "{}", outcome.screen());
        assert!(text.contains(&damage(dated)) && text.matches("damage").count() == 1, "{text}");
    }
    // Repaired on one side, and on the other only dated by an earlier merge.
    let (_, outcome, text) =
        merged_sheets(&setup(), &sheet(16, &damage("")), &sheet(20, &damage(dated)), &sheet(16, ""));
    assert!(outcome.status == 0 && !text.contains("conflict"), "{text}");
    assert!(flowing(&outcome.out).contains("make sure that it is put right"), "{}", outcome.screen());
}

#[test]
fn damage_told_at_greater_length_is_not_called_gone() {
    let damaged = |text: &str| sheet(16, &format!("    damage on=\"bar\" \"{text}\"\n"));
    let (base, longer, other) = (damaged("scored"), damaged("scored, 3 mm deep"), damaged("dusty"));
    let aside = base.replace("    damage", "    stem { twist 0 }\n    damage");
    for (ours, theirs) in [(&longer, &aside), (&aside, &longer)] {
        let (_, outcome, text) = merged_sheets(&setup(), &base, ours, theirs);
        assert!(outcome.status == 0 && text.contains("3 mm deep"), "{text}");
        assert!(!outcome.out.contains("no longer there"), "{}", outcome.screen());
    }
    let (_, outcome, _) = merged_sheets(&setup(), &base, &other, &aside);
    assert!(outcome.out.contains("no longer there"), "{}", outcome.screen());
}
