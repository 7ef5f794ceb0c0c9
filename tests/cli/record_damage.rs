//! Damage on a sheet or in a note that names no place, or was not filled in.

use serde_json::Value;

use crate::harness::flowing;
use crate::restore::{SETUP, json, ledger, run, setup_text};

/// Damage that names no place stops all work, and nobody can say where to look: it is asked for before it is kept.
#[test]
fn damage_on_no_place_of_a_bike_is_not_recorded() {
    for (on, column) in [("banana", 12), ("left", 12)] {
        let folder = ledger(&[("loan", &format!("damage on=\"{on}\" \"bent\"\n    bar {{ roll 3 }}"))]);
        let screen = run(folder.path(), &["record", "rowan/race", "--found", "rowan/loan"]);
        assert_eq!(screen.status, Some(2), "{}", screen.text);
        let said = flowing(&screen.text);
        let place = format!("line 3, column {column}, `damage on=\"{on}\" \"bent\"`");
        assert!(said.contains(&place) && said.contains("Nothing was written."), "{said}");
        for place in ["fork", "left.brake-lever", "front-wheel"] {
            assert!(said.contains(place), "{place}: {said}");
        }
        assert_eq!(setup_text(folder.path()), SETUP);
    }
    for on in ["fork: lower leg", "rear wheel", "tyres", "right.shifter"] {
        let folder = ledger(&[("loan", &format!("damage on=\"{on}\" \"bent\""))]);
        let screen = run(folder.path(), &["record", "rowan/race", "--found", "rowan/loan"]);
        assert_eq!(screen.status, Some(1), "{}", screen.text);
        assert!(setup_text(folder.path()).contains("bent"), "{on}");
    }
}

/// A line of the sheet whose // was taken off, and nothing put in place of its …
/// Whoever looks up a torque is not to tighten a clamp on a bar that is known to be scored, nor to ride it.
#[test]
fn the_torque_page_and_the_check_say_do_not_ride_as_the_other_pages_do() {
    assert_eq!(run(ledger(&[]).path(), &["check", "rowan/race"]).status, Some(0));
    let folder = ledger(&[("loan", "damage on=\"bar\" \"scored under the left clamp\"")]);
    run(folder.path(), &["record", "rowan/race", "--found", "rowan/loan"]);
    let torque = run(folder.path(), &["torque", "rowan/race"]);
    assert_eq!(torque.status, Some(1), "{}", torque.text);
    assert!(torque.text.contains("Do not ride: bar: scored under the left clamp."), "{}", torque.text);
    let found = json(folder.path(), &["torque", "rowan/race"]);
    assert_eq!(found["headline"], "Do not ride: bar: scored under the left clamp.");
    let check = run(folder.path(), &["check", "rowan/race"]);
    assert_eq!(check.status, Some(1), "{}", check.text);
    assert!(check.text.contains("Do not ride until the part is replaced"), "{}", check.text);
    let found = json(folder.path(), &["check", "rowan/race"]);
    let damage = found["files"][0]["findings"].as_array().expect("findings");
    let damage = damage.iter().find(|one| one["code"] == "damage-noted").expect("the damage");
    assert_eq!((&damage["severity"], &damage["unridable"]), (&Value::from("caution"), &Value::from(true)));
}

#[test]
fn a_damage_line_that_was_not_filled_in_is_not_recorded() {
    for (line, column) in [
        ("damage on=\"bar\" \"…\"", 21),
        ("damage on=\"bar\" \"...\"", 21),
        ("damage on=\"bar\" \" \"", 21),
        ("damage on=\"…\" \"bent\"", 12),
    ] {
        let folder = ledger(&[("loan", line)]);
        for command in ["record", "restore"] {
            let screen = run(folder.path(), &[command, "rowan/race", "--found", "rowan/loan"]);
            assert_eq!(screen.status, Some(2), "{}", screen.text);
            let said = flowing(&screen.text);
            assert!(said.contains(&format!("line 3, column {column}, `{line}`")), "{said}");
        }
        assert_eq!(setup_text(folder.path()), SETUP);
    }
}

/// Notes of damage that name no place, from before or by hand: `check` points at them and says which places there are.
#[test]
fn a_note_of_damage_on_no_place_is_found() {
    let folder = ledger(&[("loan", "damage on=\"banana\" \"bent\"")]);
    let text = SETUP.replace(
        "    tyres",
        "    note \"2026-05-05 damage on banana: bent\"\n    note \"damage: bent\"\n    tyres",
    );
    std::fs::write(folder.path().join("setups/rowan/race.kdl"), &text).expect("written");
    let line = text.lines().position(|line| line.contains("banana")).expect("it is there") + 1;
    for (file, places) in [("rowan/loan", vec![(3, 12)]), ("rowan/race", vec![(line, 10), (line + 1, 10)])] {
        let report = json(folder.path(), &["check", file]);
        let findings = report["files"][0]["findings"].as_array().expect("findings");
        let strange: Vec<_> = findings.iter().filter(|one| one["code"] == "damage-elsewhere").collect();
        let found: Vec<_> =
            strange.iter().map(|one| (one["line"].as_u64(), one["column"].as_u64())).collect();
        let expected: Vec<_> =
            places.iter().map(|(line, column)| (Some(*line as u64), Some(*column))).collect();
        assert_eq!(found, expected, "{report:#}");
        assert!(strange.iter().all(|one| one["help"].to_string().contains("left.brake-lever")), "{report:#}");
    }
}
