//! Rules on the brake levers' blades.

use crate::body::{KNUCKLE_ROOM, Knuckles};
use crate::catalogue::code::{self, Code};
use crate::catalogue::table::{LEVER_BITE, LEVER_BLADE, LEVER_FINGER, LEVER_REACH};
use crate::catalogue::{MeasureId, Row, Side};
use crate::metrology::show::{brief, plain};
use crate::setup::finding::Finding;

use super::Context;
use super::advice::is_beyond;

/// A brake that bites nearer to the grip than this is as good as at it, mm: common practice, no source.
pub const ROOM_TO_PULL: f64 = 10.0;

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

/// Whether the brake bites at all before its lever meets the grip, as far as the reading can tell, and with room to spare.
pub fn bite_at_grip(context: &Context) -> Vec<Finding> {
    let side_finding = |side: Side| {
        let id = MeasureId::of(LEVER_BITE, side);
        let (recorded, bite) = context.setup.recorded(&id).zip(context.setup.reading(&id))?;
        let expanded = bite.expanded_uncertainty();
        let finding = |code, message: String| {
            Finding::new(code, message).at(recorded.span).about(context.catalogue.path(&id))
        };
        if is_beyond(bite.value(), expanded) {
            // What is read nearer is nearer until a finer reading says otherwise: a brake is no place for the doubt.
            let is_near = bite.value() < ROOM_TO_PULL;
            let is_sure = is_beyond(ROOM_TO_PULL - bite.value(), expanded);
            let doubt = if is_sure {
                String::new()
            } else {
                format!(" (± {} mm by its reading)", plain(expanded, 1))
            };
            let message = format!(
                "The {side} brake bites {} mm from the grip{doubt}: its lever is all but at the grip (at least \
                 {ROOM_TO_PULL} mm: common practice, no source). Do not ride so.",
                brief(bite.value()),
            );
            return is_near.then(|| finding(&code::BITE_NEAR_GRIP, message));
        }
        let doubt = if bite.value() > 0.0 {
            format!(", which its reading (± {} mm) does not tell from nothing", plain(expanded, 1))
        } else {
            String::new()
        };
        let message = format!(
            "The {side} brake bites {} mm from the grip{doubt}: its lever meets the grip and the brake does not \
             hold. Do not ride; have a qualified mechanic look.",
            brief(bite.value()),
        );
        Some(finding(&code::BITE_AT_GRIP, message))
    };
    Side::BOTH.into_iter().filter_map(side_finding).collect()
}

/// Whether the brake bites before the knuckles of the fingers that stay on the grip; what bites nearer still is another
/// rule's.
pub fn bite_at_knuckles(context: &Context) -> Vec<Finding> {
    let side_finding = |side: Side| {
        let id = MeasureId::of(LEVER_BITE, side);
        let (recorded, bite) = context.setup.recorded(&id).zip(context.setup.reading(&id))?;
        let expanded = bite.expanded_uncertainty();
        let is_down = Knuckles::at(bite.value(), expanded) == Knuckles::After;
        let left = bite.value() - ROOM_TO_PULL;
        if !is_down || left < 0.0 || !is_beyond(bite.value(), expanded) {
            return None;
        }
        let doubt = if is_beyond(left, expanded) {
            String::new()
        } else {
            format!(
                " Whether the {ROOM_TO_PULL} mm are left without which nobody is to ride, its reading (± {} mm) does not \
                 tell: measure it again first.",
                plain(expanded, 1)
            )
        };
        let message = format!(
            "The {side} brake bites {} mm from the grip: its blade is down at the knuckles before that (under \
             {KNUCKLE_ROOM} mm: common practice, no source), unless it clears them sideways.{doubt}",
            brief(bite.value()),
        );
        let finding = Finding::new(&code::BITE_AT_KNUCKLES, message).at(recorded.span);
        Some(finding.about(context.catalogue.path(&id)))
    };
    Side::BOTH.into_iter().filter_map(side_finding).collect()
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
        let value = context.setup.reading(&id)?;
        let limit = context.setup.reading(&MeasureId::of(outer, side))?;
        let expanded = value.expanded_uncertainty().hypot(limit.expanded_uncertainty());
        let (value, limit) = (value.value(), limit.value());
        is_beyond(value - limit, expanded).then(|| {
            Finding::new(code, message(side, &plain(value, 1), &plain(limit, 1)))
                .at(recorded.span)
                .about(context.catalogue.path(&id))
        })
    };
    Side::BOTH.into_iter().filter_map(side_finding).collect()
}
