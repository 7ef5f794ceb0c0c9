//! A sheet to fill in by hand: what is put in place of a ? counts in the unit of the recorded value above it.

use std::fs;
use std::path::Path;

use crate::harness::flowing;
use crate::restore::{ledger, run, setup_text};

/// The setup with its front tyre in bar, read twice; a right lever's place stands in inches there.
fn in_other_units() -> tempfile::TempDir {
    let folder = ledger(&[]);
    let path = folder.path().join("setups/rowan/race.kdl");
    let text = fs::read_to_string(&path).expect("the setup");
    fs::write(&path, text.replace("front 23", "front (bar)1.6 (bar)1.7")).expect("it can be written");
    folder
}

/// A sheet whose lines are filled in as it says, the figures in place of the ?.
fn filled(folder: &Path, lines: &[(&str, &str)]) -> String {
    let made = run(folder, &["found", "rowan/race", "--to", "sheet.kdl", "--date", "2026-05-09"]);
    assert_eq!(made.status, Some(0), "{}", made.text);
    let path = folder.join("sheet.kdl");
    let mut text = fs::read_to_string(&path).expect("the sheet");
    for (blank, figure) in lines {
        let line = format!("// {blank}?");
        assert_eq!(text.matches(&line).count(), 1, "{line}: {text}");
        text = text.replace(&line, &format!("{blank}{figure}"));
    }
    fs::write(&path, &text).expect("it can be written");
    text
}

#[test]
fn what_is_filled_in_means_what_the_comment_shows() {
    let folder = in_other_units();
    // As recorded: 6.61 in, and the mean of 1.6 and 1.7 bar; the rear tyre is in psi, as a plain number is.
    let sheet = filled(folder.path(), &[("from-tip (in)", "6.61"), ("front (bar)", "1.65"), ("rear ", "26")]);
    assert!(
        sheet.contains("Recorded: 6.61 in.") && sheet.contains("Recorded: 1.65 bar (mean of 2)."),
        "{sheet}"
    );
    let found = run(folder.path(), &["diff", "rowan/race", "--found", "sheet.kdl"]);
    assert_eq!(found.status, Some(0), "{}", found.text);
    assert!(found.text.contains("Nothing moved of the 3 looked at"), "{}", found.text);
    let before = setup_text(folder.path());
    let recorded = run(folder.path(), &["record", "rowan/race", "--found", "sheet.kdl"]);
    assert_eq!(setup_text(folder.path()), before, "{}", recorded.text);
}

/// A ? that was forgotten behind its unit is told as any other is.
#[test]
fn a_question_mark_left_behind_a_unit_is_said_with_its_place() {
    let folder = in_other_units();
    filled(folder.path(), &[("front (bar)", "?")]);
    for command in ["restore", "record"] {
        let screen = run(folder.path(), &[command, "rowan/race", "--found", "sheet.kdl"]);
        assert_eq!(screen.status, Some(2), "{}", screen.text);
        assert!(
            screen.text.contains("`tyres.front`") && screen.text.contains("in place of the ?"),
            "{}",
            screen.text
        );
    }
}

/// Where the unit was taken away and a figure in it was put there, nobody guesses: nothing is written before it stands there.
/// 13.1 is 1.05 times 12.5 and a fourteenth of 181 psi; 7 is 1.17 times 6 and a twelfth of 87 psi.
#[test]
fn a_figure_whose_unit_was_taken_away_is_not_guessed() {
    let folder = in_other_units();
    let path = folder.path().join("setups/rowan/race.kdl");
    let text = fs::read_to_string(&path).expect("the setup");
    fs::write(
        &path,
        text.replace(
            "    tyres {",
            "    shock { pressure (bar)12.5 }\n    fork { pressure (bar)6 }\n    tyres {",
        ),
    )
    .expect("written");
    let before = setup_text(folder.path());
    let record = |figures: &str| {
        let sheet =
            format!("found \"rowan/race\" format=1 {{\n    measured \"2026-05-09\"\n    {figures}\n}}\n");
        fs::write(folder.path().join("sheet.kdl"), sheet).expect("written");
        run(folder.path(), &["record", "rowan/race", "--found", "sheet.kdl"])
    };
    for (figures, said) in [
        (
            "shock { pressure 13.1 }",
            "`shock.pressure` reads a plain 13.1, which is psi, and it was recorded as 12.5 bar.",
        ),
        (
            "fork { pressure 7 }",
            "`fork.pressure` reads a plain 7, which is psi, and it was recorded as 6 bar",
        ),
    ] {
        let screen = record(figures);
        assert_eq!(screen.status, Some(2), "{}", screen.text);
        let told = flowing(&screen.text);
        assert!(
            told.contains(said) && told.contains("Put the unit that you read before each such number"),
            "{told}"
        );
        assert_eq!(setup_text(folder.path()), before);
    }
    // Who says which it is is believed, and a figure that is psi by its size needs no word: 87 psi are 6 bar.
    assert_eq!(record("shock { pressure (bar)13.1 }").status, Some(0));
    assert!(setup_text(folder.path()).contains("pressure (bar)13.1 "), "{}", setup_text(folder.path()));
    assert_ne!(record("fork { pressure (psi)7 }").status, Some(2));
    fs::write(&path, &before).expect("written");
    assert_ne!(record("fork { pressure 88 }").status, Some(2));
}
