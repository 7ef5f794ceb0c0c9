//! How `try` reads the numbers, units and names that a person types, and what it says where it cannot. Sums beside
//! each.

use super::rider::{json, ledger, run};
use crate::harness::flowing;

/// What is said of a change that is refused.
fn refused(folder: &std::path::Path, change: &str) -> String {
    let (status, said) = run(folder, 120, &["try", "rowan/race", change]);
    assert_eq!(status, 2, "{change}: {said}");
    flowing(&said)
}

/// 50 mm and half an inch, 12.7 mm, is 62.7 mm; less it, 37.3 mm.
#[test]
fn a_sign_makes_a_step_before_and_behind_the_unit() {
    let folder = ledger();
    for (change, now) in [
        ("stem.length=(in)+0.5", 62.7),
        ("stem.length=+(in)0.5", 62.7),
        ("stem.length=(in)-0.5", 37.3),
        ("stem.length=-(in)0.5", 37.3),
        ("stem.length=(in)1.5", 38.1),
    ] {
        let found = json(folder.path(), &["try", "rowan/race", change]);
        let value = found["changes"][0]["now"].as_f64().expect("a number");
        assert!((value - now).abs() < 1e-9, "{change}: {value}");
    }
    // `:=` is the value itself, wherever the sign stands.
    for change in ["bar.offset:=(in)-0.1", "bar.offset:=-(in)0.1"] {
        let found = json(folder.path(), &["try", "rowan/race", change]);
        let value = found["changes"][0]["now"].as_f64().expect("a number");
        assert!((value + 2.54).abs() < 1e-9, "{change}: {value}");
    }
    for change in ["stem.length=+-5", "stem.length=+(in)-0.5", "stem.length=(in)+-0.5", "bar.roll:=--2"] {
        let said = refused(folder.path(), change);
        assert!(said.contains("more than one sign") && said.contains("+(in)0.5"), "{said}");
    }
}

#[test]
fn a_number_that_is_none_says_what_is_meant() {
    let folder = ledger();
    for (change, words) in [
        ("stem.length=(kg)4", "`stem.length` takes no number in `kg`. It takes (mm), (cm), (m), (in)"),
        ("stem.length=(deg)4", "`stem.length` takes no number in `deg`. It takes (mm), (cm), (m), (in)"),
        ("stem.length=40mm", "before the number: stem.length=(mm)40."),
        ("stem.length=+5 mm", "before the number: stem.length=+(mm)5."),
        ("stem.length=40,5", "Write a decimal point: 40.5."),
        ("stem.length=(in)1,5", "Write a decimal point: (in)1.5."),
        ("stem.length=short", "Write a plain number"),
    ] {
        let said = refused(folder.path(), change).replace("hint: ", "").replace("Hint: ", "");
        let words_alone = words.split(". ").all(|part| said.contains(part));
        assert!(words_alone, "{change}: {said}");
    }
}

/// A stem is at most 150 mm long; a hundred places say nothing.
#[test]
fn a_number_beyond_all_reason_is_refused_in_few_words() {
    let folder = ledger();
    for change in ["stem.length=1e99", "stem.length=+1e99", "stem.length=(m)1e99", "stem.length=-1e300"] {
        let said = refused(folder.path(), change);
        assert!(said.contains("`stem.length` cannot become"), "{change}: {said}");
        assert!(!said.contains("000000"), "{change}: {said}");
    }
    let long = format!("stem.length={}", "9".repeat(99));
    assert!(refused(folder.path(), &long).contains("lies between 0 and 150"), "{long}");
}

#[test]
fn a_number_in_the_unit_of_the_file_is_hinted_at() {
    let folder = ledger();
    let race = folder.path().join("setups/rowan/race.kdl");
    let text = super::rider::ROWAN.replace("    guard", "    tyres { front (bar)1.6 }\n    guard");
    std::fs::write(race, text).expect("written");
    let said = refused(folder.path(), "tyres.front=1.7");
    assert!(said.contains("did you mean tyres.front=(bar)1.7?"), "{said}");
}

#[test]
fn a_hose_that_is_not_there_is_not_made_up() {
    let folder = ledger();
    let said = refused(folder.path(), "hose.raer brake.free=200");
    assert!(said.contains("no hose `raer brake`. Did you mean `hose.rear brake.free`?"), "{said}");
    let said = refused(folder.path(), "hose.dropper.free=200");
    assert!(said.contains("Its hoses: `rear brake`."), "{said}");
    let kept = ["try", "rowan/race", "stem.length=40", "--keep", "grip-stack", "--by", "hose.dropper.free"];
    let (status, said) = run(folder.path(), 120, &kept);
    assert!(status == 2 && said.contains("no hose `dropper`"), "{said}");
}

#[test]
fn one_word_of_a_compound_finds_the_measure() {
    let folder = ledger();
    let said = refused(folder.path(), "left.lever.angle=30");
    assert!(said.contains("Did you mean `left.brake-lever.angle`?"), "{said}");
}

/// Straight steering and a level rider: neither the bar's place across the stem nor a saddle moves the grips' height.
#[test]
fn only_what_changes_a_kept_value_gives_way_for_it() {
    let folder = ledger();
    let asked = |by: &str| {
        let (status, said) = run(
            folder.path(),
            120,
            &["try", "rowan/race", "stem.length=40", "--keep", "grip-stack", "--by", by],
        );
        assert_eq!(status, 2, "{by}: {said}");
        flowing(&said)
    };
    for by in ["bar.offset", "saddle.height", "steerer.spacers-above"] {
        let said = asked(by);
        assert!(said.contains(&format!("`{by}` has no effect on grip-stack")), "{said}");
        let (_, can) = said.split_once("these can: ").expect("which can");
        assert!(can.contains("steerer.spacers-below") && !can.contains("bar.offset"), "{can}");
    }
    assert!(!asked("frame.stack").contains("bar.offset"));
}

#[test]
fn an_elbow_that_opens_backwards_is_told_between_what() {
    let folder = ledger();
    let (status, said) = run(folder.path(), 120, &["body", "rowan/race", "--elbow", "-5"]);
    assert_eq!(status, 2, "{said}");
    assert!(flowing(&said).contains("An elbow does not open to -5°. Give it between 60 and 180"), "{said}");
}

#[test]
fn a_box_names_what_is_misspelt_and_is_not_empty() {
    let folder = ledger();
    let carried = |text: &str| {
        std::fs::write(folder.path().join("box.kdl"), text).expect("written");
        let asked = ["carry", "rowan/race", "--onto", "alder/trail", "--parts", "box.kdl"];
        let (status, said) = run(folder.path(), 120, &asked);
        assert_eq!(status, 2, "{text}: {said}");
        flowing(&said)
    };
    let said = carried("parts \"b\" format=1 { stem \"s\" lenght=40 angle=6 clamp-height=40; }");
    assert!(said.contains("`lenght` is not known") && said.contains("Did you mean `length`?"), "{said}");
    let said = carried("parts \"b\" format=1 { stem \"s\" angle=6 clamp-height=40; }");
    assert!(said.contains("`stem` lacks length."), "{said}");
    for empty in
        ["parts \"b\" format=1 { }", "parts \"b\" format=1", "parts \"b\" format=1 { note \"later\" }"]
    {
        assert!(carried(empty).contains("The box is empty."), "{empty}");
    }
}

#[test]
fn a_command_line_that_cannot_be_read_is_one_json_object() {
    let folder = ledger();
    for asked in
        [&["try", "rowan/race"][..], &["try", "rowan/race", "x=1", "--keep", "grip-stack"], &["carry"]]
    {
        let (status, _) = run(folder.path(), 80, &[asked, &["--json"]].concat());
        let said = json(folder.path(), asked);
        assert_eq!((status, &said["schema"]), (2, &"clampmark.failure/1".into()), "{said}");
        let message = said["message"].as_str().expect("a message");
        assert!(message.contains("required") && !message.starts_with("error"), "{said}");
        assert!(said["help"].as_str().is_some_and(|help| help.contains("Usage")), "{said}");
    }
}

/// Straight up from 742 to 842 mm at 168 mm behind: √(842² − 168²) − √(742² − 168²) = 825.07 − 722.73 = 102.34 mm; a post
/// does not go straight up.
#[test]
fn a_saddle_of_another_height_is_said_to_keep_its_setback() {
    let folder = ledger();
    let granted = "Of the saddle only the height is another: its setback is taken to be as before. A post that goes up along a \
                   leaning seat tube takes the saddle back, one that goes down forward: read saddle.setback, too.";
    let tried = |changes: &[&str]| {
        let (_, said) = run(folder.path(), 80, &[&["try", "rowan/race"][..], changes].concat());
        flowing(&said)
    };
    assert!(tried(&["saddle.height=+100"]).contains(granted));
    assert!(!tried(&["saddle.height=+100", "saddle.setback=196"]).contains(granted));
    assert!(!tried(&["stem.length=+10"]).contains(granted));
    for (saddle, told) in
        [("height 842", true), ("height 842; setback 196", false), ("height 842; setback 168", false)]
    {
        let sheet =
            format!("found \"rowan/race\" format=1 {{ measured \"2026-05-09\"; saddle {{ {saddle} }} }}");
        std::fs::write(folder.path().join("setups/rowan/loan.kdl"), sheet).expect("written");
        let asked = ["diff", "rowan/race", "--found", "rowan/loan"];
        let (_, said) = run(folder.path(), 80, &asked);
        assert_eq!(flowing(&said).contains(granted), told, "{saddle}: {said}");
        let found = json(folder.path(), &asked);
        assert_eq!(found["taken-for-granted"][0] == granted, told, "{found:#}");
    }
}
