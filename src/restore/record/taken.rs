//! Which readings of a sheet are written, and what goes along with them.

use crate::catalogue::MeasureId;
use crate::catalogue::joint::{CONTROLS, Control};
use crate::catalogue::table::LEVER_ANGLE;
use crate::geometry::state::{State, Turns};
use crate::setup::model::Setup;

use super::Unridable;
use super::carried::{self, Carried, Unknown};
use super::folding::Folding;

/// What is written of the readings.
pub(super) struct Taken {
    /// Everything that is written, with what goes along.
    pub(super) all: Vec<MeasureId>,
    /// By how much each control's angle differs from the recorded one.
    turns: Turns,
    pub(super) carried: Carried,
}

impl Taken {
    /// All of these, and what goes along with them; `without` stays as it is recorded, and nothing goes along with what
    /// was found `as_planned`.
    pub(super) fn of(
        recorded: &State,
        sheet: &Setup,
        turns: &Turns,
        (all, as_planned): (&[MeasureId], &[MeasureId]),
        without: &[Unridable],
    ) -> Taken {
        let is_held = |id: &MeasureId| without.iter().any(|one| one.id == *id && !one.written);
        // What shares a lever's clamp and was not read itself turned along with it, and stays with it.
        let is_out = |id: &MeasureId| {
            let lever = lever_under(recorded.setup(), id).filter(|_| sheet.reading(id).is_none());
            is_held(id) || lever.is_some_and(|lever| is_held(&lever))
        };
        let mut turns = turns.clone();
        turns.retain(|id, _| !is_out(id));
        let mut all: Vec<MeasureId> = all.iter().filter(|id| !is_out(id)).cloned().collect();
        let found = recorded.found(sheet, Some(&turns));
        let moved: Vec<MeasureId> = all.iter().filter(|id| !as_planned.contains(id)).cloned().collect();
        let mut carried = carried::carried(&found, &turns, &moved);
        carried.turns.retain(|id, _| !is_out(id));
        all.extend(carried.turns.keys().filter(|id| !all.contains(id)).cloned().collect::<Vec<_>>());
        all.retain(|id| !carried.unknown.iter().any(|unknown| unknown.id == *id));
        turns.extend(carried.turns.clone());
        Taken { all, turns, carried }
    }

    /// Counts these among what nobody knows any more.
    pub(super) fn forget(&mut self, unknown: Vec<Unknown>) {
        for one in unknown {
            let is_known = self.carried.unknown.iter().any(|known| known.id == one.id);
            if !is_known && !self.all.contains(&one.id) {
                self.carried.unknown.push(one);
            }
        }
    }

    pub(super) fn folding<'a>(&'a self, recorded: &State<'a>, sheet: &'a Setup) -> Folding<'a> {
        Folding {
            catalogue: recorded.catalogue(),
            before: recorded.setup(),
            found: recorded.found(sheet, Some(&self.turns)),
            day: sheet.day(),
            all: &self.all,
        }
    }
}

/// The angle of the lever whose clamp a control shares, if this is such a control's angle.
pub(super) fn lever_under(setup: &Setup, id: &MeasureId) -> Option<MeasureId> {
    let side = id.subject.side?;
    let shares = |control: &&Control| control.angle == id.row && setup.is_shared(side, control);
    CONTROLS.iter().find(shares).map(|_| MeasureId::of(LEVER_ANGLE, side))
}
