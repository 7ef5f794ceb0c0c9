//! A torque wrench among the instruments: `wrench tol-percent=6 low=2 high=14`.

use crate::catalogue::code;

use super::super::model::{Instrument, Wrench, Written};
use super::super::syntax::Node;
use super::super::torque::TorqueFigure;
use super::context::{Context, property};
use super::torque::figure_property;

/// Beyond any torque wrench, in per cent (common practice, no source: hand tools are permitted 4 % or 6 %).
const WORST: f64 = 50.0;

/// Reads an instrument that has any of a wrench's properties.
pub fn wrench(context: &mut Context, node: &Node) -> Option<Wrench> {
    let name = &node.name;
    if let Some(tolerance) = property(node, "tol") {
        let message = format!("`{name}` has both a half-width and the properties of a torque wrench.");
        context.find(&code::BAD_TOLERANCE, tolerance.span, message).help =
            "A wrench takes tol-percent; a rule, caliper or gauge takes tol.".to_owned();
        return None;
    }
    if property(node, "tol-percent").is_none() {
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
    let span = property(node, "with").map_or(node.span, |property| property.span);
    let message = format!("`{}` reads measures; it applies no torque.", instrument.name);
    context.find(&code::UNFIT_INSTRUMENT, span, message);
    None
}
