//! How the dialogue ends: what was found, and commands that work as they are printed.

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

use crate::dialogue::{NOT_LOOKED_OVER, ask};
use crate::harness::flowing;
use crate::restore::{Screen, json, ledger, program};

/// The last words of a dialogue, from what was kept on, and its exit status.
fn last_words(folder: &Path, answers: &str) -> (String, Option<i32>) {
    let screen = ask(folder, answers);
    let from = screen.text.find(" kept").unwrap_or_else(|| panic!("no end: {}", screen.text));
    (screen.text[from..].to_owned(), screen.status)
}

/// The command that stands on a line of its own behind such words, typed as it stands there.
fn typed(folder: &Path, said: &str, command: &str) -> Screen {
    let line = said.lines().find(|line| line.starts_with(&format!("  clampmark {command} ")));
    let line = line.unwrap_or_else(|| panic!("no {command}: {said}")).trim();
    let program = format!("'{}'", env!("CARGO_BIN_EXE_clampmark"));
    let output = Command::new("sh")
        .args(["-c", &line.replacen("clampmark", &program, 1)])
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .env("CLAMPMARK_TODAY", "2026-05-25")
        .stdin(Stdio::null())
        .output()
        .expect("a shell");
    let text = String::from_utf8([output.stdout, output.stderr].concat()).expect("text");
    Screen { text, status: output.status.code() }
}

/// Who has answered all of it, or enough of it, is told what it comes to and what to type.
#[test]
fn the_dialogue_ends_with_what_was_found_and_what_to_type() {
    let folder = ledger(&[]);
    // Spacers below 15 + 5; then twist, not by its mark, which came apart with the spacers, and the end of the input.
    let answers = format!("{NOT_LOOKED_OVER}0\n20\n5\nsame mark\n0\nquit\n");
    let (said, status) = last_words(folder.path(), &answers);
    let headline = json(folder.path(), &["diff", "rowan/race", "--found", "sheet.kdl"])["headline"].clone();
    let headline = headline.as_str().expect("a headline").to_owned();
    assert!(headline.contains("opened, torque unknown: stem on steerer"), "{headline}");
    let words = flowing(&said);
    assert!(words.contains(&headline), "{said}");
    assert_eq!(status, Some(1), "{said}");
    let restored = typed(folder.path(), &said, "restore");
    assert_eq!(restored.status, Some(1), "{}", restored.text);
    assert!(restored.text.contains("back from as found"), "{}", restored.text);
    // It was stopped, so the other questions are still to be had, those that were skipped first.
    let on = typed(folder.path(), &said, "found");
    assert!(on.text.contains("1/32 stem on steerer") && on.text.contains("4 answers kept"), "{}", on.text);
}

#[test]
fn a_dialogue_that_found_damage_ends_with_it() {
    let folder = ledger(&[]);
    let (said, status) = last_words(folder.path(), "y\ny\ny\nscored under the clamp\nquit\n");
    assert!(said.contains("Do not ride: bar damaged."), "{said}");
    assert_eq!(status, Some(1));
    let restored = typed(folder.path(), &said, "restore");
    assert!(restored.text.contains("Stop here: bar: scored under the clamp."), "{}", restored.text);
}

/// What nobody measured is no all-clear, and what is not there is not to be restored from.
#[test]
fn a_dialogue_in_which_nothing_was_measured_says_so() {
    let folder = ledger(&[]);
    for answers in ["", "q\n", &NOT_LOOKED_OVER.repeat(3)] {
        let (said, status) = last_words(folder.path(), answers);
        assert!(
            said.contains("Nothing was measured on the bike, so nothing is known of what moved."),
            "{said}"
        );
        assert!(!said.contains("restore") && said.contains("To begin again:"), "{said}");
        assert_eq!(status, Some(1), "{said}");
        assert!(!folder.path().join("sheet.kdl").exists());
    }
}

/// The setup's readings all come back the same.
#[test]
fn a_dialogue_in_which_nothing_moved_ends_quietly() {
    let folder = ledger(&[]);
    let measured = "0\n15\n5\nsame mark\nsame mark\n0\n168\n32\nin 6.61\n32\nshared\n41\n23\n26\n";
    let (said, status) = last_words(folder.path(), &format!("{}{measured}\n\n\n\n", "y\n".repeat(14)));
    assert!(said.contains("Nothing that was looked at moved."), "{said}");
    assert!(!said.contains("To go on"), "{said}");
    assert_eq!(status, Some(0), "{said}");
    assert_eq!(typed(folder.path(), &said, "restore").status, Some(0));
}

/// A ledger named on the command line is named again, and a file's name is quoted for the shell.
#[test]
fn the_next_command_works_from_where_the_first_one_was_typed() {
    let folder = ledger(&[]);
    let elsewhere = tempfile::tempdir().expect("a folder");
    let at = folder.path().to_str().expect("a path");
    let arguments =
        ["found", "rowan/race", "--ledger", at, "--ask", "--to", "my sheet.kdl", "--date", "2026-05-09"];
    let mut child = program(elsewhere.path(), &arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("the program starts");
    std::io::Write::write_all(&mut child.stdin.take().expect("an input"), b"0\n\n20\nq\n").expect("answers");
    let output = child.wait_with_output().expect("the program ends");
    let said = String::from_utf8(output.stdout).expect("text");
    let restored = typed(elsewhere.path(), &said, "restore");
    assert!(restored.text.contains("back from as found"), "{said}{}", restored.text);
    assert!(typed(elsewhere.path(), &said, "found").text.contains("kept"), "{said}");
}

/// Called good, and then read 12° off: that is no proof any more. Set right, it is again.
#[test]
fn what_was_called_good_and_reads_otherwise_is_taken_back() {
    let folder = ledger(&[]);
    let before = format!("{}0\n15\n5\nsame mark\nsame mark\n0\n168\n", "y\n".repeat(14));
    let said = flowing(&ask(folder.path(), &format!("{before}20\nquit\n")).text);
    let back = "The left brake lever was called good, and this says otherwise: that is taken back. Look at it again.";
    assert!(said.contains(back), "{said}");
    assert!(said.contains("Not looked over, so no all-clear: left brake lever."), "{said}");
    let sheet = fs::read_to_string(folder.path().join("sheet.kdl")).expect("the sheet");
    assert!(!sheet.contains("looked over and good: left.brake-lever"), "{sheet}");
    assert!(sheet.contains("looked over and good: right.brake-lever"), "{sheet}");
    // Asked for again, it cannot be called good beside that.
    let said = flowing(&ask(folder.path(), "good\nquit\n").text);
    assert!(said.contains("not kept as good: what the sheet reads there says otherwise"), "{said}");
    fs::remove_file(folder.path().join("sheet.kdl")).expect("no sheet");
    ask(folder.path(), &format!("{before}20\nback\n32\nquit\n"));
    let sheet = fs::read_to_string(folder.path().join("sheet.kdl")).expect("the sheet");
    assert!(sheet.contains("looked over and good: left.brake-lever"), "{sheet}");
}

/// A reading spoke against it and was taken back, but nobody looked at the stem again.
#[test]
fn what_was_taken_back_stays_so_until_it_is_looked_at_again() {
    let folder = ledger(&[]);
    let path = folder.path().join("sheet.kdl");
    // Good, then a twist of 4°; then that is skipped.
    let off = format!("good\n{}\n\n\n4\n", "s\n".repeat(13));
    let remark = "looked over and good: stem-steerer";
    let said = flowing(&ask(folder.path(), &format!("{off}back\nskip\nquit\n")).text);
    assert!(said.contains("Not looked over, so no all-clear: stem on steerer, frame"), "{said}");
    assert!(!said.contains("Looked over and good: stem on steerer"), "{said}");
    let sheet = fs::read_to_string(&path).expect("the sheet");
    assert!(!sheet.contains(remark), "{sheet}");
    // Opened again, it is asked for.
    let said = flowing(&ask(folder.path(), "good\nquit\n").text);
    assert!(said.contains("stem on steerer. Bar square") && said.contains("seen and good"), "{said}");
    assert!(fs::read_to_string(&path).expect("the sheet").contains(remark));
    fs::remove_file(&path).expect("no sheet");
    // Other answers bring nothing back; a twist that was a slip does, and says so.
    let said = flowing(&ask(folder.path(), &format!("{off}back\nskip\n-1.5\nquit\n")).text);
    assert!(!said.contains("Looked over and good"), "{said}");
    fs::remove_file(&path).expect("no sheet");
    let said = flowing(&ask(folder.path(), &format!("{off}back\nskip\nback\n0\nquit\n")).text);
    assert!(said.contains("The stem on steerer stands as good again."), "{said}");
    assert!(fs::read_to_string(&path).expect("the sheet").contains(remark), "{said}");
}
