//! What is taken for granted of a saddle of which only the height is another.
//!
//! Height runs straight from the bottom bracket, setback level: the one without the other puts the saddle straight up. A post
//! goes along the seat tube, and the file does not know how that leans.

use crate::catalogue::MeasureId;
use crate::catalogue::table::{SADDLE_HEIGHT, SADDLE_SETBACK};
use crate::geometry::state::{Difference, Layer, Level};
use crate::metrology::verdict::{Verdict, judge};

const SETBACK_AS_BEFORE: &str = "Of the saddle only the height is another: its setback is taken to be as before. A post that \
                                 goes up along a leaning seat tube takes the saddle back, one that goes down forward: read \
                                 saddle.setback, too.";

/// That the setback of a saddle that was set higher or lower was not read again; of one setup.
pub(super) fn granted(difference: &Difference) -> Option<&'static str> {
    let (height, setback) = (MeasureId::bike(SADDLE_HEIGHT), MeasureId::bike(SADDLE_SETBACK));
    let one_setup = difference.from.setup().name.value == difference.to.setup().name.value;
    let (was, now) = difference.from.number(&setback).zip(difference.to.number(&setback))?;
    let is_read_again = difference.to.layer(&setback) == Layer::Found || !was.is_same_reading(now);
    let (propagated, _) = difference.propagate(&Level(&height));
    let moved = propagated.output(0)?;
    let is_moved = judge(moved.value, moved.expanded_uncertainty()) == Verdict::Moved;
    (one_setup && is_moved && !is_read_again).then_some(SETBACK_AS_BEFORE)
}
