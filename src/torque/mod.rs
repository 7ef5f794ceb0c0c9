//! What a torque means: the range that every part of a joint allows, the wrench settings that keep to it, and what
//! the bolt carries.
//!
//! Pure functions over what a file says. N·m, N and mm throughout; a figure keeps its written unit beside. This room
//! does not know whether a caution is missing or a part is carbon: that is for the checks.

pub mod allowed;
pub mod bolt;
pub mod old_part;
pub mod sheet;
pub mod wrench;

use std::cmp::Ordering;

use serde::Serialize;

use crate::metrology::NEGLIGIBLE;
use crate::metrology::unit::Unit;

pub use allowed::{Allowed, Conflict, allowed};
pub use bolt::{Preload, preload};
pub use sheet::{Request, TorqueSheet, sheet};
pub use wrench::{Extension, deviation_that_would_do, true_torque, window};

/// Torques from one to another, in N·m.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Range {
    /// The lowest.
    pub from: f64,
    /// The highest.
    pub to: f64,
}

impl Range {
    /// A range, or nothing if it would be empty; rounding may close it to a point.
    pub fn new(from: f64, to: f64) -> Option<Range> {
        (from <= to + NEGLIGIBLE).then_some(Range { from: from.min(to), to })
    }

    /// What both ranges hold.
    pub fn within(self, low: Option<f64>, high: Option<f64>) -> Option<Range> {
        Range::new(self.from.max(low.unwrap_or(self.from)), self.to.min(high.unwrap_or(self.to)))
    }

    /// Whether a torque in N·m lies below it, within it or above it.
    pub fn place_of(self, newton_metres: f64) -> Ordering {
        if newton_metres > self.to + NEGLIGIBLE {
            Ordering::Greater
        } else if newton_metres < self.from - NEGLIGIBLE {
            Ordering::Less
        } else {
            Ordering::Equal
        }
    }

    /// The same range in another unit of torque.
    pub fn in_unit(self, unit: Unit) -> Option<RangeIn> {
        let from = Unit::NewtonMetre.convert(unit, self.from)?;
        let to = Unit::NewtonMetre.convert(unit, self.to)?;
        Some(RangeIn { from, to, unit })
    }
}

/// Torques from one to another, in the unit they were written in.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct RangeIn {
    /// The lowest.
    pub from: f64,
    /// The highest.
    pub to: f64,
    /// The unit.
    pub unit: Unit,
}
