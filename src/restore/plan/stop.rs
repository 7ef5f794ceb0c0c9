//! What stops the work, how far it reaches and what cannot make the bike safe for it.

use serde::Serialize;

use crate::catalogue::{Weight, joint};

use super::super::holder::{LAST, Order};

/// How far something that stops the work reaches.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Reach {
    /// Everything from there on.
    EverythingAfter,
    /// What is set at its own joint: nothing else stands on it.
    ItsJoint,
    /// The ride alone: everything can be put in its place before.
    Riding,
}

/// Something that stops the work.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Blocked {
    /// The joint at which it stops; none where it stops everything.
    pub joint: Option<String>,
    /// What, in one sentence.
    pub why: String,
    /// What to do about it.
    pub help: String,
    /// What cannot make the bike safe as long as it stands.
    pub holds_up: Reach,
    /// What it does to a rider.
    pub weight: Weight,
    /// The same in the headline's words, where its own step tells the rest.
    #[serde(skip)]
    pub(super) in_short: Option<String>,
    #[serde(skip)]
    pub(super) order: Order,
    /// The damaged part.
    #[serde(skip)]
    pub(super) on: Option<String>,
    /// Other joints that cannot be set before it is settled.
    #[serde(skip)]
    pub(super) also: Vec<String>,
    /// Whether it lies in what the bike goes back to, and not in the bike as it stands.
    #[serde(skip)]
    pub(super) of_the_target: bool,
    /// Whether nothing at that joint may be tightened.
    #[serde(skip)]
    pub(super) forbids: bool,
}

impl Blocked {
    /// Something at that place after which nothing is safe, and where nothing may be tightened.
    pub(super) fn everything(joint: Option<String>, order: Order, why: String, help: String) -> Blocked {
        Blocked {
            weight: joint.as_deref().map_or(Weight::SteeringAndBrakes, joint::weight),
            joint,
            why,
            help,
            holds_up: Reach::EverythingAfter,
            in_short: None,
            order,
            on: None,
            also: Vec::new(),
            of_the_target: false,
            forbids: true,
        }
    }

    pub(super) fn in_short(&self) -> String {
        self.in_short.clone().unwrap_or_else(|| self.why.trim_end_matches('.').to_owned())
    }

    /// Whether the bike is not to be ridden for it. A comfort that nobody knows is to be found again, no more.
    pub(super) fn makes_unsafe(&self) -> bool {
        self.holds_up == Reach::EverythingAfter || self.weight == Weight::SteeringAndBrakes
    }

    /// Whether it is told with the step at that place and nowhere before.
    pub(super) fn is_told_at(&self, order: Order) -> bool {
        self.holds_up == Reach::ItsJoint && self.order == order
    }

    /// Whether a step at that place cannot make the bike safe for it.
    pub(super) fn holds_up_at(&self, order: Order) -> bool {
        match self.holds_up {
            Reach::EverythingAfter => self.order <= order,
            Reach::ItsJoint => self.order == order || order == LAST && self.makes_unsafe(),
            Reach::Riding => order == LAST,
        }
    }
}
