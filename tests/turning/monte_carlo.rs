//! The uncertainty of a least clearance against a simulation of the readings (JCGM 101): each trial is a bike of its
//! own whose least clearance is searched anew, so this also tries the claim that the place of a minimum does not
//! count to first order.

use clampmark::geometry::turning::Way;

use super::support::{control, near, turned, usual};

/// Every reading of the usual bike that the left lever's clearance rests on, with the half-width that the table of
/// measures gives it where the file gives none.
const READINGS: &[(&str, f64, f64)] = &[
    ("reach ", 470.0, 1.0),
    ("stack ", 630.0, 1.0),
    ("head-angle ", 64.5, 0.3),
    ("steering-stop ", 75.0, 2.0),
    ("{ drop ", 38.0, 2.0),
    ("slope ", 32.0, 1.0),
    ("diameter ", 42.0, 1.0),
    ("cover ", 9.0, 0.5),
    ("spacers-below ", 15.0, 0.5),
    ("{ length ", 50.0, 0.5),
    ("; angle ", 0.0, 0.5),
    ("clamp-height ", 40.0, 0.5),
    ("twist ", 0.0, 0.5),
    ("width ", 780.0, 1.0),
    ("rise ", 25.0, 1.0),
    ("back-sweep ", 8.0, 0.5),
    ("up-sweep ", 5.0, 0.5),
    ("bend ", 90.0, 5.0),
    ("roll ", -1.5, 0.5),
    ("offset ", 0.0, 0.5),
    ("from-tip=", 196.0, 2.0),
    (" drop=", 38.0, 2.0),
    ("ahead=", 44.0, 2.0),
];

const TRIALS: u32 = 300;

/// Numbers from −1 to 1, evenly spread and always the same: a linear congruence (Knuth's MMIX constants, from memory).
struct Even(u64);

impl Even {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        f64::from(u32::try_from(self.0 >> 32).unwrap_or(0)) / f64::from(u32::MAX) * 2.0 - 1.0
    }
}

/// The bike as it might truly be: every reading somewhere within its half-width.
fn trial(text: &str, even: &mut Even) -> String {
    let mut text = text.to_owned();
    for (word, value, half_width) in READINGS {
        let written = format!("{word}{value}");
        let truly = value + half_width * even.next();
        text = text.replacen(&written, &format!("{word}{truly:.9}"), 1);
    }
    text
}

fn spread(text: &str) -> (Way, f64) {
    let left = |text: &str| control(&turned(text), "left.brake-lever").left.clone();
    let mut even = Even(2026);
    let least: Vec<f64> = (0..TRIALS).map(|_| left(&trial(text, &mut even)).least).collect();
    let mean = least.iter().sum::<f64>() / f64::from(TRIALS);
    let squares: f64 = least.iter().map(|least| (least - mean).powi(2)).sum();
    (left(text), (squares / f64::from(TRIALS - 1)).sqrt())
}

#[test]
fn the_words_are_those_of_the_file() {
    let text = usual("steering-stop 75;", 0.0);
    for (word, value, _) in READINGS {
        assert!(text.contains(&format!("{word}{value}")), "{word}{value}");
    }
}

#[test]
fn a_minimum_inside_and_one_at_the_stop() {
    // A standard deviation from 300 trials is itself known to 1/√(2·300) = 4.1 %; three times that is allowed.
    for stop in ["", "steering-stop 75;"] {
        let (way, deviation) = spread(&usual(stop, 0.0));
        assert_eq!(way.at_stop, !stop.is_empty());
        near(way.uncertainty / 2.0 / deviation, 1.0, 0.12);
    }
}
