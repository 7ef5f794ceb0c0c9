//! Left against right: which hand stops the front wheel, and whether the two sides match.

use crate::catalogue::table::{GRIP_HAND, HOSE_LEAVES_SIDE, LEVER_ANGLE, LEVER_FROM_TIP, LEVER_REACH};
use crate::catalogue::{Catalogue, MeasureId, Row, Side, Subject, code};
use crate::metrology::show;
use crate::metrology::verdict::{Verdict, judge};
use crate::setup::finding::Finding;
use crate::setup::model::Setup;

use crate::check::Context;
use crate::check::front_brake::{self, Wheel};

use super::about;

/// A brake hose, by its name, that leaves the lever which the rider's word gives to the other brake.
pub fn front_brake_hand(context: &Context) -> Vec<Finding> {
    let Context { catalogue, setup, .. } = *context;
    let Some(front) = front_brake::said(setup) else { return Vec::new() };
    let contrary = |name: &str| {
        let (wheel, side) = front_brake::braked(setup, name)?;
        ((wheel == Wheel::Front) != (side == front)).then(|| {
            let message = format!(
                "The hose `{name}` leaves the {side} lever, but the rider's front brake is on the {front}: the \
                 hand that expects the other brake pulls this one."
            );
            let id = MeasureId { row: HOSE_LEAVES_SIDE, subject: Subject::named(name) };
            about(catalogue, setup, &code::FRONT_BRAKE_HAND, &id, message)
        })
    };
    setup.hoses().filter_map(contrary).collect()
}

/// The measures that a rider usually sets alike on both sides.
const ALIKE: [Row; 4] = [GRIP_HAND, LEVER_FROM_TIP, LEVER_ANGLE, LEVER_REACH];

/// Left and right further apart than reading them explains (`E_n` of ISO 13528 above 1). Both angles are read on the
/// same floor, whose slope cancels.
pub fn sides_differ(context: &Context) -> Vec<Finding> {
    let Context { catalogue, setup, .. } = *context;
    ALIKE.into_iter().filter_map(|row| differs(catalogue, setup, row)).collect()
}

fn differs(catalogue: &Catalogue, setup: &Setup, row: Row) -> Option<Finding> {
    let left_id = MeasureId::of(row, Side::Left);
    let (left, right) = (setup.reading(&left_id)?, setup.reading(&MeasureId::of(row, Side::Right))?);
    let difference = left.value() - right.value();
    let expanded = left.expanded_uncertainty().hypot(right.expanded_uncertainty());
    if judge(difference, expanded) != Verdict::Moved {
        return None;
    }
    let measure = catalogue.measure(row);
    let (size, doubt) = show::with_uncertainty(difference.abs(), expanded, 1);
    let unit = measure.unit().sign();
    let message = format!(
        "The left {} against the right: {size} ± {doubt}{unit} {}, more than reading explains.",
        measure.title,
        measure.direction(difference),
    );
    Some(about(catalogue, setup, &code::SIDES_DIFFER, &left_id, message))
}
