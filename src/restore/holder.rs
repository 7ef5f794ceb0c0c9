//! What has to be loosened or turned for each measure, and in which order a mechanic gets there.

use crate::catalogue::joint::{self, CONTROLS, JOINTS};
use crate::catalogue::table::{FORK_PRESSURE, LEVER_ANGLE, RIDER_FRONT_BRAKE, SHOCK_PRESSURE, TYRES_FRONT};
use crate::catalogue::{Catalogue, HeldBy, MeasureId, Row, Side, Weight};
use crate::setup::model::Setup;

/// Where the hands have to go.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Holder {
    /// A joint, by its written name.
    Joint(String),
    /// The adjusters of a part, which need no joint loosened: `left.brake-lever`, `fork`.
    Adjuster(String),
}

/// The place in working order: the joint's own, then sides left to right, a part's adjusters after its joint, and
/// behind all joints the tyres and the suspension.
pub type Order = (usize, u8, usize);

/// What comes before all joints.
pub const FIRST: Order = (0, 0, 0);
/// What comes after everything.
pub const LAST: Order = (usize::MAX, 0, 0);

impl Holder {
    /// Of a measure of this bike; none if only a saw changes it, or nothing does. A figure of a part is had back where the
    /// part is clamped.
    pub fn of(catalogue: &Catalogue, setup: &Setup, id: &MeasureId) -> Option<Holder> {
        if let Some(control) = CONTROLS.iter().find(|control| control.mount == Some(id.row)) {
            let beside = MeasureId { row: control.angle, subject: id.subject.clone() };
            return setup.joint_of(catalogue, &beside).map(Holder::of_joint);
        }
        match catalogue.measure(id.row).held_by {
            HeldBy::Nothing if catalogue.measure(id.row).is_of_the_part() => {
                joint::holding(catalogue.measure(id.row).part()).map(|joint| Holder::of_joint(joint.name))
            }
            HeldBy::Nothing | HeldBy::Cutting => None,
            HeldBy::Joint(_) | HeldBy::Clamp => setup.joint_of(catalogue, id).map(Holder::of_joint),
            HeldBy::Adjuster => {
                let path = catalogue.path(id);
                let part = path.rsplit_once('.').map_or(path.as_str(), |(part, _)| part);
                Some(Holder::Adjuster(part.to_owned()))
            }
        }
    }

    fn of_joint(name: &str) -> Holder {
        Holder::Joint(name.to_owned())
    }

    /// Its place in working order.
    pub fn order(&self) -> Order {
        match self {
            Holder::Joint(name) => joint_order(name, 0),
            Holder::Adjuster(part) if is_of(RIDER_FRONT_BRAKE, part) => {
                joint_order(&format!("{}.{}", Side::Right, part_of(LEVER_ANGLE)), 2)
            }
            Holder::Adjuster(part) if joint::find(part).is_some() => joint_order(part, 1),
            Holder::Adjuster(part) => {
                let place = BEHIND_THE_JOINTS.iter().position(|row| is_of(*row, part));
                (JOINTS.len() + 1, 0, place.unwrap_or(BEHIND_THE_JOINTS.len()))
            }
        }
    }

    /// In plain words.
    pub fn title(&self) -> String {
        match self {
            Holder::Joint(name) => joint::title(name),
            Holder::Adjuster(part) if is_of(RIDER_FRONT_BRAKE, part) => "brake hoses".to_owned(),
            Holder::Adjuster(part) if joint::find(part).is_some() => {
                format!("{} adjusters", joint::title(part))
            }
            Holder::Adjuster(part) => part.replace('.', " "),
        }
    }

    /// What it does to a rider when it is wrong.
    pub fn weight(&self) -> Weight {
        match self {
            Holder::Joint(name) => joint::find(name).map_or(Weight::Handling, |(_, joint)| joint.weight),
            Holder::Adjuster(part) => {
                let adjusted = Catalogue::standard()
                    .rows()
                    .filter(|(row, measure)| measure.held_by == HeldBy::Adjuster && is_of(*row, part));
                adjusted.map(|(_, measure)| measure.weight).min().unwrap_or(Weight::Handling)
            }
        }
    }

    /// The joint's written name, if it is one.
    pub fn joint(&self) -> Option<&str> {
        match self {
            Holder::Joint(name) => Some(name),
            Holder::Adjuster(_) => None,
        }
    }
}

/// What is set behind all joints, in this order.
const BEHIND_THE_JOINTS: [Row; 3] = [TYRES_FRONT, FORK_PRESSURE, SHOCK_PRESSURE];

fn part_of(row: Row) -> &'static str {
    Catalogue::standard().measure(row).part()
}

/// Whether a row is of that part, by its written name: `left.brake-lever`, `fork`.
fn is_of(row: Row, part: &str) -> bool {
    part.rsplit('.').next() == Some(part_of(row))
}

/// The place of a joint, `minor` things that follow it included.
pub fn joint_order(name: &str, minor: usize) -> Order {
    let index = joint::find(name).map_or(JOINTS.len(), |(index, _)| index);
    let right = name.split('.').next().and_then(Side::parse) == Some(Side::Right);
    (index + 1, u8::from(right), minor)
}

/// Where damage on a part stops the work: at the joint that clamps it; before everything where that is not known.
pub fn stops_at(setup: &Setup, on: &str) -> (Option<String>, Order) {
    let clamped = joint::holding(on).map(|joint| joint.name).or_else(|| joint::find(on).map(|_| on));
    match clamped {
        Some(name) => {
            let name = setup.clamp_of(name).into_owned();
            let order = joint_order(&name, 0);
            (Some(name), order)
        }
        None => (None, FIRST),
    }
}
