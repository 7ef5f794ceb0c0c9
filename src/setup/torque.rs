//! Torque as it is written: figures with their unit, ranges that cannot be the wrong way round.
//!
//! What follows from them (allowed range, settings, preload) is computed in [`crate::torque`].

use std::sync::Arc;

use chrono::NaiveDate;

use crate::metrology::show::plain;
use crate::metrology::unit::Unit;

use super::model::Written;
use super::span::Span;

/// One torque figure.
#[derive(Clone, Debug, PartialEq)]
pub struct TorqueFigure {
    /// The number in its unit.
    pub value: f64,
    /// N·m unless annotated.
    pub unit: Unit,
    /// As typed.
    pub digits: String,
}

impl TorqueFigure {
    /// In newton metres.
    pub fn newton_metres(&self) -> f64 {
        self.unit.convert(Unit::NewtonMetre, self.value).unwrap_or(self.value)
    }

    /// As typed with its unit, N·m beside any other: `5 N·m`, `44 in·lb (4.97 N·m)`.
    pub fn said(&self) -> String {
        let written = format!("{}{}", self.digits, self.unit.sign());
        if self.unit == Unit::NewtonMetre {
            return written;
        }
        format!("{written} ({} N·m)", plain(self.newton_metres(), 2))
    }
}

/// A torque range; `from` is never above `to`.
#[derive(Clone, Debug, PartialEq)]
pub struct TorqueRange {
    from: TorqueFigure,
    to: TorqueFigure,
}

impl TorqueRange {
    /// A range, or nothing if it runs from high to low.
    pub fn new(from: TorqueFigure, to: TorqueFigure) -> Option<TorqueRange> {
        (from.newton_metres() <= to.newton_metres()).then_some(TorqueRange { from, to })
    }

    /// The lower figure.
    pub fn from(&self) -> &TorqueFigure {
        &self.from
    }

    /// The upper figure.
    pub fn to(&self) -> &TorqueFigure {
        &self.to
    }
}

/// The lower limit of another part in the same joint.
#[derive(Clone, Debug, PartialEq)]
pub struct Ceiling {
    /// Which part's.
    pub part: Written<String>,
    /// Its limit.
    pub limit: Written<TorqueFigure>,
}

/// What was last applied.
#[derive(Clone, Debug, PartialEq)]
pub struct Applied {
    /// The figure.
    pub figure: Written<TorqueFigure>,
    /// When.
    pub read: Option<NaiveDate>,
    /// With which wrench of the file.
    pub with: Option<Arc<str>>,
}

/// Everything the file says about tightening one joint.
#[derive(Clone, Debug, PartialEq)]
pub struct Torque {
    /// The joint's written name.
    pub joint: Written<String>,
    /// The range; absent only when what was written could not be one (a finding says so).
    pub range: Option<Written<TorqueRange>>,
    /// The tool.
    pub tool: Option<String>,
    /// The bolt's thread, `M5`.
    pub thread: Option<Written<String>>,
    /// The bolt's property class, `8.8`.
    pub class: Option<Written<String>>,
    /// The torque factor K, if the file gives one.
    pub factor: Option<Written<f64>>,
    /// Limits of the other parts.
    pub ceilings: Vec<Ceiling>,
    /// Set where the clamp is meant to turn in a crash.
    pub slips_in_a_crash: Option<Span>,
    /// What was last applied.
    pub applied: Option<Applied>,
    /// The cautions.
    pub cautions: Vec<Written<String>>,
}
