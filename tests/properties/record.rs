//! Recording a sheet is done once: whatever it reads, the second time there is nothing left, and nothing has moved.

use clampmark::catalogue::Catalogue;
use clampmark::compare::{compare, is_let_go};
use clampmark::geometry::state::State;
use clampmark::restore::evidence;
use clampmark::restore::record::{Options, fold};
use clampmark::setup::edit::Edit;
use clampmark::setup::model::Setup;
use clampmark::setup::read::read;
use proptest::prelude::*;

use crate::moved;

const SETUP: &str = r#"setup "rowan/race" format=1 {
    measured "2026-05-02"
    stem { length 50; twist 0 }
    bar { roll -1.5; offset 0; clamp-diameter 35.0 }
    left {
        grip { hand 62 }
        brake-lever { from-tip 168; angle 32; lowest from-tip=196 drop=38 ahead=44 tol=2 }
        shifter { mount shared slot=inner; angle 41 }
    }
    torque "stem-face" 4 5 { applied 4.5 read="2026-05-02"; caution "Even gap." }
    mark "L1" on="left.brake-lever" { drawn from-tip=168 angle=32; reads "Line meets the split" }
    mark "L2" on="left.brake-lever" { drawn angle=28 }
    mark "B1" on="stem-face" { drawn roll=-1.5 read="2026-05-09" }
    mark "S1" on="stem-steerer" { note "2026-05-01 found broken: no evidence until drawn again" }
    mark "G1" on="left.grip" { drawn hand=62 }
}
"#;

const MARKS: [&str; 5] = ["L1", "L2", "B1", "S1", "G1"];

/// Groups of a sheet, some with one of these in them, some left out.
const READINGS: [(&str, &[&str]); 4] = [
    ("stem", &["twist 3", "twist 0.2"]),
    ("bar", &["roll 4", "roll -1.4", "offset 5; roll 4", "offset 0; note \"Creaks\""]),
    (
        "left",
        &[
            "brake-lever { angle 24 }",
            "brake-lever { from-tip 175; angle 36 }",
            "brake-lever { from-tip 168; angle 32.2 }",
            "brake-lever { lowest from-tip=196 drop=60 ahead=44 tol=1 }; shifter { angle 49 }",
        ],
    ),
    ("saddle", &["tilt 2; note \"New\""]),
];
const STATES: [&str; 7] = ["aligned", "broken", "missing", "off=0.8", "off=-3", "off=0.1", "off=8"];
const REST: [&str; 4] = [
    "damage on=\"bar\" \"scored\"",
    "note \"Wet\"",
    "torque \"stem-face\" { applied 4.2 }",
    "damage on=\"frame\" \"dent\"",
];

type Choices = (Vec<usize>, Vec<usize>, Vec<bool>);

fn choices() -> impl Strategy<Value = Choices> {
    let some = |count, most: usize| prop::collection::vec(0..most, count);
    (some(READINGS.len(), 8), some(MARKS.len(), 10), prop::collection::vec(any::<bool>(), REST.len()))
}

fn sheet((readings, marks, rest): &Choices) -> String {
    let mut text = String::from("found \"rowan/race\" format=1 {\n    measured \"2026-05-09\"\n");
    for ((group, inside), choice) in READINGS.iter().zip(readings) {
        text.extend(inside.get(*choice).map(|inside| format!("    {group} {{ {inside} }}\n")));
    }
    for (mark, choice) in MARKS.iter().zip(marks) {
        text.extend(STATES.get(*choice).map(|state| format!("    mark \"{mark}\" {state}\n")));
    }
    for (line, _) in REST.iter().zip(rest).filter(|(_, wanted)| **wanted) {
        text.push_str(&format!("    {line}\n"));
    }
    text + "}\n"
}

fn parse(text: &str, base: Option<&Setup>) -> Setup {
    let result = read(Catalogue::standard(), text.as_bytes(), base);
    assert!(!result.has_fault(), "{text}\n{:?}", result.findings);
    result.setup.expect("it reads")
}

/// The text; whether something was held back for the sheet contradicts itself; whether something was for nobody is to
/// ride so.
fn recorded(text: &str, sheet: &str, options: &Options) -> (String, bool, bool) {
    let catalogue = Catalogue::standard();
    let mut edit = Edit::new(catalogue, text, None).expect("a sound file");
    let sheet = parse(sheet, Some(&parse(text, None)));
    let recording = fold(catalogue, &mut edit, &sheet, options).expect("it is recorded");
    assert_eq!(recording.has_written(), edit.text() != text, "{}", edit.text());
    let is_unridable = recording.unridable.iter().any(|one| !one.written);
    (edit.text().to_owned(), !recording.held_back.is_empty(), is_unridable)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn a_sheet_is_recorded_once(choices in choices(), redraw in any::<bool>()) {
        let options = Options { redraw, ..Options::default() };
        let sheet = sheet(&choices);
        let (once, is_held, is_unridable) = recorded(SETUP, &sheet, &options);
        let (twice, is_still_held, _) = recorded(&once, &sheet, &options);
        prop_assert_eq!((twice, is_still_held), (once.clone(), is_held));
        // What contradicts itself, or is nothing to ride with, stays on the sheet until somebody has looked again.
        prop_assume!(!is_held && !is_unridable);
        let catalogue = Catalogue::standard();
        let setup = parse(&once, None);
        let found = parse(&sheet, Some(&setup));
        let telling = evidence::telling(catalogue, &setup, &found);
        let told = evidence::weigh(catalogue, &setup, &telling);
        let state = State::recorded(catalogue, &setup);
        let now = state.found(&telling, Some(&told.turns));
        let comparison = compare(state, now);
        // Of a bar that moved by nobody knows how much its lines tell no angle to the level, and none is written; what a
        // gauge reads on it tells nothing, and has moved nothing.
        let by_line = |path: &str| catalogue.find(path).is_some_and(|id| told.turns.contains_key(&id));
        let of_bar = |path: &&str| is_let_go(&now) && path.ends_with("r.angle") && by_line(path);
        let moved: Vec<&str> = moved(&comparison).into_iter().filter(|path| !of_bar(path)).collect();
        prop_assert_eq!(moved, Vec::<&str>::new(), "{}\n{}", once, sheet);
        let base = parse(SETUP, None);
        for id in evidence::telling(catalogue, &base, &parse(&sheet, Some(&base))).aside.keys() {
            // It stays as it was, or is no longer known; what the gauge reads is never written.
            let is_as_it_was = setup.value(id).is_none_or(|value| Some(value) == base.value(id));
            prop_assert!(is_as_it_was, "{}", once);
        }
    }
}
