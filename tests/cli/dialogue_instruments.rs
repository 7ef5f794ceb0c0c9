//! With what a measure was read: the question says what would be written, and an answer may say another.

use std::fs;
use std::path::Path;

use crate::dialogue::{NOT_LOOKED_OVER, ask};
use crate::harness::flowing;
use crate::restore::ledger;

/// A setup with a rule and a torque wrench beside its caliper and its angle gauge.
fn with_more_instruments() -> tempfile::TempDir {
    let folder = ledger(&[]);
    let path = folder.path().join("setups/rowan/race.kdl");
    let text = fs::read_to_string(&path).expect("the setup");
    let more = "instruments { caliper tol=0.1; rule tol=0.5; click-wrench tol-percent=6;";
    fs::write(&path, text.replace("instruments { caliper tol=0.1;", more)).expect("it can be written");
    folder
}

/// The answers to the floor and the spacers below, then the end; what was said in one line, and the sheet.
fn answered(folder: &Path, answers: &str) -> (String, String) {
    let screen = ask(folder, &format!("{NOT_LOOKED_OVER}0\n{answers}\nquit\n"));
    let said = flowing(&screen.text);
    let path = folder.join("sheet.kdl");
    let sheet = fs::read_to_string(&path).expect("the sheet");
    fs::remove_file(&path).expect("it goes");
    (said, sheet)
}

#[test]
fn a_question_says_with_which_instrument_its_answer_is_written() {
    let folder = with_more_instruments();
    let (said, sheet) = answered(folder.path(), "15.1");
    assert!(said.contains("spacers below the stem. Recorded 15 mm, by caliper."), "{said}");
    assert!(sheet.contains("spacers-below 15.1 with=caliper"), "{sheet}");
    // The bar's offset was read with nothing that has a name.
    let (said, _) = answered(folder.path(), "\n\n\n\n");
    assert!(said.contains("bar offset. Recorded 0 mm. "), "{said}");
}

#[test]
fn an_answer_may_name_another_instrument_of_the_setup() {
    let folder = with_more_instruments();
    for typed in
        ["15.1 rule", "15.1 with=rule", "15.1 Rule", "15.1 mm rule", "with=rule 15.1", "15.1 by rule"]
    {
        let (said, sheet) = answered(folder.path(), typed);
        assert!(sheet.contains("15.1 with=rule"), "{typed}: {said}\n{sheet}");
    }
    let (_, sheet) = answered(folder.path(), "0.59 in rule");
    assert!(sheet.contains("spacers-below (in)0.59 with=rule"), "{sheet}");
    // A half-width alone claims no instrument; both may be said.
    let (_, sheet) = answered(folder.path(), "15.1 0.3");
    assert!(sheet.contains("spacers-below 15.1 tol=0.3\n") || sheet.contains("15.1 tol=0.3 }"), "{sheet}");
    let (_, sheet) = answered(folder.path(), "15.1 0.3 rule");
    assert!(sheet.contains("tol=0.3") && sheet.contains("with=rule"), "{sheet}");
    // The one that was said stays said when the answer is looked at again.
    let (said, _) = answered(folder.path(), "15.1 rule\nback\n");
    assert!(said.contains("Answered: 15.1 mm, by rule."), "{said}");
}

#[test]
fn an_instrument_that_the_setup_does_not_have_is_refused_with_those_it_has() {
    let folder = with_more_instruments();
    let known = "caliper, rule, angle-gauge";
    for (typed, named) in
        [("with=ruler", "ruler"), ("by ruler", "ruler"), ("with=click-wrench", "click-wrench")]
    {
        let (said, sheet) = answered(folder.path(), &format!("15.1 {typed}"));
        let refused = format!("`{named}` is no instrument of the setup that reads this: {known}.");
        assert!(said.contains(&refused), "{typed}: {said}");
        assert!(!sheet.contains("spacers-below"), "{typed}: {sheet}");
    }
    let (said, sheet) = answered(folder.path(), "15.1 ruler");
    let refused =
        format!("`ruler` is neither a unit here (mm, cm, m, in) nor an instrument of the setup ({known}).");
    assert!(said.contains(&refused), "{said}");
    assert!(!sheet.contains("spacers-below"), "{sheet}");
    let (said, _) = answered(folder.path(), "?");
    assert!(said.contains("If it was not read by caliper, say by what behind it, such as `rule`"), "{said}");
}

/// What is good for lengths in millimetres reads no angle.
#[test]
fn an_instrument_of_another_quantity_does_not_fit() {
    let folder = with_more_instruments();
    let path = folder.path().join("setups/rowan/race.kdl");
    let text = fs::read_to_string(&path).expect("the setup");
    fs::write(&path, text.replace("rule tol=0.5", "rule tol=(mm)0.5")).expect("it can be written");
    // Stem twist, then the bar's roll.
    let (said, sheet) = answered(folder.path(), "15\n5\n\n-1.5 rule");
    assert!(
        said.contains("`rule` is neither a unit here (deg, rad) nor")
            && said.contains("(caliper, angle-gauge)"),
        "{said}"
    );
    assert!(!sheet.contains("roll"), "{sheet}");
}
