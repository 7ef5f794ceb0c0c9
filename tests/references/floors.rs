//! The floor under the bike: what it does to angles read against gravity, and who is accused. Figures by hand.
//!
//! Everywhere a gauge of ±0.2° reads levers, shifter, remote and saddle. One reading: u = 0.2/√3 = 0.115470°.

use clampmark::catalogue::table::{FLOOR, LEVER_ANGLE, SADDLE_TILT};
use clampmark::catalogue::{Catalogue, MeasureId, Side};
use clampmark::compare::{Comparison, compare};
use clampmark::geometry::state::{Consequences, Difference, Lookup, State};
use clampmark::metrology::propagate::Number;
use clampmark::metrology::verdict::Verdict;
use clampmark::setup::model::Setup;
use clampmark::setup::read::read;

/// The angles of a bike, in degrees; the shifter is read with the table's ±1° nowhere: all with the gauge.
#[derive(Clone, Copy)]
struct Angles {
    floor: Option<f64>,
    left: f64,
    right: f64,
    shifter: f64,
    remote: f64,
    tilt: f64,
}

const LEVEL: Angles =
    Angles { floor: Some(0.0), left: 32.0, right: 33.0, shifter: 41.0, remote: 20.0, tilt: -1.0 };

impl Angles {
    /// The same bike where the front wheel stands `slope` higher: tips read lower by as much, the nose higher.
    fn on(self, slope: f64) -> Angles {
        Angles {
            floor: Some(slope),
            left: self.left - slope,
            right: self.right - slope,
            shifter: self.shifter - slope,
            remote: self.remote - slope,
            tilt: self.tilt + slope,
        }
    }

    fn without_floor(self) -> Angles {
        Angles { floor: None, ..self }
    }

    fn setup(self) -> Setup {
        let floor = self.floor.map(|slope| format!("floor {slope} with=gauge")).unwrap_or_default();
        let Angles { left, right, shifter, remote, tilt, .. } = self;
        parse(&format!(
            r#"setup "alder/home" format=1 {{
                instruments {{ gauge tol=0.2 }}
                {floor}
                saddle {{ tilt {tilt} with=gauge }}
                left {{ brake-lever {{ angle {left} with=gauge }}; dropper-remote {{ angle {remote} with=gauge }} }}
                right {{ brake-lever {{ angle {right} with=gauge }}; shifter {{ angle {shifter} with=gauge }} }}
            }}"#
        ))
    }
}

fn parse(text: &str) -> Setup {
    let read = read(Catalogue::standard(), text.as_bytes(), None);
    assert!(!read.has_fault(), "{:?}", read.findings);
    read.setup.expect("a sound text")
}

fn between(was: &Setup, now: &Setup) -> Comparison {
    let catalogue = Catalogue::standard();
    compare(State::recorded(catalogue, was), State::recorded(catalogue, now))
}

fn moved(comparison: &Comparison) -> Vec<&str> {
    let moved = comparison.changes.iter().filter(|change| change.verdict == Verdict::Moved);
    moved.map(|change| change.measure.as_str()).collect()
}

fn near(value: f64, expected: f64, within: f64) {
    assert!((value - expected).abs() < within, "{value} is not {expected}");
}

#[test]
fn a_recorded_slope_moves_nothing() {
    let comparison = between(&LEVEL.setup(), &LEVEL.on(2.0).setup());
    // 30 + 2 and −1 − … + 2: the angles to the bike are the same, so only the floor itself differs.
    let told: Vec<&str> = comparison.changes.iter().map(|change| change.measure.as_str()).collect();
    assert_eq!(told, ["floor"]);
    assert!(comparison.common_shift.is_none() && !comparison.has_moved());
    // Each read a little off, inside its ±0.2°: still nothing.
    let mut off = LEVEL.on(2.0);
    (off.left, off.right, off.shifter, off.tilt) =
        (off.left + 0.2, off.right - 0.2, off.shifter + 0.1, off.tilt - 0.2);
    let comparison = between(&LEVEL.setup(), &off.setup());
    assert!(moved(&comparison).is_empty() && !comparison.has_moved());
    let within = comparison.changes.iter().filter(|change| change.verdict == Verdict::WithinReading);
    assert_eq!(within.count(), 4);
}

/// Five angles, each difference of two readings u² = 2·0.2²/3 = 0.026667, and the first state's floor, common to all:
/// 0.013333. The mean of five: 0.026667/5 + 0.013333 = 0.018667, U = 2·0.136626 = 0.273252. Without any floor
/// U = 2·√(0.026667/5) = 0.146059.
#[test]
fn an_unrecorded_slope_is_named_and_nobody_accused() {
    let sloping = LEVEL.on(2.0).without_floor().setup();
    for (was, expanded) in [(LEVEL, 0.273_252), (LEVEL.without_floor(), 0.146_059)] {
        let comparison = between(&was.setup(), &sloping);
        let shift = comparison.common_shift.as_ref().expect("it is named");
        near(shift.shift, -2.0, 1e-9);
        near(shift.uncertainty, expanded, 1e-6);
        assert_eq!((shift.explains.len(), shift.leaves.len()), (5, 0));
        assert!(moved(&comparison).is_empty() && !comparison.has_moved());
    }
    // The other way round, the shift has the other sign.
    let comparison = between(&sloping, &LEVEL.setup());
    near(comparison.common_shift.as_ref().expect("it is named").shift, 2.0, 1e-9);
    assert!(!comparison.has_moved());
}

/// One lever really moved by 4° as well: it alone is left over. The mean is of the other four, and the lever less that
/// mean: U = 2·√(0.026667 + 0.026667/4) = 2·0.182574 = 0.365148; a first floor would cancel from it.
#[test]
fn the_lever_that_moved_is_the_one_accused() {
    for was in [LEVEL, LEVEL.without_floor()] {
        for by in [4.0, -4.0] {
            let mut now = LEVEL.on(2.0).without_floor();
            now.right += by;
            let comparison = between(&was.setup(), &now.setup());
            let shift = comparison.common_shift.as_ref().expect("it is named");
            near(shift.shift, -2.0, 1e-9);
            assert_eq!(shift.leaves, ["right.brake-lever.angle"]);
            let left = shift.left_over(&MeasureId::of(LEVER_ANGLE, Side::Right)).expect("it was read anew");
            near(left.delta, by, 1e-9);
            near(left.uncertainty, 0.365_148, 1e-6);
            let expected: &[&str] = &["right.brake-lever.angle"];
            assert_eq!(moved(&comparison), expected);
            let change = comparison.changes.iter().find(|change| change.measure == expected[0]);
            let way = if by > 0.0 { "tip down" } else { "tip up" };
            let said = change.and_then(|change| change.moved.as_deref());
            assert_eq!(said, Some(format!("{:.1}° {way}", by.abs()).as_str()));
        }
    }
}

/// By as much as the slope hides it reads what it read before, and a number read again cannot be told from one copied: it
/// is not accused. An as-found sheet copies nothing, so there it is.
#[test]
fn a_move_as_large_as_the_slope_hides_in_a_copied_number() {
    let mut now = LEVEL.on(2.0).without_floor();
    now.right = LEVEL.right;
    let was = LEVEL.setup();
    let comparison = between(&was, &now.setup());
    assert_eq!(comparison.common_shift.as_ref().map(|shift| shift.explains.len()), Some(4));
    assert!(moved(&comparison).is_empty());
    let now = now.setup();
    let recorded = State::recorded(Catalogue::standard(), &was);
    let comparison = compare(recorded, recorded.found(&now, None));
    assert_eq!(moved(&comparison), ["right.brake-lever.angle"]);
}

/// The saddle moved, not the levers: nose down by 3° beside the slope.
#[test]
fn the_saddle_that_moved_is_the_one_accused() {
    let mut now = LEVEL.on(-2.0).without_floor();
    now.tilt -= 3.0;
    let comparison = between(&LEVEL.setup(), &now.setup());
    assert_eq!(moved(&comparison), ["saddle.tilt"]);
    let tilt = comparison.changes.iter().find(|change| change.measure == "saddle.tilt").expect("it differs");
    assert_eq!(tilt.moved.as_deref(), Some("3.0° nose down"));
}

#[test]
fn no_common_shift_is_claimed_without_grounds() {
    // Both floors recorded: whatever all angles did, they did.
    let mut turned = LEVEL;
    (turned.left, turned.right, turned.shifter, turned.remote) = (30.0, 31.0, 39.0, 18.0);
    let comparison = between(&LEVEL.setup(), &turned.setup());
    assert!(comparison.common_shift.is_none());
    assert_eq!(moved(&comparison).len(), 4);
    // Levers and nose the same way: no slope does that, and two against two is no majority.
    let mut odd = LEVEL.without_floor();
    (odd.left, odd.right, odd.shifter, odd.remote) = (30.0, 31.0, 43.0, 22.0);
    assert!(between(&LEVEL.without_floor().setup(), &odd.setup()).common_shift.is_none());
    // Two angles alone vouch for nothing.
    let two = |left: f64, right: f64| {
        parse(&format!(
            "setup \"alder/home\" format=1 {{\n left {{ brake-lever {{ angle {left} }} }}\n \
             right {{ brake-lever {{ angle {right} }} }}\n}}"
        ))
    };
    let comparison = between(&two(32.0, 33.0), &two(30.0, 31.0));
    assert!(comparison.common_shift.is_none());
    assert_eq!(moved(&comparison).len(), 2);
    // Nothing would be accused, so there is nothing to explain: all within reading.
    let comparison = between(&LEVEL.without_floor().setup(), &LEVEL.on(0.2).without_floor().setup());
    assert!(comparison.common_shift.is_none() && !comparison.has_moved());
}

/// A floor that is noted later for the same readings moves nothing, with however few angles.
#[test]
fn a_floor_noted_later_accuses_nobody() {
    let with_floor = Angles { floor: Some(1.5), ..LEVEL };
    for (was, now) in [(LEVEL.without_floor(), with_floor), (with_floor, LEVEL.without_floor())] {
        let comparison = between(&was.setup(), &now.setup());
        let told: Vec<&str> = comparison.changes.iter().map(|change| change.measure.as_str()).collect();
        assert_eq!(told, ["floor"]);
        assert!(!comparison.has_moved());
    }
}

/// Right lever less left lever, and saddle tilt plus left lever, on level ground.
struct Pairs;

impl Consequences for Pairs {
    fn of<N: Number>(&self, numbers: &dyn Lookup<N>) -> Vec<Option<N>> {
        let lever = |side| numbers.level(&MeasureId::of(LEVER_ANGLE, side));
        let (left, right) = (lever(Side::Left), lever(Side::Right));
        let tilt = numbers.level(&MeasureId::bike(SADDLE_TILT));
        vec![
            right.zip(left).map(|(right, left)| right - left),
            tilt.zip(left).map(|(tilt, left)| tilt + left),
            left,
        ]
    }
}

/// The floor's reading is one for all angles of a session: it cancels between two of them, whichever way they are
/// counted: u² = 2·0.013333, U = 2·√0.026667 = 0.326599; a single angle carries it: the same 0.326599 for two readings.
/// Between two sessions nothing cancels: 4·0.013333, U = 2·√0.053333 = 0.461880.
#[test]
fn the_floor_cancels_within_a_session_and_not_between_two() {
    let (was, now) = (LEVEL.setup(), LEVEL.on(2.0).setup());
    let catalogue = Catalogue::standard();
    let (was, now) = (State::recorded(catalogue, &was), State::recorded(catalogue, &now));
    let (pairs, inputs, _) = now.propagate(&Pairs);
    let expanded = |place: usize| pairs.output(place).expect("all are read").expanded_uncertainty();
    near(expanded(0), 0.326_599, 1e-6);
    near(expanded(1), 0.326_599, 1e-6);
    near(expanded(2), 0.326_599, 1e-6);
    let floor = inputs.iter().position(|input| input.measure == MeasureId::bike(FLOOR)).expect("it enters");
    let sensitivity = |place: usize| pairs.output(place).expect("all are read").sensitivities[floor];
    near(sensitivity(0), 0.0, 1e-12);
    near(sensitivity(1), 0.0, 1e-12);
    near(sensitivity(2), 1.0, 1e-12);
    let (difference, _) = Difference { from: was, to: now }.propagate(&Pairs);
    let lever = difference.output(2).expect("read on both sides");
    near(lever.value, 0.0, 1e-12);
    near(lever.expanded_uncertainty(), 0.461_880, 1e-6);
}
