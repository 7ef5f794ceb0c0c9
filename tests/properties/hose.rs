//! The closed forms of a hose's chord against plain sampling, turned by nalgebra.

use clampmark::geometry::{Axis, Hose, Vector};
use nalgebra::{Rotation3, Unit, Vector3};
use proptest::prelude::*;

const STEPS: i32 = 4000;

fn ours(vector: Vector3<f64>) -> Vector {
    Vector::new(vector.x, vector.y, vector.z)
}

fn point() -> impl Strategy<Value = Vector3<f64>> {
    (-150.0..150.0_f64, -400.0..400.0_f64, -250.0..100.0_f64).prop_map(|(x, y, z)| Vector3::new(x, y, z))
}

/// The first turn to one side at which a sample is at least as long as the hose.
fn first_tight(chords: impl Iterator<Item = (f64, f64)>, free: f64) -> Option<f64> {
    chords.filter(|(_, chord)| *chord >= free).map(|(angle, _)| angle).next()
}

proptest! {
    #[test]
    fn the_chord_over_the_whole_range(
        exit in point(),
        entry in point(),
        head_angle in 60.0..76.0_f64,
        free in 150.0..800.0_f64,
        limit in 30.0..180.0_f64,
    ) {
        let (head_angle, limit) = (head_angle.to_radians(), limit.to_radians());
        let direction = Unit::new_normalize(Vector3::new(-head_angle.cos(), 0.0, head_angle.sin()));
        let axis = Axis { point: Vector::new(0.0, 0.0, 0.0), direction: ours(*direction) };
        let hose = Hose::new(ours(exit), ours(entry), &axis, free, limit);
        let step = limit / f64::from(STEPS);
        let chord = |angle: f64| (Rotation3::from_axis_angle(&direction, angle) * exit - entry).norm();
        let side = |sign: f64| (0..=STEPS).map(move |k| sign * step * f64::from(k)).map(|a| (a, chord(a)));

        let all = || side(1.0).chain(side(-1.0)).map(|(_, chord)| chord);
        let (longest, shortest) = (all().fold(0.0, f64::max), all().fold(f64::INFINITY, f64::min));
        // The exit moves by its distance from the axis, at most 500 mm, per radian.
        let between = 500.0 * step;
        prop_assert!(hose.longest.chord >= longest - 1e-6 && hose.longest.chord <= longest + between);
        prop_assert!(hose.shortest.chord <= shortest + 1e-6 && hose.shortest.chord >= shortest - between);
        prop_assert!((chord(hose.longest.at) - hose.longest.chord).abs() < 1e-6);
        prop_assert!((chord(hose.shortest.at) - hose.shortest.chord).abs() < 1e-6);
        prop_assert!((hose.slack - (free - hose.longest.chord)).abs() < 1e-9);

        for (sign, found) in [(1.0, hose.tight_left), (-1.0, hose.tight_right)] {
            match (first_tight(side(sign), free), found) {
                (Some(sample), Some(tight)) => {
                    prop_assert!((sample - tight) * sign > -1e-9 && (sample - tight).abs() <= step + 1e-9);
                }
                (None, Some(tight)) => prop_assert!((chord(tight) - free).abs() < 1e-6),
                (sample, None) => prop_assert_eq!(sample, None),
            }
        }
    }
}
