//! The chain from frame to grip against one built of rigid motions by a library for them, and by hand.

use clampmark::catalogue::Side;
use clampmark::geometry::cockpit::Hands;
use clampmark::geometry::derived::{All, find};
use clampmark::geometry::state::Consequences;
use nalgebra::{Isometry3, Point3, Rotation3, Translation3, Vector3};
use proptest::prelude::*;

use crate::bikes::{Numbers, PARTS};

/// Where a bar's shape comes from.
#[derive(Clone, Copy, Debug)]
struct Bar {
    supplied_width: f64,
    setback: Option<f64>,
}

fn turn(axis: Vector3<f64>, degrees: f64) -> Isometry3<f64> {
    let angle = degrees.to_radians();
    Isometry3::from_parts(Translation3::identity(), Rotation3::new(axis * angle).into())
}

fn move_by(x: f64, y: f64, z: f64) -> Isometry3<f64> {
    Isometry3::translation(x, y, z)
}

/// The grip point by composing rigid motions: to the head tube's top, lean back, steer, climb, stem out, roll, offset.
/// The bar's end is walked to along its straight outer part, from where the maker's figures hold.
fn by_motions(value: &dyn Fn(&str) -> f64, bar: Bar, side: f64, hand: f64) -> Point3<f64> {
    let y = Vector3::y();
    let climb = value("headset.cover") + value("steerer.spacers-below") + value("stem.clamp-height") / 2.0;
    let to_bar = move_by(value("frame.reach"), 0.0, value("frame.stack"))
        * turn(y, value("frame.head-angle") - 90.0)
        * turn(Vector3::z(), value("stem.twist"))
        * move_by(0.0, 0.0, climb)
        * turn(y, -value("stem.angle"))
        * move_by(value("stem.length"), 0.0, 0.0)
        * turn(y, value("stem.angle"))
        * turn(y, value("bar.roll"))
        * move_by(0.0, value("bar.offset"), 0.0);
    let back = value("bar.back-sweep").to_radians().tan();
    let up = value("bar.up-sweep").to_radians().tan();
    let outward = Vector3::new(-back, side, up);
    let half = bar.supplied_width / 2.0;
    let behind = match bar.setback {
        Some(setback) => setback,
        None => back * (half - value("bar.bend")),
    };
    let supplied_end = Point3::new(-behind, side * half, value("bar.rise"));
    let end = supplied_end - outward * (half - value("bar.width") / 2.0);
    to_bar * (end - outward.normalize() * hand)
}

fn numbers(values: &[f64], bar: Bar) -> Numbers {
    let mut numbers = Numbers::new().with("bar.supplied-width", bar.supplied_width);
    for ((path, ..), value) in PARTS.iter().zip(values) {
        numbers = numbers.with(path, *value);
    }
    match bar.setback {
        Some(setback) => numbers.with("bar.setback", setback),
        None => numbers,
    }
}

fn values() -> impl Strategy<Value = Vec<f64>> {
    PARTS.iter().map(|&(_, low, high, _)| low..high).collect::<Vec<_>>()
}

fn bars() -> impl Strategy<Value = Bar> {
    (800.0..820.0, proptest::option::of(10.0..70.0))
        .prop_map(|(supplied_width, setback)| Bar { supplied_width, setback })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, ..ProptestConfig::default() })]

    #[test]
    fn grip_points_are_where_rigid_motions_put_them(values in values(), bar in bars()) {
        let hands = Hands::of(&numbers(&values, bar)).expect("nothing is missing");
        let value = |path: &str| values[PARTS.iter().position(|part| part.0 == path).unwrap()];
        for (side, sign, hand) in
            [(Side::Left, 1.0, value("left.grip.hand")), (Side::Right, -1.0, value("right.grip.hand"))]
        {
            let expected = by_motions(&value, bar, sign, hand);
            let grip = hands.grip(side);
            let far = (Point3::new(grip.x, grip.y, grip.z) - expected).norm();
            prop_assert!(far < 1e-9, "{side}: {far} mm apart");
        }
    }
}

/// A bike whose steering axis stands upright: forward is forward and up is up.
fn upright() -> Numbers {
    [
        ("frame.reach", 400.0),
        ("frame.stack", 600.0),
        ("frame.head-angle", 90.0),
        ("headset.cover", 10.0),
        ("steerer.spacers-below", 20.0),
        ("stem.length", 50.0),
        ("stem.angle", 0.0),
        ("stem.clamp-height", 40.0),
        ("stem.twist", 0.0),
        ("bar.width", 700.0),
        ("bar.rise", 30.0),
        ("bar.back-sweep", 0.0),
        ("bar.up-sweep", 0.0),
        ("bar.setback", 0.0),
        ("bar.roll", 0.0),
        ("bar.offset", 0.0),
        ("left.grip.hand", 60.0),
        ("right.grip.hand", 60.0),
    ]
    .into_iter()
    .fold(Numbers::new(), |numbers, (path, value)| numbers.with(path, value))
}

#[track_caller]
fn grips_are(numbers: &Numbers, left: [f64; 3], right: [f64; 3]) {
    let hands = Hands::of(numbers).expect("nothing is missing");
    for (side, expected) in [(Side::Left, left), (Side::Right, right)] {
        let grip = hands.grip(side);
        let found = [grip.x, grip.y, grip.z];
        let close = found.iter().zip(expected).all(|(found, expected)| (found - expected).abs() < 1e-9);
        assert!(close, "{side}: {found:?} is not {expected:?}");
    }
}

#[test]
fn hand_cases_on_an_upright_axis() {
    // Forward 400 + 50; aside 350 − 60; up 600 + 10 + 20 + 20 + 30.
    grips_are(&upright(), [450.0, 290.0, 680.0], [450.0, -290.0, 680.0]);
    // 5 mm to the rider's left.
    grips_are(&upright().with("bar.offset", 5.0), [450.0, 295.0, 680.0], [450.0, -285.0, 680.0]);
    // Twisted a quarter turn to the left: what was 50 ahead of the axis is 50 left of it, what was left is behind.
    grips_are(&upright().with("stem.twist", 90.0), [110.0, 50.0, 680.0], [690.0, 50.0, 680.0]);
    // Rolled a quarter forward: the rise points forward, 30 ahead of the clamp's centre at 650.
    grips_are(&upright().with("bar.roll", 90.0), [480.0, 290.0, 650.0], [480.0, -290.0, 650.0]);
    // A rise of 30° on a stem of 50: 25 up, 43.30127 forward.
    grips_are(
        &upright().with("stem.angle", 30.0),
        [400.0 + 25.0 * 3.0_f64.sqrt(), 290.0, 705.0],
        [400.0 + 25.0 * 3.0_f64.sqrt(), -290.0, 705.0],
    );
    // Swept back 45°, ends where they were: 60 along the grip is 60/√2 forward and 60/√2 inward.
    let along = 60.0 / 2.0_f64.sqrt();
    grips_are(
        &upright().with("bar.back-sweep", 45.0),
        [450.0 + along, 350.0 - along, 680.0],
        [450.0 + along, -350.0 + along, 680.0],
    );
    // Swept up 45°: 60 along the grip is 60/√2 down and inward.
    grips_are(
        &upright().with("bar.up-sweep", 45.0),
        [450.0, 350.0 - along, 680.0 - along],
        [450.0, -350.0 + along, 680.0 - along],
    );
    // Cut from 720, swept back 45°: the ends, 10 nearer the middle, come 10 forward; so do the hands.
    grips_are(
        &upright().with("bar.back-sweep", 45.0).with("bar.supplied-width", 720.0),
        [460.0 + along, 350.0 - along, 680.0],
        [460.0 + along, -350.0 + along, 680.0],
    );
}

fn trail(wheel_radius: f64, fork_offset: f64, head_angle: f64) -> f64 {
    let bike = Numbers::new()
        .with("frame.wheel-radius", wheel_radius)
        .with("frame.fork-offset", fork_offset)
        .with("frame.head-angle", head_angle);
    let (place, _) = find("trail").expect("trail is in the list");
    All.of::<f64>(&bike)[place].expect("nothing is missing")
}

/// Meijaard, Papadopoulos, Ruina and Schwab, Proc. R. Soc. A 463 (2007), table 1: front wheel radius 0.35 m, steer axis
/// tilt π/10, trail 0.08 m. Their offset d = r·sin λ − c·cos λ is 32.0714267276193 mm.
#[test]
fn trail_of_the_benchmark_bicycle() {
    assert!((trail(350.0, 32.071_426_727_619_3, 72.0) - 80.0).abs() < 1e-9);
    // No offset: r·tan λ = 350·tan 18°.
    assert!((trail(350.0, 0.0, 72.0) - 113.721_893_681_5).abs() < 1e-9);
}

/// The same definition worked out with a calculator for mountain bikes.
#[test]
fn trail_of_mountain_bikes() {
    for (wheel_radius, fork_offset, head_angle, expected) in [
        (371.0, 44.0, 65.0, 124.451_51),
        (371.0, 44.0, 64.0, 131.994_30),
        (350.0, 45.0, 66.5, 103.114_48),
        (340.0, 45.0, 73.0, 56.892_30),
    ] {
        let found = trail(wheel_radius, fork_offset, head_angle);
        assert!((found - expected).abs() < 1e-5, "{found} is not {expected}");
    }
}
