//! What a change brings along that no number shows: what has to be read again, what a saw moves, what no longer fits.

use std::collections::BTreeSet;

use crate::catalogue::table::{
    BAR_CLAMP_DIAMETER, BAR_WIDTH, HEADSET_COVER, LEVER_BITE, LEVER_REACH, SPACERS_ABOVE, SPACERS_BELOW,
    STEM_CLAMP_HEIGHT,
};
use crate::catalogue::{Catalogue, MeasureId, Side, caution};
use crate::check::levers::ROOM_TO_PULL;
use crate::check::{before_the_roll, forbidden, lines};
use crate::compare::{CUT_CARBON, Shorter, replaced, slides};
use crate::metrology::show;
use crate::setup::model::Setup;

/// A change, and what was asked for.
pub struct Minded<'a> {
    /// The table.
    pub catalogue: &'a Catalogue,
    /// The setup as it is.
    pub was: &'a Setup,
    /// The setup with the changes.
    pub now: &'a Setup,
    /// The measures that were asked for.
    pub asked: &'a BTreeSet<MeasureId>,
}

impl Minded<'_> {
    /// What to bear in mind of it, in order.
    pub fn notes(&self) -> Vec<String> {
        let bites = Side::BOTH.into_iter().filter_map(|side| self.bite(side));
        bites.chain(self.old_angles()).chain(self.width()).chain(self.clamp()).chain(self.pile()).collect()
    }

    /// A measure before and after, where it changes.
    fn change(&self, id: &MeasureId) -> Option<(f64, f64)> {
        self.was.value(id).zip(self.now.value(id)).filter(|(was, now)| was.total_cmp(now).is_ne())
    }

    /// Whether the bike would have another of that part.
    fn is_another(&self, part: &str) -> bool {
        let replaced = replaced(self.catalogue, self.was, self.now, Shorter::Sawn);
        replaced.is_some_and(|replaced| replaced.parts.contains(&part))
    }

    /// Angles that were read before the bar was rolled, of a bar that is to be rolled again: a plan makes them no better known.
    fn old_angles(&self) -> Option<String> {
        self.change(&lines::roll())?;
        let old = before_the_roll::all(self.catalogue, self.was);
        let old = old.into_iter().filter(|(id, ..)| !self.asked.contains(id));
        let titles: Vec<String> = old.map(|(id, ..)| self.catalogue.title(id)).collect();
        (!titles.is_empty()).then(|| {
            format!(
                "Read before the bar was rolled last, and not again: {}. What they are to read here is worked out of that: read \
                 them first.",
                titles.join(", ")
            )
        })
    }

    /// A bite that was read with the lever elsewhere.
    fn bite(&self, side: Side) -> Option<String> {
        let id = MeasureId::of(LEVER_BITE, side);
        let (was, now) = self.change(&MeasureId::of(LEVER_REACH, side))?;
        let bite = self.now.value(&id).filter(|_| !self.asked.contains(&id))?;
        let along = bite + now - was;
        let near = if along < ROOM_TO_PULL { ", all but at the grip: do not ride so" } else { "" };
        Some(format!(
            "The {side} bite of {} mm was read with the lever at {} mm and is left at that; the screw that moves the \
             lever usually moves the bite along (common practice, no source). Moved as far as the lever it would bite at \
             {} mm{near}. Read {} again once it is turned.",
            show::brief(bite),
            show::brief(was),
            show::brief(along.max(0.0)),
            self.catalogue.path(&id),
        ))
    }

    /// A bar that a saw makes narrower, or that cannot be this one.
    fn width(&self) -> Option<String> {
        let (was, now) = self.change(&MeasureId::bike(BAR_WIDTH))?;
        if now > was {
            let words = "A bar does not grow: a wider one is another bar, and rise, sweeps, bend and supplied width have to be its own.";
            return Some(words.to_owned());
        }
        if self.is_another("bar") {
            return None;
        }
        let half = show::brief((was - now) / 2.0);
        let mut words = format!(
            "That is this bar cut, {half} mm off each end. Everything on it is counted at the same distance from the \
             new ends as from the old: so every grip, lever, shifter and remote has to be slid inboard by {half} mm; \
             what is left where it is stands {half} mm nearer to the end than counted here."
        );
        let marks = self.marks_on_what_slides();
        if !marks.is_empty() {
            words = format!(
                "{words} Lines across what is slid are then no evidence, and are drawn again: {}. They stay on the \
                 bar, {half} mm nearer to the new ends, and are written so.",
                marks.join(", ")
            );
        }
        if self.was.torques.iter().any(|torque| torque.applied.is_some() && slides(&torque.joint.value)) {
            words = format!("{words} What was applied to the clamps that are slid counts no more.");
        }
        if self.was.has_carbon_bar() {
            words = format!("{words} {CUT_CARBON} {}", caution::CARBON);
        }
        Some(words)
    }

    /// The marks across what can be slid along the bar.
    fn marks_on_what_slides(&self) -> Vec<&str> {
        let across =
            self.was.marks.iter().filter(|mark| mark.on.as_ref().is_some_and(|on| slides(&on.value)));
        across.map(|mark| mark.name.value.as_str()).collect()
    }

    /// A pile that is not what is on the bike, and so tells nothing of how long the steerer is.
    fn pile(&self) -> Option<String> {
        let changes = [HEADSET_COVER, SPACERS_BELOW, STEM_CLAMP_HEIGHT, SPACERS_ABOVE]
            .into_iter()
            .any(|row| self.change(&MeasureId::bike(row)).is_some());
        let noted = forbidden::of_the_pile(self.was).filter(|_| changes)?;
        Some(format!(
            "A note tells not to ride the bike as it is recorded: {}. Whether the new pile goes on the steerer cannot be \
             told from the recorded one: measure what the steerer takes.",
            noted.words()
        ))
    }

    /// A bar of another thickness in a stem that stays: no file says what a stem takes but by the bar that is in it.
    fn clamp(&self) -> Option<String> {
        let id = MeasureId::bike(BAR_CLAMP_DIAMETER);
        let (was, now) = self.change(&id)?;
        let expanded = self.was.reading(&id)?.expanded_uncertainty();
        if (now - was).abs() <= expanded || self.is_another("stem") {
            return None;
        }
        Some(format!(
            "A bar of {} mm does not fit the stem on the bike, which holds one of {} mm: it takes another stem, with a \
             length, an angle and a clamp height of its own.",
            show::brief(now),
            show::brief(was),
        ))
    }
}
