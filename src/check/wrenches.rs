//! Rules on the file's torque wrenches.

use crate::catalogue::{code, joint};
use crate::metrology::NEGLIGIBLE;
use crate::setup::finding::Finding;
use crate::torque::wrench::{self, Wrench};

use super::Context;

/// Every joint that none of the file's wrenches can tighten; of several, the first says why.
pub fn unfit(context: &Context) -> Vec<Finding> {
    let wrenches = hands(context);
    let torques = context.setup.torques.iter();
    torques
        .filter_map(|torque| {
            let mut reasons = wrenches.iter().map(|wrench| wrench::unfit(torque, wrench, None));
            let first = reasons.next()??;
            reasons.all(|reason| reason.is_some()).then_some(first)
        })
        .collect()
}

/// Every torque said to have been applied with a wrench that has no such setting.
pub fn applied(context: &Context) -> Vec<Finding> {
    let wrenches = hands(context);
    let mut findings = Vec::new();
    for torque in &context.setup.torques {
        let Some(applied) = &torque.applied else { continue };
        let used = wrenches.iter().find(|wrench| wrench.name.as_deref() == applied.with.as_deref());
        let Some(wrench) = used.filter(|_| applied.with.is_some()) else { continue };
        let setting = applied.figure.value.newton_metres();
        let low = wrench.low.is_some_and(|low| setting < low - NEGLIGIBLE);
        let high = wrench.high.is_some_and(|high| setting > high + NEGLIGIBLE);
        if low || high {
            let message = format!(
                "{} was last applied to the {} with {}, which {}.",
                applied.figure.value.said(),
                joint::title(&torque.joint.value),
                wrench.title(),
                wrench::own_range(wrench)
            );
            let finding = Finding::new(&code::TORQUE_APPLIED_WITH, message);
            findings.push(finding.at(applied.figure.span).about(&torque.joint.value));
        }
    }
    findings
}

fn hands(context: &Context) -> Vec<Wrench> {
    context.setup.wrenches().map(|(name, wrench)| Wrench::of_file(name, wrench)).collect()
}
