//! Rules on torques: the range, its caution, clamps that may slip, and joints that have none.

use crate::catalogue::code;
use crate::catalogue::joint::Grasp;
use crate::catalogue::{MeasureId, Weight, joint};
use crate::setup::finding::Finding;
use crate::setup::model::{Kind, Value};
use crate::setup::torque::Torque;
use crate::torque::{allowed, old_part};

use super::Context;

/// Whether every part of a joint leaves a range, and whether the last torque lay in it.
pub fn range(context: &Context) -> Vec<Finding> {
    context.setup.torques.iter().flat_map(allowed::findings).collect()
}

/// Every torque of which its own caution says that the limits are those of a part that is gone.
pub fn of_the_old_part(context: &Context) -> Vec<Finding> {
    let one = |torque: &Torque| {
        let (caution, parts) =
            torque.cautions.iter().find_map(|caution| Some((caution, old_part::told(&caution.value)?)))?;
        let name = &torque.joint.value;
        let message = format!(
            "The limits at the {} are those of the replaced {parts}: they do not hold for what is fitted now.",
            joint::title(name)
        );
        let help = format!(
            "Write the new part maker's figures as from and to, and as `ceiling` where one is there; then delete the \
             line: caution \"{}\". If the figures are the new maker's already, delete that line alone.",
            caution.value
        );
        let finding = Finding::new(&code::RANGE_OF_THE_OLD_PART, message);
        Some(finding.at(torque.joint.span).about(name).help(help))
    };
    context.setup.torques.iter().filter_map(one).collect()
}

/// Every torque without a caution: a range alone does not say what can break.
pub fn without_caution(context: &Context) -> Vec<Finding> {
    let is_told = |torque: &&Torque| torque.range.is_some() || context.setup.kind == Kind::Setup;
    let bare = context.setup.torques.iter().filter(is_told).filter(|torque| torque.cautions.is_empty());
    bare.map(|torque| {
        let name = &torque.joint.value;
        let message = format!("The torque of the {} has no caution.", joint::title(name));
        Finding::new(&code::TORQUE_WITHOUT_CAUTION, message).at(torque.joint.span).about(name)
    })
    .collect()
}

/// Every joint said to slip in a crash that is no clamp of a lever, shifter or remote.
pub fn slips(context: &Context) -> Vec<Finding> {
    let said = context.setup.torques.iter().filter_map(|torque| Some((torque, torque.slips_in_a_crash?)));
    said.filter(|(torque, _)| {
        !joint::find(&torque.joint.value).is_some_and(|(_, joint)| joint.grasp == Grasp::MaySlip)
    })
    .map(|(torque, span)| {
        let name = &torque.joint.value;
        let message = format!("The {} must never turn, in a crash or otherwise.", joint::title(name));
        Finding::new(&code::TORQUE_SLIPS, message).at(span).about(name)
    })
    .collect()
}

/// Every joint of the steering or a brake whose position is recorded and whose torque is not.
///
/// A measure of comfort or of record is no position in this sense: a grip that is pushed on has no bolt.
pub fn missing(context: &Context) -> Vec<Finding> {
    let mut findings: Vec<Finding> = Vec::new();
    for (id, recorded) in &context.setup.readings {
        let Some(name) = steering_or_brake(context, id) else { continue };
        let said = findings.iter().any(|finding| finding.measure.as_deref() == Some(name));
        let is_there = context.setup.torque(name).is_some() || context.setup.is_torque_in_conflict(name);
        if recorded.value == Value::Unmeasured || said || is_there {
            continue;
        }
        let message = format!("The position of the {} is recorded, and no torque.", joint::title(name));
        let help = format!("Add torque \"{name}\" from to {{ caution \"…\" }} from the maker's figures.");
        findings
            .push(Finding::new(&code::TORQUE_MISSING, message).at(context.home(id)).about(name).help(help));
    }
    findings
}

/// The joint that a position belongs to, if it is one of the steering or a brake.
fn steering_or_brake<'c>(context: &Context<'c>, id: &MeasureId) -> Option<&'c str> {
    let weight = context.catalogue.measure(id.row).weight;
    let name = context.setup.joint_of(context.catalogue, id)?;
    let (_, joint) = joint::find(name)?;
    let counts = weight <= Weight::Handling && joint.weight == Weight::SteeringAndBrakes;
    // A clamp shared with a lever that is not there is another rule's.
    let there = id.subject.side.is_none() || context.setup.has_part(name);
    (counts && there).then_some(name)
}
