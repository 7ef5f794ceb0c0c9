//! Which hand stops the front wheel: by the hoses of a bike where their names say, else by the rider's word.

use crate::catalogue::table::{HOSE_LEAVES_SIDE, RIDER_FRONT_BRAKE};
use crate::catalogue::{MeasureId, Side, Subject};
use crate::setup::model::Setup;

/// A wheel that a brake stops.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wheel {
    /// The front one.
    Front,
    /// The rear one.
    Rear,
}

/// The hand that pulls the front brake.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hand<'s> {
    /// Which.
    pub side: Side,
    /// The brake hose that tells it, and the lever that this one leaves; none where the rider's word does.
    pub hose: Option<(&'s str, Side)>,
}

/// The hand that pulls the front brake; none if nothing tells, or if the hoses contradict one another.
pub fn hand(setup: &Setup) -> Option<Hand<'_>> {
    let mut by_hose = setup.hoses().filter_map(|name| {
        let (wheel, leaves) = braked(setup, name)?;
        let side = if wheel == Wheel::Front { leaves } else { leaves.other() };
        // A hose to the front brake tells it in so many words.
        Some((wheel != Wheel::Front, Hand { side, hose: Some((name, leaves)) }))
    });
    let Some(first) = by_hose.next() else {
        let side = said(setup)?;
        return Some(Hand { side, hose: None });
    };
    let hands: Vec<(bool, Hand)> = std::iter::once(first).chain(by_hose).collect();
    let side = hands.first()?.1.side;
    let agree = hands.iter().all(|(_, hand)| hand.side == side);
    let (_, hand) = hands.into_iter().min_by_key(|(is_of_the_rear, _)| *is_of_the_rear)?;
    agree.then_some(hand)
}

/// The hand that the rider's word gives to the front brake.
pub fn said(setup: &Setup) -> Option<Side> {
    setup.choice(&MeasureId::bike(RIDER_FRONT_BRAKE)).and_then(Side::parse)
}

/// The wheel that a hose brakes, and the lever it leaves; none for any other hose.
pub fn braked(setup: &Setup, hose: &str) -> Option<(Wheel, Side)> {
    let leaves = MeasureId { row: HOSE_LEAVES_SIDE, subject: Subject::named(hose) };
    Some((braked_wheel(hose)?, Side::parse(setup.choice(&leaves)?)?))
}

/// The wheel that a hose brakes, by its name; none for any other hose.
fn braked_wheel(name: &str) -> Option<Wheel> {
    let words: Vec<String> =
        name.split(|letter: char| !letter.is_alphanumeric()).map(str::to_lowercase).collect();
    let has = |word: &str| words.iter().any(|found| found == word);
    let wheel = match (has("front"), has("rear") || has("back")) {
        (true, false) => Wheel::Front,
        (false, true) => Wheel::Rear,
        _ => return None,
    };
    has("brake").then_some(wheel)
}
