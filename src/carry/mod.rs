//! Carrying a position over: for another bike and a box of parts, the assemblies that bring the hands nearest to where
//! they are on the first, and what keeps the best of them from being exact.
//!
//! Both bikes are taken straight: bar square to the wheel and in the stem's middle. Distances are in the axes of the
//! bottom bracket. Knows nothing of files and screens.

mod controls;
mod counted;
mod exact;
pub mod parts;
mod problem;
mod riders;
pub mod search;
mod sound;
mod told;

use serde::Serialize;

pub use controls::{CarriedControl, Meanwhile, Onto};
pub use exact::{SHOWN, WouldBeExact, turned};
pub use problem::{Above, Disagreed, OWN, Problem, Reach};
pub use told::{Told, told};

use crate::catalogue::{Catalogue, MeasureId};
use crate::compare::{Replaced, Shorter, replaced};
use crate::geometry::derived::{All, find};
use crate::geometry::state::State;
use crate::setup::model::Setup;
use crate::trial::{Refusal, TOP_CAP};

use parts::Parts;
use parts::damaged::Damaged;
use search::Candidate;
use sound::Judged;

/// What makes readings of the figures, once it is built.
const MEASURE_IT: &str = "Measure and mark the new assembly once it is on: these are figures, not readings. Written with \
                          --write NAME, `clampmark restore NAME` gives the order of work for the parts named here, \
                          `clampmark found NAME` asks for the readings, and `clampmark record NAME --found SHEET --all \
                          --mark` takes them over.";

/// What is said of piles that were not taken apart.
const RECORDED_PILES: &str = "Each recorded pile of spacers was taken as it is, for what it is made of is not recorded: \
                              name the single spacers in a box to have them counted.";

/// What is lacking of a pile from here on, mm, leaves the headset loose. What is left of the steerer counts to the top
/// cap, which clears the steerer's end by 2 to 3 mm: it clears it still where less is lacking (common practice, no
/// source). A millionth of a millimetre is the rounding.
pub const LOOSE: f64 = 1.0 - 1e-6;

/// How many assemblies are given.
pub const BEST: usize = 10;

/// One assembly with what it does.
#[expect(clippy::struct_excessive_bools, reason = "each answers a question of its own")]
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Assembly {
    /// The stem's name.
    pub stem: String,
    /// Whether it is turned over against how it is marked.
    pub flipped: bool,
    /// mm.
    pub stem_length: f64,
    /// Degrees as put on, + = rising.
    pub stem_angle: f64,
    /// mm.
    pub clamp_height: f64,
    /// The spacers under the stem, mm each.
    pub spacers: Vec<f64>,
    /// Their height, mm.
    pub spacers_below: f64,
    /// What has to stand above the stem, mm; none if nobody knows how long the steerer is.
    pub spacers_above: Option<f64>,
    /// The spacers that stand there, mm each, of those that are not below.
    pub above: Option<Vec<f64>>,
    /// How much more they make than has to stand there, mm: by that much the top cap stands higher.
    pub spacers_over: Option<f64>,
    /// How much of what has to stand there no spacer is there for, mm.
    pub spacers_lacking: Option<f64>,
    /// How much higher the stem's clamp ends than now, mm, where nobody knows how long the steerer is.
    pub may_not_reach: Option<Reach>,
    /// Whether the spacers are the piles recorded on the bike: of what they are made, nobody said.
    pub spacers_as_recorded: bool,
    /// The damage that the box tells of on its stem or its bar, in words.
    pub damaged: Vec<String>,
    /// Whether it is not known that the stem takes the bar.
    pub may_not_fit: bool,
    /// The bar that the stem takes, mm across, if it is known.
    pub stem_clamp_diameter: Option<f64>,
    /// The bar, mm across in the stem, if it is known.
    pub bar_clamp_diameter: Option<f64>,
    /// Whether that is what the other bike's file says of its own bar, which this is or has all the figures of.
    pub bar_is_own: bool,
    /// The bar's name.
    pub bar: String,
    /// Degrees, + = forward.
    pub roll: f64,
    /// That this is further than anybody rolls one, if it is.
    pub rolled_too_far: Option<String>,
    /// Whether that is as far as the bar may be rolled.
    pub at_roll_limit: bool,
    /// `√((|ΔG_left|² + |ΔG_right|²)/2)`, mm.
    pub distance: f64,
    /// Its expanded uncertainty, from the readings of both bikes.
    #[serde(rename = "U")]
    pub uncertainty: Option<f64>,
    /// Whether it can be told by the readings that the first of the list brings the hands nearer.
    pub told_apart: Option<bool>,
    /// The hands' middle against the wanted one, forward, mm.
    pub off_x: f64,
    /// The same, up.
    pub off_z: f64,
    /// The hands' span against the wanted one, wider, mm.
    pub off_span: f64,
    /// The other bike so assembled.
    #[serde(skip)]
    pub setup: Setup,
}

/// A grip point that is to be met again.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Wanted {
    /// Forward, mm.
    pub x: f64,
    /// To the left, mm.
    pub y: f64,
    /// Up, mm.
    pub z: f64,
}

/// The position carried over.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Carry {
    /// That the front brake is on the other hand, if it is, or that nothing tells on which.
    pub front_brake: Option<String>,
    /// What `check` says of the hand that the brake hoses of either bike give to its front brake, the other's first.
    pub front_brake_cautions: Vec<String>,
    /// The left grip point to be met.
    pub wanted_left: Wanted,
    /// The right one.
    pub wanted_right: Wanted,
    /// The damage that the box tells of, in words.
    pub damage_in_the_box: Vec<String>,
    /// That box and file do not agree on how long the steerer is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub steerer_disagreed: Option<Disagreed>,
    /// How many assemblies were looked at.
    pub considered: usize,
    /// How far off the other bike is as it stands, mm, straight and held where the hands go.
    pub as_it_stands: Option<f64>,
    /// What was changed for that, in words: "straightened", "hands set where they go".
    pub as_it_stands_but: Vec<&'static str>,
    /// The best of them, nearest first; behind them, where none of them can be built, the best that can.
    pub assemblies: Vec<Assembly>,
    /// What would make the best exact.
    pub would_be_exact: Option<WouldBeExact>,
    /// What building the best brings.
    #[serde(flatten)]
    pub told: Told,
    /// What has to be set straight on the other bike, if it stands crooked.
    pub straighten: Option<String>,
    /// The angles against gravity that were read on ground of which a file does not say how it slopes.
    pub floor_not_read: Vec<String>,
    /// Whether each of the assemblies has one and the same fault that stands already, so that no part of the box mends it.
    pub stands_in_all: bool,
    /// Whether the best is the other bike as it stands, so that nothing comes apart.
    pub is_as_it_stands: bool,
    /// Where there is a fault, new or old, a part is damaged or spacers are lacking: the place of the first of which neither is so.
    pub sound: Option<usize>,
    /// What to bear in mind.
    pub notes: Vec<String>,
}

impl Carry {
    /// Whether the best is not to be built as it is.
    pub fn is_unsound(&self) -> bool {
        self.assemblies.first().is_some_and(|best| !best.is_to_be_built()) || self.told.has_a_fault()
    }

    /// Whether it is not known that the steerer reaches through the clamp of one of the list.
    pub fn may_not_reach(&self, place: usize) -> bool {
        self.assemblies.get(place).is_some_and(|assembly| assembly.may_not_reach.is_some())
    }

    /// Whether something keeps anybody from riding one of which that is told: what `check` says of it, or a front brake on
    /// the other hand.
    pub fn is_unridable(&self, told: &Told) -> bool {
        self.front_brake.is_some() || !self.front_brake_cautions.is_empty() || !told.is_ridable()
    }

    /// The place of the best that can be built as it is.
    pub fn first_sound(&self) -> Option<usize> {
        if self.is_unsound() { self.sound } else { Some(0) }
    }
}

impl Assembly {
    /// Whether all that it needs is there, and whole.
    pub fn is_to_be_built(&self) -> bool {
        !self.is_loose() && self.damaged.is_empty()
    }

    /// Whether so many of the spacers that have to go above the stem are not there that the headset would be loose.
    pub fn is_loose(&self) -> bool {
        self.spacers_lacking.is_some_and(|lacking| lacking >= LOOSE)
    }
}

/// The parts that an assembly replaces, and whose figures the file then has no more.
pub fn replaces(catalogue: &Catalogue, onto: &Setup, assembly: &Assembly) -> Option<Replaced> {
    replaced(catalogue, onto, &assembly.setup, Shorter::Another)
}

/// Carries the hands of `from` over to `onto` with the parts of the box.
pub fn carry(catalogue: &Catalogue, from: &Setup, onto: &Setup, parts: &Parts) -> Result<Carry, Refusal> {
    let problem = Problem::new(catalogue, from, onto, parts)?;
    let (best, considered) = problem.best(BEST);
    let mut assemblies: Vec<Assembly> =
        best.iter().filter_map(|candidate| assembled(&problem, candidate)).collect();
    tell_apart(&problem, &mut assemblies);
    let Some(first) = assemblies.first() else {
        return Err(Refusal::new(
            "None of the stems that fit on the steerer that is left takes any of the bars.",
            "Give another `steerer left=`, or check the clamp diameters.",
        ));
    };
    let Judged { said, stands_in_all, sound, beyond } = sound::judged(&problem, onto, first, &assemblies);
    let told = Told::of(catalogue, [from, onto], first, said);
    let mut notes: Vec<String> = counted::not_counted(&problem, onto, parts).into_iter().collect();
    notes.extend(problem.notes.iter().cloned());
    notes.extend(
        problem.spacers_are_recorded.then(|| RECORDED_PILES.to_owned()).filter(|_| problem.piles.len() > 1),
    );
    notes.extend(problem.points_left(&first.setup));
    notes.extend(riders::stature(from, onto));
    notes.extend(riders::reaches(from, onto));
    notes.extend(controls::places_not_carried(catalogue, from, onto));
    notes.push(TOP_CAP.to_owned());
    notes.push(MEASURE_IT.to_owned());
    Ok(Carry {
        front_brake: riders::front_brake(from, onto),
        front_brake_cautions: riders::of_both(catalogue, from, onto),
        wanted_left: problem.wanted(0),
        wanted_right: problem.wanted(1),
        damage_in_the_box: parts.damaged.iter().map(Damaged::words).collect(),
        steerer_disagreed: Disagreed::of(catalogue, onto, parts.steerer_left),
        considered,
        as_it_stands: problem.as_it_stands(),
        as_it_stands_but: but(problem.straighten.is_some(), &told.controls),
        would_be_exact: exact::would_be_exact(&problem, first),
        straighten: problem.straighten.clone(),
        floor_not_read: controls::floor_not_read(catalogue, from, onto, &told.controls),
        told,
        stands_in_all,
        is_as_it_stands: problem.straighten.is_none() && differing(onto, &first.setup).is_empty(),
        sound,
        assemblies: assemblies.into_iter().chain(beyond).collect(),
        notes,
    })
}

/// What is not as it stands where the other bike is counted so.
fn but(is_straightened: bool, controls: &[CarriedControl]) -> Vec<&'static str> {
    let mut but: Vec<&'static str> = is_straightened.then_some("straightened").into_iter().collect();
    let hands = || controls.iter().filter(|control| control.is_a_hand());
    if hands().any(|hand| hand.now.is_none()) {
        but.push("hands taken where they go, for where they are now is not known");
    } else if hands().any(|hand| hand.now.is_some_and(|now| (now - hand.value).abs() >= SHOWN)) {
        but.push("hands set where they go");
    }
    but
}

/// Says of every assembly but the first whether it is further off than that beyond what the readings leave open.
fn tell_apart(problem: &Problem, assemblies: &mut [Assembly]) {
    let Some((first, others)) = assemblies.split_first_mut() else { return };
    for other in others {
        other.told_apart = problem.is_told_apart(&first.setup, &other.setup);
    }
}

/// The other bike put together so, and where that puts the hands by the model that `grips` uses.
fn assembled(problem: &Problem, candidate: &Candidate) -> Option<Assembly> {
    let catalogue = problem.catalogue;
    let stem = problem.stems.get(candidate.stem)?;
    let pile = problem.piles.get(candidate.pile)?;
    let setup = problem.setup_of(candidate)?;
    let above = problem.above(candidate);
    let (stem_clamp_diameter, bar_clamp_diameter) = problem.diameters(candidate);
    let values = State::recorded(catalogue, &setup).values(&All);
    let value = |name: &str| find(name).and_then(|(place, _)| values.get(place).copied().flatten());
    let (left, right) = (problem.wanted(0), problem.wanted(1));
    let mut square = 0.0;
    for (side, wanted) in [("left", left), ("right", right)] {
        for (axis, wanted) in [("x", wanted.x), ("y", wanted.y), ("z", wanted.z)] {
            square += (value(&format!("grip.{side}.{axis}"))? - wanted).powi(2);
        }
    }
    Some(Assembly {
        stem: problem.stem_names.get(stem.stem)?.clone(),
        flipped: stem.flipped,
        stem_length: stem.length,
        stem_angle: stem.angle.to_degrees(),
        clamp_height: stem.clamp_height,
        spacers: pile.spacers.clone(),
        spacers_below: pile.height,
        spacers_above: above.as_ref().map(|above| above.wanted),
        spacers_over: above.as_ref().map(Above::over),
        spacers_lacking: above.as_ref().map(Above::lacking),
        above: above.map(|above| above.pile.spacers),
        may_not_reach: problem.may_not_reach(candidate),
        spacers_as_recorded: problem.spacers_are_recorded,
        damaged: problem.damaged(candidate),
        may_not_fit: problem.may_not_fit(candidate),
        stem_clamp_diameter,
        bar_clamp_diameter,
        bar_is_own: problem.is_own_bar(candidate),
        bar: problem.bar_names.get(candidate.bar)?.clone(),
        roll: candidate.roll.to_degrees(),
        rolled_too_far: problem.rolled_too_far(candidate),
        at_roll_limit: problem.is_at_roll_limit(candidate),
        distance: (square / 2.0).sqrt(),
        uncertainty: problem.doubt_of_distance(&setup),
        told_apart: None,
        off_x: value("grip-reach")? - f64::midpoint(left.x, right.x),
        off_z: value("grip-stack")? - f64::midpoint(left.z, right.z),
        off_span: value("hand-span")? - (left.y - right.y),
        setup,
    })
}

/// Whether a measure places a point of a control or hose, which nobody sets.
fn is_point(catalogue: &Catalogue, id: &MeasureId) -> bool {
    let path = catalogue.measure(id.row).path;
    path.contains(".lowest.") || path.contains(".leaves.")
}

/// The measures in which a setup differs from another that it was made from.
pub fn differing(was: &Setup, now: &Setup) -> Vec<MeasureId> {
    let value = |setup: &Setup, id: &MeasureId| setup.recorded(id).map(|recorded| recorded.value.clone());
    now.readings.keys().filter(|id| value(was, id) != value(now, id)).cloned().collect()
}
