//! What is told of one assembly: the nearest, and the one that is written, where that is another.

use serde::Serialize;

use crate::catalogue::Catalogue;
use crate::compare::Replaced;
use crate::setup::model::Setup;
use crate::trial::{Said, SaidAccepted, SaidOfBoth, SaidStill};

use super::{Assembly, replaces, sound};

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
}

impl Told {
    /// What is said of an assembly beside the other bike, and what it replaces.
    pub(super) fn of(said: SaidOfBoth, replaced: Option<Replaced>) -> Told {
        let SaidOfBoth { appears, stands, otherwise, accepted, stands_accepted, .. } = said;
        Told { replaced, appears, stands, otherwise, accepted, stands_accepted }
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

/// What is told of an assembly of the other bike.
pub fn told(catalogue: &Catalogue, onto: &Setup, assembly: &Assembly) -> Told {
    Told::of(sound::said_of(catalogue, onto, assembly), replaces(catalogue, onto, assembly))
}
