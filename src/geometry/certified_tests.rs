//! Checks of the certified searches on curves whose minima and zeros are known by hand.

use super::*;

/// A cosine wave: its second derivative is at most its height, so height is a valid swing.
fn wave(height: f64, crest: f64, lift: f64) -> impl Fn(f64) -> Sample {
    move |angle| Sample {
        value: lift + height * (angle - crest).cos(),
        slope: -height * (angle - crest).sin(),
    }
}

#[test]
fn an_inner_minimum_is_found_far_better_than_the_gap() {
    // By hand: 500 + 400·cos(φ + 2) is least at φ = π − 2, where it is 100.
    let least = certified_minimum(wave(400.0, -2.0, 500.0), 400.0, 0.0, 1.4, 0.01);
    assert!((least.least - 100.0).abs() < 1e-9);
    assert!((least.at - (std::f64::consts::PI - 2.0)).abs() < 1e-9);
    assert!(least.proven_gap <= 0.01);
    assert!(least.evaluations < 60, "{}", least.evaluations);
}

#[test]
#[expect(clippy::float_cmp, reason = "exact in binary")]
fn a_falling_curve_is_least_at_the_end() {
    let least = certified_minimum(wave(400.0, 0.0, 500.0), 400.0, 0.0, 1.0, 0.01);
    assert_eq!(least.at, 1.0);
    assert!((least.least - (500.0 + 400.0 * 1.0_f64.cos())).abs() < 1e-12);
}

#[test]
fn the_range_may_be_given_in_either_order() {
    let forth = certified_minimum(wave(400.0, 0.3, 500.0), 400.0, -1.0, 0.5, 0.01);
    let back = certified_minimum(wave(400.0, 0.3, 500.0), 400.0, 0.5, -1.0, 0.01);
    assert_eq!(forth, back);
}

#[test]
fn a_constant_is_least_straight_ahead() {
    let level = |_| Sample { value: 7.0, slope: 0.0 };
    for (low, high, nearest) in [(-1.0, 1.0, 0.0), (0.0, 1.0, 0.0), (0.2, 1.0, 0.2), (-1.0, -0.3, -0.3)] {
        let least = certified_minimum(level, 400.0, low, high, 0.01);
        assert_eq!((least.least, least.at), (7.0, nearest));
        assert!(least.proven_gap <= 0.01);
    }
}

#[test]
fn a_point_on_the_axis_needs_no_search() {
    let level = |_| Sample { value: 7.0, slope: 0.0 };
    let least = certified_minimum(level, 0.0, -1.0, 1.0, 0.01);
    assert_eq!((least.least, least.at, least.proven_gap, least.evaluations), (7.0, 0.0, 0.0, 3));
    assert_eq!(first_contact(level, 0.0, 3.0).at, None);
}

#[test]
fn of_equal_minima_the_smallest_turn_counts() {
    // By hand: cos 3φ is −1 at ±60° and at 180°. Its second derivative is at most 9.
    let three = |angle: f64| Sample { value: (3.0 * angle).cos(), slope: -3.0 * (3.0 * angle).sin() };
    let least = certified_minimum(three, 9.0, -0.5, std::f64::consts::PI, 1e-4);
    assert!((least.at.to_degrees() - 60.0).abs() < 1e-6, "{least:?}");
    assert!((least.least + 1.0).abs() < 1e-12);
    // Both sides equal: the left one is named.
    let both = certified_minimum(three, 9.0, -1.5, 1.5, 1e-4);
    assert!((both.at.to_degrees() - 60.0).abs() < 1e-6, "{both:?}");
}

#[test]
fn a_gap_out_of_reach_is_reported_as_it_is() {
    let level = |_| Sample { value: 7.0, slope: 0.0 };
    let least = certified_minimum(level, 400.0, -3.0, 3.0, 0.0);
    assert!(least.proven_gap > 0.0 && least.proven_gap < 1e-4);
    assert!(least.evaluations <= 200_000);
}

#[test]
fn what_is_no_number_proves_nothing_and_ends() {
    let nothing = |_| Sample { value: f64::NAN, slope: f64::NAN };
    let least = certified_minimum(nothing, 400.0, -1.0, 1.0, 0.01);
    assert!(least.least.is_nan() && least.proven_gap.is_infinite());
    let partly = |angle: f64| Sample { value: (0.3 - angle).sqrt(), slope: 0.0 };
    assert!(certified_minimum(partly, 400.0, -1.0, 1.0, 0.01).proven_gap.is_infinite());
    assert_eq!(first_contact(nothing, 400.0, 1.0).at, Some(0.0));
}

#[test]
fn the_first_of_two_contacts_is_found_from_either_side() {
    // By hand: 100 + 400·cos(φ + 2) is zero where cos(φ + 2) = −1/4: φ = ±acos(−1/4) − 2 and + 2π.
    let zero = (-0.25_f64).acos();
    let left = first_contact(wave(400.0, -2.0, 100.0), 400.0, 3.0);
    // Straight ahead 100 + 400·cos 2 is −66: already overlapping.
    assert_eq!(left.at, Some(0.0));
    let left = first_contact(wave(400.0, -1.0, 100.0), 400.0, 3.0);
    assert!((left.at.unwrap() - (zero - 1.0)).abs() < 1e-9, "{left:?}");
    let right = first_contact(wave(400.0, -1.0, 100.0), 400.0, -3.0);
    assert!((right.at.unwrap() + zero + 1.0).abs() < 1e-9, "{right:?}");
    // The slope there: −400·sin(acos(−1/4)) = −400·√(15/16).
    assert!((left.slope + 400.0 * (15.0_f64 / 16.0).sqrt()).abs() < 1e-6);
    assert!(left.evaluations < 30, "{}", left.evaluations);
}

#[test]
fn a_near_miss_is_no_contact_and_a_graze_is_one() {
    // By hand: lift + 400·cos(φ − 2.5 + π) is least at φ = 2.5 − 2π·0 with lift − 400.
    let crest = 2.0 - std::f64::consts::PI;
    let miss = first_contact(wave(400.0, crest, 400.0 + 1e-6), 400.0, 3.0);
    assert_eq!(miss.at, None);
    let graze = first_contact(wave(400.0, crest, 400.0 - 1e-6), 400.0, 3.0);
    // 400·(1 − cos t) = 1e-6 for t = √(2·1e-6/400) = 7.07e-5 before the lowest place.
    let before = (2e-6_f64 / 400.0).sqrt();
    assert!((graze.at.unwrap() - (2.0 - before)).abs() < 1e-8, "{graze:?}");
}

#[test]
fn a_contact_beyond_the_stop_does_not_count() {
    let zero = (-0.25_f64).acos() - 1.0;
    assert_eq!(first_contact(wave(400.0, -1.0, 100.0), 400.0, zero - 1e-6).at, None);
    assert!(first_contact(wave(400.0, -1.0, 100.0), 400.0, zero + 1e-6).at.is_some());
}
