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

/// Lines across three joints: mark, joint, what it was drawn at.
const LINES: [(&str, &str, &str); 3] = [
    ("B1", "stem-face", "roll=-1.5 offset=0"),
    ("R1", "right.brake-lever", "from-tip=168 angle=32"),
    ("D1", "left.dropper-remote", "from-tip=191 angle=20"),
];

fn with_lines() -> String {
    let mut lines = String::new();
    for (mark, on, at) in LINES {
        lines.push_str(&format!("    mark \"{mark}\" on=\"{on}\" {{ drawn {at} }}\n"));
    }
    SETUP.replace("    measured", &format!("{lines}    measured"))
}

/// A sheet of a day that says how the lines were found, where they were looked at.
fn with_states(sheet: &str, states: &[&str]) -> String {
    let mut lines = String::new();
    for ((mark, ..), state) in LINES.iter().zip(states).filter(|(_, state)| !state.is_empty()) {
        lines.push_str(&format!("    mark \"{mark}\" {state}\n"));
    }
    sheet.replacen('\n', &format!("\n    measured \"2026-05-09\"\n{lines}"), 1)
}

/// The joints that cannot be as they were: something in them moved, or their line is lost.
fn opened_by_hand(fates: &[Fate], lost: &[&str]) -> Vec<&'static str> {
    let moved = MEASURES.iter().zip(fates).filter(|(_, fate)| matches!(fate, Fate::Moved(_)));
    let lost = LINES.iter().zip(lost).filter(|(_, state)| !state.is_empty()).map(|((_, on, _), _)| *on);
    moved.map(|(row, _)| row.4).filter(|joint| !joint.is_empty()).chain(lost).collect()
}

/// A damaged part, where its damage stops the work, and every joint that is tightened on it: by hand.
const DAMAGED: [(&str, &str, &[&str]); 6] = [
    (
        "bar",
        "stem-face",
        &["stem-face", "left.brake-lever", "right.brake-lever", "left.dropper-remote", "left.grip"],
    ),
    ("fork", "stem-steerer", &["stem-steerer"]),
    ("frame", "stem-steerer", &["stem-steerer", "seat-clamp"]),
    ("stem", "stem-steerer", &["stem-steerer", "stem-face"]),
    ("left.brake-lever", "left.brake-lever", &["left.brake-lever"]),
    ("saddle", "seat-clamp", &["seat-clamp", "saddle-rails"]),
];

const HAVE_TORQUE: [&str; 4] = ["stem-steerer", "stem-face", "left.brake-lever", "saddle-rails"];
const TORQUES: &str = "    torque \"stem-steerer\" 5 6 tool=\"4 mm hex\" { caution \"Evenly.\" }
    torque \"left.brake-lever\" 2.5 4 tool=\"T25\" { caution \"Low.\" }
    torque \"saddle-rails\" 8 10 tool=\"5 mm hex\" { caution \"Evenly.\" }
    fork {";

/// Twice its place in a mechanic's order.
fn place(joint: &str) -> usize {
    2 * ORDER.iter().position(|known| *known == joint).expect("a known joint")
}

/// Right behind the joint of its part, or behind all of them.
fn adjuster_place(title: &str) -> usize {
    match title {
        "left brake lever adjusters" => place("left.brake-lever") + 1,
        "right brake lever adjusters" => place("right.brake-lever") + 1,
        _ => 2 * ORDER.len(),
    }
}

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
    fn what_was_put_back_writes_no_reading(
        fates in fates(),
        lost in prop::collection::vec(prop::sample::select(vec!["broken", "missing", ""]), LINES.len()),
        floor in prop::sample::select(vec![-3.0, 0.8, 1.4]),
    ) {
        let text = with_lines();
        let setup = read(Catalogue::standard(), text.as_bytes(), None).setup.expect("a setup");
        // An angle on a bar that was let go tells of no clamp unless its roll is read as well.
        let mut fates = fates;
        let is_let_go = LINES.iter().zip(&lost).any(|((_, on, _), state)| *on == "stem-face" && !state.is_empty());
        let roll = MEASURES.iter().zip(&mut fates).find(|(row, _)| row.0 == ROLL).map(|(_, fate)| fate);
        if let Some(fate) = roll.filter(|fate| is_let_go && matches!(fate, Fate::NotLookedAt)) {
            *fate = Fate::Same;
        }
        let found = found(&fates, floor);
        let sheet = parse(&with_states(&sheet(floor, &found), &lost), &setup);
        let plan = plan(Catalogue::standard(), &setup, Some(&sheet), &setup, "now", today());
        let fold_in = |sheet: &Setup| {
            let mut edit = Edit::new(Catalogue::standard(), &text, None).expect("a setup");
            let recording = fold(Catalogue::standard(), &mut edit, sheet, &Options::default()).expect("it is written");
            (recording, edit.setup().clone())
        };
        let back = put_back(Catalogue::standard(), &setup, &sheet).expect("no mark belies a reading");
        let (recording, after) = fold_in(&back.sheet);
        prop_assert!(recording.changes.is_empty(), "{:?}", recording.changes);
        prop_assert!(recording.no_longer_known.is_empty(), "{:?}", recording.no_longer_known);
        for (id, recorded) in &setup.readings {
            let kept = after.recorded(id).expect("what was recorded stays");
            prop_assert!(kept.value.is_written_like(&recorded.value), "{}", Catalogue::standard().path(id));
        }
        // Of every joint that was opened it is known that nobody has said how it was tightened.
        let left: BTreeSet<&str> = recording.tightened.iter().map(|one| one.found.joint.as_str()).collect();
        let open: BTreeSet<&str> = opened_by_hand(&fates, &lost).into_iter().collect();
        prop_assert_eq!(&left, &open);
        prop_assert_eq!(joints(&plan).into_iter().collect::<BTreeSet<_>>(), open);
        // A line that was found lost shows nothing until it is drawn again; the others show what they did.
        for ((mark, _, _), state) in LINES.iter().zip(&lost) {
            let drawn = !after.mark(mark).expect("the mark stays").drawn.is_empty();
            prop_assert_eq!(drawn, state.is_empty(), "{}", mark);
        }
        // The same sheet of a bike that was not put back is written: so what was not is not for want of anything to write.
        let (found_so, after) = fold_in(&sheet);
        let written: BTreeSet<&str> = found_so.changes.iter().map(|one| one.measure.as_str()).collect();
        for ((path, ..), fate) in MEASURES.iter().zip(&fates) {
            if matches!(fate, Fate::Moved(_)) && !sits_on_the_bar(path) {
                prop_assert!(written.contains(path), "{}", path);
            }
            // And what a lost line left open is not known, unless it was read.
            let here = |(_, on, _): &(&str, &str, &str)| MEASURES.iter().any(|row| row.0 == *path && row.4 == *on);
            let is_lost = LINES.iter().zip(&lost).any(|(line, state)| here(line) && !state.is_empty());
            if is_lost && *fate == Fate::NotLookedAt && *path != "left.shifter.angle" {
                let id = Catalogue::standard().find(path).expect("a measure");
                prop_assert!(after.reading(&id).is_none(), "{}", path);
            }
        }
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
    fn nothing_after_a_block_pretends_to_be_safe(
        fates in fates(),
        damaged in prop::sample::subsequence(DAMAGED.to_vec(), 1..=DAMAGED.len()),
    ) {
        let text = SETUP.replace("    fork {", TORQUES);
        let setup = read(Catalogue::standard(), text.as_bytes(), None).setup.expect("a setup");
        let mut text = sheet(0.8, &found(&fates, 0.8)).trim_end().trim_end_matches('}').to_owned();
        for (on, ..) in &damaged {
            text.push_str(&format!("    damage on=\"{on}\" \"cracked\"\n"));
        }
        let sheet = parse(&(text + "}\n"), &setup);
        let plan = plan(Catalogue::standard(), &setup, Some(&sheet), &setup, "now", today());
        // What no torque is known of waits for the ride.
        let stops = plan.blocked.iter().filter(|stop| stop.holds_up != Reach::Riding);
        prop_assert_eq!(stops.count(), damaged.len());
        let headline = plan.headline.as_deref().unwrap_or_default();
        prop_assert!(headline.starts_with("Do not ride: "), "{}", headline);
        for (on, ..) in &damaged {
            let title = on.replace("brake-lever", "brake lever").replace('.', " ");
            prop_assert!(headline.contains(&format!("{title}: cracked")), "{}", headline);
        }
        let first = damaged.iter().map(|(_, stops_at, _)| place(stops_at)).min().expect("one at least");
        for step in plan.steps.iter().filter(|step| step.kind != StepKind::Inspection) {
            let at = step.joint.as_deref().map_or_else(|| adjuster_place(&step.title), place);
            prop_assert_eq!(step.held_up.is_some(), at >= first, "{}", step.title);
            let clamps = |(_, _, all): &(&str, &str, &[&str])| step.joint.as_deref().is_some_and(|joint| all.contains(&joint));
            let is_on_damage = damaged.iter().any(clamps);
            prop_assert_eq!(step.blocked, is_on_damage, "{}", step.title);
            if is_on_damage {
                prop_assert!(step.torque.is_none() && step.tool.is_none(), "{}", step.title);
                prop_assert!(step.line_up.is_empty() && step.keeps.is_empty(), "{}", step.title);
            } else if step.joint.as_deref().is_some_and(|joint| HAVE_TORQUE.contains(&joint)) {
                prop_assert!(step.torque.is_some(), "{}", step.title);
            }
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
