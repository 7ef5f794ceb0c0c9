//! Repeated readings that cannot be of one length or angle.

use crate::catalogue::code;
use crate::metrology::NEGLIGIBLE;
use crate::metrology::show::brief;
use crate::setup::finding::Finding;
use crate::setup::model::Value;

use super::Context;

/// Repeats further apart than twice their half-width. Each reading stands for what lies within its half-width; two
/// that are further apart have nothing in common, so one of them is a slip that their mean would hide.
pub fn disagree(context: &Context) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (id, recorded) in &context.setup.readings {
        let Value::Reading(reading) = &recorded.value else { continue };
        let values = reading.values();
        let lowest = values.iter().copied().fold(f64::INFINITY, f64::min);
        let highest = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let apart = highest - lowest;
        if values.len() < 2 || apart <= 2.0 * reading.half_width() + NEGLIGIBLE {
            continue;
        }
        let sign = reading.default_unit().sign();
        let message = format!(
            "The {} readings of {} lie {}{sign} apart, and ±{}{sign} explains {}{sign} at most.",
            values.len(),
            context.catalogue.title(id),
            brief(apart),
            brief(reading.half_width()),
            brief(2.0 * reading.half_width()),
        );
        let finding = Finding::new(&code::REPEATS_DISAGREE, message).at(recorded.span);
        findings.push(finding.about(context.catalogue.path(id)));
    }
    findings
}
