//! The way back leads back: laws of restore plans over random sheets.
//!
//! Small differences are a fifth of a reading's half-width and large ones at least six of them, so that it is known
//! without the program's arithmetic which measures moved: with equal half-widths a on both sides U is
//! 2·√2·a/√3 = 1.63·a (GUM 4.3.7, 5.1.2), with a floor on each side 2·√(2a² + 2·0.2²)/√3, less than 2·a for a ≥ 0.5.

use std::collections::BTreeSet;

use chrono::NaiveDate;
use clampmark::catalogue::Catalogue;
use clampmark::compare::{Held, compare};
use clampmark::geometry::state::State;
use clampmark::restore::record::{Options, fold};
use clampmark::restore::{Plan, Reach, Step, StepKind, plan, put_back};
use clampmark::setup::edit::Edit;
use clampmark::setup::model::Setup;
use clampmark::setup::read::read;
use proptest::prelude::*;

use crate::moved;

/// A day after all that the texts tell.
fn today() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 5, 25).expect("a day")
}

const SETUP: &str = r#"setup "rowan/race" format=1 {
    measured "2026-05-02"
    floor 0.8 tol=0.2
    steerer { spacers-below 15 tol=0.5; spacers-above 10 tol=0.5 }
    stem { length 50; angle 0; clamp-height 40; twist 0 tol=0.5 }
    bar { width 780; roll -1.5 tol=0.5; offset 0 tol=0.5; material carbon }
    saddle { height 742 tol=1; setback 168 tol=2; tilt -1.0 tol=0.5 }
    left {
        grip { length 134; hand 62 tol=1 }
        brake-lever { from-tip 168 tol=0.5; angle 32 tol=0.5; reach 62 tol=0.5 }
        shifter { mount shared slot=inner; angle 41 tol=1 }
        dropper-remote { mount own; from-tip 191 tol=0.5; angle 20 tol=1 }
    }
    right { brake-lever { from-tip 168 tol=0.5; angle 32 tol=0.5; reach 62 tol=0.5 } }
    torque "stem-face" 4 5 { ceiling "bar" 5; caution "Even gap." }
    fork { pressure 88 tol=1; rebound 7 }
}"#;

/// Path, recorded value, half-width, the slope's sign, and what holds it, by hand from the list of joints.
const MEASURES: &[(&str, f64, f64, f64, &str)] = &[
    ("steerer.spacers-below", 15.0, 0.5, 0.0, "stem-steerer"),
    ("steerer.spacers-above", 10.0, 0.5, 0.0, "stem-steerer"),
    ("stem.twist", 0.0, 0.5, 0.0, "stem-steerer"),
    ("bar.roll", -1.5, 0.5, 0.0, "stem-face"),
    ("bar.offset", 0.0, 0.5, 0.0, "stem-face"),
    ("left.brake-lever.from-tip", 168.0, 0.5, 0.0, "left.brake-lever"),
    ("left.brake-lever.angle", 32.0, 0.5, 1.0, "left.brake-lever"),
    ("left.shifter.angle", 41.0, 1.0, 1.0, "left.brake-lever"),
    ("right.brake-lever.from-tip", 168.0, 0.5, 0.0, "right.brake-lever"),
    ("right.brake-lever.angle", 32.0, 0.5, 1.0, "right.brake-lever"),
    ("left.dropper-remote.from-tip", 191.0, 0.5, 0.0, "left.dropper-remote"),
    ("left.dropper-remote.angle", 20.0, 1.0, 1.0, "left.dropper-remote"),
    ("left.grip.hand", 62.0, 1.0, 0.0, "left.grip"),
    ("saddle.height", 742.0, 1.0, 0.0, "seat-clamp"),
    ("saddle.setback", 168.0, 2.0, 0.0, "saddle-rails"),
    ("saddle.tilt", -1.0, 0.5, -1.0, "saddle-rails"),
    ("left.brake-lever.reach", 62.0, 0.5, 0.0, ""),
    ("right.brake-lever.reach", 62.0, 0.5, 0.0, ""),
    ("fork.pressure", 88.0, 1.0, 0.0, ""),
];

/// The recorded floor.
const FLOOR: f64 = 0.8;

const ROLL: &str = "bar.roll";

/// A control's angle goes with the bar's roll, degree for degree, tip down as the bar rolls forward.
fn sits_on_the_bar(path: &str) -> bool {
    path.ends_with(".angle")
}

/// What happened to a measure.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Fate {
    NotLookedAt,
    Same,
    Within(f64),
    Moved(f64),
}

fn fates() -> impl Strategy<Value = Vec<Fate>> {
    let fate = prop_oneof![
        3 => Just(Fate::NotLookedAt),
        1 => Just(Fate::Same),
        2 => prop::sample::select(vec![-0.2, 0.2]).prop_map(Fate::Within),
        2 => prop::sample::select(vec![-8.0, -6.0, 6.0, 8.0]).prop_map(Fate::Moved),
    ];
    prop::collection::vec(fate, MEASURES.len()).prop_map(with_its_roll)
}

/// A bar that was shifted was let go: unless its roll is read, an angle on it tells nothing (that is tried elsewhere).
fn with_its_roll(mut fates: Vec<Fate>) -> Vec<Fate> {
    let place = |path: &str| MEASURES.iter().position(|row| row.0 == path).expect("a measure");
    let mut angles = MEASURES.iter().zip(&fates).filter(|(row, _)| sits_on_the_bar(row.0));
    let is_read = angles.any(|(_, fate)| *fate != Fate::NotLookedAt);
    let is_shifted = matches!(fates[place("bar.offset")], Fate::Moved(_));
    let roll = &mut fates[place(ROLL)];
    if is_read && is_shifted && *roll == Fate::NotLookedAt {
        *roll = Fate::Same;
    }
    fates
}

fn sheet(floor: f64, readings: &[(String, f64, f64)]) -> String {
    let mut text = format!("found \"rowan/race\" format=1 {{\n    floor {floor:?} tol=0.2\n");
    // Groups that stand twice would be a fault: gather them.
    let mut groups: Vec<(&str, Vec<String>)> = Vec::new();
    for (path, value, tolerance) in readings {
        let (group, word) = path.rsplit_once('.').expect("a group and a word");
        let line = format!("{word} {value:?} tol={tolerance:?}");
        match groups.iter_mut().find(|(known, _)| *known == group) {
            Some((_, lines)) => lines.push(line),
            None => groups.push((group, vec![line])),
        }
    }
    for side in ["left", "right"] {
        let inner: Vec<String> = groups
            .iter()
            .filter_map(|(group, lines)| {
                Some(format!("{} {{ {} }}", group.strip_prefix(&format!("{side}."))?, lines.join("; ")))
            })
            .collect();
        if !inner.is_empty() {
            text.push_str(&format!("    {side} {{ {} }}\n", inner.join("; ")));
        }
    }
    for (group, lines) in groups.iter().filter(|(group, _)| !group.contains('.')) {
        text.push_str(&format!("    {group} {{ {} }}\n", lines.join("; ")));
    }
    text + "}\n"
}

fn setup() -> Setup {
    read(Catalogue::standard(), SETUP.as_bytes(), None).setup.expect("a setup")
}

fn parse(text: &str, base: &Setup) -> Setup {
    let result = read(Catalogue::standard(), text.as_bytes(), Some(base));
    assert!(!result.has_fault(), "{text}\n{:?}", result.findings);
    result.setup.expect("a sheet")
}

/// The readings of a bike that met these fates, on ground of that slope.
fn found(fates: &[Fate], floor: f64) -> Vec<(String, f64, f64)> {
    let mut readings = Vec::new();
    // A bar that rolls takes the controls on it along: what happened to them happened on the bar.
    let rolled = |(row, fate): (&(&str, f64, f64, f64, &str), &Fate)| match fate {
        Fate::Moved(share) if row.0 == ROLL => Some(share * row.2),
        _ => None,
    };
    let rolled = MEASURES.iter().zip(fates).find_map(rolled).unwrap_or(0.0);
    for ((path, recorded, tolerance, sign, _), fate) in MEASURES.iter().zip(fates) {
        let off = match fate {
            Fate::NotLookedAt => continue,
            Fate::Same => 0.0,
            Fate::Within(share) | Fate::Moved(share) => share * tolerance,
        };
        // On ground that slopes otherwise the same position reads otherwise.
        let along = if sits_on_the_bar(path) { rolled } else { 0.0 };
        let reading = recorded + off + along + sign * (FLOOR - floor);
        readings.push(((*path).to_owned(), (reading * 1e6).round() / 1e6, *tolerance));
    }
    readings
}

fn make(fates: &[Fate], floor: f64) -> (Setup, Plan) {
    let setup = setup();
    let sheet = parse(&sheet(floor, &found(fates, floor)), &setup);
    let plan = plan(Catalogue::standard(), &setup, Some(&sheet), &setup, "now", today());
    (setup, plan)
}

fn joints(plan: &Plan) -> Vec<&str> {
    plan.steps.iter().filter_map(|step| step.joint.as_deref()).collect()
}

/// A mechanic's order, by hand.
const ORDER: &[&str] = &[
    "stem-steerer",
    "stem-face",
    "left.brake-lever",
    "right.brake-lever",
    "left.dropper-remote",
    "left.grip",
    "seat-clamp",
    "saddle-rails",
];

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn the_moves_lead_back(fates in fates(), floor in prop::sample::select(vec![-3.0, 0.8, 1.4])) {
        let (setup, plan) = make(&fates, floor);
        let mut readings = found(&fates, floor);
        for back in plan.steps.iter().flat_map(|step: &Step| &step.moves) {
            let Held::Number(target) = back.target else { continue };
            let goal = back.shows.unwrap_or(target);
            if let (ROLL, Some(delta)) = (back.measure.as_str(), back.delta) {
                for (_, value, _) in readings.iter_mut().filter(|(path, _, _)| sits_on_the_bar(path)) {
                    *value += delta;
                }
            }
            match readings.iter_mut().find(|(path, _, _)| *path == back.measure) {
                Some((_, value, _)) => {
                    let delta = back.delta.expect("what was read has a distance");
                    *value = ((*value + delta) * 1e6).round() / 1e6;
                    // Going the distance and going to what the gauge should show are the same.
                    prop_assert!((*value - goal).abs() < 1e-5, "{}: {} and {}", back.measure, value, goal);
                }
                None => readings.push((back.measure.clone(), (goal * 1e6).round() / 1e6, 0.5)),
            }
        }
        let after = parse(&sheet(floor, &readings), &setup);
        let recorded = State::recorded(Catalogue::standard(), &setup);
        let comparison = compare(recorded, recorded.found(&after, None));
        prop_assert_eq!(moved(&comparison), Vec::<&str>::new());
    }

    #[test]
    fn only_joints_that_need_it_are_opened(fates in fates(), floor in prop::sample::select(vec![-3.0, 0.8, 1.4])) {
        let (_, plan) = make(&fates, floor);
        let moved = |kind: fn(&str) -> bool| -> BTreeSet<&str> {
            MEASURES
                .iter()
                .zip(&fates)
                .filter(|(row, fate)| matches!(fate, Fate::Moved(_)) && kind(row.4))
                .map(|(row, _)| if row.4.is_empty() { row.0 } else { row.4 })
                .collect()
        };
        let opened: BTreeSet<&str> = joints(&plan).into_iter().collect();
        prop_assert_eq!(opened, moved(|joint| !joint.is_empty()));
        let turned: BTreeSet<&str> = plan
            .steps
            .iter()
            .filter(|step| step.kind == StepKind::Adjuster)
            .flat_map(|step| step.moves.iter().map(|back| back.measure.as_str()))
            .collect();
        prop_assert_eq!(turned, moved(str::is_empty));
        // What was seen in its place is not touched, whatever else happens at its joint.
        for ((path, ..), fate) in MEASURES.iter().zip(&fates) {
            let touched = plan.steps.iter().flat_map(|step| &step.moves).any(|back| back.measure == *path);
            if matches!(fate, Fate::Same | Fate::Within(_)) {
                prop_assert!(!touched, "{path}");
            }
        }
    }

    #[test]
    fn what_an_opened_joint_lets_go_is_set_or_kept(fates in fates()) {
        let (_, plan) = make(&fates, FLOOR);
        for step in plan.steps.iter().filter(|step| step.joint.is_some()) {
            let here = MEASURES.iter().filter(|row| Some(row.4) == step.joint.as_deref());
            // Spacers do not slip: they stay on the steerer unless somebody swaps them.
            for (path, recorded, ..) in here.filter(|row| !row.0.starts_with("steerer.")) {
                let all = step.moves.iter().chain(&step.keeps).filter(|one| one.measure == *path);
                let targets: Vec<Held> = all.map(|one| one.target.clone()).collect();
                prop_assert_eq!(targets, vec![Held::Number(*recorded)], "{}", path);
            }
        }
    }

    #[test]
    fn what_was_put_back_writes_no_reading(fates in fates(), floor in prop::sample::select(vec![-3.0, 0.8, 1.4])) {
        let (setup, plan) = make(&fates, floor);
        let sheet = parse(&sheet(floor, &found(&fates, floor)), &setup);
        let back = put_back(Catalogue::standard(), &setup, &sheet).expect("no mark belies a reading");
        let mut edit = Edit::new(Catalogue::standard(), SETUP, None).expect("a setup");
        let recording = fold(Catalogue::standard(), &mut edit, &back, &Options::default()).expect("it is written");
        prop_assert!(recording.changes.is_empty(), "{:?}", recording.changes);
        // Of every joint that was opened it is known that nobody has said how it was tightened.
        let left: BTreeSet<&str> = recording.tightened.iter().map(|one| one.found.joint.as_str()).collect();
        prop_assert_eq!(left, joints(&plan).into_iter().collect::<BTreeSet<_>>());
    }

    #[test]
    fn what_comes_first_stands_first(fates in fates()) {
        let (_, plan) = make(&fates, 0.8);
        let places: Vec<usize> = joints(&plan)
            .iter()
            .map(|joint| ORDER.iter().position(|known| known == joint).expect("a known joint"))
            .collect();
        prop_assert!(places.is_sorted(), "{:?}", joints(&plan));
        let numbers: Vec<usize> = plan.steps.iter().map(|step| step.number).collect();
        prop_assert_eq!(numbers, (1..=plan.steps.len()).collect::<Vec<_>>());
        if !joints(&plan).is_empty() {
            prop_assert_eq!(plan.steps.first().map(|step| step.kind), Some(StepKind::Inspection));
            prop_assert_eq!(plan.steps.last().map(|step| step.kind), Some(StepKind::Checks));
            let steerer = plan.steps.iter().find(|step| step.joint.as_deref() == Some("stem-steerer"));
            let first = steerer.and_then(|step| step.first.as_deref());
            prop_assert!(steerer.is_none() || first.is_some_and(|first| first.contains("preload")));
        }
    }

    #[test]
    fn nothing_after_a_block_pretends_to_be_safe(fates in fates()) {
        let setup = setup();
        let text = sheet(0.8, &found(&fates, 0.8));
        let text = text.trim_end().trim_end_matches('}').to_owned() + "damage on=\"bar\" \"scored under the left clamp\"\n}";
        let plan = plan(Catalogue::standard(), &setup, Some(&parse(&text, &setup)), &setup, "now", today());
        // The setup has no torque for most joints: that waits for the ride.
        let stops = plan.blocked.iter().filter(|stop| stop.holds_up != Reach::Riding);
        prop_assert_eq!(stops.count(), 1);
        prop_assert!(plan.headline.as_deref().is_some_and(|line| line.starts_with("Do not ride: bar")));
        for step in plan.steps.iter().filter(|step| step.kind != StepKind::Inspection) {
            let before = step.joint.as_deref() == Some("stem-steerer");
            prop_assert_eq!(step.held_up.is_none(), before, "{}", step.title);
        }
    }
}

#[test]
fn without_a_sheet_everything_is_set() {
    let plan = plan(Catalogue::standard(), &setup(), None, &setup(), "now", today());
    assert_eq!(joints(&plan), ORDER);
    let set: BTreeSet<&str> =
        plan.steps.iter().flat_map(|step| &step.moves).map(|back| back.measure.as_str()).collect();
    for (path, ..) in MEASURES {
        assert!(set.contains(path), "{path}");
    }
}
