//! What moved between two states of one bike, and how surely: figures worked out by hand.

use std::collections::BTreeMap;

use clampmark::catalogue::table::{BAR_ROLL, LEVER_ANGLE, STEM_TWIST};
use clampmark::catalogue::{Catalogue, MeasureId, Side};
use clampmark::compare::{Change, Comparison, Fate, RangeShift, compare, dangerous_moves};
use clampmark::geometry::state::{State, Turns};
use clampmark::metrology::verdict::Verdict;
use clampmark::metrology::{Reading, Unit};
use clampmark::setup::model::Setup;
use clampmark::setup::read::read;

/// A plain bike; its angles are read with a gauge of ±0.2°, its spacers with a caliper of ±0.1 mm.
const BIKE: &str = r#"setup "rowan/race" format=1 {
    measured "2031-05-02"
    instruments { caliper tol=0.1; angle-gauge tol=0.2; sheet tol=0.5 }
    rider { front-brake right }
    frame { reach 470 with=sheet; stack 630 with=sheet; head-angle 64.5 with=sheet }
    steerer { spacers-below 15 with=caliper; spacers-above 10 with=caliper }
    stem { length 50; angle 0; clamp-height 40 with=caliper }
    bar { width 780; rise 25; back-sweep 8; up-sweep 5; bend 90; roll -1.5 with=angle-gauge; material carbon }
    left { grip { hand 62 }; brake-lever { from-tip 168; angle 32 with=angle-gauge; reach 62 with=caliper } }
    right { grip { hand 62 }; brake-lever { from-tip 168; angle 32 with=angle-gauge } }
    fork { rebound 7 }
    torque "left.brake-lever" 2.5 4 { ceiling "bar" 3.5 }
    mark "S1" on="stem-steerer" { drawn twist=0 }
}"#;

fn parse(text: &str, base: Option<&Setup>) -> Setup {
    let read = read(Catalogue::standard(), text.as_bytes(), base);
    assert!(!read.has_fault(), "{:?}", read.findings);
    read.setup.expect("a sound text")
}

/// The bike against itself with some words replaced.
fn after(replacements: &[(&str, &str)]) -> Comparison {
    between(BIKE, &edited(BIKE, replacements))
}

fn edited(text: &str, replacements: &[(&str, &str)]) -> String {
    replacements.iter().fold(text.to_owned(), |text, (old, new)| {
        assert!(text.contains(old), "{old}");
        text.replace(old, new)
    })
}

fn between(was: &str, now: &str) -> Comparison {
    let (was, now) = (parse(was, None), parse(now, None));
    let catalogue = Catalogue::standard();
    compare(State::recorded(catalogue, &was), State::recorded(catalogue, &now))
}

fn change<'c>(comparison: &'c Comparison, measure: &str) -> &'c Change {
    comparison.changes.iter().find(|change| change.measure == measure).expect("it differs")
}

fn near(value: Option<f64>, expected: f64, within: f64) {
    let value = value.expect("a number");
    assert!((value - expected).abs() < within, "{value} is not {expected}");
}

const SPACER_MOVED: [(&str, &str); 2] =
    [("spacers-below 15", "spacers-below 20"), ("spacers-above 10", "spacers-above 5")];

/// 5 mm along an axis at 64.5°: up 5·sin 64.5° = 5·0.902585 = 4.512926, back 5·cos 64.5° = 5·0.430511 = 2.152555.
///
/// U of the spacers: two caliper readings, 2·√(0.1²/3 + 0.1²/3) = 2·√2·0.1/√3 = 0.163299. Upwards it counts times
/// 0.902585: 0.147392. The head angle is one shared reading; it enters only as the 5 mm lean with it: 5·cos 64.5° mm a
/// radian, times 2·(0.5/√3)° = 0.577350° = 0.010077 rad: 0.021691. Together √(0.147392² + 0.021691²) = 0.148979.
/// Back: √((0.430511·0.163299)² + (4.512926·0.010077)²) = √(0.070302² + 0.045475²) = 0.083728.
#[test]
fn a_spacer_moved_under_the_stem_raises_the_hands() {
    let comparison = after(&SPACER_MOVED);
    for name in ["grip-stack", "grip.left.z", "grip.right.z"] {
        let derived = comparison.derived(name).expect("it is computed");
        near(derived.delta, 4.512_926, 1e-6);
        near(derived.uncertainty, 0.148_979, 1e-6);
        assert_eq!(derived.verdict, Verdict::Moved);
        assert_eq!(derived.driven_by, ["steerer.spacers-below"]);
    }
    let reach = comparison.derived("grip-reach").expect("it is computed");
    near(reach.delta, -2.152_555, 1e-6);
    near(reach.uncertainty, 0.083_728, 1e-6);
    let below = change(&comparison, "steerer.spacers-below");
    near(below.delta, 5.0, 1e-12);
    near(below.uncertainty, 0.163_299, 1e-6);
    assert_eq!((below.verdict, below.moved.as_deref()), (Verdict::Moved, Some("5.0 mm more")));
    assert_eq!(below.put_back.as_deref(), Some("5.0 mm fewer, to 15.0 mm"));
    let hand_span = comparison.derived("hand-span").expect("it is computed");
    assert_eq!(hand_span.verdict, Verdict::Same);
}

/// The sheet's figures are copied, so how well they are known has no say: twenty times worse, the same U.
#[test]
fn a_copied_sheet_adds_nothing() {
    let poor =
        edited(BIKE, &[("reach 470 with=sheet; stack 630 with=sheet", "reach 470 tol=20; stack 630 tol=20")]);
    let comparison = between(&poor, &edited(&poor, &SPACER_MOVED));
    near(comparison.derived("grip-stack").expect("computed").uncertainty, 0.148_979, 1e-6);
}

/// A sheet read again does add: 2·√2·0.5/√3 = 0.816497 for the stack; √(0.148979² + 0.816497²) = 0.829977.
#[test]
fn a_sheet_read_again_is_a_correction_and_no_move() {
    let figures = [("stack 630 with=sheet", "stack 634 with=sheet")];
    let comparison = after(&figures);
    assert_eq!(change(&comparison, "frame.stack").verdict, Verdict::ReRead);
    let stack = comparison.derived("grip-stack").expect("computed");
    near(stack.delta, 4.0, 1e-9);
    near(stack.uncertainty, 0.816_497, 1e-6);
    assert_eq!(stack.verdict, Verdict::Corrected);
    assert!(!comparison.has_moved());
    // With the spacer moved as well the hands have moved, by the sum.
    let comparison = after(&[figures[0], SPACER_MOVED[0], SPACER_MOVED[1]]);
    let stack = comparison.derived("grip-stack").expect("computed");
    near(stack.delta, 8.512_926, 1e-6);
    near(stack.uncertainty, 0.829_977, 1e-6);
    assert_eq!(stack.verdict, Verdict::Moved);
    assert_eq!(stack.driven_by, ["steerer.spacers-below", "frame.stack"]);
    // A spacer read 0.1 mm off, inside its reading, does not turn the correction into a move.
    let comparison = after(&[figures[0], ("spacers-below 15", "spacers-below 15.1")]);
    assert_eq!(change(&comparison, "steerer.spacers-below").verdict, Verdict::WithinReading);
    assert_eq!(comparison.derived("grip-stack").expect("computed").verdict, Verdict::Corrected);
    assert!(!comparison.has_moved());
}

/// A derived verdict stands alone: stem and roll within reading each, and together the hands further than reading.
/// Stem 50 → 50.8 ± 0.5: U 2·√2·0.5/√3 = 0.816497. Spacers 15 → 15.16: U 0.163299. Offset of the hands forward is
/// the stem's alone at 0°: 0.8 < 0.816497; height along the axis the spacers' alone. Level and upright they mix:
/// z: 0.8·cos 64.5° + 0.16·sin 64.5° = 0.344409 + 0.144414 = 0.488823;
/// U: √((0.816497·0.430511)² + 0.147392²) = √(0.351511² + 0.147392²) = 0.381161, so moved.
#[test]
fn the_hands_may_move_though_every_measure_is_within_reading() {
    let comparison = after(&[("length 50;", "length 50.8;"), ("spacers-below 15 ", "spacers-below 15.16 ")]);
    for change in &comparison.changes {
        assert_eq!(change.verdict, Verdict::WithinReading, "{}", change.measure);
    }
    let stack = comparison.derived("grip-stack").expect("computed");
    near(stack.delta, 0.488_823, 1e-6);
    // The shared head angle turns the small move by its own 0.010077 rad: less than 0.01 mm.
    near(stack.uncertainty, 0.381_161, 2e-4);
    assert_eq!(stack.verdict, Verdict::Moved);
    assert_eq!(stack.driven_by, ["stem.length", "steerer.spacers-below"]);
}

/// Counts and choices move when they differ; whatever its weight a figure of a part's shape is read again.
#[test]
fn counts_and_choices_move_when_they_differ() {
    let comparison = after(&[
        ("rebound 7", "rebound 8"),
        ("material carbon", "material aluminium"),
        ("front-brake right", "front-brake left"),
        ("up-sweep 5", "up-sweep 7"),
    ]);
    let rebound = change(&comparison, "fork.rebound");
    assert_eq!((rebound.verdict, rebound.moved.as_deref()), (Verdict::Moved, Some("1 click more open")));
    near(rebound.uncertainty, 0.0, 1e-12);
    assert_eq!(change(&comparison, "bar.material").verdict, Verdict::Moved);
    assert_eq!(change(&comparison, "rider.front-brake").put_back.as_deref(), Some("back to right"));
    let sweep = change(&comparison, "bar.up-sweep");
    assert_eq!((sweep.verdict, sweep.put_back.as_deref()), (Verdict::ReRead, None));
}

/// The dangerous first: the brakes, the front brake's hand before all, then the steering, handling, comfort.
#[test]
fn what_moved_is_told_in_the_order_of_danger() {
    let bike =
        edited(BIKE, &[("fork { rebound 7 }", "fork { rebound 7 }\nsaddle { height 742; setback 168 }")]);
    let moved = edited(
        &bike,
        &[
            ("height 742", "height 750"),
            ("rebound 7", "rebound 9"),
            ("length 50;", "length 55; twist 4;"),
            ("from-tip 168; angle 32 with=angle-gauge }", "from-tip 175; angle 32 with=angle-gauge }"),
            ("front-brake right", "front-brake left"),
            ("material carbon", "material steel"),
        ],
    );
    let bike = edited(&bike, &[("length 50;", "length 50; twist 0;")]);
    let comparison = between(&bike, &moved);
    let order: Vec<&str> = comparison.changes.iter().map(|change| change.measure.as_str()).collect();
    assert_eq!(
        order,
        [
            "rider.front-brake",
            "right.brake-lever.from-tip",
            "stem.twist",
            "bar.material",
            "stem.length",
            "fork.rebound",
            "saddle.height",
        ]
    );
}

/// What is only written down for the first time, or no longer, did not move.
#[test]
fn recording_is_no_move() {
    let unknown = edited(BIKE, &[("roll -1.5 with=angle-gauge", "roll unmeasured")]);
    let comparison = between(&unknown, BIKE);
    assert_eq!(change(&comparison, "bar.roll").verdict, Verdict::Recorded);
    assert_eq!(comparison.derived("grip-stack").expect("one side has it").verdict, Verdict::Recorded);
    assert!(!comparison.has_moved() && !comparison.is_to_act_on());
    let comparison = between(BIKE, &unknown);
    assert_eq!(change(&comparison, "bar.roll").verdict, Verdict::NotRecorded);
    assert_eq!(comparison.derived("grip-stack").expect("one side has it").verdict, Verdict::NotRecorded);
    // Not known and not there are the same ignorance.
    let absent = edited(BIKE, &[("; reach 62 with=caliper", "")]);
    let unmeasured = edited(BIKE, &[("reach 62 with=caliper", "reach unmeasured")]);
    assert!(between(&absent, &unmeasured).changes.is_empty());
}

/// `E_n` = 1 to the last digit. Each reading: two values 0.2 either side of the mean, s²/n = 0.04, and ±1.2: 1.44/3 = 0.48;
/// both together 2·(0.48 + 0.04) = 1.04. With one of them steady: 0.48 + 0.04 + 0.48 = 1.00, u = 1, U = 2.
#[test]
fn at_exactly_its_uncertainty_a_difference_is_within_reading() {
    let was = edited(BIKE, &[("length 50;", "length 49.8 50.2 tol=1.2;")]);
    let of = |now: &str| {
        let comparison = between(&was, &edited(BIKE, &[("length 50;", now)]));
        change(&comparison, "stem.length").clone()
    };
    let at = of("length 52 tol=1.2;");
    near(at.delta, 2.0, 1e-12);
    near(at.uncertainty, 2.0, 1e-12);
    assert_eq!(at.verdict, Verdict::WithinReading);
    assert!(at.optimistic, "two repeats promise too much");
    assert_eq!(of("length 52.001 tol=1.2;").verdict, Verdict::Moved);
    assert_eq!(of("length 48 tol=1.2;").verdict, Verdict::WithinReading);
    assert_eq!(of("length 47.999 tol=1.2;").verdict, Verdict::Moved);
}

/// Four repeats: mean (49.7 + 49.9 + 50.1 + 50.3)/4 = 50.0; squares 0.09 + 0.01 + 0.01 + 0.09 = 0.2; s²/n = 0.2/3/4 =
/// 0.016667; ±0.5: 0.083333; sum 0.1. Against a single 51 ± 0.5: u² = 0.183333, U = 0.856349.
#[test]
fn four_repeats_are_no_longer_optimistic() {
    let comparison = between(
        &edited(BIKE, &[("length 50;", "length 49.7 49.9 50.1 50.3;")]),
        &edited(BIKE, &[("length 50;", "length 51;")]),
    );
    let stem = change(&comparison, "stem.length");
    near(stem.delta, 1.0, 1e-12);
    near(stem.uncertainty, 0.856_349, 1e-6);
    assert!(!stem.optimistic);
    assert_eq!(stem.was_written.as_deref(), Some("50.00 mm (mean of 4)"));
}

/// A ceiling lowered from 3.5 to 3 changes what is allowed of 2.5 to 4: to 2.5–3 N·m. Nothing moved, but act on it.
#[test]
fn a_lower_ceiling_is_to_act_on_and_no_move() {
    let comparison = after(&[("ceiling \"bar\" 3.5", "ceiling \"bar\" 3")]);
    let torque = &comparison.torque[0];
    assert_eq!((torque.shift, torque.allowed_shift), (RangeShift::Same, RangeShift::Narrower));
    near(torque.allowed_now.map(|limits| limits.to), 3.0, 1e-12);
    assert!(!comparison.has_moved() && comparison.is_to_act_on());
    assert!(torque.ceiling_changed);
    // The same figures typed otherwise are no change.
    let comparison = after(&[("2.5 4 {", "(N-m)2.50 (N-m)4.0 {")]);
    assert!(comparison.torque.is_empty());
}

/// Range and ceiling change together: 2.5–4 under 3.5, then 2.5–5 under 3, allows 2.5–3.5, then 2.5–3, and it is the
/// ceiling that took the half. 2.5–3 under the same 3.5 allows 2.5–3: the range alone did that.
#[test]
fn a_ceiling_is_named_even_where_the_range_changed_too() {
    let both = after(&[("2.5 4 {", "2.5 5 {"), ("ceiling \"bar\" 3.5", "ceiling \"bar\" 3")]);
    let torque = &both.torque[0];
    assert_eq!((torque.shift, torque.allowed_shift), (RangeShift::Wider, RangeShift::Narrower));
    assert!(torque.ceiling_changed);
    let range_alone = after(&[("2.5 4 {", "2.5 3 {")]);
    let torque = &range_alone.torque[0];
    assert_eq!((torque.shift, torque.allowed_shift), (RangeShift::Narrower, RangeShift::Narrower));
    assert!(!torque.ceiling_changed);
}

fn found(sheet: &str, turns: Option<&Turns>) -> Comparison {
    let bike = parse(BIKE, None);
    let sheet = parse(sheet, Some(&bike));
    let recorded = State::recorded(Catalogue::standard(), &bike);
    compare(recorded, recorded.found(&sheet, turns))
}

/// Only what was read claims uncertainty, and what was not read is named. Lever 32 → 28 with the gauge:
/// U = 2·√2·0.2/√3 = 0.326599.
#[test]
fn a_sheet_claims_only_what_it_read() {
    let comparison = found(
        r#"found "rowan/race" format=1 {
            right { brake-lever { angle 28 with=angle-gauge; from-tip unmeasured } }
        }"#,
        None,
    );
    assert_eq!(comparison.changes.len(), 1);
    let lever = change(&comparison, "right.brake-lever.angle");
    near(lever.delta, -4.0, 1e-12);
    near(lever.uncertainty, 0.326_599, 1e-6);
    assert_eq!(lever.put_back.as_deref(), Some("4.0° tip down, to 32.0°"));
    for derived in &comparison.derived {
        assert_eq!((derived.delta, derived.uncertainty), (Some(0.0), Some(0.0)), "{}", derived.name);
    }
    let left: Vec<&str> = comparison.not_looked_at.iter().map(|left| left.measure.as_str()).collect();
    // Dangerous first; what cannot move is not asked for; `unmeasured` on a sheet is no look.
    assert_eq!(
        left,
        [
            "rider.front-brake",
            "left.brake-lever.from-tip",
            "right.brake-lever.from-tip",
            "left.brake-lever.angle",
            "left.brake-lever.reach",
            "steerer.spacers-below",
            "steerer.spacers-above",
            "stem.length",
            "stem.angle",
            "stem.clamp-height",
            "bar.roll",
            "fork.rebound",
            "left.grip.hand",
            "right.grip.hand",
        ]
    );
}

/// A sheet's floor corrects its own angles alone. Front wheel 1.5° higher: a tip-down angle reads 1.5° less, so 30.5 read
/// there is the recorded 32. Roll is no angle against gravity. U: the setup has no floor, the sheet's is ±0.2:
/// 2·√(3·0.2²/3) = 0.4.
#[test]
fn a_sheets_floor_is_its_own() {
    let comparison = found(
        r#"found "rowan/race" format=1 {
            floor 1.5 with=angle-gauge
            bar { roll -1.5 tol=0.3 }
            right { brake-lever { angle 30.5 with=angle-gauge } }
            left { brake-lever { angle 32 with=angle-gauge } }
        }"#,
        None,
    );
    assert!(comparison.changes.iter().all(|change| change.measure != "right.brake-lever.angle"), "same");
    // The same number on another slope is another angle.
    let left = change(&comparison, "left.brake-lever.angle");
    near(left.delta, 1.5, 1e-12);
    near(left.uncertainty, 0.4, 1e-9);
    assert_eq!(left.verdict, Verdict::Moved);
}

/// A turn told by a mark shifts the recorded value with its own uncertainty and no other: ±0.5 mm on a steerer of
/// 28.6 mm is ±0.5·360/(π·28.6) = ±2.003351°, U = 2·2.003351/√3 = 2.313270.
#[test]
fn a_turn_told_by_a_mark_has_its_own_uncertainty() {
    let turn = |degrees: f64, half_width: f64| {
        Reading::new([degrees], [degrees.to_string()], Unit::Degree, Unit::Degree, half_width)
            .expect("a sound turn")
    };
    let twist = MeasureId::bike(STEM_TWIST);
    let roll = MeasureId::bike(BAR_ROLL);
    let lever = MeasureId::of(LEVER_ANGLE, Side::Left);
    let turns =
        BTreeMap::from([(twist, turn(6.0, 2.003_351)), (roll, turn(-3.0, 1.0)), (lever, turn(9.0, 2.0))]);
    let sheet = r#"found "rowan/race" format=1 {
        left { brake-lever { angle 32 with=angle-gauge } }
        mark "S1" off=1.5
        mark "R9" broken on="right.brake-lever"
    }"#;
    let comparison = found(sheet, Some(&turns));
    // The twist is not recorded and counts as 0: both states rest on that one assumption, which cancels.
    let twist = change(&comparison, "stem.twist");
    near(twist.delta, 6.0, 1e-12);
    near(twist.uncertainty, 2.313_270, 1e-6);
    assert_eq!((twist.verdict, twist.from_mark), (Verdict::Moved, true));
    assert_eq!(twist.now_written.as_deref(), Some("by its mark"));
    let roll = change(&comparison, "bar.roll");
    near(roll.delta, -3.0, 1e-12);
    near(roll.uncertainty, 2.0 / 3f64.sqrt(), 1e-9);
    // What the gauge reads wins over what the mark tells: 32° as before, and so turned 0 - (-3) = 3° on the rolled bar.
    // Behind that stand two readings of ±0.2° and the turn of ±1°: 2·√(2·0.2² + 1²)/√3 = 1.2.
    let lever = change(&comparison, "left.brake-lever.angle");
    near(lever.delta, 0.0, 1e-12);
    near(lever.on_bar.map(|own| own.delta), 3.0, 1e-12);
    near(lever.on_bar.map(|own| own.uncertainty), 1.2, 1e-9);
    assert_eq!((lever.verdict, lever.from_mark), (Verdict::Moved, false));
    let not_looked_at = |measure: &str| comparison.not_looked_at.iter().any(|left| left.measure == measure);
    assert!(!not_looked_at("bar.roll") && !not_looked_at("left.brake-lever.angle"));
    let marks: Vec<(&str, Fate)> = comparison.marks.iter().map(|mark| (&*mark.mark, mark.fate)).collect();
    assert_eq!(marks, [("S1", Fate::Off), ("R9", Fate::Broken)]);
}

/// The line to act on: damage before moves, the front brake by its name, a joint not twice.
#[test]
fn the_line_to_act_on() {
    let bike = parse(BIKE, None);
    let sheet = r#"found "rowan/race" format=1 {
        right { brake-lever { angle 28 with=angle-gauge } }
        mark "S1" broken
        damage on="bar" "scored"
    }"#;
    let sheet = parse(sheet, Some(&bike));
    let recorded = State::recorded(Catalogue::standard(), &bike);
    let found = recorded.found(&sheet, None);
    let comparison = compare(recorded, found);
    assert_eq!(
        dangerous_moves(&comparison, &found).as_deref(),
        Some(
            "bar damaged; front brake lever angle (right) moved 4.0° tip up; \
             mark S1 on the stem on steerer is broken"
        )
    );
}
