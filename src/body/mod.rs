//! The rider in the picture: where the arm points, and how levers and brakes lie to it.
//!
//! Everything here states consequences of a preference; nothing here is ever a fault. Pure: written over the state's
//! numbers, so that uncertainty comes by propagation. Knows nothing of files and screens.

mod brake;
mod outputs;
mod posture;
mod segment;

pub use brake::{Brake, KNUCKLE_ROOM, Knuckles};
pub use outputs::Outputs;
pub use posture::{Lengths, Point, Posture, RuledOut};
pub use segment::{AtOdds, ELBOW_SPAN, Segment, at_odds, elbow, table};

use serde::Serialize;

use crate::catalogue::code::Severity;
use crate::catalogue::table::{LEVER_ANGLE, RIDER_STATURE, SADDLE_HEIGHT, SADDLE_SETBACK};
use crate::catalogue::{MeasureId, Side};
use crate::geometry::derived::{DERIVED, Need};
use crate::geometry::state::{InputId, State};
use crate::metrology::inputs::Inputs;
use crate::metrology::propagate::{Output, Propagated};
use crate::metrology::unit::Unit;
use crate::setup::finding::Finding;
use crate::setup::model::Setup;

/// A lever within this of the arm line, degrees, is called in line: common practice, no source.
const IN_LINE: f64 = 5.0;

/// What is left out, said wherever an arm line is.
pub const LEFT_OUT: &str =
    "Worked out in the bike's plane of symmetry: the width of the shoulders is left out (about +0.6°).";

/// A number with its uncertainty.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Figure {
    /// The value.
    pub value: f64,
    /// Expanded uncertainty.
    #[serde(rename = "U")]
    pub expanded: f64,
    /// Its unit.
    pub unit: &'static str,
    /// Whether first-order propagation is a rough account.
    pub rough: bool,
}

impl Figure {
    fn of(output: &Output, unit: Unit) -> Figure {
        let expanded = output.expanded_uncertainty();
        Figure { value: output.value, expanded, unit: unit.word(), rough: output.rough }
    }
}

/// Where a length comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Source {
    /// The rider recorded it.
    Rider,
    /// Stature times the survey's share.
    Stature,
}

/// One length of the body as it was used.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct UsedSegment {
    /// Which.
    pub segment: &'static str,
    /// Its length.
    pub length: Option<Figure>,
    /// Where it comes from.
    pub source: Source,
    /// The survey's share of stature, where it was used.
    pub share: Option<f64>,
    /// The tolerance of that share: two standard deviations in the survey.
    pub share_tolerance: Option<f64>,
    /// Why the length that the file gives was not used, if it gives one that could not be.
    pub refused: Option<String>,
}

/// A direction with the shares of its variance that come from the body.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Direction {
    /// The angle in degrees.
    #[serde(flatten)]
    pub angle: Figure,
    /// Share of its variance that comes from segments estimated from stature.
    pub share_from_estimated_segments: f64,
    /// Share of its variance that comes from how far the elbow is opened.
    pub share_from_elbow: f64,
}

/// How a lever lies to the arm.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Lie {
    /// In line with it, as far as can be told.
    InLine,
    /// Its tip points lower than the forearm.
    Steeper,
    /// Its tip points higher than the forearm.
    Flatter,
}

impl Lie {
    /// Beyond both the uncertainty and what is called in line.
    fn of(difference: &Figure) -> Lie {
        if difference.value.abs() <= difference.expanded.max(IN_LINE) {
            Lie::InLine
        } else if difference.value > 0.0 {
            Lie::Steeper
        } else {
            Lie::Flatter
        }
    }

    /// What it suits and what it costs.
    pub fn consequence(self) -> &'static str {
        match self {
            Lie::InLine => "In line with the arm, as far as can be told: the usual starting point.",
            Lie::Steeper => {
                "Suits riding out of the saddle; on long rough descents it costs the forearm more work."
            }
            Lie::Flatter => {
                "Takes load off the forearm on long rough descents; out of the saddle the wrist bends further back."
            }
        }
    }
}

/// One brake lever against the arm.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Lever {
    /// Which side.
    pub side: Side,
    /// Its angle on level ground, + = tip down.
    pub level_angle: Figure,
    /// That angle minus the arm line.
    pub against_arm: Option<Direction>,
    /// How it lies.
    pub lie: Option<Lie>,
    /// What that suits and costs; nothing of a lever that nobody is to ride with.
    pub consequence: Option<&'static str>,
}

/// Something that could not be said, and what it needs.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Missing {
    /// What.
    pub derived: &'static str,
    /// In plain words.
    pub title: &'static str,
    /// The measures it lacks.
    pub needs: Vec<String>,
}

/// The rider on the bike.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Body {
    /// Why nobody is to ride the bike.
    pub not_to_ride: Vec<String>,
    /// The lengths that do not go with the stature.
    pub at_odds: Vec<String>,
    /// The three lengths.
    pub segments: Vec<UsedSegment>,
    /// How far the elbow is opened.
    pub elbow: Option<Figure>,
    /// Shoulder and elbow in the bike's axes.
    pub joints: Option<Joints>,
    /// The forearm's slope, + = hand lower than elbow.
    pub arm_line: Option<Direction>,
    /// Why there is no arm line though every length is known.
    pub ruled_out: Option<String>,
    /// The brake levers against it.
    pub levers: Vec<Lever>,
    /// How far the grips stand above the saddle.
    pub grips_above_saddle: Option<Figure>,
    /// The brakes at the finger.
    pub brakes: Vec<Brake>,
    /// What could not be said.
    pub missing: Vec<Missing>,
    /// What to bear in mind.
    pub notes: Vec<&'static str>,
}

/// Where shoulder and elbow are.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Joints {
    /// Shoulder, forward.
    pub shoulder_x: Figure,
    /// Shoulder, up.
    pub shoulder_z: Figure,
    /// Elbow, forward.
    pub elbow_x: Figure,
    /// Elbow, up.
    pub elbow_z: Figure,
}

/// The rider of a setup on its bike. The elbow's opening may be among the readings, under [`elbow`].
pub fn of(setup: &Setup) -> Body {
    let state = State::recorded(table(), setup);
    let (propagated, ids, inputs) = state.propagate(&Outputs);
    let seen = Seen { state: &state, propagated: &propagated, ids: &ids, inputs: &inputs };
    let arm_line = seen.direction(Outputs::ARM_LINE);
    let ruled_out = if arm_line.is_none() { outputs::ruled_out(&state) } else { None };
    let missing = seen.missing(arm_line.is_some() || ruled_out.is_some());
    let notes = if arm_line.is_some() { vec![LEFT_OUT] } else { Vec::new() };
    Body {
        not_to_ride: Vec::new(),
        at_odds: at_odds(setup).into_iter().map(|odd| odd.words).collect(),
        segments: Segment::ALL.into_iter().map(|segment| seen.segment(segment)).collect(),
        elbow: seen.figure(Outputs::ELBOW, Unit::Degree),
        joints: seen.joints(),
        levers: Side::BOTH.into_iter().filter_map(|side| seen.lever(side)).collect(),
        arm_line,
        ruled_out: ruled_out.map(RuledOut::sentence),
        grips_above_saddle: seen.figure(Outputs::GRIPS_ABOVE_SADDLE, Unit::Millimetre),
        brakes: Side::BOTH.into_iter().filter_map(|side| brake::of(&state, side)).collect(),
        missing,
        notes,
    }
}

impl Body {
    /// The same of a bike that nobody is to ride for these reasons, some by the reading of a measure: a lever with such a
    /// reading suits nothing.
    pub fn not_to_ride(mut self, reasons: Vec<String>, by_reading_of: &[String]) -> Body {
        let is_out = |side: Side| {
            let lever = format!("{side}.brake-lever.");
            by_reading_of.iter().any(|path| path.starts_with(&lever))
        };
        for lever in self.levers.iter_mut().filter(|lever| is_out(lever.side)) {
            lever.consequence = None;
        }
        for brake in self.brakes.iter_mut().filter(|brake| is_out(brake.side)) {
            brake.knuckles = None;
        }
        self.not_to_ride = reasons;
        self
    }

    /// The same, saying of each length why the reader refused what the file gives for it.
    pub fn refusing(mut self, findings: &[Finding]) -> Body {
        for (segment, used) in Segment::ALL.iter().zip(&mut self.segments) {
            let path = table().path(&segment.recorded());
            let refused = |finding: &&Finding| {
                finding.severity == Severity::Fault && finding.measure.as_deref() == Some(&*path)
            };
            used.refused = findings.iter().find(refused).map(|finding| finding.message.clone());
        }
        self
    }
}

/// The propagated outputs of one state, by name.
struct Seen<'s, 'a> {
    state: &'s State<'a>,
    propagated: &'s Propagated,
    ids: &'s [InputId],
    inputs: &'s Inputs,
}

impl Seen<'_, '_> {
    fn figure(&self, output: usize, unit: Unit) -> Option<Figure> {
        Some(Figure::of(self.propagated.output(output)?, unit))
    }

    fn direction(&self, output: usize) -> Option<Direction> {
        let found = self.propagated.output(output)?;
        let shares = found.shares(self.inputs);
        let share_of = |wanted: &dyn Fn(&MeasureId) -> bool| {
            self.ids
                .iter()
                .zip(&shares)
                .filter(|(id, _)| wanted(&id.measure))
                .map(|(_, share)| share)
                .sum::<f64>()
        };
        let estimated = |id: &MeasureId| {
            *id == MeasureId::bike(RIDER_STATURE) || Segment::ALL.iter().any(|segment| segment.share() == *id)
        };
        Some(Direction {
            angle: Figure::of(found, Unit::Degree),
            share_from_estimated_segments: share_of(&estimated),
            share_from_elbow: share_of(&|id| *id == elbow()),
        })
    }

    fn segment(&self, segment: Segment) -> UsedSegment {
        let recorded = self.state.value(&segment.recorded()).is_some();
        let survey = (!recorded).then(|| segment.survey());
        UsedSegment {
            segment: segment.word(),
            length: self.figure(Outputs::segment(segment), Unit::Millimetre),
            source: if recorded { Source::Rider } else { Source::Stature },
            share: survey.map(|(share, _)| share),
            share_tolerance: survey.map(|(_, tolerance)| tolerance),
            refused: None,
        }
    }

    fn joints(&self) -> Option<Joints> {
        let coordinate = |output| self.figure(output, Unit::Millimetre);
        Some(Joints {
            shoulder_x: coordinate(Outputs::SHOULDER_X)?,
            shoulder_z: coordinate(Outputs::SHOULDER_Z)?,
            elbow_x: coordinate(Outputs::ELBOW_X)?,
            elbow_z: coordinate(Outputs::ELBOW_Z)?,
        })
    }

    fn lever(&self, side: Side) -> Option<Lever> {
        let level_angle = self.figure(Outputs::lever(side), Unit::Degree)?;
        let against_arm = self.direction(Outputs::lever_against_arm(side));
        let lie = against_arm.as_ref().map(|direction| Lie::of(&direction.angle));
        Some(Lever { side, level_angle, against_arm, lie, consequence: lie.map(Lie::consequence) })
    }

    /// What the arm line, the levers and the grips' height lack.
    fn missing(&self, has_arm_line: bool) -> Vec<Missing> {
        let path = |id: &MeasureId| self.state.catalogue().path(id);
        let lacking = |id: MeasureId| self.state.value(&id).is_none().then(|| path(&id));
        let bike = |row| lacking(MeasureId::bike(row));
        let saddle: Vec<String> = [SADDLE_HEIGHT, SADDLE_SETBACK].into_iter().filter_map(bike).collect();
        let mut on_bike = hands_lack(self.state);
        on_bike.extend(saddle);
        let mut missing = Vec::new();
        if !on_bike.is_empty() {
            missing.push(Missing {
                derived: "grips-above-saddle",
                title: "grips above the saddle",
                needs: on_bike.clone(),
            });
        }
        let stature = MeasureId::bike(RIDER_STATURE);
        if self.state.value(&stature).is_none() {
            let recorded = Segment::ALL.iter().filter_map(|segment| lacking(segment.recorded()));
            let mut lengths: Vec<String> = recorded.collect();
            if !lengths.is_empty() {
                lengths.push(format!("or {} for all of them", path(&stature)));
            }
            on_bike.extend(lengths);
        }
        if !has_arm_line && !on_bike.is_empty() {
            missing.push(Missing { derived: "arm-line", title: "arm line", needs: on_bike });
        }
        for side in Side::BOTH {
            if let Some(needed) = lacking(MeasureId::of(LEVER_ANGLE, side)) {
                let (derived, title) = match side {
                    Side::Left => ("left.against-arm", "left lever against the arm"),
                    Side::Right => ("right.against-arm", "right lever against the arm"),
                };
                missing.push(Missing { derived, title, needs: vec![needed] });
            }
        }
        missing
    }
}

/// What the grip points lack, as written paths; of two alternatives, "one or the other".
fn hands_lack(state: &State) -> Vec<String> {
    let Some(grips) = DERIVED.iter().find(|derived| derived.name == "grip-reach") else { return Vec::new() };
    let path = |id: &MeasureId| state.catalogue().path(id);
    let lacking = grips.missing(state);
    let either = grips.needs.iter().find_map(|need| match need {
        Need::Either(first, second) => Some([MeasureId::bike(*first), MeasureId::bike(*second)]),
        _ => None,
    });
    let Some([first, second]) = either.filter(|both| both.iter().all(|id| lacking.contains(id))) else {
        return lacking.iter().map(path).collect();
    };
    let mut words: Vec<String> =
        lacking.iter().filter(|id| **id != first && **id != second).map(path).collect();
    words.push(format!("{} or {}", path(&first), path(&second)));
    words
}
