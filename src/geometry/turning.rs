//! What turning the bars does: how near each control comes to the top tube, and what each hose makes of it.
//!
//! The least clearance is certified, and each number carries its uncertainty. The head tube, the fork crown and the
//! bar itself are left out, and so is whatever the frame wears. It refuses to know how bad a contact is and how any
//! of it looks on a screen. Angles are degrees from straight ahead, positive to the left.

mod beyond_doubt;
mod clearances;
mod hoses;
mod model;
mod needs;
mod to;

use serde::Serialize;

use crate::catalogue::MeasureId;
use crate::catalogue::table::{FRAME_STEERING_STOP, HOSE_LEAVES_FROM_TIP};

use super::cockpit::Bar;
use super::state::State;

pub use beyond_doubt::most_doubt;
pub use clearances::{ControlTurn, Course, Courses, Doubt, Profile, Way, clearances, courses, doubts};
pub use hoses::{HoseEnd, HoseTurn, hoses, hoses_as_read};
pub use model::{ClearancesAt, FrameHose, LowestPoint, SlacksAt, SteeringAngle, lowest_points};
pub use to::{ControlAt, HoseAt, Steered, steered};

/// The free turn to each side that is asked of a bicycle, in degrees: ISO 4210-2, 4.7.5 and its table 4. (The figure
/// is read in the sister standard for power-assisted bicycles, 60°; that table 4 has the same for mountain bicycles
/// is from memory.)
pub const FREE_TURN: f64 = 60.0;

/// A clearance's minimum is proven to this, in millimetres.
pub const PROOF_GAP: f64 = 0.01;

/// Something that cannot be computed, and the measures it lacks.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Missing {
    /// Which control or hose: `left.brake-lever`, `hose.rear brake`.
    pub part: String,
    /// In plain words.
    pub title: String,
    /// The measures by their written paths; of two that would do, both.
    pub needs: Vec<String>,
}

/// Everything that turning the bars does to one state.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Turning {
    /// Where the frame stops the bars, in degrees; none if they spin right round, or nobody knows.
    pub stop: Option<f64>,
    /// Its expanded uncertainty.
    #[serde(rename = "stop-U")]
    pub stop_uncertainty: Option<f64>,
    /// How far the bars were turned to each side for the controls, in degrees.
    pub turned: f64,
    /// How far they were turned for the hoses, in degrees.
    pub turned_for_hoses: f64,
    /// Every control with a lowest point, brakes first.
    pub controls: Vec<ControlTurn>,
    /// Every hose, in the file's order.
    pub hoses: Vec<HoseTurn>,
    /// Measures that are absent and counted as their natural value.
    pub assumed: Vec<String>,
    /// What cannot be computed.
    pub missing: Vec<Missing>,
    /// Places further in than the bar's straight outer part: the bar was continued straight on for them.
    pub continued: Vec<String>,
}

impl Turning {
    /// Whether a control meets the top tube or a hose goes tight within what was looked at.
    pub fn is_limited(&self) -> bool {
        let touches = |control: &ControlTurn| control.ways().iter().any(|way| way.contact.is_some());
        self.controls.iter().any(touches) || self.hoses.iter().any(|hose| hose.tight_at.is_some())
    }
}

/// How far the bars turn to one side, and whether a stop with a reading of its own says so.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Limit {
    /// In degrees, unsigned.
    degrees: f64,
    /// Whether this is the frame's stop.
    is_stop: bool,
}

impl Limit {
    /// The stop; without one, `otherwise`.
    fn stop_or(state: &State, otherwise: f64) -> Limit {
        match state.value(&MeasureId::bike(FRAME_STEERING_STOP)) {
            Some(stop) => Limit { degrees: stop.abs().min(180.0), is_stop: true },
            None => Limit { degrees: otherwise, is_stop: false },
        }
    }

    fn radians(self) -> f64 {
        self.degrees.to_radians()
    }

    /// The angle as an input: at the stop it is the stop's reading, anywhere else a fixed number.
    fn angle(self, radians: f64) -> SteeringAngle {
        let at_stop = self.is_stop && (radians.abs() - self.radians()).abs() < 1e-12;
        if at_stop { SteeringAngle::AtStop(radians.signum()) } else { SteeringAngle::Fixed(radians) }
    }
}

/// A turn in degrees, straight ahead without a sign.
fn shown(radians: f64) -> f64 {
    radians.to_degrees() + 0.0
}

/// All that turning the bars of a state does.
pub fn turning(state: &State) -> Turning {
    let stop = MeasureId::bike(FRAME_STEERING_STOP);
    let (clearances, mut hoses) = (clearances(state), hoses(state));
    for hose in &mut hoses.hoses {
        hose.add_uncertainty_of_bends(state);
    }
    let mut missing = clearances.missing;
    missing.extend(hoses.missing);
    if state.held(&stop).is_some() && state.value(&stop).is_none() {
        let path = state.catalogue().path(&stop);
        missing.push(Missing {
            part: path.clone(),
            title: state.catalogue().title(&stop),
            needs: vec![path],
        });
    }
    Turning {
        stop: state.value(&stop),
        stop_uncertainty: state.number(&stop).map(crate::metrology::Reading::expanded_uncertainty),
        turned: Limit::stop_or(state, 180.0).degrees,
        turned_for_hoses: Limit::stop_or(state, FREE_TURN).degrees,
        assumed: assumed(state, &clearances.controls, &hoses.hoses),
        continued: continued(state),
        controls: clearances.controls,
        hoses: hoses.hoses,
        missing,
    }
}

/// The measures that the results rest on and nobody recorded.
fn assumed(state: &State, controls: &[ControlTurn], hoses: &[HoseTurn]) -> Vec<String> {
    let ahead = SteeringAngle::Fixed(0.0);
    let points = controls.iter().map(|control| (&control.left.point, ahead));
    let routed = hoses.iter().filter_map(|hose| Some((hose.routed.as_ref()?, ahead)));
    let mut ids = state.inputs_of(&ClearancesAt(points.collect()));
    ids.extend(state.inputs_of(&SlacksAt(routed.collect())));
    let assumed = ids.into_iter().filter(|input| state.is_assumed(&input.measure));
    assumed.map(|input| state.catalogue().path(&input.measure)).collect()
}

/// The places along the bar that lie further in than its straight outer part.
fn continued(state: &State) -> Vec<String> {
    let Some(straight) = Bar::<f64>::of(state).and_then(|bar| bar.straight()) else { return Vec::new() };
    let places = lowest_points(state).into_iter().map(|point| point.from_tip());
    let exits = model::hose_names(state).into_iter().map(|name| model::of_hose(HOSE_LEAVES_FROM_TIP, &name));
    places
        .chain(exits)
        .filter(|id| state.value(id).is_some_and(|from_tip| from_tip > straight))
        .map(|id| state.catalogue().path(&id))
        .collect()
}
