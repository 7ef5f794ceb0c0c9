//! Tried changes against the same changes made in the file, and the points that go along against plain rotations.

use clampmark::catalogue::table::{BAR_ROLL, STEM_TWIST};
use clampmark::catalogue::{Catalogue, MeasureId, Side};
use clampmark::geometry::Vector;
use clampmark::geometry::cockpit::Bar;
use clampmark::geometry::derived::All;
use clampmark::geometry::state::{Consequences, Lookup, State};
use clampmark::geometry::turning::{LowestPoint, lowest_points};
use clampmark::metrology::Number;
use clampmark::setup::edit::Edit;
use clampmark::setup::model::Setup;
use clampmark::setup::read::read;
use clampmark::trial::{Asked, Trial, Wish, try_changes};
use proptest::prelude::*;

const BIKE: &str = r#"setup "alder/trail" format=1 {
    measured "2026-05-02"
    rider { stature 1780 }
    frame { reach 452; stack 618; head-angle 65.5; top-tube { drop 38; slope 32; diameter 42 } }
    headset { cover 9 }
    steerer { spacers-below 10 tol=0.1; spacers-above 10 }
    stem { length (in)1.75 tol=0.02; angle 6; clamp-height 38; twist 0 }
    bar { width 780; rise 30; back-sweep 8; up-sweep 5; bend 95; roll -1.5 }
    saddle { height 720; setback 160 }
    left { grip { hand 62 }; brake-lever { from-tip 168; angle 32; lowest from-tip=196 drop=38 ahead=44 } }
    right { grip { hand 64 }; brake-lever { from-tip 168; angle 32; lowest from-tip=196 drop=38 ahead=44 }
        shifter { mount shared slot=inner; angle 41; lowest from-tip=214 drop=58 ahead=2 } }
}"#;

fn setup(text: &str) -> Setup {
    let read = read(Catalogue::standard(), text.as_bytes(), None);
    assert!(!read.has_fault(), "{:?}", read.findings);
    read.setup.expect("a setup")
}

fn tried(changes: &[String], wish: Option<&Wish>) -> Trial {
    let catalogue = Catalogue::standard();
    let asked: Vec<Asked> =
        changes.iter().map(|typed| Asked::parse(catalogue, typed).expect("a change")).collect();
    try_changes(catalogue, &setup(BIKE), &asked, wish).expect("can be tried")
}

fn derived(setup: &Setup) -> Vec<Option<u64>> {
    let values = State::recorded(Catalogue::standard(), setup).values(&All);
    values.into_iter().map(|value| value.map(f64::to_bits)).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn trying_is_editing(stem in 300..900_i32, spacers in 0..300_i32, roll in -300..300_i32, hand in 200..900_i32) {
        let [stem, spacers, roll, hand] = [stem, spacers, roll, hand].map(|tenths| f64::from(tenths) / 10.0);
        let changes = [
            format!("stem.length={stem}"),
            format!("steerer.spacers-below={spacers}"),
            format!("bar.roll:={roll}"),
            format!("right.grip.hand={hand}"),
        ];
        let text = BIKE
            .replace("length (in)1.75 tol=0.02", &format!("length {stem}"))
            .replace("spacers-below 10 tol=0.1", &format!("spacers-below {spacers}"))
            .replace("roll -1.5", &format!("roll {roll}"))
            .replace("hand 64", &format!("hand {hand}"));
        let trial = tried(&changes, None);
        prop_assert_eq!(derived(&trial.setup), derived(&setup(&text)));
        let now: Vec<Option<u64>> = trial.derived.iter().map(|change| change.now.map(f64::to_bits)).collect();
        let edited: Vec<u64> = derived(&setup(&text)).into_iter().flatten().collect();
        prop_assert_eq!(now.into_iter().flatten().collect::<Vec<_>>(), edited);
    }

    #[test]
    fn what_is_written_reads_as_what_was_tried(stem in 300..900_i32, roll in -300..300_i32, width in 7000..7800_i32) {
        let [stem, roll, width] = [stem, roll, width].map(|tenths| f64::from(tenths) / 10.0);
        let changes = [
            format!("stem.length={stem}"),
            format!("bar.roll:={roll}"),
            format!("bar.width={width}"),
            "right.shifter.mount=own".to_owned(),
        ];
        let trial = tried(&changes, None);
        let mut edit = Edit::new(Catalogue::standard(), BIKE, None).expect("a sound text");
        edit.plan(&trial.setup, &trial.differing).expect("can be written");
        edit.rename("alder/tried").expect("can be renamed");
        let written = setup(edit.text());
        prop_assert_eq!(&written.name.value, "alder/tried");
        for (id, recorded) in &trial.setup.readings {
            prop_assert_eq!(written.choice(id), trial.setup.choice(id));
            if let Some(wanted) = trial.setup.value(id) {
                prop_assert_eq!(written.value(id).expect("written").to_bits(), wanted.to_bits(), "{:?}", recorded);
            }
        }
    }

    #[test]
    fn what_is_kept_stays(step in -200..200_i32) {
        let catalogue = Catalogue::standard();
        for (keep, by) in [("grip-stack", "steerer.spacers-below"), ("grip-stack", "bar.roll"), ("grip-reach", "stem.length")] {
            let wish = Wish::new(catalogue, &setup(BIKE), keep, by).expect("both are known");
            let changes = [format!("bar.rise={}", 30.0 + f64::from(step) / 20.0)];
            let was = State::recorded(catalogue, &setup(BIKE)).values(&All);
            let trial = tried(&changes, Some(&wish));
            let now = State::recorded(catalogue, &trial.setup).values(&All);
            let (place, _) = clampmark::geometry::derived::find(keep).expect("known");
            // Half of the last place that is written: of a thousandth of an inch for the stem, of a mm for the spacers,
            // of a degree for the roll, on a bar that puts the hands some 50 mm from the clamp: 0.0005·50·π/180.
            let lost = if by == "stem.length" { 0.0127 } else { 0.0005 };
            prop_assert!((was[place].expect("was") - now[place].expect("now")).abs() <= lost + 1e-9);
        }
    }

    /// Sawn narrower, the bar keeps the width it was supplied with, to which rise and setback belong.
    #[test]
    fn what_a_sawn_bar_keeps_stays(roll in -100..100_i32) {
        let wish = Wish::new(Catalogue::standard(), &setup(BIKE), "grip-stack", "bar.width").expect("both are known");
        let change = format!("bar.roll:={}", -1.5 + f64::from(roll) / 100.0);
        let asked = [Asked::parse(Catalogue::standard(), &change).expect("a change")];
        let was = State::recorded(Catalogue::standard(), &setup(BIKE)).values(&All);
        let Ok(trial) = try_changes(Catalogue::standard(), &setup(BIKE), &asked, Some(&wish)) else { return Ok(()) };
        let now = State::recorded(Catalogue::standard(), &trial.setup).values(&All);
        let (place, _) = clampmark::geometry::derived::find("grip-stack").expect("known");
        // Half of the thousandth of a mm that is written moves the hands by less.
        prop_assert!((was[place].expect("was") - now[place].expect("now")).abs() <= 0.0005 + 1e-9, "{change}");
    }

    #[test]
    fn twisting_turns_every_point_about_the_steering_axis(twist in -150..150_i32, roll in -300..300_i32) {
        let (twist, roll) = (f64::from(twist) / 10.0, f64::from(roll) / 10.0);
        let before = tried(&[format!("bar.roll:={roll}")], None).setup;
        let after = tried(&[format!("bar.roll:={roll}"), format!("stem.twist:={twist}")], None).setup;
        for point in lowest_points(&State::recorded(Catalogue::standard(), &before)) {
            let was = place(&before, &point);
            let expected = about_the_steering_axis(was, twist.to_radians());
            let found = place(&after, &point);
            // Two points, each written to a thousandth in three directions: 2·0.0005·√3 = 0.0017.
            prop_assert!((found - expected).norm() < 2e-3, "{found:?} {expected:?}");
        }
    }

    #[test]
    fn what_goes_along_comes_back(roll in -300..300_i32, angle in 0..600_i32, from_tip in 1000..2500_i32) {
        let [roll, angle, from_tip] = [roll, angle, from_tip].map(|tenths| f64::from(tenths) / 10.0);
        let catalogue = Catalogue::standard();
        let there = tried(&[
            format!("bar.roll:={roll}"),
            format!("right.brake-lever.angle={angle}"),
            format!("right.brake-lever.from-tip={from_tip}"),
        ], None).setup;
        let back: Vec<Asked> =
            ["bar.roll:=-1.5", "right.brake-lever.angle=32", "right.brake-lever.from-tip=168"]
                .iter().map(|typed| Asked::parse(catalogue, typed).expect("a change")).collect();
        let again = try_changes(catalogue, &there, &back, None).expect("can be tried").setup;
        for (id, recorded) in &setup(BIKE).readings {
            let (was, now) = (setup(BIKE).value(id), again.value(id));
            // There and back, each time written to a thousandth in three directions, as above.
            prop_assert!(was.is_none() || (was.unwrap() - now.unwrap()).abs() < 2e-3, "{id:?} {recorded:?} {now:?}");
        }
    }
}

struct Place<'p>(&'p LowestPoint);

impl Consequences for Place<'_> {
    fn of<N: Number>(&self, numbers: &dyn Lookup<N>) -> Vec<Option<N>> {
        let place = Bar::of(numbers).and_then(|bar| self.0.place(&bar, numbers));
        vec![place.map(|place| place.x), place.map(|place| place.y), place.map(|place| place.z)]
    }
}

fn place(setup: &Setup, point: &LowestPoint) -> Vector {
    match State::recorded(Catalogue::standard(), setup).values(&Place(point))[..] {
        [Some(x), Some(y), Some(z)] => Vector::new(x, y, z),
        _ => panic!("the point is known"),
    }
}

/// Head angle 65.5° through (452, 0, 618): into axes along the steering axis, a plane rotation, and back.
fn about_the_steering_axis(point: Vector, angle: f64) -> Vector {
    let (sine, cosine) = 65.5_f64.to_radians().sin_cos();
    let (x, z) = (point.x - 452.0, point.z - 618.0);
    let (ahead, up) = (x * sine + z * cosine, z * sine - x * cosine);
    let (turned_ahead, turned_left) =
        (ahead * angle.cos() - point.y * angle.sin(), ahead * angle.sin() + point.y * angle.cos());
    Vector::new(
        452.0 + turned_ahead * sine - up * cosine,
        turned_left,
        618.0 + turned_ahead * cosine + up * sine,
    )
}

#[test]
fn a_lever_turned_a_quarter_by_hand() {
    // A bar without sweep: its grips lie along y. Ahead 44 and 38 down, turned tip down by 90° about y: what was ahead
    // is now below (44 down), what was below is now behind (38 back). Inboard by 12: 208 from the tip.
    let text =
        BIKE.replace("back-sweep 8; up-sweep 5", "back-sweep 0; up-sweep 0").replace("angle 32", "angle 0");
    let catalogue = Catalogue::standard();
    let asked: Vec<Asked> = ["left.brake-lever.angle=90", "left.brake-lever.from-tip=+12"]
        .iter()
        .map(|typed| Asked::parse(catalogue, typed).expect("a change"))
        .collect();
    let trial = try_changes(catalogue, &setup(&text), &asked, None).expect("can be tried");
    let value = |path: &str| trial.setup.value(&catalogue.find(path).expect("a measure")).expect("a number");
    for (path, expected) in [("from-tip", 208.0), ("drop", 44.0), ("ahead", -38.0)] {
        assert!((value(&format!("left.brake-lever.lowest.1.{path}")) - expected).abs() < 1e-9, "{path}");
        let right = value(&format!("right.brake-lever.lowest.1.{path}"));
        assert!(
            (right
                - setup(&text)
                    .value(&catalogue.find(&format!("right.brake-lever.lowest.1.{path}")).unwrap())
                    .unwrap())
            .abs()
                < 1e-9
        );
    }
}

#[test]
fn a_rolled_bar_takes_its_levers_along() {
    // Rolled forward by 4°, every lever's tip goes down by 4°; one that was given its angle has that.
    let trial = tried(&["bar.roll=+4".into(), "left.brake-lever.angle=40".into()], None);
    let value = |path: &str| trial.setup.value(&Catalogue::standard().find(path).expect("a measure"));
    assert_eq!(value("bar.roll"), Some(2.5));
    assert_eq!(value("left.brake-lever.angle"), Some(40.0));
    assert_eq!(value("right.brake-lever.angle"), Some(36.0));
    assert_eq!(value("right.shifter.angle"), Some(45.0));
    assert_eq!(trial.setup.value(&MeasureId::bike(BAR_ROLL)), Some(2.5));
    assert_eq!(trial.setup.value(&MeasureId::bike(STEM_TWIST)), Some(0.0));
    assert_eq!(trial.setup.controls().filter(|(side, _)| *side == Side::Right).count(), 2);
}

#[test]
fn the_old_reading_is_what_is_uncertain() {
    // From (in)1.75 ± 0.02 in to an exact 40 mm on a level stem (angle 0), straight along n = (sin θ, 0, cos θ):
    // forward by (40 − 44.45)·sin 65.5° = −4.0493, U = 2·0.508/√3·sin 65.5° = 0.533772. The angle's own half-degree
    // turns a length that is 4.45 shorter: 2·(0.5°)/√3·4.45·cos 65.5°… in the plane of z, and the head angle's
    // 0.3° likewise: √(0.533772² + (2·0.5·π/180/√3·4.45·0.4147)² + (2·0.3·π/180/√3·4.45·0.4147)²) = 0.534213.
    let text = BIKE.replace("; angle 6;", "; angle 0;");
    let asked = [Asked::parse(Catalogue::standard(), "stem.length=40").expect("a change")];
    let trial = try_changes(Catalogue::standard(), &setup(&text), &asked, None).expect("can be tried");
    let reach = trial.derived.iter().find(|change| change.name == "grip-reach").expect("reach");
    assert!((reach.delta.expect("delta") + 4.0493).abs() < 1e-4, "{reach:?}");
    assert!((reach.uncertainty.expect("U") - 0.534_213).abs() < 1e-5, "{reach:?}");
}
