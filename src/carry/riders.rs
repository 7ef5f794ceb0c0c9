//! What two bikes tell of who rides them: the hand that pulls the front brake, and how tall the rider is.

use crate::catalogue::MeasureId;
use crate::catalogue::table::{RIDER_FRONT_BRAKE, RIDER_STATURE};
use crate::metrology::show;
use crate::metrology::verdict::{Verdict, judge};
use crate::setup::model::Setup;

/// That the front brake is on the other hand: whoever changes bikes reaches for the wrong one.
pub fn front_brake(from: &Setup, onto: &Setup) -> Option<String> {
    let hand = |setup: &Setup| setup.choice(&MeasureId::bike(RIDER_FRONT_BRAKE));
    let (was, is) = hand(from).zip(hand(onto)).filter(|(was, is)| was != is)?;
    Some(format!(
        "The front brake is on the other hand on this bike: the {is} on {}, the {was} on {}. Local law decides; tell the \
         rider before anybody rides.",
        onto.name.value, from.name.value
    ))
}

/// That the two are not of one rider, as far as their stature tells.
pub fn stature(from: &Setup, onto: &Setup) -> Option<String> {
    let stature = |setup: &Setup| setup.reading(&MeasureId::bike(RIDER_STATURE)).cloned();
    let (was, is) = stature(from).zip(stature(onto))?;
    let doubt = was.expanded_uncertainty().hypot(is.expanded_uncertainty());
    if judge(is.value() - was.value(), doubt) != Verdict::Moved {
        return None;
    }
    Some(format!(
        "The rider of {} is {} mm tall and that of {} {} mm: hands where one has them may not suit the other.",
        from.name.value,
        show::brief(was.value()),
        onto.name.value,
        show::brief(is.value())
    ))
}
