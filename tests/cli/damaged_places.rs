//! Damage on a part stops the work at it, however its place is written, and at all that is clamped to it.

use std::fs;
use std::path::Path;

use crate::harness::flowing;
use crate::restore::{SETUP, json, ledger, run, setup_text};

const RESTORE: [&str; 4] = ["restore", "rowan/race", "--found", "rowan/loan"];
const RECORD: [&str; 4] = ["record", "rowan/race", "--found", "rowan/loan"];
/// The right lever turned, the bar rolled, and spacers are missing.
const MOVED: &str = "floor 0 with=angle-gauge; steerer { spacers-below 10 with=caliper }
    bar { roll 5 with=angle-gauge }; right { brake-lever { angle 25 with=angle-gauge } }";

fn words(folder: &Path, arguments: &[&str]) -> String {
    flowing(&run(folder, arguments).text)
}

/// The joints of steps that may not be tightened.
fn blocked(folder: &Path) -> Vec<String> {
    let plan = json(folder, &RESTORE);
    let steps = plan["steps"].as_array().expect("steps");
    let blocked = steps.iter().filter(|step| step["blocked"] == true);
    blocked.map(|step| step["joint"].as_str().expect("a joint").to_owned()).collect()
}

#[test]
fn damage_stops_the_work_however_its_place_is_written() {
    let on_the_bar: &[&str] = &["stem-face", "right.brake-lever"];
    for (on, expected) in [
        ("bar", on_the_bar),
        ("Bar", on_the_bar),
        ("bar, left end", on_the_bar),
        ("right brake lever", &["right.brake-lever"]),
        ("Right brake lever, clamp", &["right.brake-lever"]),
        ("bar in stem", &["stem-face"]),
        // The bar is clamped to the stem.
        ("stem", &["stem-steerer", "stem-face"]),
        ("fork: lower leg", &["stem-steerer"]),
    ] {
        let folder = ledger(&[("loan", &format!("{MOVED}\n    damage on=\"{on}\" \"scored\""))]);
        assert_eq!(blocked(folder.path()), expected, "{on}");
        let told = words(folder.path(), &RESTORE);
        assert!(told.contains(&format!("Stop here: {on}: scored.")), "{told}");
        let carbon = "scored. Carbon: inspect before clamping";
        assert_eq!(told.contains(carbon), expected == on_the_bar, "{on}: {told}");
        // A note keeps it, and stops the same work without the sheet's word.
        let told = words(folder.path(), &RECORD);
        assert_eq!(told.contains("Carbon: inspect before clamping"), expected == on_the_bar, "{on}: {told}");
        assert_eq!(told.matches(": scored").count(), 1, "{on}: {told}");
        let sheet = folder.path().join("setups/rowan/loan.kdl");
        let without =
            fs::read_to_string(&sheet).expect("a sheet").replace("    damage on", "    // damage on");
        fs::write(sheet, without).expect("written");
        let noted = setup_text(folder.path());
        let note = noted.lines().find(|line| line.contains("scored")).expect("a note").to_owned();
        fs::write(folder.path().join("setups/rowan/race.kdl"), at_the_end(&note)).expect("written");
        if !note.contains("damage on") {
            continue;
        }
        assert_eq!(blocked(folder.path()), expected, "{note}");
    }
}

/// The setup as it was, with that note at its end.
fn at_the_end(note: &str) -> String {
    format!("{}    {}\n}}\n", SETUP.trim_end().trim_end_matches('}'), note.trim())
}

/// Nothing may be tightened, but what is opened drops out all the same.
#[test]
fn a_blocked_step_still_says_what_falls_out() {
    let folder = ledger(&[("loan", &format!("{MOVED}\n    damage on=\"stem\" \"cracked\""))]);
    let told = words(folder.path(), &RESTORE);
    assert!(
        told.contains("Blocked: stem: cracked. Do not tighten anything here until that is settled; then: First: Front wheel on \
                       the floor and the fork held: with the top cap and the stem off nothing holds the fork, and it drops out."),
        "{told}"
    );
    assert!(!told.contains("Tighten to 5–6") && !told.contains("Tighten to 4–5"), "{told}");
}

#[test]
fn one_damage_noted_on_two_days_is_told_once() {
    let folder = ledger(&[("loan", &format!("{MOVED}\n    damage on=\"Bar\" \"scored\""))]);
    let twice = SETUP.replace(
        "material carbon",
        "material carbon\n        note \"2026-05-05 damage: scored\"\n        note \"2026-05-07 damage: Scored.\"
        note \"2026-05-07 damage: creased\"",
    );
    fs::write(folder.path().join("setups/rowan/race.kdl"), twice).expect("written");
    let told = words(folder.path(), &RESTORE);
    let stops = told.matches("Stop here: ").count();
    let headline = told.split(" Stop here").next().expect("a headline");
    assert_eq!((stops, headline.to_lowercase().matches("bar: scored").count()), (2, 1), "{told}");
    assert!(headline.contains("bar: creased"), "{told}");
}

/// A saw makes no bar wider.
#[test]
fn what_got_wider_was_not_cut() {
    for (width, was_cut) in [(800, false), (760, true)] {
        let folder = ledger(&[("loan", &format!("bar {{ width {width} }}"))]);
        let told = words(folder.path(), &RESTORE);
        assert!(told.contains("another part is on the bike"), "{told}");
        assert_eq!(told.contains("or it was cut"), was_cut, "{told}");
    }
}

/// No joint holds a crank or a brake, and nobody rides on a cracked one: every page says so, and the file keeps it.
#[test]
fn damage_on_what_no_joint_holds_keeps_from_riding() {
    for on in ["crank", "Crank, left arm", "front-brake", "rear brake"] {
        let folder = ledger(&[("loan", &format!("floor 0; damage on=\"{on}\" \"cracked\""))]);
        let plan = json(folder.path(), &RESTORE);
        let last = plan["steps"].as_array().expect("steps").last().expect("a step");
        assert_eq!(
            (&last["kind"], &last["held-up"]),
            (&"checks".into(), &format!("{on}: cracked.").into()),
            "{plan:#}"
        );
        for page in [&RESTORE, &RECORD] {
            let told = words(folder.path(), page);
            assert!(told.contains("Do not ride") && told.contains(&format!("{on}: cracked")), "{told}");
        }
        assert!(setup_text(folder.path()).contains(&format!("damage on {on}: cracked")), "{on}");
        let told = words(folder.path(), &["restore", "rowan/race"]);
        assert!(told.contains(&format!("Stop here: {on}: cracked.")), "{told}");
    }
    // What no bike has is refused by `record`, and stops the ride all the same.
    let folder = ledger(&[("loan", "floor 0; damage on=\"banana\" \"cracked\"")]);
    let told = words(folder.path(), &RESTORE);
    assert!(told.contains("Do not ride: banana: cracked."), "{told}");
}
