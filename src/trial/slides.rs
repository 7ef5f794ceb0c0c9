//! What moves a control on the bar and what turns it with the bar, and so what of it somebody has to set by hand.

use std::collections::BTreeSet;

use crate::catalogue::joint::{CONTROLS, Control};
use crate::catalogue::table::BAR_ROLL;
use crate::catalogue::{Catalogue, MeasureId, Side};
use crate::geometry::rigid::Slide;
use crate::geometry::state::State;
use crate::setup::model::Setup;

/// A change smaller than this, mm or degrees, is rounding.
pub(super) const ROUNDING: f64 = 1e-9;
/// What an angle is off by where it was written to a thousandth of a degree, and not turned.
const WRITTEN: f64 = 2e-3;

/// A bike before and after a change, and what of it was asked for.
#[derive(Clone, Copy)]
pub struct Slides<'s, 'a> {
    before: &'s State<'a>,
    after: &'s State<'a>,
    asked: &'s BTreeSet<MeasureId>,
    rolled: f64,
    is_roll_known: bool,
}

impl<'s, 'a> Slides<'s, 'a> {
    /// Of these two.
    pub fn of(before: &'s State<'a>, after: &'s State<'a>, asked: &'s BTreeSet<MeasureId>) -> Slides<'s, 'a> {
        let roll = [before, after].map(|state| state.value(&MeasureId::bike(BAR_ROLL)));
        let rolled = if let [Some(was), Some(now)] = roll { now - was } else { 0.0 };
        let is_roll_known = roll[0].is_some() == roll[1].is_some();
        Slides { before, after, asked, rolled, is_roll_known }
    }

    /// By how many degrees the bar is rolled.
    pub(super) fn rolled(&self) -> f64 {
        self.rolled
    }

    fn change(&self, id: &MeasureId) -> Option<f64> {
        Some(self.after.value(id)? - self.before.value(id)?)
    }

    /// How a control moved against the bar: as asked, else as the lever whose clamp it shares.
    pub(super) fn slide(&self, side: Side, control: &Control) -> Slide {
        let (shared, own) = (self.with_the_lever(side, control), self.own(side, control));
        let angle = MeasureId::of(control.angle, side);
        Slide {
            inboard: shared.inboard + own.inboard,
            tipped: if self.asked.contains(&angle) { own.tipped } else { shared.tipped },
        }
    }

    fn with_the_lever(&self, side: Side, control: &Control) -> Slide {
        let lever = CONTROLS.first().filter(|_| self.before.setup().is_shared(side, control));
        lever.map_or(Slide::default(), |lever| self.own(side, lever))
    }

    fn own(&self, side: Side, control: &Control) -> Slide {
        let (from_tip, angle) = (MeasureId::of(control.from_tip, side), MeasureId::of(control.angle, side));
        let tipped = self.change(&angle).filter(|_| self.asked.contains(&angle));
        Slide {
            inboard: self.change(&from_tip).filter(|_| self.asked.contains(&from_tip)).unwrap_or(0.0),
            // An angle that was asked for is the one after the roll.
            tipped: tipped.map_or(0.0, |tipped| tipped - self.rolled),
        }
    }

    /// By how many degrees a control turns on which nobody lays a hand: with the bar, and with the lever whose clamp it
    /// shares. None where nobody knows how the bar was rolled before.
    pub fn turns_along(&self, side: Side, control: &Control) -> Option<f64> {
        self.is_roll_known.then(|| self.with_the_lever(side, control).tipped + self.rolled)
    }

    /// Whether a measure that was asked for is one that somebody has to set. A control's angle is none where it comes of
    /// the roll alone, and is one where it is to stay as it was on a bar that is rolled.
    fn is_to_be_set(&self, id: &MeasureId) -> bool {
        let setup = |state: &State<'a>| state.setup();
        let (Some(was), Some(now)) = (self.before.value(id), self.after.value(id)) else {
            return setup(self.before).value(id) != setup(self.after).value(id)
                || setup(self.before).choice(id) != setup(self.after).choice(id);
        };
        let control = CONTROLS.iter().find(|control| control.angle == id.row).zip(id.subject.side);
        match control {
            None => (now - was).abs() > ROUNDING,
            Some((control, side)) => {
                self.turns_along(side, control).is_none_or(|along| (now - was - along).abs() > WRITTEN)
            }
        }
    }
}

/// Of the measures that were asked for, those that somebody has to set.
pub fn to_be_set<'i>(
    catalogue: &Catalogue,
    was: &Setup,
    now: &Setup,
    asked: &'i BTreeSet<MeasureId>,
) -> BTreeSet<&'i MeasureId> {
    let (before, after) = (State::recorded(catalogue, was), State::recorded(catalogue, now));
    let slides = Slides::of(&before, &after, asked);
    asked.iter().filter(|id| slides.is_to_be_set(id)).collect()
}
