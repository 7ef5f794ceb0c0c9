//! Circular segments.
//!
//! Sources: Machinery's Handbook, 31st edition, page 83, equations 1 to 24: c = 2r·sin(α/2),
//! h = r·(1 − cos(α/2)), l = π·r·α/180, h = (c/2)·tan(α/4), r = (c² + 4h²)/8h. The table for a radius of 1 was
//! computed with numpy 2.4.6 to five decimals (the printed table was not seen).

use clampmark::geometry::Arc;

/// Degrees, height for a radius of 1, chord for a radius of 1.
#[expect(clippy::approx_constant, reason = "the table's own digits")]
const UNIT_RADIUS: [(f64, f64, f64); 14] = [
    (1.0, 0.000_04, 0.017_45),
    (5.0, 0.000_95, 0.087_24),
    (10.0, 0.003_81, 0.174_31),
    (15.0, 0.008_56, 0.261_05),
    (20.0, 0.015_19, 0.347_30),
    (30.0, 0.034_07, 0.517_64),
    (45.0, 0.076_12, 0.765_37),
    (60.0, 0.133_97, 1.000_00),
    (75.0, 0.206_65, 1.217_52),
    (90.0, 0.292_89, 1.414_21),
    (120.0, 0.500_00, 1.732_05),
    (135.0, 0.617_32, 1.847_76),
    (150.0, 0.741_18, 1.931_85),
    (180.0, 1.000_00, 2.000_00),
];

#[test]
fn segments_of_radius_one() {
    for (degrees, height, chord) in UNIT_RADIUS {
        // Eqs. c and l of the handbook; the table's five decimals would not determine a flat arc.
        let exact_chord = 2.0 * (degrees / 2.0).to_radians().sin();
        assert!((exact_chord - chord).abs() <= 0.5e-5);
        let arc = Arc::over(exact_chord, degrees.to_radians()).unwrap();
        assert!((arc.angle.to_degrees() - degrees).abs() < 1e-9, "{degrees}: {arc:?}");
        assert!((arc.radius - 1.0).abs() < 1e-10, "{degrees}: {arc:?}");
        assert!((arc.sagitta - height).abs() <= 0.5e-5, "{degrees}: {arc:?}");
    }
}

#[test]
fn worked_examples() {
    // Chord, arc; radius, degrees, height; how far the printed digits determine the result.
    let examples: [(f64, f64, f64, f64, f64, f64); 4] = [
        // A mathematics program's help page, c 21 and h 6, recomputed with numpy 2.4.6.
        (21.0, 25.308_373, 12.187_5, 118.979_53, 6.0, 2e-6),
        // The same page, l 1 and α 45°.
        (0.974_495_36, 1.0, 1.273_239_5, 45.0, 0.096_919_589, 1e-6),
        // The same page, r 10 and h 4.
        (16.0, 18.545_904, 10.0, 106.260_205, 4.0, 2e-6),
        // c 1.2 and h 0.5, numpy 2.4.6; by hand r = (1.44 + 1)/4 = 0.61.
        (1.2, 1.695_161, 0.61, 2.778_953_f64.to_degrees(), 0.5, 2e-6),
    ];
    for (chord, length, radius, degrees, height, tolerance) in examples {
        let arc = Arc::over(chord, length).unwrap();
        assert!((arc.radius / radius - 1.0).abs() < tolerance, "{arc:?} should have radius {radius}");
        assert!((arc.angle.to_degrees() / degrees - 1.0).abs() < tolerance, "{arc:?}, not {degrees} degrees");
        assert!((arc.sagitta / height - 1.0).abs() < tolerance, "{arc:?} should have height {height}");
    }
}

#[test]
fn the_handbook_relations_hold_for_any_hose() {
    for length in [180.0, 420.0, 910.0] {
        for tenths in 1..10 {
            let chord = length * f64::from(tenths) / 10.0;
            let arc = Arc::over(chord, length).unwrap();
            let (height, radius) = (arc.sagitta, arc.radius);
            assert!((height - chord / 2.0 * (arc.angle / 4.0).tan()).abs() < 1e-9);
            assert!((radius - (chord * chord + 4.0 * height * height) / (8.0 * height)).abs() < 1e-9);
            assert!((arc.angle - 4.0 * (2.0 * height / chord).atan()).abs() < 1e-12);
        }
    }
}
