//! Rules on the brake levers' blades.

use crate::catalogue::code::{self, Code};
use crate::catalogue::table::{LEVER_BITE, LEVER_BLADE, LEVER_FINGER, LEVER_REACH};
use crate::catalogue::{MeasureId, Row, Side};
use crate::metrology::show::plain;
use crate::setup::finding::Finding;

use super::Context;

/// Whether the finger pulls on the blade.
pub fn finger(context: &Context) -> Vec<Finding> {
    beyond(context, &code::FINGER_BEYOND_BLADE, LEVER_FINGER, LEVER_BLADE, |side, finger, blade| {
        format!("The {side} finger pulls {finger} mm from the pivot, and the blade ends at {blade} mm.")
    })
}

/// Whether the brake bites between rest and grip.
pub fn bite(context: &Context) -> Vec<Finding> {
    beyond(context, &code::BITE_BEYOND_REACH, LEVER_BITE, LEVER_REACH, |side, bite, reach| {
        format!("The {side} brake bites {bite} mm from the grip, and its lever rests at {reach} mm.")
    })
}

fn beyond(
    context: &Context,
    code: &'static Code,
    inner: Row,
    outer: Row,
    message: impl Fn(Side, &str, &str) -> String,
) -> Vec<Finding> {
    let side_finding = |side: Side| {
        let id = MeasureId::of(inner, side);
        let recorded = context.setup.recorded(&id)?;
        let value = context.setup.value(&id)?;
        let limit = context.setup.value(&MeasureId::of(outer, side))?;
        (value > limit).then(|| {
            Finding::new(code, message(side, &plain(value, 1), &plain(limit, 1)))
                .at(recorded.span)
                .about(context.catalogue.path(&id))
        })
    };
    Side::BOTH.into_iter().filter_map(side_finding).collect()
}
