//! Rules on where the controls sit.

use crate::catalogue::MeasureId;
use crate::catalogue::code;
use crate::setup::finding::Finding;
use crate::setup::model::Setup;

use super::Context;

/// Every control that has neither a place along the bar nor a shared clamp.
pub fn controls(context: &Context) -> Vec<Finding> {
    let setup = context.setup;
    let homeless = setup.controls().filter(|(side, control)| {
        setup.recorded(&MeasureId::of(control.from_tip, *side)).is_none() && !setup.is_shared(*side, control)
    });
    homeless
        .map(|(side, control)| {
            let path = format!("{side}.{}", control.name);
            let message = format!("`{path}` does not say where along the bar it sits.");
            let finding = Finding::new(&code::CONTROL_WITHOUT_PLACE, message);
            let finding = match control.mount {
                Some(_) => finding,
                None => {
                    finding.help("Give from-tip: along the bar from its end to the clamp's outboard face.")
                }
            };
            let from_tip = MeasureId::of(control.from_tip, side);
            finding.at(context.home(&from_tip)).about(path)
        })
        .collect()
}

/// Every slot on a clamp that is not shared, and every shared clamp without a brake lever to share it with.
pub fn slots(context: &Context) -> Vec<Finding> {
    let setup = context.setup;
    let mut findings = Vec::new();
    for (side, control) in setup.controls() {
        let path = format!("{side}.{}", control.name);
        let place = |row| setup.recorded(&MeasureId::of(row, side)).map(|recorded| recorded.span);
        let found = if setup.is_shared(side, control) {
            let lonely = !has_lever(setup, side.word());
            control.mount.filter(|_| lonely).and_then(place).map(|span| {
                (span, format!("`{path}` shares a clamp, and there is no brake lever on the {side}."))
            })
        } else {
            let slot = control.slot.and_then(place);
            slot.map(|span| (span, format!("`{path}` names a slot, and its clamp is its own.")))
        };
        findings.extend(
            found.map(|(span, message)| {
                Finding::new(&code::SLOT_WITHOUT_SHARED, message).at(span).about(path)
            }),
        );
    }
    findings
}

fn has_lever(setup: &Setup, side: &str) -> bool {
    setup.has_part(&format!("{side}.brake-lever"))
}
