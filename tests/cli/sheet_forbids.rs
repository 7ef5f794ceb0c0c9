//! What a note on an as-found sheet forbids, and what either version of a merged one does, is told wherever damage on it is.

use std::fs;
use std::path::Path;

use crate::harness::{Bench, flowing};
use crate::restore::{ledger, run};
use crate::texts::{RACE, changed};

const RESTORE: [&str; 4] = ["restore", "rowan/race", "--found", "rowan/loan"];
const DIFF: [&str; 4] = ["diff", "rowan/race", "--found", "rowan/loan"];

/// Each page that judges the bike as found, with its status.
fn pages(folder: &Path) -> [(i32, String); 4] {
    let page = |arguments: &[&str]| {
        let outcome = run(folder, arguments);
        (outcome.status.expect("a status"), flowing(&outcome.text))
    };
    [page(&[]), page(&["check"]), page(&DIFF), page(&RESTORE)]
}

#[test]
fn a_note_on_a_sheet_forbids_as_damage_does() {
    for (note, words) in [
        ("note \"do not ride: bar cracked\"", "bar cracked"),
        ("note \"2031-05-16 Do not ride: bar cracked.\"", "bar cracked"),
        ("note \"damage: bar cracked\"", "bar: cracked"),
        ("bar { note \"do not ride: cracked\" }", "bar: cracked"),
        ("bar { note \"damage: cracked\" }", "bar: cracked"),
    ] {
        let folder = ledger(&[("loan", &format!("stem {{ twist 0 }}\n    {note}"))]);
        for (status, page) in pages(folder.path()) {
            assert_eq!(status, 1, "{note}: {page}");
            assert!(page.contains(&format!("o not ride: {words}")), "{note}: {page}");
        }
    }
    let folder = ledger(&[("loan", "stem { twist 0 }; note \"do not ride in the wet\"")]);
    for (_, page) in pages(folder.path()) {
        assert!(!page.contains("o not ride: "), "{page}");
    }
}

#[test]
fn what_the_file_keeps_of_a_sheet_is_told_once() {
    let folder = ledger(&[("loan", "stem { twist 0 }; note \"do not ride: bar cracked\"")]);
    assert_eq!(run(folder.path(), &["record", "rowan/race", "--found", "rowan/loan"]).status, Some(1));
    for arguments in [DIFF, RESTORE] {
        let page = flowing(&run(folder.path(), &arguments).text);
        let headline = page.split("o not ride: ").nth(1).expect("a headline");
        let headline = headline.split('.').next().expect("a sentence");
        assert_eq!(headline.matches("bar cracked").count(), 1, "{page}");
    }
}

#[test]
fn what_either_version_of_a_sheet_forbids_is_forbidden() {
    for (line, about, words) in [
        ("damage on=\"bar\" \"scored\"", "damage.bar: scored", "bar: scored"),
        ("opened \"stem-face\"", "opened.stem-face", "opened, torque unknown: bar in stem"),
        ("note \"do not ride: bar cracked\"", "note", "bar cracked"),
    ] {
        for (ours, theirs, side) in [(line, "", "ours"), ("", line, "theirs")] {
            let sheet = format!(
                "stem {{ twist 0 }}\n    conflict \"{about}\" {{ ours from=\"HEAD\" {{ {ours} }}; theirs \
                 from=\"fr\" {{ {theirs} }} }}"
            );
            let folder = ledger(&[("loan", &sheet)]);
            // Notes are told as they are, whichever side wrote them.
            let whose = if about == "note" { String::new() } else { format!(", as {side} has it") };
            let told = format!("o not ride: {words}{whose}");
            for (status, page) in pages(folder.path()) {
                assert!(status != 0 && page.contains(&told), "{about}, {side}: {status}: {page}");
            }
        }
    }
}

/// The setup is of 2026-05-02.
#[test]
fn a_sheet_older_than_its_setup_is_history() {
    let folder = ledger(&[("loan", "stem { twist 0 }; note \"do not ride: bar cracked\"")]);
    let file = folder.path().join("setups/rowan/loan.kdl");
    let text = fs::read_to_string(&file).expect("a sheet").replace("2026-05-09", "2026-05-01");
    fs::write(file, text).expect("written");
    for arguments in [&[][..], &["check"]] {
        let page = flowing(&run(folder.path(), arguments).text);
        assert!(!page.contains("o not ride: bar cracked"), "{page}");
    }
}

#[test]
fn damage_seen_since_forbids_on_an_older_sheet() {
    let sheet = |read: &str| {
        format!(
            "found \"rowan/race\" format=1 {{\n    measured \"2031-05-01\"\n    stem {{ twist 0 }}\n    \
             damage on=\"bar\" \"scored\"{read}\n}}\n"
        )
    };
    // The setup is of the 2nd. What was seen before is history.
    for (read, status) in
        [("", 0), (" read=\"2031-04-30\"", 0), (" read=\"2031-05-25\"", 1), (" read=\"2031-05-02\"", 1)]
    {
        let bench =
            Bench::without_git(&[("setups/rowan/race.kdl", RACE), ("setups/rowan/old.kdl", &sheet(read))]);
        for asked in [&[][..], &["check"]] {
            let outcome = bench.run(asked);
            assert_eq!(outcome.status, status, "{read}: {}", outcome.screen());
            assert_eq!(
                flowing(&outcome.out).contains("o not ride: bar: scored"),
                status == 1,
                "{}",
                outcome.screen()
            );
        }
    }
    // Noted in the setup, it is told there.
    let noted = changed(
        RACE,
        &[(
            "        width (in)30.75",
            "        note \"2031-05-25 damage: Scored.\"\n        width (in)30.75",
        )],
    );
    let old = sheet(" read=\"2031-05-25\"");
    let bench = Bench::without_git(&[("setups/rowan/race.kdl", &noted), ("setups/rowan/old.kdl", &old)]);
    let overview = bench.run(&[]);
    assert_eq!(
        flowing(&overview.out).to_lowercase().matches("do not ride: bar").count(),
        1,
        "{}",
        overview.screen()
    );
}

#[test]
fn damage_that_a_note_tells_is_noted_once_whenever_it_was_seen() {
    let noted = changed(
        RACE,
        &[("        width (in)30.75", "        note \"2031-05-20 damage: Scored\"\n        width (in)30.75")],
    );
    let sheet = "found \"rowan/race\" format=1 {\n    measured \"2031-05-25\"\n    damage on=\"bar\" \"scored.\" read=\"2031-05-16\"\n}\n";
    let bench = Bench::without_git(&[("setups/rowan/race.kdl", &noted), ("setups/rowan/loan.kdl", sheet)]);
    bench.run(&["record", "rowan/race", "--found", "rowan/loan"]);
    let text = fs::read_to_string(bench.root().join("setups/rowan/race.kdl")).unwrap();
    assert_eq!(text.matches("damage").count(), 1, "{text}");
}

/// All that the sheet found open was put back and recorded. What somebody writes on it after that, or a merge puts there,
/// stands in no setup.
#[test]
fn what_is_written_on_a_sheet_after_it_was_put_back_forbids_too() {
    let found = "opened \"stem-face\"\n    bar { roll -1.5 with=angle-gauge; offset 0 }\n    floor 0.0 with=angle-gauge\n    \
                 torque \"stem-face\" { applied 4.5 }";
    let folder = ledger(&[("loan", found)]);
    let record = ["record", "rowan/race", "--found", "rowan/loan", "--put-back"];
    run(folder.path(), &record);
    for (status, page) in pages(folder.path()) {
        assert!(status == 0 && !page.contains("o not ride: "), "{page}");
    }
    let sheet = folder.path().join("setups/rowan/loan.kdl");
    let before = fs::read_to_string(&sheet).expect("the sheet");
    for line in ["note \"do not ride: bar cracked\"", "damage on=\"bar\" \"cracked\""] {
        fs::write(&sheet, before.replacen("    opened", &format!("    {line}\n    opened"), 1))
            .expect("written");
        for (status, page) in pages(folder.path()) {
            let is_told = ["o not ride: bar cracked", "o not ride: bar: cracked", "o not ride: bar damaged"];
            assert!(status == 1 && is_told.iter().any(|words| page.contains(words)), "{line}: {page}");
        }
    }
}

/// A merge writes an older day above a sheet and keeps that of a reading beside it: that reading is of no earlier day for it.
#[test]
fn a_reading_of_a_later_day_on_an_older_sheet_forbids() {
    let race = changed(RACE, &[("measured \"2031-05-02\"", "measured \"2031-05-12\"")]);
    let sheet = |read: &str| {
        format!(
            "found \"rowan/race\" format=1 {{\n    measured \"2031-05-10\"\n    stem {{ twist 4 tol=0.5{read} }}\n}}\n"
        )
    };
    for (read, forbids) in [(" read=\"2031-05-16\"", true), (" read=\"2031-05-11\"", false), ("", false)] {
        let bench =
            Bench::without_git(&[("setups/rowan/race.kdl", &race), ("setups/rowan/loan.kdl", &sheet(read))]);
        let outcome = bench.run(&[]);
        let said = flowing(&outcome.out);
        assert_eq!(
            said.contains("o not ride: stem twist moved 4.0°"),
            forbids,
            "{read}: {}",
            outcome.screen()
        );
        assert_eq!(outcome.status == 1, forbids, "{read}: {}", outcome.screen());
    }
}
