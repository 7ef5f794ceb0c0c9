//! The bodies that turn and those they may meet, as functions of the readings; written over any number, so that
//! everything computed from them carries its uncertainty.

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::catalogue::joint::Control;
use crate::catalogue::table::{
    FRAME_STEERING_STOP, HOSE_ENTERS_BACK, HOSE_ENTERS_DOWN, HOSE_ENTERS_OUT, HOSE_FREE, HOSE_LEAVES_AHEAD,
    HOSE_LEAVES_FROM_TIP, HOSE_LEAVES_UP, TOP_TUBE_DIAMETER, TOP_TUBE_DROP, TOP_TUBE_SLOPE,
};
use crate::catalogue::{MeasureId, Row, Side, Subject};
use crate::geometry::cockpit::{Bar, Front, bike, radians};
use crate::geometry::hose::chord;
use crate::geometry::state::{Consequences, Lookup, State};
use crate::geometry::{Arc as Bow, Capsule, Number, Segment, Vector};

/// How much of the top tube is looked at, in millimetres: no control reaches further back.
const TOP_TUBE_LENGTH: f64 = 600.0;

/// A turn of the bars as something to compute with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SteeringAngle {
    /// This angle, in radians, positive to the left.
    Fixed(f64),
    /// At the frame's stop, to the left (+1) or the right (−1): as uncertain as the stop's reading.
    AtStop(f64),
}

impl SteeringAngle {
    fn radians<N: Number>(self, numbers: &dyn Lookup<N>) -> Option<N> {
        match self {
            SteeringAngle::Fixed(angle) => Some(N::from(angle)),
            SteeringAngle::AtStop(sign) => Some(radians(bike(numbers, FRAME_STEERING_STOP)?) * sign),
        }
    }
}

/// A lowest point of a control, by the three measures that place it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LowestPoint {
    /// Which side of the bar.
    pub side: Side,
    /// Of which control, in the catalogue's words.
    pub control: &'static str,
    /// The first, second … of that control.
    pub ordinal: u16,
    rows: [Row; 3],
}

impl LowestPoint {
    /// The n-th lowest point of that control.
    pub fn new(side: Side, control: &Control, ordinal: u16) -> LowestPoint {
        LowestPoint { side, control: control.name, ordinal, rows: control.lowest }
    }

    /// Its three measures: along the bar, below it, ahead of it.
    pub fn measures(&self) -> [MeasureId; 3] {
        let subject = Subject::side(self.side).numbered(self.ordinal);
        self.rows.map(|row| MeasureId { row, subject: subject.clone() })
    }

    /// The measure along the bar.
    pub fn from_tip(&self) -> MeasureId {
        let [from_tip, _, _] = self.measures();
        from_tip
    }

    /// Where it is with the bars straight: the place on the bar, twist included, then ahead and down in the bike's axes.
    pub fn place<N: Number>(&self, bar: &Bar<N>, numbers: &dyn Lookup<N>) -> Option<Vector<N>> {
        let [from_tip, drop, ahead] = self.measures().map(|id| numbers.get(&id));
        let offset = Vector::new(ahead?, N::zero(), -drop?);
        Some(bar.point(self.side, from_tip?) + offset)
    }
}

/// Every lowest point that the state has a measure of, in the order of its controls.
pub fn lowest_points(state: &State) -> Vec<LowestPoint> {
    let layers = [Some(state.setup()), state.sheet()];
    let mut points = Vec::new();
    for (side, control) in state.setup().controls() {
        let readings = layers.into_iter().flatten().flat_map(|setup| setup.readings.keys());
        let of_control =
            readings.filter(|id| control.lowest.contains(&id.row) && id.subject.side == Some(side));
        let ordinals: BTreeSet<u16> = of_control.map(|id| id.subject.ordinal).collect();
        points.extend(ordinals.into_iter().map(|ordinal| LowestPoint::new(side, control, ordinal)));
    }
    points
}

/// The top tube: a round body along a straight line from where it meets the head tube.
pub fn top_tube<N: Number>(front: &Front<N>, numbers: &dyn Lookup<N>) -> Option<Capsule<N>> {
    let (sine, cosine) = radians(bike(numbers, TOP_TUBE_SLOPE)?).sin_cos();
    let start = front.head - front.axis.direction.scale(bike(numbers, TOP_TUBE_DROP)?);
    let end = start + Vector::new(-cosine, N::zero(), -sine).scale(N::from(TOP_TUBE_LENGTH));
    let radius = bike(numbers, TOP_TUBE_DIAMETER)? * 0.5;
    Some(Capsule { centreline: Segment::new(start, end), radius })
}

/// The clearances between lowest points and the top tube, each at its own steering angle, in millimetres.
pub struct ClearancesAt<'p>(pub Vec<(&'p LowestPoint, SteeringAngle)>);

impl Consequences for ClearancesAt<'_> {
    fn of<N: Number>(&self, numbers: &dyn Lookup<N>) -> Vec<Option<N>> {
        let bar = Bar::of(numbers);
        let tube = bar.and_then(|bar| top_tube(bar.front(), numbers));
        // The same point is mostly asked for at several angles in a row.
        let mut latest: Option<(LowestPoint, Option<Vector<N>>)> = None;
        let clearance = |&(point, angle): &(&LowestPoint, SteeringAngle)| {
            let bar = bar.as_ref()?;
            let place = match latest {
                Some((known, place)) if known == *point => place,
                _ => point.place(bar, numbers),
            };
            latest = Some((*point, place));
            let turned = place?.rotated_about(&bar.front().axis, angle.radians(numbers)?);
            Some(tube?.clearance(turned))
        };
        self.0.iter().map(clearance).collect()
    }
}

/// The names of the hoses, each once, in the file's order.
pub fn hose_names(state: &State) -> Vec<Arc<str>> {
    let mut names: Vec<Arc<str>> = Vec::new();
    for name in state.setup().hoses() {
        if !names.iter().any(|known| **known == *name) {
            names.push(name.into());
        }
    }
    names
}

/// A measure of a hose.
pub fn of_hose(row: Row, hose: &Arc<str>) -> MeasureId {
    MeasureId { row, subject: Subject { name: Some(Arc::clone(hose)), ..Subject::BIKE } }
}

/// A hose from a control to the frame, by its name and the words that place its ends.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FrameHose {
    /// Its name.
    pub name: Arc<str>,
    /// The side of the bar it leaves.
    pub leaves: Side,
    /// The side of the head tube it enters.
    pub enters: Side,
}

impl FrameHose {
    /// Where it leaves with the bars straight: the place on the bar, twist included, then ahead and up in the bike's axes.
    pub fn exit<N: Number>(&self, bar: &Bar<N>, numbers: &dyn Lookup<N>) -> Option<Vector<N>> {
        let [from_tip, ahead, up] = [HOSE_LEAVES_FROM_TIP, HOSE_LEAVES_AHEAD, HOSE_LEAVES_UP]
            .map(|row| numbers.get(&of_hose(row, &self.name)));
        Some(bar.point(self.leaves, from_tip?) + Vector::new(ahead?, N::zero(), up?))
    }

    /// Where the frame takes it: down the head tube from its top, square back from the axis, out to its side.
    pub fn entry<N: Number>(&self, front: &Front<N>, numbers: &dyn Lookup<N>) -> Option<Vector<N>> {
        let [down, back, out] = [HOSE_ENTERS_DOWN, HOSE_ENTERS_BACK, HOSE_ENTERS_OUT]
            .map(|row| numbers.get(&of_hose(row, &self.name)));
        let out = Vector::new(N::zero(), out? * self.enters.sign(), N::zero());
        Some(front.head - front.axis.direction.scale(down?) - front.forward.scale(back?) + out)
    }

    fn chord<N: Number>(&self, bar: &Bar<N>, angle: SteeringAngle, numbers: &dyn Lookup<N>) -> Option<N> {
        let front = bar.front();
        let (exit, entry) = (self.exit(bar, numbers)?, self.entry(front, numbers)?);
        Some(chord(exit, entry, &front.axis, angle.radians(numbers)?))
    }

    fn free<N: Number>(&self, numbers: &dyn Lookup<N>) -> Option<N> {
        numbers.get(&of_hose(HOSE_FREE, &self.name))
    }
}

/// Free length less chord of hoses, each at its own steering angle, in millimetres.
pub struct SlacksAt<'h>(pub Vec<(&'h FrameHose, SteeringAngle)>);

impl Consequences for SlacksAt<'_> {
    fn of<N: Number>(&self, numbers: &dyn Lookup<N>) -> Vec<Option<N>> {
        let bar = Bar::of(numbers);
        let slack = |(hose, angle): &(&FrameHose, SteeringAngle)| {
            Some(hose.free(numbers)? - hose.chord(bar.as_ref()?, *angle, numbers)?)
        };
        self.0.iter().map(slack).collect()
    }
}

/// The bow and the radius of one hose, each at its own steering angle, taken as an arc of its free length; millimetres.
pub struct BowAndRadius<'h> {
    /// Which hose.
    pub hose: &'h FrameHose,
    /// At which angle the bow is asked for.
    pub bowed: SteeringAngle,
    /// At which angle the radius is asked for.
    pub bent: SteeringAngle,
}

impl Consequences for BowAndRadius<'_> {
    fn of<N: Number>(&self, numbers: &dyn Lookup<N>) -> Vec<Option<N>> {
        let bar = Bar::of(numbers);
        let arc =
            |angle| Bow::over(self.hose.chord(bar.as_ref()?, angle, numbers)?, self.hose.free(numbers)?);
        let radius = arc(self.bent).map(|arc| arc.radius);
        // A straight hose has no radius.
        vec![arc(self.bowed).map(|arc| arc.sagitta), radius.filter(|radius| radius.re().is_finite())]
    }
}

/// How much further one hose bows straight ahead than it would with only `spare` left where its ends are furthest
/// apart; millimetres.
pub struct BowBeyondNeed<'h> {
    /// Which hose.
    pub hose: &'h FrameHose,
    /// At which angle its ends are furthest apart.
    pub longest: SteeringAngle,
    /// What is to be left there.
    pub spare: f64,
}

impl Consequences for BowBeyondNeed<'_> {
    fn of<N: Number>(&self, numbers: &dyn Lookup<N>) -> Vec<Option<N>> {
        let bar = Bar::of(numbers);
        let beyond = || {
            let chord = |angle| self.hose.chord(bar.as_ref()?, angle, numbers);
            let (straight, longest) = (chord(SteeringAngle::Fixed(0.0))?, chord(self.longest)?);
            bow_beyond_need(straight, self.hose.free(numbers)?, longest + self.spare)
        };
        vec![beyond()]
    }
}

/// How much further a hose of the free length bows over the straight chord than one that has the needed length.
pub fn bow_beyond_need<N: Number>(straight: N, free: N, needed: N) -> Option<N> {
    Some(Bow::over(straight, free)?.sagitta - Bow::over(straight, needed)?.sagitta)
}
