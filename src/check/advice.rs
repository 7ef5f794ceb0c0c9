//! Advice: what a choice costs and what it suits, with its number. Never a fault, for nothing here is wrong.
//!
//! Trade facts are common practice without a source unless a rule names one. Each rule is pure: a setup in, findings
//! out. What the rider accepted is somebody else's.
//!
//! A bound counts as passed only beyond what reading explains: a tenth of a millimetre too wide by a rule is no fact,
//! and nothing is said of it.

pub mod controls;
pub mod knee;
pub mod parts;
pub mod sides;
pub mod standard;

use crate::catalogue::code::Code;
use crate::catalogue::{Catalogue, MeasureId};
use crate::metrology::verdict::{Verdict, judge};
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

/// Whether a bound is passed for sure: by more than the readings' expanded uncertainty explains (`E_n` of ISO 13528
/// above 1). What passes it by less may be the ruler, and nothing is said.
pub(in crate::check) fn is_beyond(excess: f64, expanded: f64) -> bool {
    excess > 0.0 && judge(excess, expanded) == Verdict::Moved
}

/// A length or angle as advice writes it: whole where it is whole, else one decimal.
fn number(value: f64) -> String {
    let text = crate::metrology::show::plain(value, 1);
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

#[cfg(test)]
mod tests;
