//! The numbers of the body as one computation over the state's measures.

use crate::catalogue::table::LEVER_ANGLE;
use crate::catalogue::{MeasureId, Side};
use crate::geometry::cockpit::{Hands, saddle};
use crate::geometry::state::{Consequences, Lookup, State};
use crate::geometry::vector::Vector;
use crate::metrology::propagate::Number;

use super::posture::{Lengths, Point, Posture, RuledOut};
use super::segment::{Segment, elbow};

/// The outputs, in the order of their constants.
pub struct Outputs;

impl Outputs {
    /// The elbow's opening, degrees.
    pub const ELBOW: usize = 3;
    /// Shoulder, forward, mm.
    pub const SHOULDER_X: usize = 4;
    /// Shoulder, up, mm.
    pub const SHOULDER_Z: usize = 5;
    /// Elbow, forward, mm.
    pub const ELBOW_X: usize = 6;
    /// Elbow, up, mm.
    pub const ELBOW_Z: usize = 7;
    /// The forearm's slope, degrees, + = hand lower than elbow.
    pub const ARM_LINE: usize = 8;
    /// The grips' middle above the saddle's, mm.
    pub const GRIPS_ABOVE_SADDLE: usize = 9;

    /// A segment's length, mm.
    pub fn segment(segment: Segment) -> usize {
        segment as usize
    }

    /// A lever's angle on level ground, degrees.
    pub fn lever(side: Side) -> usize {
        10 + side as usize
    }

    /// A lever's angle minus the arm line, degrees.
    pub fn lever_against_arm(side: Side) -> usize {
        12 + side as usize
    }
}

impl Consequences for Outputs {
    fn of<N: Number>(&self, numbers: &dyn Lookup<N>) -> Vec<Option<N>> {
        let ends = Ends::of(numbers);
        let posture = Lengths::of(numbers)
            .zip(ends)
            .and_then(|(lengths, ends)| Posture::of(&lengths, ends.saddle, ends.grips));
        let levers = Side::BOTH.map(|side| numbers.level(&MeasureId::of(LEVER_ANGLE, side)));
        let mut outputs: Vec<Option<N>> =
            Segment::ALL.iter().map(|segment| segment.length(numbers)).collect();
        outputs.push(numbers.get(&elbow()));
        outputs.extend([
            posture.map(|posture| posture.shoulder.x),
            posture.map(|posture| posture.shoulder.z),
            posture.map(|posture| posture.elbow.x),
            posture.map(|posture| posture.elbow.z),
            posture.map(|posture| posture.arm_line),
            ends.map(|ends| ends.grips.z - ends.saddle.z),
        ]);
        outputs.extend(levers);
        outputs.extend(levers.map(|lever| Some(lever? - posture?.arm_line)));
        outputs
    }
}

/// The two ends of the rider.
#[derive(Clone, Copy)]
struct Ends<N> {
    saddle: Point<N>,
    grips: Point<N>,
}

impl<N: Number> Ends<N> {
    fn of(numbers: &dyn Lookup<N>) -> Option<Self> {
        let grips = in_plane(Hands::of(numbers)?.middle());
        Some(Ends { saddle: in_plane(saddle(numbers)?), grips })
    }
}

fn in_plane<N: Number>(point: Vector<N>) -> Point<N> {
    Point { x: point.x, z: point.z }
}

impl<N: Number> Lengths<N> {
    /// From the rider's readings, or the stature and the survey.
    fn of(numbers: &dyn Lookup<N>) -> Option<Self> {
        Some(Lengths {
            torso: Segment::Torso.length(numbers)?,
            upper_arm: Segment::UpperArm.length(numbers)?,
            forearm: Segment::Forearm.length(numbers)?,
            elbow: numbers.get(&elbow())?,
        })
    }
}

/// Asks which length rules a posture out.
struct Why;

impl Consequences for Why {
    fn of<N: Number>(&self, numbers: &dyn Lookup<N>) -> Vec<Option<N>> {
        let lengths = Lengths::of(numbers);
        let ends = Ends::of(numbers);
        vec![
            lengths.map(|lengths| lengths.torso),
            lengths.map(|lengths| lengths.upper_arm),
            lengths.map(|lengths| lengths.forearm),
            lengths.map(|lengths| lengths.elbow),
            ends.map(|ends| ends.saddle.x),
            ends.map(|ends| ends.saddle.z),
            ends.map(|ends| ends.grips.x),
            ends.map(|ends| ends.grips.z),
        ]
    }
}

/// Which length rules a posture out; none if one is possible or something is not known.
pub fn ruled_out(state: &State) -> Option<RuledOut> {
    let known: Option<Vec<f64>> = state.values(&Why).into_iter().collect();
    let [torso, upper_arm, forearm, elbow, saddle_x, saddle_z, grips_x, grips_z] =
        <[f64; 8]>::try_from(known?).ok()?;
    let lengths = Lengths { torso, upper_arm, forearm, elbow };
    RuledOut::by(&lengths, Point { x: saddle_x, z: saddle_z }, Point { x: grips_x, z: grips_z })
}
