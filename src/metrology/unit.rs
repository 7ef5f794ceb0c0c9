//! The units a number may be written in, their words and signs, and exact conversion between them.
//!
//! Every factor follows from definitions that are exact: 1 in = 25.4 mm, 1 lbf = 4.448 221 615 260 5 N,
//! g₀ = 9.806 65 m/s², 1 bar = 100 kPa (NIST SP 811, appendix B). This module does not know which measure is
//! kept in which unit.

use std::f64::consts::PI;
use std::fmt;

use serde::Serialize;

/// The kind of thing a unit measures; only units of one quantity convert into each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Quantity {
    /// A distance.
    Length,
    /// An angle.
    Angle,
    /// A moment of force.
    Torque,
    /// A pressure.
    Pressure,
    /// A whole number of detents.
    Count,
    /// A bare number.
    Ratio,
}

/// A unit of measurement.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
pub enum Unit {
    /// mm
    #[serde(rename = "mm")]
    Millimetre,
    /// cm
    #[serde(rename = "cm")]
    Centimetre,
    /// m
    #[serde(rename = "m")]
    Metre,
    /// in, exactly 25.4 mm
    #[serde(rename = "in")]
    Inch,
    /// Degree of arc
    #[serde(rename = "deg")]
    Degree,
    /// Radian
    #[serde(rename = "rad")]
    Radian,
    /// N·m
    #[serde(rename = "N-m")]
    NewtonMetre,
    /// Pound-force inch
    #[serde(rename = "in-lb")]
    InchPound,
    /// Pound-force foot, twelve pound-force inches
    #[serde(rename = "ft-lb")]
    FootPound,
    /// Kilogram-force centimetre
    #[serde(rename = "kgf-cm")]
    KilogramForceCentimetre,
    /// bar, exactly 100 kPa
    #[serde(rename = "bar")]
    Bar,
    /// Pound-force per square inch
    #[serde(rename = "psi")]
    Psi,
    /// kPa
    #[serde(rename = "kPa")]
    Kilopascal,
    /// One detent of an adjuster
    #[serde(rename = "clicks")]
    Click,
    /// No unit
    #[serde(rename = "1")]
    One,
}

/// The inch in millimetres, by definition.
const INCH: f64 = 25.4;
/// The pound-force in newtons, by definition (0.453 592 37 kg × 9.806 65 m/s²).
const POUND_FORCE: f64 = 4.448_221_615_260_5;
/// The kilogram-force in newtons, by definition.
const KILOGRAM_FORCE: f64 = 9.806_65;
/// The pound-force inch in newton metres.
const INCH_POUND: f64 = INCH * POUND_FORCE / 1000.0;
/// The pound-force per square inch in kilopascals, by way of N/mm².
const PSI: f64 = POUND_FORCE / (INCH * INCH) * 1000.0;

impl Unit {
    /// Every unit.
    pub const ALL: &[Unit] = &[
        Unit::Millimetre,
        Unit::Centimetre,
        Unit::Metre,
        Unit::Inch,
        Unit::Degree,
        Unit::Radian,
        Unit::NewtonMetre,
        Unit::InchPound,
        Unit::FootPound,
        Unit::KilogramForceCentimetre,
        Unit::Bar,
        Unit::Psi,
        Unit::Kilopascal,
        Unit::Click,
        Unit::One,
    ];

    /// The unit of such a word; that of a bare number where it is none.
    pub fn of_word(word: &str) -> Unit {
        Unit::ALL.iter().copied().find(|unit| unit.word() == word).unwrap_or(Unit::One)
    }

    /// The word that stands for the unit in a file and in JSON.
    pub const fn word(self) -> &'static str {
        match self {
            Unit::Millimetre => "mm",
            Unit::Centimetre => "cm",
            Unit::Metre => "m",
            Unit::Inch => "in",
            Unit::Degree => "deg",
            Unit::Radian => "rad",
            Unit::NewtonMetre => "N-m",
            Unit::InchPound => "in-lb",
            Unit::FootPound => "ft-lb",
            Unit::KilogramForceCentimetre => "kgf-cm",
            Unit::Bar => "bar",
            Unit::Psi => "psi",
            Unit::Kilopascal => "kPa",
            Unit::Click => "clicks",
            Unit::One => "1",
        }
    }

    /// What is printed straight after a number on a screen, with its leading space where one is due.
    pub const fn sign(self) -> &'static str {
        match self {
            Unit::Millimetre => " mm",
            Unit::Centimetre => " cm",
            Unit::Metre => " m",
            Unit::Inch => " in",
            Unit::Degree => "°",
            Unit::Radian => " rad",
            Unit::NewtonMetre => " N·m",
            Unit::InchPound => " in·lb",
            Unit::FootPound => " ft·lb",
            Unit::KilogramForceCentimetre => " kgf·cm",
            Unit::Bar => " bar",
            Unit::Psi => " psi",
            Unit::Kilopascal => " kPa",
            Unit::Click => " clicks",
            Unit::One => "",
        }
    }

    /// The unit that an annotation in a file names. Clicks and bare numbers have no other unit to be told from,
    /// so they are never written and never accepted.
    pub fn parse(word: &str) -> Option<Unit> {
        Unit::ALL
            .iter()
            .copied()
            .filter(|unit| !matches!(unit, Unit::Click | Unit::One))
            .find(|unit| unit.word() == word)
    }

    /// What the unit measures.
    pub const fn quantity(self) -> Quantity {
        match self {
            Unit::Millimetre | Unit::Centimetre | Unit::Metre | Unit::Inch => Quantity::Length,
            Unit::Degree | Unit::Radian => Quantity::Angle,
            Unit::NewtonMetre | Unit::InchPound | Unit::FootPound | Unit::KilogramForceCentimetre => {
                Quantity::Torque
            }
            Unit::Bar | Unit::Psi | Unit::Kilopascal => Quantity::Pressure,
            Unit::Click => Quantity::Count,
            Unit::One => Quantity::Ratio,
        }
    }

    /// `value` in this unit, expressed in `to`; `None` when the two measure different things. A value already in
    /// `to` comes back unchanged, to the last bit.
    pub fn convert(self, to: Unit, value: f64) -> Option<f64> {
        if self == to {
            return Some(value);
        }
        (self.quantity() == to.quantity()).then(|| value * self.size() / to.size())
    }

    /// How many millimetres, degrees, newton metres, kilopascals or ones this unit is.
    const fn size(self) -> f64 {
        match self {
            Unit::Millimetre
            | Unit::Degree
            | Unit::NewtonMetre
            | Unit::Kilopascal
            | Unit::Click
            | Unit::One => 1.0,
            Unit::Centimetre => 10.0,
            Unit::Metre => 1000.0,
            Unit::Inch => INCH,
            Unit::Radian => 180.0 / PI,
            Unit::InchPound => INCH_POUND,
            Unit::FootPound => 12.0 * INCH_POUND,
            Unit::KilogramForceCentimetre => KILOGRAM_FORCE / 100.0,
            Unit::Bar => 100.0,
            Unit::Psi => PSI,
        }
    }
}

/// The unit's word, as in a file.
impl fmt::Display for Unit {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(self.word())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_word_is_also_the_json_word() {
        for unit in Unit::ALL {
            let json = serde_json::to_string(unit).expect("a unit is a plain word");
            assert_eq!(json, format!("\"{}\"", unit.word()));
        }
    }

    #[test]
    fn every_word_but_clicks_and_one_parses_to_its_unit() {
        for &unit in Unit::ALL {
            let annotation = !matches!(unit, Unit::Click | Unit::One);
            assert_eq!(Unit::parse(unit.word()), annotation.then_some(unit));
        }
        for stranger in ["", "MM", "Nm", "N.m", "inch", "kpa", " mm"] {
            assert_eq!(Unit::parse(stranger), None, "{stranger:?}");
        }
    }

    #[test]
    fn only_units_of_one_quantity_convert() {
        for &from in Unit::ALL {
            for &to in Unit::ALL {
                assert_eq!(from.convert(to, 1.0).is_some(), from.quantity() == to.quantity());
            }
        }
    }

    #[test]
    fn a_value_in_its_own_unit_is_not_touched() {
        // 0.1 + 0.2 has no short decimal: any arithmetic on it would show.
        let value = 0.1 + 0.2;
        for unit in Unit::ALL {
            assert_eq!(unit.convert(*unit, value).map(f64::to_bits), Some(f64::to_bits(value)));
        }
    }
}
