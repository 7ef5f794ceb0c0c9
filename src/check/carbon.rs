//! The rule on clamps that squeeze carbon: their caution must say so.
//!
//! Which part a clamp squeezes stands in the list of joints: every clamp on the bar and the bar in the stem, and the
//! seat clamp on the frame. A control on the brake lever's clamp squeezes nothing itself.

use crate::catalogue::joint::{self, CONTROLS};
use crate::catalogue::table::CARBON;
use crate::catalogue::{MeasureId, Side, code};
use crate::geometry::state::{Layer, State};
use crate::setup::finding::Finding;
use crate::setup::model::Setup;
use crate::setup::torque::Torque;

use super::Context;

/// Every torque of a clamp on carbon whose cautions do not mention it. A torque without any caution is another
/// rule's.
pub fn caution(context: &Context) -> Vec<Finding> {
    let torques = context.setup.torques.iter();
    torques
        .filter(|torque| !torque.cautions.is_empty() && !mentions(torque))
        .filter_map(|torque| {
            let name = &torque.joint.value;
            let part = clamped_at(&State::recorded(context.catalogue, context.setup), name)?;
            let message = format!(
                "The {} clamps a carbon {part}, and its caution does not mention carbon.",
                joint::title(name)
            );
            Some(Finding::new(&code::TORQUE_CARBON, message).at(torque.joint.span).about(name))
        })
        .collect()
}

/// Whether the cautions of a torque speak of carbon.
pub fn mentions(torque: &Torque) -> bool {
    torque.cautions.iter().any(|caution| caution.value.to_lowercase().contains(CARBON))
}

/// The carbon part that a joint squeezes: the group its material stands in.
pub fn clamped_at(state: &State, name: &str) -> Option<&'static str> {
    let (_, joint) = joint::find(name)?;
    let row = joint.squeezes?;
    let id = MeasureId::bike(row);
    let layer = state.sheet().filter(|_| state.layer(&id) == Layer::Found).unwrap_or(state.setup());
    let carbon = layer.may_be(&id, CARBON);
    (carbon && !is_on_shared_clamp(state.setup(), name)).then_some(())?;
    Some(state.catalogue().measure(row).part())
}

fn is_on_shared_clamp(setup: &Setup, name: &str) -> bool {
    let parts = name.split_once('.').and_then(|(side, control)| Some((Side::parse(side)?, control)));
    parts.is_some_and(|(side, name)| {
        let control = CONTROLS.iter().find(|control| control.name == name);
        control.is_some_and(|control| setup.is_shared(side, control))
    })
}
