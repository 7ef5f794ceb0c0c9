//! Which hand stops the front wheel: by the hoses of a bike where their names say, else by the rider's word.

use std::collections::BTreeMap;

use crate::catalogue::table::{HOSE_LEAVES_SIDE, RIDER_FRONT_BRAKE};
use crate::catalogue::{MeasureId, Side, Subject, code};
use crate::setup::finding::Finding;
use crate::setup::model::Setup;

use super::Context;

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

/// On which hand the bikes of a ledger have their front brakes: of each bike one setup for either hand.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Hands(BTreeMap<String, [Option<String>; 2]>);

impl Hands {
    /// Takes note of a setup by its name.
    pub fn add(&mut self, name: &str, side: Side) {
        let Some(bike) = bike(name) else { return };
        let setups = self.0.entry(bike.to_owned()).or_default();
        setups[side as usize].get_or_insert_with(|| name.to_owned());
    }

    /// These, then others.
    #[must_use]
    pub fn and(mut self, others: Hands) -> Hands {
        for (bike, setups) in others.0 {
            let known = self.0.entry(bike).or_default();
            for (known, other) in known.iter_mut().zip(setups) {
                *known = known.take().or(other);
            }
        }
        self
    }

    /// A setup of the same bike with its front brake on that hand.
    fn on(&self, name: &str, side: Side) -> Option<&str> {
        self.0.get(bike(name)?)?[side as usize].as_deref()
    }
}

/// The bike that a setup's name begins with.
pub fn bike(name: &str) -> Option<&str> {
    Some(name.split_once('/')?.0)
}

/// That another setup of the bike has the front brake on the other hand.
pub fn differs(context: &Context) -> Vec<Finding> {
    let Some((hands, name)) = context.around.hands.zip(context.around.expected_name) else {
        return Vec::new();
    };
    let Some(hand) = hand(context.setup) else { return Vec::new() };
    let (side, other) = (hand.side, hand.side.other());
    let Some(setup) = hands.on(name, other) else { return Vec::new() };
    let by = match hand.hose {
        Some((hose, _)) => format!("by the hose `{hose}`"),
        None => "by the rider's word".to_owned(),
    };
    let message = format!(
        "The front brake is on the {side} here, {by}, and on the {other} in {setup}, which is the same bike: whoever \
         takes one for the other pulls the wrong brake."
    );
    let id = MeasureId::bike(RIDER_FRONT_BRAKE);
    let place = context.setup.recorded(&id).map_or(context.setup.name.span, |recorded| recorded.span);
    vec![Finding::new(&code::FRONT_BRAKE_DIFFERS, message).at(place).about(context.catalogue.path(&id))]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn setups_are_told_apart_by_their_bike() {
        let mut hands = Hands::default();
        for (name, side) in [
            ("rowan/race", Side::Right),
            ("rowan/loan", Side::Left),
            ("rowan/wet", Side::Left),
            ("alone", Side::Left),
        ] {
            hands.add(name, side);
        }
        let mut others = Hands::default();
        others.add("rowan/dry", Side::Left);
        others.add("alder/trail", Side::Right);
        let hands = hands.and(others);
        assert_eq!(hands.on("alder/any", Side::Right), Some("alder/trail"));
        assert_eq!(hands.on("rowan/race", Side::Left), Some("rowan/loan"));
        assert_eq!(hands.on("rowan/any", Side::Right), Some("rowan/race"));
        assert_eq!((hands.on("rowan2/race", Side::Left), hands.on("alone", Side::Left)), (None, None));
    }
}
