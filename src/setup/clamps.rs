//! On whose clamps the controls of a bike sit, and which joint holds a measure.

use std::borrow::Cow;

use crate::catalogue::joint::{CONTROLS, Control};
use crate::catalogue::table::SHARED;
use crate::catalogue::{Catalogue, HeldBy, MeasureId, Side};

use super::model::Setup;

impl Setup {
    /// The controls this bike has, brakes first, left before right.
    pub fn controls(&self) -> impl Iterator<Item = (Side, &'static Control)> {
        CONTROLS.iter().flat_map(move |control| {
            Side::BOTH
                .into_iter()
                .filter(move |side| self.has_part(&format!("{side}.{}", control.name)))
                .map(move |side| (side, control))
        })
    }

    /// Those of them that sit on a brake lever's clamp.
    pub fn shared_controls(&self) -> impl Iterator<Item = (Side, &'static Control)> {
        self.controls().filter(|(side, control)| self.is_shared(*side, control))
    }

    /// Whether that control sits on the brake lever's clamp.
    pub fn is_shared(&self, side: Side, control: &Control) -> bool {
        control.mount.is_some_and(|row| self.choice(&MeasureId::of(row, side)) == Some(SHARED))
    }

    /// Whether that control has a clamp of its own, and no version of a conflict says otherwise.
    pub fn has_own_clamp(&self, side: Side, control: &Control) -> bool {
        !self.is_shared(side, control) && !self.is_mount_open(side, control)
    }

    /// Whether it is not decided on whose clamp that control sits.
    fn is_mount_open(&self, side: Side, control: &Control) -> bool {
        control.mount.is_some_and(|row| self.undecided.contains_key(&MeasureId::of(row, side)))
    }

    /// Whether a bike has a joint. What the file cannot tell, such as axles and pedals, every bike has.
    pub fn has_joint(&self, name: &str) -> bool {
        let Some((side, part)) = name.split_once('.') else {
            return match name {
                "seat-clamp" | "saddle-rails" => self.has_part("saddle"),
                _ => true,
            };
        };
        let Some(side) = Side::parse(side) else { return false };
        match CONTROLS.iter().find(|control| control.name == part) {
            Some(control) => self.has_part(name) && !self.is_shared(side, control),
            None => part != "grip" || self.has_part(name),
        }
    }

    /// The joint that is loosened where somebody names this one: of a control on the brake lever's clamp that clamp.
    pub fn clamp_of<'n>(&self, name: &'n str) -> Cow<'n, str> {
        let shared = name.split_once('.').and_then(|(side, part)| {
            let (side, control) = (Side::parse(side)?, CONTROLS.iter().find(|control| control.name == part)?);
            self.is_shared(side, control).then(|| Cow::Owned(format!("{side}.brake-lever")))
        });
        shared.unwrap_or(Cow::Borrowed(name))
    }

    /// The written name of the joint that holds a measure on this bike; none where it is not decided which does.
    pub fn joint_of<'c>(&self, catalogue: &'c Catalogue, id: &MeasureId) -> Option<&'c str> {
        let side = id.subject.side.filter(|_| catalogue.measure(id.row).held_by == HeldBy::Clamp);
        let placed = side.and_then(|side| {
            let rows = |control: &&Control| {
                let placing = [Some(control.from_tip), Some(control.angle), control.slot];
                placing.contains(&Some(id.row)) || control.lowest.contains(&id.row)
            };
            Some((side, CONTROLS.iter().find(rows)?))
        });
        if placed.is_some_and(|(side, control)| self.is_mount_open(side, control)) {
            return None;
        }
        catalogue.joint_of(id, placed.is_some_and(|(side, control)| self.is_shared(side, control)))
    }

    /// Whether a measure can slip where its joint is loose: it is no figure of a part, no choice, and nothing that has to be
    /// taken apart before.
    pub fn can_slip(&self, catalogue: &Catalogue, id: &MeasureId) -> bool {
        let measure = catalogue.measure(id.row);
        !measure.is_of_the_part() && !measure.comes_apart() && self.choice(id).is_none()
    }
}
