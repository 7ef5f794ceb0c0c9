//! What every hose makes of a turn: its longest chord, its slack, where it goes tight, how it bows and bends.

use std::sync::Arc;

use num_dual::Dual64;
use serde::Serialize;

use crate::catalogue::Side;
use crate::catalogue::table::{
    HOSE_BEND_RADIUS, HOSE_ENTERS_ON, HOSE_ENTERS_SIDE, HOSE_FREE, HOSE_LEAVES_SIDE,
};
use crate::geometry::Arc as Bow;
use crate::geometry::cockpit::Bar;
use crate::geometry::hose::Hose;
use crate::geometry::state::State;
use crate::metrology::propagate::Output;

use super::beyond_doubt::most_doubt;
use super::model::{
    BowAndRadius, BowBeyondNeed, FrameHose, SlacksAt, SteeringAngle, bow_beyond_need, hose_names, of_hose,
};
use super::{FREE_TURN, Limit, Missing, needs, shown};

/// The slack a hose should keep where its ends are furthest apart, in millimetres: common practice, no source.
pub const SPARE: f64 = 30.0;

/// Where the far end of a hose is held.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum HoseEnd {
    /// On the frame: the bars turn away from it.
    Frame,
    /// On the fork: it turns with the bars, so only its length is of interest here.
    Fork,
}

/// One hose, turned to both sides. Lengths in millimetres, angles in degrees.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct HoseTurn {
    /// Its name.
    pub name: String,
    /// Where its far end is held; on the fork all but the free length is none.
    pub end: HoseEnd,
    /// Its free length.
    pub free: Option<f64>,
    /// The longest distance between its ends.
    pub longest: Option<f64>,
    /// Where that falls.
    pub at: Option<f64>,
    /// Free length less longest distance.
    pub slack: Option<f64>,
    /// Its expanded uncertainty.
    #[serde(rename = "U")]
    pub uncertainty: Option<f64>,
    /// The smallest turn at which it is tight; none within what was looked at.
    pub tight_at: Option<f64>,
    /// The first turn to the left at which it is tight.
    pub tight_left: Option<f64>,
    /// The first turn to the right at which it is tight.
    pub tight_right: Option<f64>,
    /// The distance between its ends straight ahead.
    pub straight: Option<f64>,
    /// How far it bows straight ahead, as an arc.
    pub bow: Option<f64>,
    /// Its expanded uncertainty.
    #[serde(rename = "bow-U")]
    pub bow_uncertainty: Option<f64>,
    /// How far it would bow straight ahead with no more slack than it should keep at its tightest (30 mm).
    pub bow_needed: Option<f64>,
    /// The shortest distance between its ends.
    pub shortest: Option<f64>,
    /// Where that falls, and with it the tightest bend.
    pub shortest_at: Option<f64>,
    /// The radius there, as an arc: the kindest shape there is.
    pub tightest_radius: Option<f64>,
    /// Its expanded uncertainty.
    #[serde(rename = "tightest-radius-U")]
    pub radius_uncertainty: Option<f64>,
    /// The smallest radius the maker allows.
    pub bend_radius: Option<f64>,
    /// How far the bars were turned to each side.
    pub turned: Option<f64>,
    /// Whether the bars turn further than that, and what happens there was not looked at.
    pub beyond_not_looked_at: bool,
    /// Whether a first-order uncertainty here is rough.
    pub rough: bool,
    /// The hose, where it goes to the frame.
    #[serde(skip)]
    pub routed: Option<FrameHose>,
    /// The angle of the longest distance as an input.
    #[serde(skip)]
    pub angle: SteeringAngle,
    #[serde(skip)]
    shortest_angle: SteeringAngle,
}

impl HoseTurn {
    /// Whether there is slack, but less than its own uncertainty.
    pub fn is_too_close_to_call(&self) -> bool {
        let within = |(slack, uncertainty): (f64, f64)| slack < uncertainty;
        self.tight_at.is_none() && self.slack.zip(self.uncertainty).is_some_and(within)
    }

    /// Whether even as an arc it bends tighter than its maker allows.
    pub fn bends_too_tight(&self) -> bool {
        self.tightest_radius.zip(self.bend_radius).is_some_and(|(radius, allowed)| radius < allowed)
    }

    fn of_length(name: &str, free: Option<f64>) -> HoseTurn {
        HoseTurn {
            name: name.to_owned(),
            end: HoseEnd::Fork,
            free,
            longest: None,
            at: None,
            slack: None,
            uncertainty: None,
            tight_at: None,
            tight_left: None,
            tight_right: None,
            straight: None,
            bow: None,
            bow_uncertainty: None,
            bow_needed: None,
            shortest: None,
            shortest_at: None,
            tightest_radius: None,
            radius_uncertainty: None,
            bend_radius: None,
            turned: None,
            beyond_not_looked_at: false,
            rough: false,
            routed: None,
            angle: SteeringAngle::Fixed(0.0),
            shortest_angle: SteeringAngle::Fixed(0.0),
        }
    }

    /// Fills in how sure its bow straight ahead and its tightest bend are.
    pub fn add_uncertainty_of_bends(&mut self, state: &State) {
        let Some(hose) = &self.routed else { return };
        let bends = BowAndRadius { hose, bowed: SteeringAngle::Fixed(0.0), bent: self.shortest_angle };
        let (bends, ..) = state.propagate(&bends);
        self.bow_uncertainty = bends.output(0).map(Output::expanded_uncertainty);
        self.radius_uncertainty = bends.output(1).map(Output::expanded_uncertainty);
    }

    /// Expanded uncertainty of how much further it bows than it needs to: both rest on the same ends.
    pub fn uncertainty_of_bow_beyond_need(&self, state: &State) -> Option<f64> {
        let hose = self.routed.as_ref()?;
        let beyond = BowBeyondNeed { hose, longest: self.angle, spare: SPARE };
        state.expanded_uncertainties(&beyond).pop().flatten()
    }

    /// A bound on that uncertainty that takes little to work out.
    pub fn most_doubt_of_bow_beyond_need(&self, state: &State) -> Option<f64> {
        let lengths = [self.straight?, self.free?, self.longest? + SPARE];
        let slopes = (0..lengths.len()).map(|place| {
            let length = |other: usize| {
                if other == place { Dual64::from(lengths[other]).derivative() } else { lengths[other].into() }
            };
            Some(bow_beyond_need(length(0), length(1), length(2))?.eps.abs())
        });
        Some(slopes.sum::<Option<f64>>()? * most_doubt(state))
    }

    /// Expanded uncertainty of its slack; none where there is some beyond any doubt.
    pub fn doubt_of_slack(&self, state: &State) -> Option<f64> {
        if self.slack? >= most_doubt(state) {
            return None;
        }
        let slack = SlacksAt(vec![(self.routed.as_ref()?, self.angle)]);
        state.expanded_uncertainties(&slack).pop().flatten()
    }
}

/// What could be computed of the hoses and what not.
pub struct Hoses {
    /// The hoses.
    pub hoses: Vec<HoseTurn>,
    /// Those that something is missing for.
    pub missing: Vec<Missing>,
}

/// Every hose of the state, turned to both sides as far as the bars go; without a stop, as far as they must.
pub fn hoses(state: &State) -> Hoses {
    let mut found = hoses_as_read(state);
    let routed = found.hoses.iter().filter_map(|hose| Some((hose.routed.as_ref()?, hose.angle)));
    let (slacks, ..) = state.propagate(&SlacksAt(routed.collect()));
    let routed = found.hoses.iter_mut().filter(|hose| hose.routed.is_some());
    for (hose, slack) in routed.zip(&slacks.outputs) {
        hose.uncertainty = slack.as_ref().map(Output::expanded_uncertainty);
        hose.rough = slack.as_ref().is_some_and(|slack| slack.rough);
    }
    found
}

/// The same without uncertainties.
pub fn hoses_as_read(state: &State) -> Hoses {
    let limit = Limit::stop_or(state, FREE_TURN);
    let mut found = Hoses { hoses: Vec::new(), missing: Vec::new() };
    for name in hose_names(state) {
        let free = state.value(&of_hose(HOSE_FREE, &name));
        if on_fork(state, &name) {
            found.hoses.push(HoseTurn::of_length(&name, free));
        } else if let Some(hose) = routed(state, &name).and_then(|hose| turn(state, &hose, limit)) {
            found.hoses.push(hose);
        } else {
            let needs = needs::of_a_hose(state, &name);
            let (part, title) = (format!("hose.{name}"), format!("{name} hose"));
            found.missing.push(Missing { part, title, needs });
        }
    }
    found
}

fn on_fork(state: &State, name: &Arc<str>) -> bool {
    state.choice(&of_hose(HOSE_ENTERS_ON, name)) == Some("fork")
}

/// The hoses that go to the frame and whose words are all there.
pub(super) fn all_routed(state: &State) -> Vec<FrameHose> {
    let names = hose_names(state).into_iter().filter(|name| !on_fork(state, name));
    names.filter_map(|name| routed(state, &name)).collect()
}

fn routed(state: &State, name: &Arc<str>) -> Option<FrameHose> {
    let side = |row| state.choice(&of_hose(row, name)).and_then(Side::parse);
    Some(FrameHose { name: name.clone(), leaves: side(HOSE_LEAVES_SIDE)?, enters: side(HOSE_ENTERS_SIDE)? })
}

fn turn(state: &State, hose: &FrameHose, limit: Limit) -> Option<HoseTurn> {
    let free = state.value(&of_hose(HOSE_FREE, &hose.name))?;
    let bar = Bar::<f64>::of(state)?;
    let (exit, entry) = (hose.exit(&bar, state)?, hose.entry(bar.front(), state)?);
    let turned = Hose::new(exit, entry, &bar.front().axis, free, limit.radians());
    let bowed = Bow::over(turned.straight, free);
    let bent = Bow::over(turned.shortest.chord, free);
    let needed = Bow::over(turned.straight, turned.longest.chord + SPARE);
    Some(HoseTurn {
        end: HoseEnd::Frame,
        longest: Some(turned.longest.chord),
        at: Some(shown(turned.longest.at)),
        slack: Some(turned.slack),
        tight_at: turned.tight_at().map(shown),
        tight_left: turned.tight_left.map(shown),
        tight_right: turned.tight_right.map(shown),
        straight: Some(turned.straight),
        bow: bowed.map(|arc| arc.sagitta),
        bow_needed: needed.map(|arc| arc.sagitta),
        shortest: Some(turned.shortest.chord),
        shortest_at: Some(shown(turned.shortest.at)),
        // A straight hose has no radius.
        tightest_radius: bent.map(|arc| arc.radius).filter(|radius| radius.is_finite()),
        bend_radius: state.value(&of_hose(HOSE_BEND_RADIUS, &hose.name)),
        turned: Some(limit.degrees),
        beyond_not_looked_at: !limit.is_stop,
        angle: limit.angle(turned.longest.at),
        shortest_angle: limit.angle(turned.shortest.at),
        routed: Some(hose.clone()),
        ..HoseTurn::of_length(&hose.name, Some(free))
    })
}
