//! Recording what nobody is to ride with: it does not become what the bike goes back to, unless that is asked for.

use std::fs;

use crate::harness::flowing;
use crate::restore::{SETUP, json, ledger, run, setup_text};

const RECORD: [&str; 4] = ["record", "rowan/race", "--found", "rowan/loan"];

#[test]
fn a_bar_out_of_square_is_not_what_the_bike_goes_back_to() {
    let folder = ledger(&[("loan", "stem { twist 8 }; tyres { front 25 }")]);
    let screen = run(folder.path(), &RECORD);
    assert_eq!(screen.status, Some(1), "{}", screen.text);
    let said = flowing(&screen.text);
    assert!(said.contains("Do not ride: stem twist 8°"), "{said}");
    assert!(said.contains("Held back: stem twist 8°. The stem is turned 8° to the left"), "{said}");
    assert!(said.contains("restore with this sheet") && said.contains("--even-so stem.twist"), "{said}");
    let text = setup_text(folder.path());
    assert!(text.contains("twist 0 }") && !text.contains("twist 8"), "{text}");
    assert!(text.contains("front 25"), "{text}");
    let result = json(folder.path(), &RECORD);
    assert_eq!(result["unridable"][0]["measure"], "stem.twist");
    assert_eq!(result["unridable"][0]["code"], "stem-twisted");
    assert_eq!(result["unridable"][0]["written"], false);
    // The line stands where the bar was found, and is not said to stand where the file has it.
    run(folder.path(), &[&RECORD[..], &["--mark"]].concat());
    assert!(!setup_text(folder.path()).contains("drawn twist=8"), "{}", setup_text(folder.path()));
}

#[test]
fn what_is_meant_all_the_same_is_written_and_still_told() {
    let folder = ledger(&[("loan", "stem { twist 8 }")]);
    let meant = [&RECORD[..], &["--even-so", "stem.twist"]].concat();
    let screen = run(folder.path(), &meant);
    assert_eq!(screen.status, Some(1), "{}", screen.text);
    assert!(flowing(&screen.text).contains("Written all the same: stem twist 8°"), "{}", screen.text);
    assert!(setup_text(folder.path()).contains("twist 8"), "{}", setup_text(folder.path()));
    let check = run(folder.path(), &["check", "rowan/race"]);
    assert_eq!(check.status, Some(1), "{}", check.text);
    let overview = run(folder.path(), &[]);
    assert!(flowing(&overview.text).contains("do not ride: stem twist 8°;"), "{}", overview.text);
    assert_eq!(overview.status, Some(1), "{}", overview.text);
    // What the file says already is nothing new: a later reading of it is taken.
    let sheet = folder.path().join("setups/rowan/loan.kdl");
    let later = fs::read_to_string(&sheet).expect("the sheet").replace("twist 8", "twist 6.5");
    fs::write(&sheet, later).expect("written");
    run(folder.path(), &RECORD);
    assert!(setup_text(folder.path()).contains("twist 6.5"), "{}", setup_text(folder.path()));
    let unknown = run(folder.path(), &[&RECORD[..], &["--even-so", "stem.twits"]].concat());
    assert_eq!(unknown.status, Some(2), "{}", unknown.text);
    assert!(unknown.text.contains("stem.twist"), "{}", unknown.text);
}

#[test]
fn a_brake_that_bites_all_but_at_the_grip_and_a_lever_above_level_are_held_back() {
    for (part, read) in [
        // 36 before.
        ("left", "bite 4"),
        ("left", "angle -4"),
        // Nothing was known before, and that is no norm either.
        ("right", "bite 0"),
    ] {
        let inside = format!("floor 0 with=angle-gauge; {part} {{ brake-lever {{ {read} }} }}");
        let folder = ledger(&[("loan", &inside)]);
        let setup = SETUP.replace("reach 62 with=caliper }", "reach 62 with=caliper; bite 36 }");
        fs::write(folder.path().join("setups/rowan/race.kdl"), setup).expect("written");
        let result = json(folder.path(), &RECORD);
        let word = read.split_once(' ').expect("a word and a number").0;
        assert_eq!(result["unridable"][0]["measure"], format!("{part}.brake-lever.{word}"), "{result:#}");
        let text = setup_text(folder.path());
        assert!(!text.contains(read) && text.contains("bite 36"), "{text}");
    }
}

/// The shifter on a lever's clamp turned along with it: what is not taken of the one is not taken of the other.
#[test]
fn what_shares_the_clamp_of_a_lever_that_is_held_back_stays_with_it() {
    // 8 mm on a bar of 22.2 mm are 41.3°: 32 + 41.3 = 73.3° is more than anybody rides.
    let folder = ledger(&[("loan", "mark \"R1\" off=8")]);
    let result = json(folder.path(), &RECORD);
    assert_eq!(result["unridable"][0]["measure"], "right.brake-lever.angle", "{result:#}");
    let text = setup_text(folder.path());
    assert!(text.contains("slot=inner; angle 41 }"), "{text}");
    run(folder.path(), &RECORD);
    assert_eq!(setup_text(folder.path()), text);
}

/// Up to 5° out of square nobody is kept from riding, and `check` asks for it to be set square: whoever records it is told so
/// before the bike goes back to it from now on. Within reading of square nothing is said: 2 · 0.5 / √3 = 0.58°.
#[test]
fn a_stem_out_of_square_is_told_of_when_it_is_recorded() {
    for (twist, told) in [("3", true), ("-1.5", true), ("0.9", false)] {
        let folder = ledger(&[(
            "loan",
            &format!("stem {{ twist {twist} }}; torque \"stem-steerer\" {{ applied 5.5 }}"),
        )]);
        let asked = ["record", "rowan/race", "--found", "rowan/loan"];
        let screen = run(folder.path(), &asked);
        let way = if twist.starts_with('-') { "right" } else { "left" };
        let words = format!(
            "The stem is turned {}° to the {way}: the bar is not square to the wheel. Set it square. The bike goes back to \
             this from now on: set it square before that, read it again and record that.",
            twist.trim_start_matches('-')
        );
        assert_eq!(flowing(&screen.text).contains(&words), told, "{twist}: {}", screen.text);
        assert!(!told || screen.status == Some(1), "{}", screen.text);
        // Recorded again there is nothing new to say.
        let again = json(folder.path(), &asked);
        assert_eq!(again["not-square"], serde_json::Value::Null, "{again:#}");
    }
}
