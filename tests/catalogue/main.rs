//! The table itself: that every row is whole, that rows, joints and controls refer to what exists, and that a row
//! added to it is known everywhere without touching anything else.

mod added_row;

use std::collections::BTreeSet;

use clampmark::catalogue::joint::{self, CONTROLS, JOINTS, Occasion};
use clampmark::catalogue::{Absent, Catalogue, Kind, MeasureId, Side, Subject, Taking, Weight};
use clampmark::catalogue::{instrument, sides_written_out, word};

/// Every measure a row stands for, with both sides, a name and a count where the path has a place for one.
fn subjects(path: &str) -> Vec<Subject> {
    let mut subjects = if path.contains("SIDE") {
        Side::BOTH.map(Subject::side).to_vec()
    } else if path.contains("NAME") {
        vec![Subject::named("rear brake"), Subject::named("v1.2 of it")]
    } else {
        vec![Subject::BIKE]
    };
    if path.split('.').any(|word| word == "N") {
        subjects = subjects
            .into_iter()
            .flat_map(|subject| [subject.clone().numbered(1), subject.numbered(12)])
            .collect();
    }
    subjects
}

#[test]
fn the_list_of_paths_shows_a_rename_in_review() {
    let paths: Vec<&str> = Catalogue::standard().rows().map(|(_, measure)| measure.path).collect();
    insta::assert_snapshot!(paths.join("\n"));
}

#[test]
fn paths_are_unique() {
    let rows = Catalogue::standard().rows();
    let mut seen = BTreeSet::new();
    for (_, measure) in rows {
        assert!(seen.insert(measure.path), "{} stands twice", measure.path);
    }
}

#[test]
fn every_row_says_what_it_is_and_how_it_is_measured() {
    for (_, measure) in Catalogue::standard().rows() {
        let path = measure.path;
        assert!(!measure.title.is_empty(), "{path} has no title");
        assert!(!measure.title.contains([',', ';']), "the title of {path} would split a list of titles");
        assert!(measure.how.ends_with('.'), "{path} does not say how in a sentence");
        assert!(!measure.example.is_empty(), "{path} has no illustration");
        assert!(
            !measure.more.is_empty() && measure.more != measure.less,
            "{path} does not tell more from less"
        );
    }
}

#[test]
fn every_illustration_is_a_value_the_row_takes() {
    for (_, measure) in Catalogue::standard().rows() {
        match measure.kind {
            Kind::Choice(words) => assert!(words.contains(&measure.example), "{}", measure.path),
            Kind::Reading { low, high, tolerance, .. } => {
                let example: f64 = measure.example.parse().unwrap();
                assert!((low..=high).contains(&example), "{}: {example}", measure.path);
                assert!(low < high && tolerance >= 0.0, "{}", measure.path);
            }
        }
    }
}

#[test]
fn after_a_loan_everything_that_steers_and_brakes_is_looked_over() {
    let looked: BTreeSet<String> = joint::looked_over(Occasion::Loan).map(|(_, at, _)| at).collect();
    for name in joint::names() {
        let (_, joint) = joint::find(name).unwrap();
        assert!(joint.weight != Weight::SteeringAndBrakes || looked.contains(name), "{name}");
    }
    for after in [Occasion::Flight, Occasion::Loan] {
        for (on, at, good) in joint::looked_over(after) {
            // What is damaged there stops the work at that joint.
            let stops_at = joint::holding(&on).map_or(&*on, |joint| joint.name);
            assert_eq!(stops_at, at, "{on}");
            assert!(good.ends_with('.') && good.len() < 140, "{on} is not told in a sentence");
        }
    }
}

#[test]
fn what_an_absent_measure_counts_as_is_a_value_it_takes() {
    for (_, measure) in Catalogue::standard().rows() {
        if let (Absent::Counts(value), Kind::Reading { low, high, .. }) = (measure.absent, measure.kind) {
            assert!((low..=high).contains(&value), "{}: {value}", measure.path);
        }
    }
}

#[test]
fn only_counts_are_read_without_error() {
    use clampmark::metrology::unit::Quantity;
    for (_, measure) in Catalogue::standard().rows() {
        if let Kind::Reading { unit, tolerance, .. } = measure.kind {
            assert_eq!(tolerance == 0.0, unit.quantity() == Quantity::Count, "{}", measure.path);
        }
    }
}

#[test]
fn every_suggested_instrument_exists() {
    for (_, measure) in Catalogue::standard().rows() {
        if let Some(name) = measure.instrument {
            let known = instrument::SUGGESTED.iter().any(|suggested| suggested.name == name);
            assert!(known, "{} suggests {name}", measure.path);
        }
    }
}

#[test]
fn every_joint_named_by_a_row_is_in_the_list() {
    let catalogue = Catalogue::standard();
    for (row, measure) in catalogue.rows() {
        for subject in subjects(measure.path) {
            let id = MeasureId { row, subject };
            for shared in [false, true] {
                if let Some(joint) = catalogue.joint_of(&id, shared) {
                    assert!(joint::find(joint).is_some(), "{}: {joint}", measure.path);
                }
            }
        }
    }
}

#[test]
fn joints_are_unique_described_and_found_by_their_written_names() {
    let names = joint::names();
    assert_eq!(names.iter().collect::<BTreeSet<_>>().len(), names.len());
    for (place, joint) in JOINTS.iter().enumerate() {
        assert!(joint.before.ends_with('.') && joint.proof.ends_with('.'), "{}", joint.name);
        assert!(!joint.title.is_empty(), "{}", joint.name);
        for name in sides_written_out(joint.name) {
            assert_eq!(joint::find(&name).map(|(found, _)| found), Some(place), "{name}");
        }
    }
}

#[test]
fn the_rows_of_a_control_are_its_own() {
    let catalogue = Catalogue::standard();
    for control in CONTROLS {
        let path = |row| catalogue.measure(row).path;
        let group = format!("SIDE.{}", control.name);
        assert_eq!(path(control.from_tip), format!("{group}.from-tip"));
        assert_eq!(path(control.angle), format!("{group}.angle"));
        let lowest = control.lowest.map(path);
        assert_eq!(lowest, ["from-tip", "drop", "ahead"].map(|word| format!("{group}.lowest.N.{word}")));
        assert_eq!(control.mount.map(path), control.mount.map(|_| format!("{group}.mount")).as_deref());
        assert_eq!(control.slot.map(path), control.slot.map(|_| format!("{group}.mount.slot")).as_deref());
        assert_eq!(control.mount.is_some(), control.slot.is_some(), "{}", control.name);
        assert!(joint::find(&format!("left.{}", control.name)).is_some(), "{} has no joint", control.name);
    }
}

/// A lowest point is a point of its control: whatever opens the control's clamp moves it.
#[test]
fn a_lowest_point_is_held_where_its_control_is_held() {
    let catalogue = Catalogue::standard();
    for control in CONTROLS {
        for row in control.lowest {
            assert!(catalogue.measure(row).can_move(), "{}", catalogue.measure(row).path);
            for (side, shared) in [(Side::Left, false), (Side::Right, true)] {
                let joint = |row| catalogue.joint_of(&MeasureId::of(row, side), shared);
                assert_eq!(joint(row), joint(control.angle), "{}", control.name);
            }
        }
    }
}

#[test]
fn every_control_of_the_table_is_in_the_list_of_controls() {
    for (_, measure) in Catalogue::standard().rows() {
        if let Some(name) =
            measure.path.strip_prefix("SIDE.").and_then(|rest| rest.strip_suffix(".lowest.N.drop"))
        {
            assert!(CONTROLS.iter().any(|control| control.name == name), "{name}");
        }
    }
}

#[test]
fn a_written_path_finds_the_measure_it_was_written_of() {
    let catalogue = Catalogue::standard();
    for (row, measure) in catalogue.rows() {
        for subject in subjects(measure.path) {
            let id = MeasureId { row, subject };
            let path = catalogue.path(&id);
            assert_eq!(catalogue.find(&path), Some(id), "{path}");
        }
    }
}

#[test]
fn what_is_no_path_finds_nothing() {
    let catalogue = Catalogue::standard();
    for path in [
        "",
        ".",
        "frame",
        "frame.",
        "middle.grip.hand",
        "hose..free",
        "left.brake-lever.lowest.0.drop",
        "frame.reach.x",
    ] {
        assert_eq!(catalogue.find(path), None, "{path}");
    }
}

#[test]
fn every_row_stands_on_exactly_one_shelf() {
    let catalogue = Catalogue::standard();
    let mut waiting = vec![catalogue.top()];
    let mut seen = Vec::new();
    while let Some(shelf) = waiting.pop() {
        seen.extend(shelf.measure);
        seen.extend(shelf.properties.iter().map(|(_, row)| *row));
        waiting.extend(shelf.children.iter().map(|id| catalogue.shelf(*id)));
        let sides = shelf.word == "SIDE";
        assert_eq!(sides, shelf.taking == Taking::Side, "{}", shelf.word);
    }
    seen.sort_unstable();
    assert_eq!(seen, catalogue.rows().map(|(row, _)| row).collect::<Vec<_>>());
}

#[test]
fn no_word_of_the_format_is_also_a_group_of_measures() {
    let catalogue = Catalogue::standard();
    for id in &catalogue.top().children {
        let word = catalogue.shelf(*id).word;
        assert!(word::TOP.iter().all(|top| top.name != word), "{word}");
    }
    for word in word::ALL {
        assert!(word.says.ends_with('.') && !word.form.is_empty(), "{}", word.name);
    }
}

/// Common practice, no source: a rotor is bolted to the wheel before that goes in, and a brake is centred on a rotor
/// that is there.
#[test]
fn a_rotor_comes_before_its_axle_and_an_axle_before_its_brake() {
    let place = |name: &str| joint::find(name).expect("a joint").0;
    for end in ["front", "rear"] {
        let [rotor, axle, brake] =
            ["rotor", "axle", "brake-mount"].map(|part| place(&format!("{end}-{part}")));
        assert!(rotor < axle && axle < brake, "{end}");
    }
}
