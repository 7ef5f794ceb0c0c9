//! Two changes, each safe by itself, that are dangerous together: spacers moved on one side and a taller stem on the other, a bar
//! that is rolled and a lever that is turned on it.
//!
//! The outcome is held against each version by the very rule by which a comparison says what is dangerous. What neither side
//! said is not taken in silence: whatever it hangs on becomes a conflict. That is found by trial, so that no pair is known
//! here: of everything that was decided, whatever taken the other way would make another tale.

use std::collections::{BTreeMap, BTreeSet};

use crate::catalogue::Catalogue;
use crate::check::not_to_ride::{self, Reads};
use crate::compare;
use crate::geometry::state::State;
use crate::setup::model::{Kind, Setup};

use super::labels::Labels;
use super::session::Side;
use super::version::Version;
use super::walk::PLACING;
use super::{Merged, Refusal, walked};

/// How often a merge is tried otherwise, at most: what a danger hangs on in a file of many hundred changes is for people to
/// find, and the merge only says that there is one.
const MOST_TRIALS: usize = 200;

/// What is merged.
#[derive(Clone, Copy)]
pub struct Sides<'a> {
    pub catalogue: &'a Catalogue,
    /// Of a sheet the setup it belongs to.
    pub beside: Option<&'a Setup>,
    pub base: Option<&'a Version>,
    pub ours: &'a Version,
    pub theirs: &'a Version,
    pub labels: &'a Labels,
}

/// What came of it.
pub struct Outcome {
    pub merged: Merged,
    /// What the merged text reads.
    pub setup: Setup,
    /// The paths of what differed and was decided.
    pub decided: Vec<String>,
}

/// What is decided otherwise than by itself.
#[derive(Clone, Debug, Default)]
pub struct Held {
    otherwise: Option<String>,
    /// What is not decided, with what would be dangerous if it were.
    apart: BTreeMap<String, Vec<String>>,
}

/// How something is taken that is decided by itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Taken {
    /// As it is decided.
    AsItIs,
    /// As the other side has it.
    Otherwise,
    /// Not at all.
    Apart,
}

impl Taken {
    /// Whose version stays, if it is decided for one; none for neither.
    pub const fn side(self, decided: Side) -> Option<Side> {
        match self {
            Taken::AsItIs => Some(decided),
            Taken::Otherwise => Some(decided.other()),
            Taken::Apart => None,
        }
    }
}

impl Held {
    /// How what stands there is taken.
    pub fn taken(&self, path: &str) -> Taken {
        if self.apart.contains_key(path) {
            Taken::Apart
        } else if self.otherwise.as_deref() == Some(path) {
            Taken::Otherwise
        } else {
            Taken::AsItIs
        }
    }

    /// What would be dangerous if that were taken.
    pub fn dangers(&self, path: &str) -> Vec<String> {
        self.apart.get(path).cloned().unwrap_or_default()
    }
}

/// The merge, with what is dangerous together in conflict; what no conflict prevents is told.
///
/// # Errors
/// A [`Refusal`] if the versions cannot be merged.
pub fn weighed(sides: &Sides) -> Result<Outcome, Refusal> {
    let mut held = Held::default();
    let mut outcome = walked(sides, &held)?;
    let mut trials = MOST_TRIALS;
    loop {
        let said = dangers(sides, &outcome.setup);
        if said.is_empty() {
            return Ok(outcome);
        }
        let hangs_on = |path: &&String| {
            if !is_weighed(path) || held.apart.contains_key(*path) || trials == 0 {
                return false;
            }
            trials -= 1;
            let other = Held { otherwise: Some((*path).clone()), ..held.clone() };
            walked(sides, &other).is_ok_and(|other| !dangers(sides, &other.setup).keys().eq(said.keys()))
        };
        let mut apart: BTreeSet<String> = outcome.decided.iter().filter(hangs_on).cloned().collect();
        apart.extend(neighbours(&apart, &outcome.decided));
        let is_new = !apart.is_empty();
        let words: Vec<String> = said.values().cloned().collect();
        for path in apart {
            held.apart.entry(path).or_insert_with(|| words.clone());
        }
        match walked(sides, &held) {
            Ok(next) if is_new => outcome = next,
            _ => {
                let told = said.values().map(|danger| {
                    format!("Do not ride before it is looked at: what both sides changed says together that {danger}.")
                });
                outcome.merged.said.splice(0..0, told);
                return Ok(outcome);
            }
        }
    }
}

/// The day, the floor and the instruments count for everything else in the file: they are not what is weighed.
fn is_weighed(path: &str) -> bool {
    !matches!(path, "measured" | "floor") && !path.starts_with("instruments")
}

/// Whose clamp a control sits on, and where, is decided together.
fn neighbours(apart: &BTreeSet<String>, decided: &[String]) -> Vec<String> {
    let of = |path: &str| {
        path.rsplit_once('.').filter(|(_, word)| PLACING.contains(word)).map(|(on, _)| on.to_owned())
    };
    let groups: Vec<String> = apart.iter().filter_map(|path| of(path)).collect();
    decided.iter().filter(|path| of(path).is_some_and(|group| groups.contains(&group))).cloned().collect()
}

/// What is dangerous in a setup against any of its versions, and was not by what either side changed; and what it reads by
/// which nobody is to ride, and none of them does. A sheet is not weighed here: nothing is set on it, so that what both sides
/// saw together is told, and taken from neither.
fn dangers(sides: &Sides, outcome: &Setup) -> BTreeMap<String, String> {
    if outcome.kind == Kind::Found {
        return BTreeMap::new();
    }
    let state = |setup| State::recorded(sides.catalogue, setup);
    let said = |from, to| compare::each_said(state(from), state(to));
    let (base, ours, theirs) = (sides.base.map(|base| &base.setup), &sides.ours.setup, &sides.theirs.setup);
    let alone = [(base.unwrap_or(theirs), ours), (base.unwrap_or(ours), theirs)];
    let alone: BTreeSet<String> =
        alone.into_iter().flat_map(|(from, to)| said(from, to)).map(|(about, _)| about).collect();
    let versions: Vec<&Setup> = base.into_iter().chain([ours, theirs]).collect();
    let about = |reads: &Reads| {
        let measure = reads.finding.measure.as_deref().unwrap_or_default();
        format!("{} {measure}", reads.finding.code.name)
    };
    let read = |setup| not_to_ride::by_reading(&state(setup));
    let known: BTreeSet<String> =
        versions.iter().flat_map(|version| read(version)).map(|reads| about(&reads)).collect();
    // Of one thing each version would tell it a little otherwise: the first that tells it is told.
    let moved = versions.iter().flat_map(|version| said(version, outcome));
    let mut dangers = BTreeMap::new();
    for (about, words) in moved.filter(|(about, _)| !alone.contains(about)) {
        dangers.entry(about).or_insert(words);
    }
    let new = read(outcome).into_iter().map(|reads| (about(&reads), reads.words));
    dangers.extend(new.filter(|(about, _)| !known.contains(about)));
    dangers
}
