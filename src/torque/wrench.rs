//! Which settings of a torque wrench keep the true torque inside a range, with or without an extension at its drive.
//!
//! ISO 6789 states a wrench's deviation relative to the reference, that is to the true torque: with a permitted
//! deviation p, a setting S stands for a true torque between S/(1 + p) and S/(1 − p).

use serde::Serialize;

use crate::catalogue::{code, joint};
use crate::metrology::NEGLIGIBLE;
use crate::metrology::show::plain;
use crate::setup::finding::Finding;
use crate::setup::model;
use crate::setup::torque::{Torque, TorqueFigure};

use super::Range;
use super::allowed::allowed;

/// The settings that keep the true torque inside `range` for every deviation within ±`deviation` (a fraction):
/// from·(1 + p) to to·(1 − p). None if no setting can, or `deviation` is not between 0 and 1.
pub fn window(range: Range, deviation: f64) -> Option<Range> {
    if !(0.0..1.0).contains(&deviation) {
        return None;
    }
    Range::new(range.from * (1.0 + deviation), range.to * (1.0 - deviation))
}

/// The largest deviation (a fraction) for which [`window`] still holds one setting: (to − from)/(to + from).
pub fn deviation_that_would_do(range: Range) -> f64 {
    (range.to - range.from) / (range.to + range.from)
}

/// The true torques that a setting may stand for, in the setting's unit: S/(1 + p) to S/(1 − p), `deviation` a
/// fraction below 1.
pub fn true_torque(setting: f64, deviation: f64) -> Range {
    Range { from: setting / (1.0 + deviation), to: setting / (1.0 - deviation) }
}

/// What one figure of an extension can be on a real wrench; common practice, no source.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bound {
    /// The figure in plain words.
    pub title: &'static str,
    /// From.
    pub low: f64,
    /// To.
    pub high: f64,
    /// The sign of its unit.
    pub sign: &'static str,
}

/// Wrench, extension and angle, in the order in which [`Extension::new`] takes them.
pub static BOUNDS: [Bound; 3] = [
    Bound {
        title: "wrench's length (middle of the handle to the drive)",
        low: 80.0,
        high: 1200.0,
        sign: " mm",
    },
    Bound { title: "extension's length (drive to the bolt)", low: -300.0, high: 300.0, sign: " mm" },
    Bound { title: "angle between the two", low: -180.0, high: 180.0, sign: "°" },
];

/// The least arm on the bolt as a share of the wrench's length: with less of it a small error of a length or an angle
/// is a large one of the torque. Common practice, no source.
pub const LEAST_ARM: f64 = 0.5;

/// A wrench with an extension (a crowfoot) at its drive.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Extension {
    /// Middle of the handle to the drive, in mm.
    pub wrench: f64,
    /// Drive to the bolt, in mm; negative where it points back along the wrench.
    pub extension: f64,
    /// Between the two, in degrees: 0 in line and outward, 180 turned back.
    pub angle: f64,
    /// What a torque at the bolt is multiplied by to give the setting.
    pub factor: f64,
}

impl Extension {
    /// From the lengths in mm and the angle in degrees; the setting is T·L/(L + E·cos δ). None if the wrench's length
    /// is not positive, a number is not finite, or L + E·cos δ ≤ 0, where pulling the wrench would not tighten the bolt.
    ///
    /// Source: US Army TM 1-1500-204-23-9, figure 8-16, in line; at an angle the projection on the wrench's axis.
    pub fn new(wrench: f64, extension: f64, angle: f64) -> Option<Extension> {
        let sound = wrench > 0.0 && extension.is_finite() && angle.is_finite();
        let arm = wrench + extension * angle.to_radians().cos();
        let factor = wrench / arm;
        (sound && arm > NEGLIGIBLE && factor.is_finite()).then_some(Extension {
            wrench,
            extension,
            angle,
            factor,
        })
    }

    /// The settings for torques at the bolt.
    pub fn settings(&self, at_bolt: Range) -> Range {
        Range { from: at_bolt.from * self.factor, to: at_bolt.to * self.factor }
    }
}

/// A wrench in somebody's hand: one of the file, or one of which only the deviation is known.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Wrench {
    /// Its name in the file; none for one described on the spot.
    pub name: Option<String>,
    /// Permitted deviation, a fraction.
    pub deviation: f64,
    /// The lowest setting it has, in N·m, if known.
    pub low: Option<f64>,
    /// The highest.
    pub high: Option<f64>,
}

impl Wrench {
    /// A wrench of which only the permitted deviation (a fraction) is known.
    pub fn of_deviation(deviation: f64) -> Wrench {
        Wrench { name: None, deviation, low: None, high: None }
    }

    /// A wrench of the file.
    pub fn of_file(name: &str, wrench: &model::Wrench) -> Wrench {
        let limit = |figure: &Option<TorqueFigure>| figure.as_ref().map(TorqueFigure::newton_metres);
        Wrench {
            name: Some(name.to_owned()),
            deviation: wrench.deviation,
            low: limit(&wrench.low),
            high: limit(&wrench.high),
        }
    }

    /// What to call it in a sentence.
    pub fn title(&self) -> String {
        match &self.name {
            Some(name) => format!("`{name}`"),
            None => format!("a {} % wrench", percent(self.deviation)),
        }
    }

    /// Of these settings, the ones that it has.
    pub fn has(&self, settings: Range) -> Option<Range> {
        settings.within(self.low, self.high)
    }
}

/// A fraction as per cent: `6`, `2.5`.
pub fn percent(fraction: f64) -> String {
    let text = plain(fraction * 100.0, 1);
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

/// The settings, in N·m, that keep the true torque of a joint inside its allowed range; none if there are none.
pub fn settings(torque: &Torque, wrench: &Wrench, extension: Option<&Extension>) -> Option<Range> {
    let window = window(allowed(torque)?.ok()?.range, wrench.deviation)?;
    Some(extension.map_or(window, |extension| extension.settings(window)))
}

/// Why that wrench cannot tighten the joint, if it cannot.
pub fn unfit(torque: &Torque, wrench: &Wrench, extension: Option<&Extension>) -> Option<Finding> {
    let range = allowed(torque)?.ok()?.range;
    let title = joint::title(&torque.joint.value);
    let (code, message) = match settings(torque, wrench, extension) {
        None => (
            &code::TORQUE_WRENCH_DEVIATION,
            format!(
                "No setting of {} keeps the {title} between {} and {} N·m: it deviates by {} %, and {} % would do.",
                wrench.title(),
                plain(range.from, 2),
                plain(range.to, 2),
                percent(wrench.deviation),
                percent((deviation_that_would_do(range) * 1000.0).floor() / 1000.0),
            ),
        ),
        Some(settings) if wrench.has(settings).is_none() => (
            &code::TORQUE_WRENCH_RANGE,
            format!(
                "The {title} needs settings from {} to {} N·m, and {} {}.",
                plain(settings.from, 2),
                plain(settings.to, 2),
                wrench.title(),
                own_range(wrench),
            ),
        ),
        Some(_) => return None,
    };
    Some(Finding::new(code, message).at(torque.joint.span).about(&torque.joint.value))
}

/// How far a wrench goes, in words.
pub fn own_range(wrench: &Wrench) -> String {
    match (wrench.low, wrench.high) {
        (Some(low), Some(high)) => format!("goes from {} to {} N·m", plain(low, 2), plain(high, 2)),
        (Some(low), None) => format!("begins at {} N·m", plain(low, 2)),
        (None, Some(high)) => format!("ends at {} N·m", plain(high, 2)),
        (None, None) => "has any setting".to_owned(),
    }
}
