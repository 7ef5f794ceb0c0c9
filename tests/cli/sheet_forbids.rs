//! What a note on an as-found sheet forbids, and what either version of a merged one does, is told wherever damage on it is.

use std::fs;
use std::path::Path;

use crate::harness::flowing;
use crate::restore::{ledger, run};

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
