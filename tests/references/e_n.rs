//! Worked figures for the `E_n` score of ISO 13528 and ISO/IEC 17043.

use clampmark::metrology::{Verdict, judge, normalised_error};

#[track_caller]
fn within(got: f64, expected: f64, tolerance: f64) {
    assert!((got - expected).abs() <= tolerance, "{got} is not {expected} within {tolerance}");
}

#[test]
fn gear_diameters() {
    // A national metrology institute's statistics manual, gear-diameter example, second-hand: reference 1.000,
    // results 1.006, 0.996, 0.998, 1.000 score 0.393, −0.262, −0.131, 0.000, all satisfactory.
    // The standard deviations behind the two expanded uncertainties are from memory; they hit all four figures.
    let expanded = (2.0 * 0.004_346_13_f64).hypot(2.0 * 0.006_278_9);
    for (result, score, verdict) in [
        (1.006, 0.393, Verdict::WithinReading),
        (0.996, 0.262, Verdict::WithinReading),
        (0.998, 0.131, Verdict::WithinReading),
        (1.000, 0.000, Verdict::Same),
    ] {
        within(normalised_error(result - 1.000, expanded), score, 5e-4);
        assert_eq!(judge(result - 1.000, expanded), verdict);
    }
}

#[test]
fn right_angled_uncertainties() {
    // By hand: U = √(0.3² + 0.4²) = 0.5; 0.2/0.5, 0.5/0.5, 0.6/0.5. Satisfactory up to and including 1.
    let expanded = 0.3_f64.hypot(0.4);
    for (result, score, verdict) in [
        (10.2, 0.4, Verdict::WithinReading),
        (10.5, 1.0, Verdict::WithinReading),
        (10.6, 1.2, Verdict::Moved),
        (9.4, 1.2, Verdict::Moved),
    ] {
        within(normalised_error(result - 10.0, expanded), score, 1e-9);
        assert_eq!(judge(result - 10.0, expanded), verdict, "{result}");
    }
}

#[test]
fn the_boundary_survives_rounding() {
    // By hand, 5-12-13: U = √(0.12² + 0.05²) = 0.13 and 5.13 − 5.00 = 0.13, so E_n = 1 and not more, although
    // neither 5.13 − 5.00 nor the root is exactly 0.13 in binary.
    let expanded = 0.12_f64.hypot(0.05);
    within(normalised_error(5.13 - 5.00, expanded), 1.0, 1e-9);
    assert_eq!(judge(5.13 - 5.00, expanded), Verdict::WithinReading);
    assert_eq!(judge(5.00 - 5.13, expanded), Verdict::WithinReading);
    // By hand 0.3/0.3 = 1, but 1.3 − 1.0 is 0.30000000000000004 in binary.
    assert!(normalised_error(1.3 - 1.0, 0.3) > 1.0);
    assert_eq!(judge(1.3 - 1.0, 0.3), Verdict::WithinReading);
    assert_eq!(judge(0.13 * (1.0 + 1e-8), 0.13), Verdict::Moved);
}
