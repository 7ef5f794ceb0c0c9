//! The bars turned to one angle: the clearances and the slack there, and on the way to it.

use serde::Serialize;

use crate::catalogue::joint;
use crate::geometry::state::State;

use super::clearances::{Turnable, Way, course, turnable, ways};
use super::hoses::all_routed;
use super::model::{ClearancesAt, LowestPoint, SlacksAt, SteeringAngle};
use super::{Limit, shown};

/// The bars turned to one angle.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Steered {
    /// The angle, in degrees, positive to the left.
    pub angle: f64,
    /// Every control that can be computed.
    pub controls: Vec<ControlAt>,
    /// Every hose that can be computed.
    pub hoses: Vec<HoseAt>,
}

/// One control at that angle.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct ControlAt {
    /// `left.brake-lever`.
    pub control: String,
    /// In plain words.
    pub title: String,
    /// The clearance there, in millimetres.
    pub clearance: f64,
    /// Its expanded uncertainty.
    #[serde(rename = "U")]
    pub uncertainty: f64,
    /// The least clearance on the way there, and the first contact.
    pub way: Way,
}

/// One hose at that angle.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct HoseAt {
    /// Its name.
    pub name: String,
    /// Free length less the distance between its ends, in millimetres; negative when it is too short.
    pub slack: f64,
    /// Its expanded uncertainty.
    #[serde(rename = "U")]
    pub uncertainty: f64,
}

impl Steered {
    /// Whether a control touches on the way or a hose is too short there.
    pub fn is_limited(&self) -> bool {
        self.controls.iter().any(|control| control.way.contact.is_some())
            || self.hoses.iter().any(|hose| hose.slack <= 0.0)
    }
}

/// The state with its bars turned by `degrees`, positive to the left; no more than half a turn.
pub fn steered(state: &State, degrees: f64) -> Steered {
    let degrees = degrees.clamp(-180.0, 180.0) + 0.0;
    let limit = Limit { degrees: degrees.abs(), is_stop: false };
    let radians = degrees.to_radians();
    let angle = SteeringAngle::Fixed(radians);
    let sign = if degrees < 0.0 { -1.0 } else { 1.0 };
    let turned: Vec<_> = turnable(state, |_| ())
        .into_iter()
        .filter_map(|(side, control, points)| {
            let (nearest, course) = (nearest(&points, radians)?, course(&points, limit, sign)?);
            Some((format!("{side}.{}", control.name), nearest, course))
        })
        .collect();
    let there = ClearancesAt(turned.iter().map(|(_, nearest, _)| (nearest, angle)).collect());
    let (there, ..) = state.propagate(&there);
    let ways = ways(state, turned.iter().map(|(_, _, course)| course));
    let mut controls = Vec::new();
    for ((control, ..), (clearance, way)) in turned.iter().zip(there.outputs.iter().zip(ways)) {
        if let (Some(clearance), Some(way)) = (clearance, way) {
            controls.push(ControlAt {
                title: joint::title(control),
                control: control.clone(),
                clearance: clearance.value,
                uncertainty: clearance.expanded_uncertainty(),
                way,
            });
        }
    }
    let hoses = all_routed(state);
    let (slacks, ..) = state.propagate(&SlacksAt(hoses.iter().map(|hose| (hose, angle)).collect()));
    let hoses = hoses.iter().zip(&slacks.outputs).filter_map(|(hose, slack)| {
        let slack = slack.as_ref()?;
        let (name, uncertainty) = (hose.name.to_string(), slack.expanded_uncertainty());
        Some(HoseAt { name, slack: slack.value, uncertainty })
    });
    Steered { angle: shown(radians), controls, hoses: hoses.collect() }
}

/// The point that is nearest at that angle.
fn nearest(points: &[Turnable], radians: f64) -> Option<LowestPoint> {
    let at = |(_, clearance): &Turnable| clearance.at(radians).value;
    points.iter().min_by(|a, b| at(a).total_cmp(&at(b))).map(|(point, _)| *point)
}
