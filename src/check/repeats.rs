//! Repeated readings that cannot be of one length or angle.

use crate::catalogue::{Measure, code};
use crate::metrology::NEGLIGIBLE;
use crate::metrology::show::brief;
use crate::setup::finding::Finding;
use crate::setup::model::Value;

use super::Context;

/// Repeats further apart than twice their half-width. Each reading stands for what lies within its half-width; two
/// that are further apart have nothing in common, so one of them is a slip that their mean would hide. A fine
/// instrument does not make a person read a measure finer than the table has it: the wider of the two counts.
pub fn disagree(context: &Context) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (id, recorded) in &context.setup.readings {
        let Value::Reading(reading) = &recorded.value else { continue };
        let values = reading.values();
        let lowest = values.iter().copied().fold(f64::INFINITY, f64::min);
        let highest = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let apart = highest - lowest;
        let explained = explained(context.catalogue.measure(id.row), reading.half_width());
        if values.len() < 2 || apart <= explained + NEGLIGIBLE {
            continue;
        }
        let sign = reading.default_unit().sign();
        let message = format!(
            "The {} readings of {} lie {}{sign} apart, and reading explains {}{sign} at most.",
            values.len(),
            context.catalogue.title(id),
            brief(apart),
            brief(explained),
        );
        let finding = Finding::new(&code::REPEATS_DISAGREE, message).at(recorded.span);
        findings.push(finding.about(context.catalogue.path(id)));
    }
    findings
}

/// How far apart two readings of one thing may lie, in the measure's own unit.
pub fn explained(measure: &Measure, half_width: f64) -> f64 {
    2.0 * half_width.max(measure.tolerance())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Catalogue;
    use crate::setup::read::read;

    fn said(inside: &str) -> Vec<String> {
        let text =
            format!("setup \"a\" format=1 {{ instruments {{ gauge tol=0.2; tape tol=2 }}; {inside} }}");
        let catalogue = Catalogue::standard();
        let setup = read(catalogue, text.as_bytes(), None).setup.expect("a setup");
        let context =
            Context { catalogue, setup: &setup, around: crate::check::Around::default(), reader: &[] };
        disagree(&context).into_iter().map(|finding| finding.message).collect()
    }

    #[test]
    fn what_lies_further_apart_than_both_half_widths_is_a_slip() {
        // 168.5 - 150 = 18.5; two half-widths of 0.5 are 1.
        let expected =
            "The 3 readings of left brake lever place lie 18.5 mm apart, and reading explains 1 mm at most.";
        assert_eq!(said("left { brake-lever { from-tip 168 168.5 150 } }"), [expected]);
        // 0.9 of 1; 3.9 of 4 by tape; 1.1 of 1.
        assert_eq!(said("left { brake-lever { from-tip 168 168.9 } }"), [""; 0]);
        assert_eq!(said("left { brake-lever { from-tip 168 171.9 with=tape } }"), [""; 0]);
        assert_eq!(said("left { brake-lever { from-tip 168 169.1 } }").len(), 1);
        // A roll is read to half a degree by whatever gauge: 0.5 of 1.
        assert_eq!(said("bar { roll -1.5 -1.0 -1.5 with=gauge }"), [""; 0]);
    }
}
