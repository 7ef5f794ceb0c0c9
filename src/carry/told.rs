//! What is told of one assembly: the nearest, and the one that is written, where that is another.

use std::collections::BTreeSet;

use serde::Serialize;

use crate::catalogue::{Catalogue, MeasureId, joint};
use crate::compare::Replaced;
use crate::setup::model::Setup;
use crate::trial::{self, Opens, Said, SaidAccepted, SaidOfBoth, SaidStill};

use super::controls::{Between, CarriedControl, to_set};
use super::{Assembly, differing, is_point, replaces, sound};

/// What building one assembly brings.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Told {
    /// The parts that it replaces, and whose figures the file then has no more.
    pub replaced: Option<Replaced>,
    /// What `check` says of it that it does not say of the other bike now.
    pub appears: Vec<Said>,
    /// What keeps anybody from riding it and stands on the other bike already.
    pub stands: Vec<SaidStill>,
    /// What else `check` says of it in other words than of the other bike now.
    pub otherwise: Vec<SaidStill>,
    /// What it finds in it, too, and the other bike's file accepts.
    pub accepted: Vec<SaidAccepted>,
    /// What nobody is to ride with, stands on the other bike already, and its file accepts.
    pub stands_accepted: Vec<SaidAccepted>,
    /// Where the controls go.
    pub controls: Vec<CarriedControl>,
    /// The joints that it opens.
    pub opens: Opens,
}

impl Told {
    /// What is said of an assembly beside the other bike, what it replaces and opens, and where its controls go.
    pub(super) fn of(
        catalogue: &Catalogue,
        [from, onto]: [&Setup; 2],
        assembly: &Assembly,
        said: SaidOfBoth,
    ) -> Told {
        let SaidOfBoth { appears, stands, otherwise, accepted, stands_accepted, .. } = said;
        let replaced = replaces(catalogue, onto, assembly);
        let is_another_bar = replaced.as_ref().is_some_and(|replaced| replaced.parts.contains(&"bar"));
        let then = &assembly.setup;
        let set = set_by_hand(catalogue, [from, onto], then, is_another_bar);
        let opens = trial::opens(
            catalogue,
            then,
            &trial::to_be_set(catalogue, onto, then, &set),
            replaced.as_ref(),
            None,
        );
        let controls = Between { catalogue, from, onto, then, is_another_bar }.carried();
        Told { replaced, appears, stands, otherwise, accepted, stands_accepted, controls, opens }
    }

    /// Whether it has a fault, be it new or one that stands on the other bike already.
    pub fn has_a_fault(&self) -> bool {
        sound::has_a_fault(&self.appears, &self.stands)
    }

    /// Whether nothing that `check` says of it keeps anybody from riding it, once it is built.
    pub fn is_ridable(&self) -> bool {
        let mut accepted = self.accepted.iter().chain(&self.stands_accepted);
        self.stands.is_empty()
            && !self.appears.iter().any(Said::is_to_act_on)
            && !accepted.any(|one| one.stands)
    }
}

/// All that somebody may have to set for an assembly: what differs, but what goes along with the bar.
fn set_by_hand(
    catalogue: &Catalogue,
    [from, onto]: [&Setup; 2],
    then: &Setup,
    is_another_bar: bool,
) -> BTreeSet<MeasureId> {
    let mut set = to_set(catalogue, from, onto, is_another_bar);
    let goes_along = |id: &MeasureId| is_point(catalogue, id) || joint::is_control_angle(id.row);
    set.extend(differing(onto, then).into_iter().filter(|id| !goes_along(id)));
    set
}

/// What is told of an assembly of the other bike.
pub fn told(catalogue: &Catalogue, [from, onto]: [&Setup; 2], assembly: &Assembly) -> Told {
    Told::of(catalogue, [from, onto], assembly, sound::said_of(catalogue, onto, assembly))
}
