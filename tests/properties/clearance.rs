//! The certified clearance against plain dense sampling over random bicycles.
//!
//! The witness shares no code with what it checks: the circle is laid out with nalgebra, the distance is
//! written out here, and every 1e-4° is looked at.

use std::sync::LazyLock;

use clampmark::geometry::{Axis, Capsule, Clearance, Segment, Vector};
use nalgebra::{Rotation3, Unit, Vector3};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;

const GAP: f64 = 0.01;
const PER_DEGREE: u32 = 10_000;
const FARTHEST_STOP: u32 = 80;

/// Cosine and sine of every multiple of 1e-4° up to the farthest stop.
static GRID: LazyLock<Vec<(f64, f64)>> = LazyLock::new(|| {
    (0..=FARTHEST_STOP * PER_DEGREE).map(|step| angle_of(step).sin_cos()).map(|(s, c)| (c, s)).collect()
});

fn angle_of(step: u32) -> f64 {
    (f64::from(step) / f64::from(PER_DEGREE)).to_radians()
}

/// A random bicycle's front: axis, tube and one control's lowest point.
#[derive(Debug, Clone)]
struct Bike {
    head: Vector3<f64>,
    axis: Unit<Vector3<f64>>,
    tube_start: Vector3<f64>,
    tube_end: Vector3<f64>,
    tube_radius: f64,
    point: Vector3<f64>,
    stop: u32,
}

prop_compose! {
    fn bikes()(
        (reach, stack, head_angle) in (360.0..540.0_f64, 540.0..700.0_f64, 60.0..76.0_f64),
        (drop, slope, tube_radius) in (0.0..90.0_f64, -5.0..45.0_f64, 8.0..35.0_f64),
        (ahead, left, up) in (-120.0..140.0_f64, -420.0..420.0_f64, -180.0..90.0_f64),
        stop in 20..=FARTHEST_STOP,
    ) -> Bike {
        let (head_angle, slope) = (head_angle.to_radians(), slope.to_radians());
        let head = Vector3::new(reach, 0.0, stack);
        let axis = Unit::new_normalize(Vector3::new(-head_angle.cos(), 0.0, head_angle.sin()));
        let tube_start = head - axis.scale(drop);
        let tube_end = tube_start + Vector3::new(-slope.cos(), 0.0, -slope.sin()) * 600.0;
        Bike { head, axis, tube_start, tube_end, tube_radius, point: head + Vector3::new(ahead, left, up), stop }
    }
}

fn some_bikes(count: usize) -> impl Iterator<Item = Bike> {
    let mut runner = TestRunner::deterministic();
    (0..count).map(move |_| bikes().new_tree(&mut runner).expect("ranges are not empty").current())
}

fn ours(vector: Vector3<f64>) -> Vector {
    Vector::new(vector.x, vector.y, vector.z)
}

impl Bike {
    fn clearance_of(&self, point: Vector3<f64>) -> Clearance {
        let axis = Axis { point: ours(self.head), direction: ours(*self.axis) };
        let centreline = Segment::new(ours(self.tube_start), ours(self.tube_end));
        Clearance::new(ours(point), &axis, Capsule { centreline, radius: self.tube_radius })
    }

    fn clearance(&self) -> Clearance {
        self.clearance_of(self.point)
    }

    fn turned(&self, degrees: f64) -> Vector3<f64> {
        Rotation3::from_axis_angle(&self.axis, degrees.to_radians()) * (self.point - self.head) + self.head
    }

    fn stop(&self) -> f64 {
        f64::from(self.stop).to_radians()
    }

    fn witness(&self) -> Witness {
        let (straight, back) = (self.point, self.turned(180.0));
        let centre = (straight + back) / 2.0;
        Witness {
            centre,
            straight: straight - centre,
            quarter: self.turned(90.0) - centre,
            start: self.tube_start,
            along: (self.tube_end - self.tube_start) / 600.0,
            radius: self.tube_radius,
        }
    }
}

/// The same clearance, written out a second time.
struct Witness {
    centre: Vector3<f64>,
    straight: Vector3<f64>,
    quarter: Vector3<f64>,
    start: Vector3<f64>,
    along: Vector3<f64>,
    radius: f64,
}

impl Witness {
    fn at(&self, side: f64, (cosine, sine): (f64, f64)) -> f64 {
        let place = self.centre + self.straight * cosine + self.quarter * (side * sine) - self.start;
        let foot = place.dot(&self.along).clamp(0.0, 600.0);
        (place - self.along * foot).norm() - self.radius
    }
}

#[test]
fn every_sample_of_hundreds_of_bikes() {
    for (number, bike) in some_bikes(200).enumerate() {
        let side = if number % 2 == 0 { 1.0 } else { -1.0 };
        let witness = bike.witness();
        let mut sampled = f64::INFINITY;
        let mut first_overlap = None;
        for step in 0..=bike.stop * PER_DEGREE {
            let value = witness.at(side, GRID[step as usize]);
            sampled = sampled.min(value);
            if value <= 0.0 && first_overlap.is_none() {
                first_overlap = Some(angle_of(step));
            }
        }
        check_minimum(&bike, side, sampled);
        check_contact(&bike, side, first_overlap);
    }
}

#[test]
fn thousands_of_bikes() {
    for (number, bike) in some_bikes(2000).enumerate() {
        let side = if number % 2 == 0 { 1.0 } else { -1.0 };
        check_minimum(&bike, side, sampled_with_leaps(&bike, side));
    }
}

/// The least of all samples, leaping over those that cannot be lower than one already seen because a point
/// never comes nearer by more than its way along the circle (the triangle inequality).
fn sampled_with_leaps(bike: &Bike, side: f64) -> f64 {
    let witness = bike.witness();
    let way = witness.straight.norm() * angle_of(1);
    let last = (bike.stop * PER_DEGREE) as usize;
    // A tenth of a degree first: to leap, one must know how low it goes.
    let coarse = (0..=last).step_by(1000).map(|step| witness.at(side, GRID[step]));
    let mut sampled = coarse.fold(f64::INFINITY, f64::min);
    let mut step = 0;
    while step <= last {
        let value = witness.at(side, GRID[step]);
        sampled = sampled.min(value);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "small and not negative")]
        let leap = ((value - sampled) / way) as usize;
        step += leap.max(1);
    }
    sampled
}

fn check_minimum(bike: &Bike, side: f64, sampled: f64) {
    let clearance = bike.clearance();
    let found = clearance.least(0.0, side * bike.stop(), GAP);
    let half_step = clearance.swing() * angle_of(1) / 2.0;
    assert!(found.proven_gap <= GAP, "{bike:?} {found:?}");
    assert!(found.least <= sampled + found.proven_gap + 1e-9, "above {sampled}: {bike:?} {found:?}");
    // The proof allows the gap; the refinement behind it leaves nothing of it on any of these bicycles.
    assert!(found.least <= sampled + 1e-9, "not refined, {sampled}: {bike:?} {found:?}");
    assert!(found.least >= sampled - half_step - 1e-9, "below the truth, {sampled}: {bike:?} {found:?}");
    assert!((clearance.at(found.at).value - found.least).abs() <= 1e-6 + 1e-9, "{bike:?} {found:?}");
    assert!(found.at * side >= 0.0 && found.at.abs() <= bike.stop(), "{bike:?} {found:?}");
}

fn check_contact(bike: &Bike, side: f64, first_overlap: Option<f64>) {
    let found = bike.clearance().first_contact(side * bike.stop());
    let at_contact = found.at.map(|angle| {
        let (sine, cosine) = (side * angle).sin_cos();
        bike.witness().at(side, (cosine, sine))
    });
    match (first_overlap, found.at) {
        (Some(sample), Some(contact)) => assert!(side * contact <= sample + 1e-9, "{bike:?} {found:?}"),
        (Some(_), None) => panic!("a contact was missed: {bike:?}"),
        // Between two samples: then the witness must see it there.
        (None, Some(_)) => assert!(at_contact.unwrap_or(f64::INFINITY) < 1e-8, "{bike:?} {found:?}"),
        (None, None) => {}
    }
    if let Some(value) = at_contact.filter(|_| found.at != Some(0.0)) {
        assert!(value.abs() < 1e-6, "the first contact is where the clearance is zero: {bike:?} {found:?}");
    }
}

#[test]
fn a_contact_between_two_whole_degrees() {
    // By hand: a lever's end 400 mm from an upright axis passes a post of radius 50.002 that stands
    // 450 mm from the axis at 30.5°. Nearest at 30.5°: 450 − 400 − 50.002 = −0.002 mm, an overlap. At 30° and
    // at 31° the distance is √(400² + 450² − 2·400·450·cos 0.5°) = 50.137 mm: 0.135 mm free.
    let axis = Axis { point: Vector::new(0.0, 0.0, 0.0), direction: Vector::new(0.0, 0.0, 1.0) };
    let (sine, cosine) = 30.5_f64.to_radians().sin_cos();
    let post = |height| Vector::new(450.0 * cosine, 450.0 * sine, height);
    let capsule = Capsule { centreline: Segment::new(post(-100.0), post(100.0)), radius: 50.002 };
    let clearance = Clearance::new(Vector::new(400.0, 0.0, 0.0), &axis, capsule);
    for degrees in 0..=80 {
        let free = clearance.at(f64::from(degrees).to_radians()).value;
        assert!(free > 0.1, "a sample each degree sees nothing at {degrees}: {free}");
    }
    let stop = 80.0_f64.to_radians();
    let least = clearance.least(0.0, stop, GAP);
    assert!((least.least + 0.002).abs() < 1e-9 && (least.at.to_degrees() - 30.5).abs() < 1e-6, "{least:?}");
    // Law of cosines: contact where cos t = (400² + 450² − 50.002²)/(2·400·450), t before 30.5°.
    let before = ((400.0_f64.powi(2) + 450.0_f64.powi(2) - 50.002_f64.powi(2)) / 360_000.0).acos();
    let contact = clearance.first_contact(stop).at.expect("it touches");
    assert!((contact - (30.5_f64.to_radians() - before)).abs() < 1e-9, "{contact}");
    assert_eq!(clearance.first_contact(-stop).at, None);
}

proptest! {
    #[test]
    fn a_symmetric_bike_has_a_symmetric_result(bike in bikes()) {
        let mirrored = Vector3::new(bike.point.x, -bike.point.y, bike.point.z);
        let (one, other) = (bike.clearance(), bike.clearance_of(mirrored));
        let (left, right) = (one.least(0.0, bike.stop(), GAP), other.least(0.0, -bike.stop(), GAP));
        prop_assert!((left.least - right.least).abs() < 1e-9);
        prop_assert!((left.at + right.at).abs() < 1e-9, "{left:?} {right:?}");
        let contacts = (one.first_contact(bike.stop()).at, other.first_contact(-bike.stop()).at);
        match contacts {
            (Some(left), Some(right)) => prop_assert!((left + right).abs() < 1e-9),
            (left, right) => prop_assert_eq!(left, right),
        }
    }

    #[test]
    fn a_twist_shifts_every_angle_back(bike in bikes(), twist in -8.0..8.0_f64) {
        let shift = twist.to_radians();
        let twisted = bike.clearance_of(bike.turned(twist));
        let (low, high) = (-bike.stop(), bike.stop());
        let before = bike.clearance().least(low, high, GAP);
        let after = twisted.least(low - shift, high - shift, GAP);
        prop_assert!((before.least - after.least).abs() < 1e-9, "{before:?} {after:?}");
        for angle in [low, 0.3 * low, 0.0, 0.7 * high] {
            let straight = bike.clearance().at(angle).value;
            prop_assert!((straight - twisted.at(angle - shift).value).abs() < 1e-9);
        }
        // A tube that starts on the axis keeps its distance while its end is nearest; of a clearance that is
        // constant the smallest turn is reported, which a twist moves otherwise.
        let constant = (bike.clearance().at(0.0).value - before.least).abs() < 1e-3;
        if !constant {
            prop_assert!((before.at - shift - after.at).abs() < 1e-6, "{before:?} {after:?}");
        }
    }
}
