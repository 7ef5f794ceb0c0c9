//! What a file accepts: what nobody is to ride with is told all the same, and what an acknowledgement covers is shown.

use super::rider::{ROWAN, json, ledger, setup, told};

const RIGHT: &str = "reach 62; bite 19; blade 74";
const LEFT: &str = "reach 62; bite 34; blade 74";

fn accepting(text: &str, accept: &str) -> String {
    text.replacen('{', &format!("{{\n    accept {accept}"), 1)
}

/// The left brake bites at 8 mm and that is accepted; later the right one does at 3.
#[test]
fn no_reason_makes_a_brake_fit_to_ride() {
    let folder = ledger();
    assert!(ROWAN.contains(RIGHT) && ROWAN.contains(LEFT));
    let near = ROWAN.replace(LEFT, "reach 62; bite 8; blade 74").replace(RIGHT, "reach 62; bite 3; blade 74");
    setup(folder.path(), "rowan/race", &accepting(&near, "bite-near-grip \"set close on purpose\""));
    let (status, said) = told(folder.path(), &["check", "rowan/race"]);
    assert_eq!(status, 1, "{said}");
    for words in
        ["Caution, accepted. The left brake bites 8 mm", "Caution, accepted. The right brake bites 3 mm"]
    {
        assert!(said.contains(words), "{said}");
    }
    let words = "Accepted because: set close on purpose. A reason makes it no safer: nobody is to ride so.";
    assert_eq!(said.matches(words).count(), 2, "{said}");
    let found = json(folder.path(), &["check", "rowan/race"]);
    assert_eq!(found["files"][0]["acknowledged"][1]["stands"], true, "{found}");
    let both = "Do not ride: left brake bite 8 mm; right brake bite 3 mm.";
    for command in ["body", "grips", "turn", "torque"] {
        let (status, said) = told(folder.path(), &[command, "rowan/race"]);
        assert!(status == 1 && said.contains(both), "{command}: {status}: {said}");
    }
    let (status, said) = told(folder.path(), &[]);
    assert!(status == 1 && said.contains("rowan/race: do not ride: left brake bite 8 mm; right"), "{said}");
    for asked in
        [&["try", "rowan/race", "stem.length=45"][..], &["carry", "alder/trail", "--onto", "rowan/race"]]
    {
        let (status, said) = told(folder.path(), asked);
        assert!(status == 1 && said.contains("The right brake bites 3 mm"), "{asked:?}: {status}: {said}");
    }
}

#[test]
fn a_sheet_that_reads_it_is_told_whatever_the_setup_accepts() {
    let folder = ledger();
    let near = ROWAN.replace(RIGHT, "reach 62; bite 3; blade 74").replace("twist 0", "twist 9");
    let text = accepting(&near, "bite-near-grip \"set close on purpose\"");
    let text = accepting(&text, "stem-twisted \"as it came\"");
    setup(folder.path(), "rowan/race", &text);
    // Both as recorded, within reading: nothing moved, and nobody is to ride so all the same.
    let sheet = "found \"rowan/race\" format=1 {
    measured \"2026-05-09\"
    stem { twist 9 }
    right { brake-lever { bite 2.5 } }\n}\n";
    setup(folder.path(), "rowan/back", sheet);
    for command in ["diff", "restore"] {
        let (status, said) = told(folder.path(), &[command, "rowan/race", "--found", "rowan/back"]);
        assert!(status == 1 && said.contains("Do not ride"), "{command}: {said}");
        let bite =
            if command == "diff" { "right brake bite 2.5 mm" } else { "recorded right brake bite 3 mm" };
        assert!(said.contains(bite) && said.contains("stem twist 9"), "{command}: {said}");
    }
    // Asked for, and accepted in the file: `try` says it first, too.
    setup(folder.path(), "rowan/race", &text.replace("twist 9", "twist 0"));
    let (status, said) = told(folder.path(), &["try", "rowan/race", "stem.twist=9"]);
    assert!(
        status == 1 && said.contains("Do not ride so: the stem would be turned 9° to the left"),
        "{said}"
    );
    let (status, said) = told(folder.path(), &["try", "rowan/race", "left.brake-lever.bite=9"]);
    assert!(status == 1 && said.contains("A reason makes it no safer"), "{said}");
}

/// 32° against 20° are 12° apart, hands of 62 and 55 mm 7 mm: `sides-differ` finds both.
#[test]
fn what_is_accepted_is_shown_with_the_figures_it_covers_and_may_be_kept_to_one_measure() {
    let folder = ledger();
    let apart = ROWAN.replacen("angle 32; reach 62; bite 19", "angle 20; reach 62; bite 19", 1);
    let apart = apart.replacen("right {\n        grip { hand 62 }", "right {\n        grip { hand 55 }", 1);
    assert!(apart.contains("angle 20") && apart.contains("hand 55"));
    let angle = "The left brake lever angle against the right: 12.00 ±";
    let hand = "The left middle of the hand against the right: 7.0 ±";
    let check = |accept: &str| {
        setup(folder.path(), "rowan/race", &accepting(&apart, accept));
        told(folder.path(), &["check", "rowan/race"])
    };
    // Without `on=` it covers whatever is found, and says what that is.
    let (status, said) = check("sides-differ \"my left hand is smaller\"");
    assert_eq!(status, 0, "{said}");
    let (_, accepted) = said.split_once("rowan/race accepted").unwrap_or_else(|| panic!("{said}"));
    assert!(accepted.contains(angle) && accepted.contains(hand), "{said}");
    assert_eq!(accepted.matches("Accepted because: my left hand is smaller").count(), 1, "{said}");
    assert!(said.ends_with("2 accepted."), "{said}");
    // With it the other stands.
    for on in ["left.brake-lever.angle", "brake-lever.angle", "brake-lever", "left.brake-lever"] {
        let (status, said) = check(&format!("sides-differ \"an old injury\" on=\"{on}\""));
        let (standing, accepted) =
            said.split_once("rowan/race accepted").unwrap_or_else(|| panic!("{on}: {said}"));
        assert!(status == 0 && standing.contains(hand) && !standing.contains(angle), "{on}: {said}");
        assert!(accepted.contains(angle) && !accepted.contains(hand), "{on}: {said}");
    }
    // Each with a reason of its own.
    let (_, said) =
        check("sides-differ \"an old injury\" on=\"brake-lever\"\n    accept sides-differ \"all else\"");
    assert!(
        said.contains("Accepted because: an old injury") && said.contains("Accepted because: all else"),
        "{said}"
    );
    // On what it is not found: told, with where it is.
    for on in ["brake-lever.ang", "brake-lever.bite"] {
        let (_, said) = check(&format!("sides-differ \"an old injury\" on=\"{on}\""));
        let words = format!("`sides-differ` is accepted on `{on}`, and nothing of the kind is found there.");
        assert!(said.contains(&words) && said.contains(angle), "{said}");
        assert!(said.contains("It is found on `left.grip.hand`, `left.brake-lever.angle`"), "{said}");
    }
}

/// 20 mm to the knuckles and 10 mm to the last of it, both common practice; a reading of ± 1 mm is sure to 2·1/√3 = 1.2 mm.
#[test]
fn a_bite_is_told_by_how_near_it_may_be() {
    let folder = ledger();
    let check = |bite: &str| {
        setup(folder.path(), "rowan/race", &ROWAN.replace(LEFT, &format!("reach 62; bite {bite}; blade 74")));
        told(folder.path(), &["check", "rowan/race"])
    };
    for (bite, status, words) in [
        (
            "9 tol=1",
            1,
            "The left brake bites 9 mm from the grip (± 1.2 mm by its reading): its lever is all but at the grip",
        ),
        ("8 tol=1", 1, "The left brake bites 8 mm from the grip: its lever is all but at the grip"),
        (
            "10 tol=1",
            0,
            "unless it clears them sideways. Whether the 10 mm are left without which nobody is to ride, its reading (± 1.2 \
             mm) does not tell: measure it again first. (bite-at-knuckles)",
        ),
        (
            "15 tol=1",
            0,
            "The left brake bites 15 mm from the grip: its blade is down at the knuckles before that",
        ),
    ] {
        let (is, said) = check(bite);
        assert!(is == status && said.contains(words), "{bite}: {is}: {said}");
        assert_eq!(said.matches("The left brake bites").count(), 1, "{bite}: {said}");
    }
    for bite in ["19 tol=1", "34 tol=1"] {
        let (status, said) = check(bite);
        assert!(status == 0 && !said.contains("The left brake bites"), "{bite}: {said}");
    }
}

#[test]
fn one_code_may_be_accepted_on_two_measures() {
    let read = |text: &str| {
        let folder = ledger();
        setup(folder.path(), "rowan/race", text);
        json(folder.path(), &["check", "rowan/race"])
    };
    let twice = accepting(
        &accepting(ROWAN, "sides-differ \"one\" on=\"brake-lever.angle\""),
        "sides-differ \"two\" on=\"grip.hand\"",
    );
    let found = read(&twice);
    let codes: Vec<&str> = found["files"][0]["findings"]
        .as_array()
        .expect("a list")
        .iter()
        .filter_map(|one| one["code"].as_str())
        .collect();
    // Nothing differs: both are of no use, and neither is told as a second of its kind.
    assert_eq!(codes.iter().filter(|code| **code == "accept-unused").count(), 2, "{codes:?}");
    assert!(!codes.contains(&"duplicate-name"), "{codes:?}");
}

/// A clamp left slack on purpose is accepted of itself: of every other one below its range nobody said so.
#[test]
fn a_slack_clamp_is_accepted_by_its_own_name() {
    let slack = "slips-in-a-crash; applied 2 read=\"2026-05-02\";";
    let text = crate::restore::SETUP.replace("slips-in-a-crash;", slack);
    for (accept, rides) in [
        ("torque-applied-below \"turns in a crash\" on=\"right.brake-lever\"", true),
        ("torque-applied-below \"turns in a crash\" on=\"left.brake-lever\"", false),
        ("torque-applied-below \"turns in a crash\"", false),
        ("torque-applied-below \"turns in a crash\" on=\"right\"", false),
        ("torque-applied-below \"turns in a crash\" on=\"brake-lever\"", false),
    ] {
        let folder = ledger();
        setup(folder.path(), "rowan/race", &accepting(&text, accept));
        let (_, said) = told(folder.path(), &["torque", "rowan/race"]);
        assert_eq!(!said.contains("Do not ride: right brake lever last tightened to 2 N·m"), rides, "{said}");
        let unnamed = said.contains("accepted of no joint by name");
        assert_eq!(unnamed, !rides && !accept.contains("left"), "{accept}: {said}");
    }
}

/// Half of 2.5 N·m is 1.25: what is tightened to less is loose, and no reason makes a loose brake lever one to ride with.
#[test]
fn no_reason_settles_a_clamp_that_is_loose() {
    for (applied, rides) in [("1.3", true), ("1.2", false), ("0.1", false)] {
        let slack = format!("slips-in-a-crash; applied {applied} read=\"2026-05-02\";");
        let text = crate::restore::SETUP.replace("slips-in-a-crash;", &slack);
        let folder = ledger();
        let accept = "torque-applied-below \"turns in a crash\" on=\"right.brake-lever\"";
        setup(folder.path(), "rowan/race", &accepting(&text, accept));
        for page in ["torque", "check"] {
            let (status, said) = told(folder.path(), &[page, "rowan/race"]);
            assert_eq!(
                !said.contains("less than half of where it begins"),
                rides,
                "{page}, {applied}: {said}"
            );
            assert!(rides || status == 1 && said.contains("Do not ride"), "{page}, {applied}: {said}");
        }
    }
}

/// A clamp set to 2 N·m, accepted so, that a sheet finds at 1.3: still more than half of 2.5, and not what was accepted.
#[test]
fn a_reason_covers_no_less_than_what_was_applied_when_it_was_given() {
    let slack = "slips-in-a-crash; applied 2 read=\"2026-05-02\";";
    let text = crate::restore::SETUP.replace("slips-in-a-crash;", slack);
    let accept = "torque-applied-below \"turns in a crash\" on=\"right.brake-lever\"";
    let folder = ledger();
    setup(folder.path(), "rowan/race", &accepting(&text, accept));
    let record = |day: u32, applied: &str| {
        let sheet = format!(
            "found \"rowan/race\" format=1 {{\n    measured \"2026-05-{day:02}\"\n    torque \"right.brake-lever\" {{ \
             applied {applied} }}\n}}\n"
        );
        setup(folder.path(), "rowan/back", &sheet);
        told(folder.path(), &["record", "rowan/race", "--found", "rowan/back"]);
        let path = folder.path().join("setups/rowan/race.kdl");
        (told(folder.path(), &["torque", "rowan/race"]).1, std::fs::read_to_string(path).expect("the setup"))
    };
    let note = |day: u32, applied: &str| {
        format!(
            "note \"2026-05-{day:02} do not ride: tightened to {applied} N·m, and less than 2 N·m was not accepted\""
        )
    };
    let (said, file) = record(9, "1.3");
    assert!(file.contains("applied 1.3 read=\"2026-05-09\"") && file.contains(&note(9, "1.3")), "{file}");
    let forbids =
        "Do not ride: right brake lever: tightened to 1.3 N·m, and less than 2 N·m was not accepted.";
    assert!(said.contains(forbids), "{said}");
    // Twice is once, and what was accepted stays 2 N·m.
    assert_eq!(record(9, "1.3").1, file);
    let file = record(12, "1.5").1;
    assert!(file.contains(&note(12, "1.5")) && !file.contains("1.3 N·m"), "{file}");
    // At 2 N·m again it is what was accepted; at 3 it is within the range.
    for (day, applied) in [(13, "2"), (14, "3")] {
        let (said, file) = record(day, applied);
        assert!(!file.contains("was not accepted") && !said.contains("Do not ride"), "{said}\n{file}");
    }
    // Nothing was accepted of what was applied before: the reason was given for what is set low, and not below half.
    let (said, file) = record(15, "1.3");
    assert!(!file.contains("was not accepted") && !said.contains("Do not ride"), "{said}\n{file}");
}
