//! Recording a bike whose bar was rolled and whose levers were turned: afterwards the file tells of that very bike.
//!
//! The bike is simulated by hand, without the program: an angle against gravity is the angle on the bar plus the bar's
//! roll, a line stands apart by what the clamp turned since it was drawn, 360/(π·D) degrees for each millimetre.

use std::f64::consts::PI;

use chrono::NaiveDate;
use clampmark::catalogue::Catalogue;
use clampmark::compare::compare;
use clampmark::geometry::state::State;
use clampmark::restore::record::{Options, fold};
use clampmark::restore::{evidence, plan};
use clampmark::setup::edit::Edit;
use clampmark::setup::model::Setup;
use clampmark::setup::read::read;
use proptest::prelude::*;

use crate::moved;

const SETUP: &str = r#"setup "rowan/race" format=1 {
    measured "2026-05-02"
    floor 0 tol=0.2
    bar { roll -1.5 tol=0.2; clamp-diameter 35.0; grip-diameter 22.2 }
    left { brake-lever { from-tip 168; angle 32 tol=0.2 } }
    right {
        brake-lever { from-tip 168; angle 32 tol=0.2 }
        shifter { mount shared slot=inner; angle 41 tol=0.2 }
    }
    mark "L1" on="left.brake-lever" { drawn angle=32 }
    mark "R1" on="right.brake-lever" { drawn angle=32 }
    mark "B1" on="stem-face" { drawn roll=-1.5 }
}
"#;

const ROLL: f64 = -1.5;
/// What each lever and the shifter read, less the roll: 32 and 41.
const LEVER_ON_BAR: f64 = 33.5;
const SHIFTER_ON_BAR: f64 = 42.5;
const CLAMP: f64 = 35.0;
const GRIP: f64 = 22.2;

/// The bike: the roll of its bar, and how far each clamp has turned on the bar.
#[derive(Clone, Copy, Debug)]
struct Bike {
    roll: f64,
    left: f64,
    right: f64,
}

/// How something is told on a sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Told {
    Read,
    ByMark,
    Both,
}

fn is_read(told: Option<Told>) -> bool {
    matches!(told, Some(Told::Read | Told::Both))
}

fn is_marked(told: Option<Told>) -> bool {
    matches!(told, Some(Told::ByMark | Told::Both))
}

impl Bike {
    fn lever(self, turn: f64) -> f64 {
        LEVER_ON_BAR + turn + self.roll
    }

    fn shifter(self) -> f64 {
        SHIFTER_ON_BAR + self.right + self.roll
    }
}

fn mark(name: &str, degrees: f64, diameter: f64) -> String {
    if degrees.abs() < 1e-9 {
        format!("    mark \"{name}\" aligned\n")
    } else {
        format!("    mark \"{name}\" off={:.4}\n", degrees * PI * diameter / 360.0)
    }
}

/// A sheet of the bike; `since` is the bike as its lines were drawn.
fn sheet(day: &str, bike: Bike, since: Bike, told: [Option<Told>; 3], with_shifter: bool) -> String {
    let [roll, left, right] = told;
    let mut text = format!("found \"rowan/race\" format=1 {{\n    measured \"{day}\"\n    floor 0 tol=0.2\n");
    if is_read(roll) {
        text.push_str(&format!("    bar {{ roll {:.4} tol=0.2 }}\n", bike.roll));
    }
    if is_marked(roll) {
        text.push_str(&mark("B1", bike.roll - since.roll, CLAMP));
    }
    if is_read(left) {
        let angle = bike.lever(bike.left);
        text.push_str(&format!("    left {{ brake-lever {{ angle {angle:.4} tol=0.2 }} }}\n"));
    }
    let mut inside = String::new();
    if is_read(right) {
        inside = format!("brake-lever {{ angle {:.4} tol=0.2 }}; ", bike.lever(bike.right));
    }
    if with_shifter {
        inside += &format!("shifter {{ angle {:.4} tol=0.2 }}", bike.shifter());
    }
    if !inside.is_empty() {
        text.push_str(&format!("    right {{ {inside} }}\n"));
    }
    if is_marked(left) {
        text.push_str(&mark("L1", bike.left - since.left, GRIP));
    }
    if is_marked(right) {
        text.push_str(&mark("R1", bike.right - since.right, GRIP));
    }
    text + "}\n"
}

fn parse(text: &str, base: Option<&Setup>) -> Setup {
    let result = read(Catalogue::standard(), text.as_bytes(), base);
    assert!(!result.has_fault(), "{text}\n{:?}", result.findings);
    result.setup.expect("a file")
}

/// What a sheet finds moved, by the readings and by the marks.
fn finds(setup: &Setup, text: &str) -> Vec<String> {
    let sheet = parse(text, Some(setup));
    let sheet = evidence::telling(Catalogue::standard(), setup, &sheet);
    let evidence = evidence::weigh(Catalogue::standard(), setup, &sheet);
    let recorded = State::recorded(Catalogue::standard(), setup);
    let comparison = compare(recorded, recorded.found(&sheet, Some(&evidence.turns)));
    moved(&comparison).into_iter().map(str::to_owned).collect()
}

fn tellings() -> impl Strategy<Value = [Option<Told>; 3]> {
    let lever = || prop::sample::select(vec![Some(Told::Read), Some(Told::ByMark), None]);
    let roll = prop::sample::select(vec![Some(Told::Read), Some(Told::ByMark)]);
    (roll, lever(), lever()).prop_map(|(roll, left, right)| [roll, left, right])
}

const TIGHT: &str = r#"    torque "left.brake-lever" 2.5 4 { applied 2.8 read="2026-05-02"; caution "Low." }
    torque "right.brake-lever" 2.5 4 { applied 2.8 read="2026-05-02"; caution "Low." }
"#;

/// The roll untold, each lever by gauge, line, both or not at all.
fn let_go_tellings() -> impl Strategy<Value = [Option<Told>; 3]> {
    let lever = || prop::sample::select(vec![Some(Told::Read), Some(Told::ByMark), Some(Told::Both), None]);
    (lever(), lever()).prop_map(|(left, right)| [None, left, right])
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// Turns are far beyond the line's ±2.6° or nothing: which ones moved is known without the program.
    #[test]
    fn what_was_recorded_is_the_bike_that_was_found(
        rolled in prop::sample::select(vec![0.0, 9.0, -9.0, 14.0]),
        left in prop::sample::select(vec![0.0, 12.0, -12.0, 17.0]),
        right in prop::sample::select(vec![0.0, 12.0, -12.0, 17.0]),
        told in tellings(),
        redraw in any::<bool>(),
        slip in prop::sample::select(vec![20.0, -20.0]),
    ) {
        let drawn = Bike { roll: ROLL, left: 0.0, right: 0.0 };
        // A lever of which the sheet says nothing did not turn: nobody could know.
        let turn = |turn: f64, told: Option<Told>| if told.is_some() { turn } else { 0.0 };
        let bike = Bike { roll: ROLL + rolled, left: turn(left, told[1]), right: turn(right, told[2]) };
        let base = parse(SETUP, None);
        let found = parse(&sheet("2026-05-09", bike, drawn, told, false), Some(&base));
        let mut edit = Edit::new(Catalogue::standard(), SETUP, None).expect("a sound file");
        let options = Options { redraw, ..Options::default() };
        let recording = fold(Catalogue::standard(), &mut edit, &found, &options).expect("recorded");
        prop_assert!(recording.held_back.is_empty());
        let setup = edit.setup();
        // Whether a line was drawn anew, the recording says: where it was, it stands where its part does now.
        let is_new = |name: &str| recording.marks.iter().any(|mark| mark == name);
        let since = Bike {
            roll: if is_new("B1") { bike.roll } else { drawn.roll },
            left: if is_new("L1") { bike.left } else { drawn.left },
            right: if is_new("R1") { bike.right } else { drawn.right },
        };
        let read = [Some(Told::Read); 3];
        let by_mark = [Some(Told::ByMark); 3];
        let same = sheet("2026-05-20", bike, since, read, true);
        prop_assert_eq!(finds(setup, &same), Vec::<String>::new(), "{}\n{}", edit.text(), same);
        let same = sheet("2026-05-20", bike, since, by_mark, false);
        prop_assert_eq!(finds(setup, &same), Vec::<String>::new(), "{}\n{}", edit.text(), same);
        // And one clamp turned afterwards is found: by the gauge, if its angle is still known at all.
        let known = |side: &str| {
            let id = Catalogue::standard().find(&format!("{side}.brake-lever.angle")).expect("a measure");
            setup.reading(&id).is_some()
        };
        let slipped = Bike { left: bike.left + slip, ..bike };
        let is_found = finds(setup, &sheet("2026-05-20", slipped, since, read, true));
        prop_assert_eq!(is_found.contains(&"left.brake-lever.angle".to_owned()), known("left"), "{}", edit.text());
        prop_assert!(!is_found.contains(&"right.brake-lever.angle".to_owned()));
        let slipped = Bike { right: bike.right + slip, ..bike };
        let is_found = finds(setup, &sheet("2026-05-20", slipped, since, read, true));
        prop_assert_eq!(is_found.contains(&"right.brake-lever.angle".to_owned()), known("right"), "{}", edit.text());
        prop_assert!(!is_found.contains(&"left.brake-lever.angle".to_owned()));
    }

    /// Of a bar that was let go and whose roll nobody read, a gauge tells of no clamp; a line across it does. Nothing of it
    /// is written, so that the bike put back reads as recorded.
    #[test]
    fn a_bar_let_go_and_not_read_accuses_no_lever_and_leaves_the_file_true(
        rolled in prop::sample::select(vec![0.0, 9.0, -9.0, 14.0]),
        left in prop::sample::select(vec![0.0, 12.0, -12.0, 17.0]),
        right in prop::sample::select(vec![0.0, 12.0, -12.0, 17.0]),
        told in let_go_tellings(),
        shows in prop::sample::select(vec!["mark \"B1\" broken", "mark \"B1\" missing", "opened \"stem-face\""]),
        with_shifter in any::<bool>(),
    ) {
        let setup = SETUP.replace("    mark \"L1\"", &format!("{TIGHT}    mark \"L1\""));
        let base = parse(&setup, None);
        let drawn = Bike { roll: ROLL, left: 0.0, right: 0.0 };
        let bike = Bike { roll: ROLL + rolled, left, right };
        let text = sheet("2026-05-09", bike, drawn, told, with_shifter);
        let text = text.trim_end().trim_end_matches('}').to_owned() + &format!("    {shows}\n}}\n");
        let found = parse(&text, Some(&base));
        let turned = |turn: f64, told: Option<Told>| is_marked(told) && turn != 0.0;
        let shown = [turned(left, told[1]), turned(right, told[2])];
        let today = NaiveDate::from_ymd_opt(2026, 5, 25).expect("a day");
        let plan = plan(Catalogue::standard(), &base, Some(&found), &base, "now", today);
        let steps = |joint: &str| plan.steps.iter().any(|step| step.joint.as_deref() == Some(joint));
        prop_assert!(steps("stem-face"), "{}", text);
        prop_assert_eq!(["left.brake-lever", "right.brake-lever"].map(steps), shown, "{}", text);
        let mut edit = Edit::new(Catalogue::standard(), &setup, None).expect("a sound file");
        let recording = fold(Catalogue::standard(), &mut edit, &found, &Options::default()).expect("recorded");
        prop_assert!(recording.contradictions.is_empty() && recording.changes.is_empty(), "{}\n{}", text, edit.text());
        let kept = ["left.brake-lever", "right.brake-lever"]
            .map(|joint| edit.setup().torque(joint).is_some_and(|torque| torque.applied.is_some()));
        prop_assert_eq!(kept, shown.map(|shown| !shown), "{}\n{}", text, edit.text());
        let read = sheet("2026-05-20", drawn, drawn, [Some(Told::Read), Some(Told::Both), Some(Told::Both)], true);
        prop_assert_eq!(finds(edit.setup(), &read), Vec::<String>::new(), "{}", edit.text());
    }
}
