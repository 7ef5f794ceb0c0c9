//! Rotations about an axis.
//!
//! Source of the tables: scipy 1.17.1, `scipy.spatial.transform.Rotation`, to 12 decimals; for the steering
//! table, axes of ISO 8855 and a head angle of 65°. Second witness: nalgebra, `Rotation3`.

use clampmark::geometry::{Axis, Vector};
use nalgebra::{Rotation3, Unit, Vector3};

const ORIGIN: Vector = Vector::new(0.0, 0.0, 0.0);

fn turned(axis: [f64; 3], radians: f64, vector: [f64; 3]) -> Vector {
    let axis = Axis::new(ORIGIN, Vector::new(axis[0], axis[1], axis[2])).unwrap();
    Vector::new(vector[0], vector[1], vector[2]).rotated_about(&axis, radians)
}

fn assert_near(actual: Vector, expected: [f64; 3], tolerance: f64) {
    let difference = actual - Vector::new(expected[0], expected[1], expected[2]);
    assert!(difference.norm() <= tolerance, "{actual:?} is not {expected:?}");
}

/// Axis, degrees, vector, the vector turned.
type Row = ([f64; 3], f64, [f64; 3], [f64; 3]);

#[test]
fn vectors_turned_about_an_axis() {
    let table: [Row; 11] = [
        ([0.0, 0.0, 1.0], 90.0, [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]),
        ([1.0, 0.0, 0.0], 90.0, [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]),
        ([0.0, 1.0, 0.0], -90.0, [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]),
        ([0.0, 1.0, 0.0], 18.0, [0.0, 0.0, 1.0], [0.309_016_994_375, 0.0, 0.951_056_516_295]),
        ([1.0, 1.0, 1.0], 120.0, [1.0, 2.0, 3.0], [3.0, 1.0, 2.0]),
        ([1.0, 1.0, 0.0], 180.0, [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]),
        ([0.0, 0.0, 1.0], 180.0, [1.0, 2.0, 3.0], [-1.0, -2.0, 3.0]),
        ([0.3, -0.2, 0.7], 0.0, [1.0, 2.0, 3.0], [1.0, 2.0, 3.0]),
        ([0.3, -0.2, 0.7], 360.0, [1.0, 2.0, 3.0], [1.0, 2.0, 3.0]),
        ([1.0, 2.0, 3.0], 40.0, [1.0, 0.0, 0.0], [0.782_755_554_325, 0.548_798_866_964, -0.293_451_096_084]),
        ([1.0, 2.0, 3.0], 40.0, [0.3, -0.4, 1.2], [0.900_069_751_136, -0.254_346_552_227, 0.902_874_451_106]),
    ];
    for (axis, degrees, vector, expected) in table {
        assert_near(turned(axis, degrees.to_radians(), vector), expected, 2e-12);
    }
    // A microradian: nothing is lost to cancellation.
    let expected = [0.999_996_785_449, 2.000_000_207_389, 3.000_000_933_256];
    assert_near(turned([0.2, -0.5, 0.8], 1e-6, [1.0, 2.0, 3.0]), expected, 2e-12);
}

#[test]
fn the_matrix_of_a_rotation() {
    let rows = [
        [0.782_755_554_325, -0.481_954_422_141, 0.393_717_763_319],
        [0.548_798_866_964, 0.832_888_887_942, -0.071_525_547_616],
        [-0.293_451_096_084, 0.272_058_882_085, 0.916_444_443_971],
    ];
    let units = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
    for (column, unit) in units.into_iter().enumerate() {
        let expected = [rows[0][column], rows[1][column], rows[2][column]];
        assert_near(turned([1.0, 2.0, 3.0], 40.0_f64.to_radians(), unit), expected, 2e-12);
    }
}

#[test]
fn the_order_of_rotations_matters() {
    let quarter = 90.0_f64.to_radians();
    let (x, z) = ([1.0, 0.0, 0.0], [0.0, 0.0, 1.0]);
    let both = |first, second| {
        let once = turned(first, quarter, [0.0, 1.0, 0.0]);
        turned(second, quarter, [once.x, once.y, once.z])
    };
    assert_near(both(x, z), [0.0, 0.0, 1.0], 1e-15);
    assert_near(both(z, x), [-1.0, 0.0, 0.0], 1e-15);
}

#[test]
fn steering_turns_left_for_a_positive_angle() {
    let head_angle = 65.0_f64.to_radians();
    let axis = [-head_angle.cos(), 0.0, head_angle.sin()];
    // Steer; what forward, left and the point (0.05, 0.39, 0.02) become.
    let table = [
        (
            10.0_f64,
            [0.987_521_182_443, 0.157_378_695_624, -0.005_818_968_192],
            [-0.157_378_695_624, 0.984_807_753_012, -0.073_386_891],
            [-0.012_118_011_535, 0.393_411_696_276, -0.008_966_104_488],
        ),
        (
            -10.0,
            [0.987_521_182_443, -0.157_378_695_624, -0.005_818_968_192],
            [0.157_378_695_624, 0.984_807_753_012, 0.073_386_891],
            [0.110_637_371_052, 0.374_738_351_074, 0.048_275_670_492],
        ),
        (
            60.0,
            [0.589_303_097_578, 0.784_885_567_221, -0.191_511_110_780],
            [-0.784_885_567_221, 0.5, -0.365_998_150_771],
            [-0.280_470_438_553, 0.241_564_241_376, -0.134_100_896_291],
        ),
        (
            90.0,
            [0.178_606_195_157, 0.906_307_787_037, -0.383_022_221_559],
            [-0.906_307_787_037, 0.0, -0.422_618_261_741],
            [-0.352_190_171_618, 0.053_767_754_587, -0.167_544_357_060],
        ),
    ];
    for (degrees, forward, left, point) in table {
        let angle = degrees.to_radians();
        assert_near(turned(axis, angle, [1.0, 0.0, 0.0]), forward, 2e-12);
        assert_near(turned(axis, angle, [0.0, 1.0, 0.0]), left, 2e-12);
        assert_near(turned(axis, angle, [0.05, 0.39, 0.02]), point, 2e-12);
    }
}

#[test]
fn nalgebra_turns_the_same_way() {
    for step in 0..200 {
        let step = f64::from(step);
        let axis = Vector3::new((step * 0.7).sin(), (step * 1.3).cos(), 0.4 + (step * 0.2).sin().abs());
        let centre = Vector3::new(450.0 + step, -step, 600.0);
        let point = Vector3::new(3.0 * step, 400.0 - step, 700.0);
        let angle = (step - 100.0) * 0.031;
        let expected =
            Rotation3::from_axis_angle(&Unit::new_normalize(axis), angle) * (point - centre) + centre;
        let ours = Vector::new(point.x, point.y, point.z).rotated_about(
            &Axis::new(Vector::new(centre.x, centre.y, centre.z), Vector::new(axis.x, axis.y, axis.z))
                .unwrap(),
            angle,
        );
        assert_near(ours, expected.into(), 1e-11);
    }
}
