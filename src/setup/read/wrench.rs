//! A torque wrench among the instruments: `wrench tol-percent=6 low=2 high=14`.

use crate::catalogue::code;

use super::super::model::{Instrument, Wrench, Written};
use super::super::syntax::Node;
use super::super::torque::TorqueFigure;
use super::context::Context;
use super::torque::figure_property;

/// Beyond any torque wrench, in per cent (common practice, no source: hand tools are permitted 4 % or 6 %).
const WORST: f64 = 50.0;

/// What makes an instrument a wrench.
pub const PROPERTIES: [&str; 3] = ["tol-percent", "low", "high"];

/// Reads an instrument that has any of a wrench's properties.
pub fn wrench(context: &mut Context, node: &Node) -> Option<Wrench> {
    let name = &node.name;
    if let Some(tolerance) = node.property("tol") {
        let message = format!("`{name}` has both a half-width and the properties of a torque wrench.");
        context.find(&code::BAD_TOLERANCE, tolerance.span, message).help =
            "A wrench takes tol-percent; a rule, caliper or gauge takes tol.".to_owned();
        return None;
    }
    if node.property("tol-percent").is_none() {
        let message = format!("The wrench `{name}` does not say how well it sets.");
        context.find(&code::BAD_TOLERANCE, node.span, message).help =
            format!("Write for instance: {name} tol-percent=6 low=2 high=14.");
        return None;
    }
    let percent = percent(context, node);
    let low = figure_property(context, node, "low");
    let high = figure_property(context, node, "high");
    if inverted(low.as_ref(), high.as_ref())
        && let Some(high) = &high
    {
        let message = format!("The range of `{name}` runs from high to low.");
        context.find(&code::TORQUE_INVERTED, high.span, message);
        return None;
    }
    let plain = |written: Option<Written<TorqueFigure>>| written.map(|written| written.value);
    Some(Wrench { deviation: percent? / 100.0, low: plain(low), high: plain(high) })
}

fn percent(context: &mut Context, node: &Node) -> Option<f64> {
    let written = context.number_property(node, "tol-percent")?;
    if written.value > 0.0 && written.value <= WORST {
        return Some(written.value);
    }
    let message = format!("`tol-percent` is more than 0 and at most {WORST}.");
    context.find(&code::BAD_TOLERANCE, written.span, message).help =
        "Write the wrench's permitted deviation, for instance tol-percent=6.".to_owned();
    None
}

fn inverted(low: Option<&Written<TorqueFigure>>, high: Option<&Written<TorqueFigure>>) -> bool {
    low.zip(high).is_some_and(|(low, high)| low.value.newton_metres() >= high.value.newton_metres())
}

/// The wrench that a `with=` names, or a finding.
pub fn with(context: &mut Context, node: &Node) -> Option<Instrument> {
    let instrument = context.with(node)?;
    if instrument.wrench().is_some() {
        return Some(instrument);
    }
    let span = node.property("with").map_or(node.span, |property| property.span);
    let message = format!("`{}` reads measures; it applies no torque.", instrument.name);
    context.find(&code::UNFIT_INSTRUMENT, span, message);
    None
}

#[cfg(test)]
mod tests {
    use crate::catalogue::Catalogue;
    use crate::setup::model::Setup;
    use crate::setup::read::read;

    fn codes_and_setup(inside: &str) -> (Vec<&'static str>, Setup) {
        let text = format!("setup \"rowan/race\" format=1 {{ {inside} }}");
        let read = read(Catalogue::standard(), text.as_bytes(), None);
        let codes = read.findings.iter().map(|finding| finding.code.name).collect();
        (codes, read.setup.expect("a setup node"))
    }

    fn codes(inside: &str) -> Vec<&'static str> {
        codes_and_setup(inside).0
    }

    #[test]
    fn a_wrench_has_a_deviation_and_perhaps_a_range() {
        let (codes, setup) = codes_and_setup(
            "instruments { rule tol=0.5; click tol-percent=6 low=2 high=14; beam tol-percent=4 high=(in-lb)100 }",
        );
        assert_eq!(codes, Vec::<&str>::new());
        let wrenches: Vec<_> = setup.wrenches().collect();
        let names: Vec<&str> = wrenches.iter().map(|(name, _)| *name).collect();
        assert_eq!(names, ["click", "beam"]);
        // 6 % is 0.06; 100 in·lb is 11.298 482 9 N·m (NIST SP 811).
        assert!((wrenches[0].1.deviation - 0.06).abs() < 1e-15);
        assert!(wrenches[1].1.low.is_none());
        let high = wrenches[1].1.high.as_ref().expect("a written limit").newton_metres();
        assert!((high - 11.298_482_9).abs() < 1e-7);
    }

    #[test]
    fn a_wrench_that_makes_no_sense_is_a_fault() {
        for (instrument, expected) in [
            ("wrench tol-percent=0", "bad-tolerance"),
            ("wrench tol-percent=60", "bad-tolerance"),
            ("wrench tol-percent=6 tol=0.5", "bad-tolerance"),
            ("wrench low=2 high=14", "bad-tolerance"),
            ("wrench tol-percent=good", "not-a-number"),
            ("wrench tol-percent=6 low=14 high=2", "torque-inverted"),
            ("wrench tol-percent=6 low=14 high=14", "torque-inverted"),
            ("wrench tol-percent=6 low=(mm)2", "wrong-unit"),
            ("wrench tol-percent=6 high=-1", "torque-off-span"),
            ("wrench tol-percent=6 hihg=14", "unknown-word"),
        ] {
            assert_eq!(codes(&format!("instruments {{ {instrument} }}")), [expected], "{instrument}");
        }
    }

    #[test]
    fn a_wrench_applies_and_everything_else_reads() {
        let with = |instrument: &str, on: &str| {
            let caution = "caution \"Even gap.\"";
            codes(&format!(
                "instruments {{ rule tol=0.5; wrench tol-percent=6 }}
                bar {{ width 780{} }}
                torque \"stem-face\" 4 5 {{ applied 4.5{}; {caution} }}",
                if on == "bar" { format!(" with={instrument}") } else { String::new() },
                if on == "torque" { format!(" with={instrument}") } else { String::new() },
            ))
        };
        assert_eq!(with("rule", "bar"), Vec::<&str>::new());
        assert_eq!(with("wrench", "torque"), Vec::<&str>::new());
        assert_eq!(with("wrench", "bar"), ["unfit-instrument"]);
        assert_eq!(with("rule", "torque"), ["unfit-instrument"]);
        assert_eq!(with("spanner", "torque"), ["unknown-instrument"]);
    }

    #[test]
    fn a_torque_factor_is_that_of_a_bolt() {
        let factor = |k: &str| codes(&format!("torque \"stem-face\" 4 5 k={k} {{ caution \"Even gap.\" }}"));
        assert_eq!(factor("0.16"), Vec::<&str>::new());
        assert_eq!(factor("0"), ["off-span"]);
        assert_eq!(factor("16"), ["off-span"]);
    }
}
