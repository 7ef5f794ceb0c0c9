//! The committed demo ledger: every file reads without a finding, and is as complete as a demo should be.

use std::path::Path;

use clampmark::catalogue::code::Severity;
use clampmark::catalogue::joint::{self, JOINTS};
use clampmark::catalogue::{Catalogue, MeasureId, Side, Weight, sides_written_out, table};
use clampmark::check::check;
use clampmark::geometry::derived;
use clampmark::geometry::state::State;
use clampmark::ledger::{Ledger, read_file};
use clampmark::setup::model::{Kind, Setup, Value};
use clampmark::setup::read::read;

fn ledger() -> Ledger {
    Ledger::open(Path::new(env!("CARGO_MANIFEST_DIR"))).unwrap()
}

fn demo(name: &str) -> Setup {
    let ledger = ledger();
    let bytes = read_file(&ledger.setup_named(name).path).unwrap();
    let found = read(Catalogue::standard(), &bytes, None).setup.unwrap();
    let base = (found.kind == Kind::Found).then(|| demo(&found.name.value));
    let read = read(Catalogue::standard(), &bytes, base.as_ref());
    assert!(read.findings.is_empty(), "{name}: {:?}", read.findings);
    read.setup.unwrap()
}

fn setups() -> Vec<(String, Setup)> {
    let names = ledger().setups().unwrap().into_iter().map(|file| file.name);
    names.map(|name| (name.clone(), demo(&name))).filter(|(_, setup)| setup.kind == Kind::Setup).collect()
}

#[test]
fn both_demo_bikes_are_there_and_the_returned_one() {
    let names: Vec<String> = ledger().setups().unwrap().into_iter().map(|file| file.name).collect();
    assert_eq!(names, ["alder/trail", "rowan/home", "rowan/race", "rowan/returned"]);
    assert_eq!(demo("rowan/returned").kind, Kind::Found);
    for (name, setup) in setups() {
        assert_eq!(setup.name.value, name);
    }
}

#[test]
fn check_has_nothing_but_advice_for_any_of_them() {
    let ledger = ledger();
    for file in ledger.setups().unwrap() {
        let bytes = read_file(&file.path).unwrap();
        let first = read(Catalogue::standard(), &bytes, None);
        let sheet = first.setup.as_ref().is_some_and(|setup| setup.kind == Kind::Found);
        let base = sheet.then(|| demo("rowan/race"));
        let read = read(Catalogue::standard(), &bytes, base.as_ref());
        let findings = check(Catalogue::standard(), &read, (!sheet).then_some(file.name.as_str()));
        let grave = findings.iter().filter(|finding| finding.severity != Severity::Advice);
        let said: Vec<&str> = grave.map(|finding| finding.message.as_str()).collect();
        assert!(said.is_empty(), "{}: {said:?}", file.name);
    }
}

#[test]
fn every_joint_of_steering_and_brakes_has_a_torque_with_its_caution() {
    for (name, setup) in setups() {
        for joint in JOINTS.iter().filter(|joint| joint.weight == Weight::SteeringAndBrakes) {
            for joint in sides_written_out(joint.name) {
                let torque = setup.torque(&joint).unwrap_or_else(|| panic!("{name}: {joint} has no torque"));
                assert!(torque.range.is_some() && !torque.cautions.is_empty(), "{name}: {joint}");
            }
        }
    }
}

#[test]
fn both_levers_are_marked_where_they_stand() {
    let catalogue = Catalogue::standard();
    for (name, setup) in setups() {
        for side in Side::BOTH {
            let joint = format!("{side}.brake-lever");
            let mark =
                setup.marks_on(&joint).next().unwrap_or_else(|| panic!("{name}: {joint} is not marked"));
            for row in [table::LEVER_FROM_TIP, table::LEVER_ANGLE] {
                let id = MeasureId::of(row, side);
                let drawn = mark.drawn.iter().find(|(drawn, _)| *drawn == id).unwrap();
                let Value::Reading(drawn) = &drawn.1.value else { panic!("{name}: a mark without a number") };
                assert_eq!(Some(drawn.value()), setup.value(&id), "{name}: {}", catalogue.path(&id));
            }
        }
    }
}

#[test]
fn every_derived_value_can_be_computed_of_every_demo_setup() {
    let catalogue = Catalogue::standard();
    for (name, setup) in setups() {
        let values = State::recorded(catalogue, &setup).values(&derived::All);
        assert!(values.iter().all(Option::is_some), "{name}: {values:?}");
    }
}

#[test]
fn what_carries_a_carbon_bar_says_so_in_its_cautions() {
    for (name, setup) in setups() {
        if setup.choice(&MeasureId::bike(table::BAR_MATERIAL)) != Some("carbon") {
            continue;
        }
        let on_the_bar = setup.torques.iter().filter(|torque| {
            torque.joint.value == "stem-face"
                || (torque.joint.value.contains('.') && !torque.joint.value.ends_with("pedal"))
        });
        for torque in on_the_bar {
            let said = torque.cautions.iter().any(|caution| caution.value.to_lowercase().contains("carbon"));
            assert!(said, "{name}: {}", joint::title(&torque.joint.value));
        }
    }
}

#[test]
fn the_loan_moved_what_the_story_tells() {
    let (race, returned) = (demo("rowan/race"), demo("rowan/returned"));
    let catalogue = Catalogue::standard();
    let was = State::recorded(catalogue, &race);
    let now = was.found(&returned, None);
    let moved = |row, side| {
        let id = MeasureId::of(row, side);
        now.level_value(&id).unwrap() - was.level_value(&id).unwrap()
    };
    // Right: read 26.6° on ground rising 1.4°, so 28.0° on level ground; recorded 32° at 0.0°. Moved 4° tip up.
    assert!((moved(table::LEVER_ANGLE, Side::Right) + 4.0).abs() < 1e-9);
    // Left: read 30.5°, so 31.9° on level ground; recorded 32°. Nothing a gauge of ±0.2° could tell.
    assert!((moved(table::LEVER_ANGLE, Side::Left) + 0.1).abs() < 1e-9);
    let spacers = |state: &State, row| state.value(&MeasureId::bike(row)).unwrap();
    let pair = |state| (spacers(state, table::SPACERS_BELOW), spacers(state, table::SPACERS_ABOVE));
    assert_eq!((pair(&was), pair(&now)), ((15.0, 5.0), (5.0, 15.0)));
}
