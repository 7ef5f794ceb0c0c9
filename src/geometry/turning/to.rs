//! The bars turned to one angle: the clearances and the slack there, and on the way to it.

use serde::Serialize;

use crate::catalogue::joint;
use crate::geometry::state::State;

use super::clearances::{Turnable, Way, turnable, way};
use super::hoses::all_routed;
use super::model::{ClearanceAt, LowestPoint, SlackAt, SteeringAngle};
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
    let mut controls = Vec::new();
    for (side, control, points) in turnable(state, |_| ()) {
        let name = format!("{side}.{}", control.name);
        let way = way(state, &points, limit, if degrees < 0.0 { -1.0 } else { 1.0 });
        if let (Some((clearance, uncertainty)), Some(way)) = (there(state, &points, radians), way) {
            controls.push(ControlAt {
                title: joint::title(&name),
                control: name,
                clearance,
                uncertainty,
                way,
            });
        }
    }
    let hoses = all_routed(state).into_iter().filter_map(|hose| {
        let (propagated, ..) =
            state.propagate(&SlackAt { hose: &hose, angle: SteeringAngle::Fixed(radians) });
        let slack = propagated.output(0)?;
        let (name, uncertainty) = (hose.name.to_string(), slack.expanded_uncertainty());
        Some(HoseAt { name, slack: slack.value, uncertainty })
    });
    Steered { angle: shown(radians), controls, hoses: hoses.collect() }
}

/// The clearance of the nearest point at that angle, and its expanded uncertainty.
fn there(state: &State, points: &[Turnable], radians: f64) -> Option<(f64, f64)> {
    let at = |clearance: &crate::geometry::Clearance| clearance.at(radians).value;
    let (point, _): &(LowestPoint, _) = points.iter().min_by(|a, b| at(&a.1).total_cmp(&at(&b.1)))?;
    let (propagated, ..) = state.propagate(&ClearanceAt { point, angle: SteeringAngle::Fixed(radians) });
    let output = propagated.output(0)?;
    Some((output.value, output.expanded_uncertainty()))
}
