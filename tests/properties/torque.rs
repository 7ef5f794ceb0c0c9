//! Laws of the wrench window.

use clampmark::torque::{Extension, Range, deviation_that_would_do, window};
use proptest::prelude::*;

/// Rounding of a few operations on torques of at most 150 N·m.
const ROUNDING: f64 = 1e-9;

fn ranges() -> impl Strategy<Value = Range> {
    (0.1..100.0_f64, 1.0..1.5_f64).prop_map(|(from, times)| Range { from, to: from * times })
}

proptest! {
    /// ISO 6789: deviation = (setting − true)/true, so a setting S stands for the true torque S/(1 + deviation).
    #[test]
    fn a_setting_in_the_window_keeps_the_true_torque_inside(
        range in ranges(),
        permitted in 0.0..0.2_f64,
        place in 0.0..=1.0_f64,
        share in -1.0..=1.0_f64,
    ) {
        if let Some(settings) = window(range, permitted) {
            let setting = settings.from + place * (settings.to - settings.from);
            let truly = setting / (1.0 + share * permitted);
            prop_assert!(truly >= range.from - ROUNDING && truly <= range.to + ROUNDING);
        }
    }

    /// Outside the window some permitted deviation leaves the range: the window is not smaller than it need be.
    #[test]
    fn a_setting_outside_the_window_can_leave_the_range(
        range in ranges(),
        permitted in 0.0..0.2_f64,
        beyond in 0.001..1.0_f64,
    ) {
        if let Some(settings) = window(range, permitted) {
            prop_assert!((settings.from - beyond) / (1.0 + permitted) < range.from);
            prop_assert!((settings.to + beyond) / (1.0 - permitted) > range.to);
        }
    }

    #[test]
    fn there_are_settings_just_when_the_deviation_would_do(range in ranges(), permitted in 0.0..0.3_f64) {
        let would_do = deviation_that_would_do(range);
        // At the very border rounding decides.
        prop_assume!((would_do - permitted).abs() > 1e-6);
        prop_assert_eq!(window(range, permitted).is_some(), permitted < would_do);
    }

    /// The bolt feels the setting times (L + E·cos δ)/L, whatever the extension.
    #[test]
    fn an_extension_and_its_lever_cancel(
        torque in 0.1..100.0_f64,
        wrench in 50.0..600.0_f64,
        extension in 0.0..200.0_f64,
        angle in -180.0..=180.0_f64,
    ) {
        if let Some(made) = Extension::new(wrench, extension, angle) {
            let setting = made.settings(Range { from: torque, to: torque }).from;
            let at_bolt = setting * (wrench + extension * angle.to_radians().cos()) / wrench;
            prop_assert!((at_bolt / torque - 1.0).abs() < 1e-9);
        }
    }
}
