//! The least clearance of every control to each side, where it falls, and the first contact.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::catalogue::Side;
use crate::catalogue::joint::{self, Control};
use crate::geometry::certified::{EQUAL_MINIMA, Minimum};
use crate::geometry::clearance::Clearance;
use crate::geometry::cockpit::Bar;
use crate::geometry::state::State;
use crate::metrology::propagate::Output;

use super::beyond_doubt::most_doubt;
use super::model::{ClearancesAt, LowestPoint, SteeringAngle, lowest_points, top_tube};
use super::{Limit, Missing, PROOF_GAP, needs, shown};

/// Into how many equal pieces the whole turn is cut for a profile.
const PIECES: u8 = 50;

/// One control, turned to both sides.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct ControlTurn {
    /// `left.brake-lever`.
    pub control: String,
    /// In plain words: "left brake lever".
    pub title: String,
    /// Bars turned to the left.
    pub left: Way,
    /// Bars turned to the right.
    pub right: Way,
    /// Its clearance over the whole turn.
    pub profile: Profile,
}

impl ControlTurn {
    /// Both ways, left first.
    pub fn ways(&self) -> [&Way; 2] {
        [&self.left, &self.right]
    }

    /// The way to that side.
    pub fn way(&self, side: Side) -> &Way {
        let [left, right] = self.ways();
        match side {
            Side::Left => left,
            Side::Right => right,
        }
    }
}

/// One control, turned one way.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Way {
    /// Least clearance over the whole way, in millimetres; negative when the bodies overlap.
    pub least: f64,
    /// Its expanded uncertainty.
    #[serde(rename = "U")]
    pub uncertainty: f64,
    /// Where it falls, in degrees: of equal ones the smallest turn.
    pub at: f64,
    /// Whether it falls at the frame's stop, so that the stop's own reading counts.
    pub at_stop: bool,
    /// The first contact, in degrees; none if the whole way is proven free.
    pub contact: Option<f64>,
    /// Its expanded uncertainty; none if the bodies overlap already straight ahead.
    #[serde(rename = "contact-U")]
    pub contact_uncertainty: Option<f64>,
    /// The true minimum is proven to lie no more than this below `least`, in millimetres.
    pub gap: f64,
    /// Which of the control's lowest points comes nearest.
    pub lowest: u16,
    /// Whether first-order uncertainty is rough here.
    pub rough: bool,
    /// That point.
    #[serde(skip)]
    pub point: LowestPoint,
}

impl Way {
    /// Whether the clearance is there but smaller than its own uncertainty.
    pub fn is_too_close_to_call(&self) -> bool {
        self.contact.is_none() && self.least < self.uncertainty
    }
}

/// A control's clearance over the whole turn, piece by piece.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Profile {
    /// Where it begins, in degrees: to the right.
    pub from: f64,
    /// Where it ends, in degrees: to the left.
    pub to: f64,
    /// The least clearance on each of its equal pieces, in millimetres, proven like the least of all.
    pub least: Vec<f64>,
}

/// One control turned one way, by its readings as they stand: without uncertainty.
#[derive(Clone, Copy, Debug)]
pub struct Course {
    minimum: Minimum,
    /// Which of the control's lowest points comes nearest.
    pub point: LowestPoint,
    /// The angle of the minimum as an input.
    pub angle: SteeringAngle,
    contact: Option<Contact>,
}

#[derive(Clone, Copy, Debug)]
struct Contact {
    at: f64,
    slope: f64,
    point: LowestPoint,
}

impl Course {
    /// Least clearance over the whole way, in millimetres; negative when the bodies overlap.
    pub fn least(&self) -> f64 {
        self.minimum.least
    }

    /// Where it falls, in degrees.
    pub fn at(&self) -> f64 {
        shown(self.minimum.at)
    }

    /// The first contact, in degrees; none if the whole way is proven free.
    pub fn contact(&self) -> Option<f64> {
        self.contact.map(|contact| shown(contact.at))
    }
}

/// How sure the figures of a course are: expanded uncertainties.
#[derive(Clone, Copy, Debug)]
pub struct Doubt {
    /// Of its least clearance, in millimetres.
    pub least: f64,
    /// Of its first contact, in degrees; none if there is none, or if the bodies overlap already straight ahead.
    pub contact: Option<f64>,
}

/// One control on its course to either side.
pub struct Courses {
    /// `left.brake-lever`.
    pub control: String,
    /// In plain words: "left brake lever".
    pub title: String,
    /// Bars turned to the left, then to the right.
    pub both: [Course; 2],
    points: Vec<Turnable>,
}

impl Courses {
    /// The course to that side.
    pub fn to(&self, side: Side) -> &Course {
        let [left, right] = &self.both;
        match side {
            Side::Left => left,
            Side::Right => right,
        }
    }
}

/// What could be computed of the controls and what not.
pub struct Clearances {
    /// The controls with a lowest point.
    pub controls: Vec<ControlTurn>,
    /// Those that something is missing for.
    pub missing: Vec<Missing>,
}

/// A lowest point ready to be turned.
pub(super) type Turnable = (LowestPoint, Clearance);

/// The controls of a state with their points ready to be turned; the others are handed to `missing`.
pub(super) fn turnable(
    state: &State,
    mut missing: impl FnMut(Missing),
) -> Vec<(Side, &'static Control, Vec<Turnable>)> {
    let mut points: BTreeMap<(Side, &str), Vec<LowestPoint>> = BTreeMap::new();
    for point in lowest_points(state) {
        points.entry((point.side, point.control)).or_default().push(point);
    }
    // What they all stand on.
    let bar = Bar::<f64>::of(state);
    let tube = bar.and_then(|bar| top_tube(bar.front(), state));
    let prepared = |point: &LowestPoint| {
        let bar = bar.as_ref()?;
        Some(Clearance::new(point.place(bar, state)?, &bar.front().axis, tube?))
    };
    let mut found = Vec::new();
    for (side, control) in state.setup().controls() {
        let points =
            points.remove(&(side, control.name)).unwrap_or_else(|| vec![LowestPoint::new(side, control, 1)]);
        let mut ready = Vec::new();
        let mut lacking: Vec<String> = Vec::new();
        for point in points {
            match prepared(&point) {
                Some(clearance) => ready.push((point, clearance)),
                None => lacking.extend(needs::of_point(state, &point)),
            }
        }
        let name = format!("{side}.{}", control.name);
        if !lacking.is_empty() {
            let mut needs: Vec<String> = Vec::new();
            for need in lacking {
                if !needs.contains(&need) {
                    needs.push(need);
                }
            }
            missing(Missing { title: joint::title(&name), part: name, needs });
        }
        if !ready.is_empty() {
            found.push((side, control, ready));
        }
    }
    found
}

/// Every control of the state on its course to both sides, as far as the bars go.
pub fn courses(state: &State, missing: impl FnMut(Missing)) -> Vec<Courses> {
    let limit = Limit::stop_or(state, 180.0);
    let mut found = Vec::new();
    for (side, control, points) in turnable(state, missing) {
        let name = format!("{side}.{}", control.name);
        let both = (course(&points, limit, 1.0), course(&points, limit, -1.0));
        if let (Some(left), Some(right)) = both {
            let title = joint::title(&name);
            found.push(Courses { control: name, title, both: [left, right], points });
        }
    }
    found
}

/// Every control of the state, turned to both sides as far as the bars go.
pub fn clearances(state: &State) -> Clearances {
    let limit = Limit::stop_or(state, 180.0);
    let mut missing = Vec::new();
    let courses = courses(state, |lacking| missing.push(lacking));
    let mut ways = ways(state, courses.iter().flat_map(|courses| &courses.both)).into_iter();
    let mut controls = Vec::new();
    for courses in courses {
        if let (Some(Some(left)), Some(Some(right))) = (ways.next(), ways.next()) {
            let profile = profile(&courses.points, limit);
            controls.push(ControlTurn {
                control: courses.control,
                title: courses.title,
                left,
                right,
                profile,
            });
        }
    }
    Clearances { controls, missing }
}

/// One control turned to one side (+1 left, −1 right) as far as `limit`.
pub(super) fn course(points: &[Turnable], limit: Limit, sign: f64) -> Option<Course> {
    let end = sign * limit.radians();
    let of_each = points.iter().map(|(point, clearance)| (point, clearance.least(0.0, end, PROOF_GAP)));
    let (point, minimum) = of_each.reduce(lower)?;
    let proven_free = minimum.least - minimum.proven_gap > 0.0;
    let contact = if proven_free { None } else { first_contact(points, end) };
    Some(Course { minimum, point: *point, angle: limit.angle(minimum.at), contact })
}

/// The first contact of any of the points on the way to `end`, in radians.
fn first_contact(points: &[Turnable], end: f64) -> Option<Contact> {
    let contacts = points.iter().filter_map(|(point, clearance)| {
        let contact = clearance.first_contact(end);
        Some(Contact { at: contact.at?, slope: contact.slope, point: *point })
    });
    contacts.min_by(|a, b| a.at.abs().total_cmp(&b.at.abs()))
}

/// Each course with its uncertainties, all from one propagation; none where nothing comes out.
pub(super) fn ways<'c>(state: &State, courses: impl Iterator<Item = &'c Course>) -> Vec<Option<Way>> {
    let courses: Vec<&Course> = courses.collect();
    let (propagated, ..) = state.propagate(&clearances_on(&courses));
    let doubts = propagated.outputs.iter().map(|output| output.as_ref().map(Output::expanded_uncertainty));
    let doubts = doubts_of(&courses, &doubts.collect::<Vec<_>>());
    let way = |((course, doubt), least): ((&&Course, Option<Doubt>), &Option<Output>)| {
        Some(Way::of(course, doubt?, least.as_ref()?.rough))
    };
    courses.iter().zip(doubts).zip(&propagated.outputs).map(way).collect()
}

/// How sure each course is, for a verdict on it; none where it is clear beyond any doubt, or nothing comes out.
pub fn doubts<'c>(state: &State, courses: impl Iterator<Item = &'c Course>) -> Vec<Option<Doubt>> {
    let courses: Vec<&Course> = courses.collect();
    let most = most_doubt(state);
    let is_near = |course: &Course| course.contact.is_some() || course.least() < most;
    let near: Vec<&Course> = courses.iter().copied().filter(|course| is_near(course)).collect();
    if near.is_empty() {
        return vec![None; courses.len()];
    }
    let doubts = doubts_of(&near, &state.expanded_uncertainties(&clearances_on(&near)));
    let mut doubts = doubts.into_iter();
    courses.into_iter().map(|course| if is_near(course) { doubts.next()? } else { None }).collect()
}

/// The least clearance of every course, then the clearance at every first contact.
fn clearances_on<'c>(courses: &[&'c Course]) -> ClearancesAt<'c> {
    let leasts = courses.iter().map(|course| (&course.point, course.angle));
    let touches = courses.iter().filter_map(|course| course.contact.as_ref());
    let touches = touches.map(|contact| (&contact.point, SteeringAngle::Fixed(contact.at)));
    ClearancesAt(leasts.chain(touches).collect())
}

fn doubts_of(courses: &[&Course], uncertainties: &[Option<f64>]) -> Vec<Option<Doubt>> {
    let (leasts, touches) = uncertainties.split_at(courses.len());
    let mut touches = touches.iter();
    let doubt = |(course, least): (&&Course, &Option<f64>)| {
        let touch = course.contact.and_then(|contact| Some((contact, (*touches.next()?)?)));
        Some(Doubt { least: (*least)?, contact: touch.and_then(|(contact, doubt)| contact.doubt(doubt)) })
    };
    courses.iter().zip(leasts).map(doubt).collect()
}

impl Contact {
    /// How sure its angle is, in degrees: the doubt of the clearance there, over the slope with which it closes. None
    /// if the bodies overlap already straight ahead.
    fn doubt(self, of_clearance: f64) -> Option<f64> {
        let uncertainty = (of_clearance / self.slope.abs()).to_degrees();
        (self.at != 0.0 && uncertainty.is_finite()).then_some(uncertainty)
    }
}

impl Way {
    fn of(course: &Course, doubt: Doubt, rough: bool) -> Way {
        let Course { minimum, point, angle, .. } = *course;
        Way {
            least: course.least(),
            uncertainty: doubt.least,
            at: course.at(),
            at_stop: matches!(angle, SteeringAngle::AtStop(_)),
            contact: course.contact(),
            contact_uncertainty: doubt.contact,
            gap: minimum.proven_gap,
            lowest: point.ordinal,
            rough,
            point,
        }
    }
}

/// The lower of two points' minima; of equal ones the smaller turn, then the first written.
fn lower<'p>(a: (&'p LowestPoint, Minimum), b: (&'p LowestPoint, Minimum)) -> (&'p LowestPoint, Minimum) {
    let equal = (a.1.least - b.1.least).abs() <= EQUAL_MINIMA;
    let other = if equal { b.1.at.abs() < a.1.at.abs() } else { b.1.least < a.1.least };
    // The proof is for the control: the lower of both bounds.
    let bound = (a.1.least - a.1.proven_gap).min(b.1.least - b.1.proven_gap);
    let (point, minimum) = if other { b } else { a };
    (point, Minimum { proven_gap: (minimum.least - bound).max(0.0), ..minimum })
}

fn profile(points: &[Turnable], limit: Limit) -> Profile {
    let cut = |piece: u8| (2.0 * f64::from(piece) / f64::from(PIECES) - 1.0) * limit.radians();
    let least = |from: f64, to: f64| {
        let of_each = points.iter().map(|(_, clearance)| clearance.least(from, to, PROOF_GAP).least);
        of_each.fold(f64::INFINITY, f64::min)
    };
    Profile {
        from: -limit.degrees,
        to: limit.degrees,
        least: (0..PIECES).map(|piece| least(cut(piece), cut(piece + 1))).collect(),
    }
}
