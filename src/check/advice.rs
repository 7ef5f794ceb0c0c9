//! Advice: what a choice costs and what it suits, with its number. Never a fault, for nothing here is wrong.
//!
//! Trade facts are common practice without a source unless a rule names one. Each rule is pure: a setup in, findings
//! out. What the rider accepted is somebody else's.

pub mod controls;
pub mod parts;
pub mod sides;
pub mod standard;

use crate::catalogue::code::Code;
use crate::catalogue::{Catalogue, MeasureId};
use crate::setup::finding::Finding;
use crate::setup::model::Setup;

/// A finding about a measure, at its place if it stands in the file.
fn about(
    catalogue: &Catalogue,
    setup: &Setup,
    code: &'static Code,
    id: &MeasureId,
    message: String,
) -> Finding {
    let finding = Finding::new(code, message).about(catalogue.path(id));
    match setup.recorded(id) {
        Some(recorded) => finding.at(recorded.span),
        None => finding,
    }
}

/// A length or angle as advice writes it: whole where it is whole, else one decimal.
fn number(value: f64) -> String {
    let text = crate::metrology::show::plain(value, 1);
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

#[cfg(test)]
mod tests;
