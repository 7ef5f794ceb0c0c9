//! What two bikes tell of who rides them: the hand that pulls the front brake, and how tall the rider is.

use crate::catalogue::code::{self, Code};
use crate::catalogue::table::{LEVER_BITE, LEVER_REACH, RIDER_STATURE};
use crate::catalogue::{Catalogue, MeasureId, Side};
use crate::check;
use crate::check::front_brake::{self, Hand};
use crate::metrology::show;
use crate::metrology::verdict::{Verdict, judge};
use crate::setup::finding::Finding;
use crate::setup::model::Setup;

use super::SHOWN;

/// That the front brake is on the other hand, or that nothing tells on which it is: whoever changes bikes reaches for
/// the wrong one. What the hoses of a bike tell of that goes before the rider's word, and the word is told beside it.
pub fn front_brake(from: &Setup, onto: &Setup) -> Option<String> {
    let Some(is) = front_brake::hand(onto) else {
        return Some(format!(
            "Which hand pulls the front brake is not known of {}: find out which lever stops which wheel before anybody \
             rides, and record it as rider.front-brake.",
            onto.name.value
        ));
    };
    let was = front_brake::hand(from)?;
    let on = |hand: &Hand, setup: &Setup| {
        let leaves = |(name, lever): (&str, Side)| format!(" (its hose `{name}` leaves the {lever} lever)");
        let hose = hand.hose.map_or_else(String::new, leaves);
        format!("the {} on {}{hose}", hand.side, setup.name.value)
    };
    if was.side != is.side {
        return Some(format!(
            "The front brake is on the other hand on this bike: {}, {}. Local law decides; tell the rider before \
             anybody rides.",
            on(&is, onto),
            on(&was, from),
        ));
    }
    let word = front_brake::said(from).filter(|word| *word != is.side)?;
    Some(format!(
        "By the hoses the front brake is on the same hand on both bikes: {}, {}. By the rider's word it is on the other, \
         the {word} on {}. Find out which lever stops which wheel; local law decides; tell the rider before anybody rides.",
        on(&is, onto),
        on(&was, from),
        from.name.value,
    ))
}

/// The same of both bikes, the one that is put together first; of one and the same but once.
pub fn of_both(catalogue: &Catalogue, from: &Setup, onto: &Setup) -> Vec<String> {
    let mut cautions = front_brake_cautions(catalogue, onto);
    if from.name.value != onto.name.value {
        cautions.extend(front_brake_cautions(catalogue, from));
    }
    cautions
}

/// What `check` says already of a brake hose of a bike that leaves the lever of the other brake.
fn front_brake_cautions(catalogue: &Catalogue, setup: &Setup) -> Vec<String> {
    let is_asked = |code: &Code| code.name == code::FRONT_BRAKE_HAND.name;
    let found = check::found_of(catalogue, setup, is_asked);
    let words = |finding: Finding| format!("{}: {} {}", setup.name.value, finding.message, finding.help);
    found.into_iter().map(words).collect()
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

/// What is told of the levers and not carried: how far a blade stands from the grip, and where it bites. One screw
/// usually moves both, and no figure of the first bike says by how much each on the other.
pub fn reaches(from: &Setup, onto: &Setup) -> Option<String> {
    let value = |setup: &Setup, row, side| setup.value(&MeasureId::of(row, side));
    let millimetres = |value: f64| format!("{} mm", show::brief(value));
    let on = |setup: &Setup, side: Side| {
        let reach = value(setup, LEVER_REACH, side).map_or_else(|| "not recorded".to_owned(), millimetres);
        let bite = value(setup, LEVER_BITE, side).map(|bite| format!(" (bites at {})", millimetres(bite)));
        format!("{reach}{} on {}", bite.unwrap_or_default(), setup.name.value)
    };
    let differs = |side: &Side| {
        let reach = |setup: &Setup| value(setup, LEVER_REACH, *side);
        let is_there = |wanted: f64| reach(onto).is_some_and(|reach| (reach - wanted).abs() < SHOWN);
        reach(from).is_some_and(|wanted| !is_there(wanted))
    };
    let sides = Side::BOTH.into_iter().filter(differs);
    let each: Vec<String> =
        sides.map(|side| format!("{side} {}, {}", on(from, side), on(onto, side))).collect();
    (!each.is_empty()).then(|| {
        format!(
            "Lever reach is not carried: {}. The screw that sets it usually moves the bite along (common practice, no \
             source): set it to the hand, then read both.",
            each.join("; ")
        )
    })
}
