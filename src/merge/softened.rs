//! What a side reads, or tells to have been tightened, by which nobody is to ride, and the merged file does not: a reading
//! may be taken out, become unknown, or be given so wide a tolerance that it tells of nothing; a torque may be taken for
//! meant so.
//!
//! Whoever gives a verdict on a bike is asked for both, so that whatever keeps from riding is asked here, too. Notes,
//! damage, lines and opened joints are told word by word elsewhere.

use chrono::NaiveDate;

use crate::catalogue::Catalogue;
use crate::check::not_to_ride;
use crate::compare;
use crate::geometry::state::State;
use crate::setup::model::{Kind, Setup};

/// Where a file is read: by what table, and of a sheet beside which setup.
#[derive(Clone, Copy)]
pub struct Reader<'a> {
    pub catalogue: &'a Catalogue,
    pub beside: Option<&'a Setup>,
}

/// Why nobody is to ride.
#[derive(Clone, Debug)]
pub struct Reason {
    /// The written path of the measure, the part or the torque.
    pub about: String,
    /// What sort of reason: of one thing there may be several.
    kind: &'static str,
    /// In words.
    pub words: String,
}

/// In whatever words: of the versions of a file each may tell it in its own.
impl PartialEq for Reason {
    fn eq(&self, other: &Reason) -> bool {
        self.about == other.about && self.kind == other.kind
    }
}

impl Reader<'_> {
    /// The reasons that one side has and the other file has not; in a setup without what was read again since.
    pub fn gone(&self, had: &Setup, now: &Setup) -> Vec<Reason> {
        let still = self.reasons(now);
        let mut gone = self.reasons(had);
        gone.retain(|reason| !still.contains(reason) && !self.is_answered(&reason.about, had, now));
        gone
    }

    /// The reasons that the merged sheet has and none of its versions: what each side saw forbids nothing, and both together do.
    pub fn together(&self, versions: &[&Setup], merged: &Setup) -> Vec<Reason> {
        if merged.kind == Kind::Setup || self.beside.is_none() {
            return Vec::new();
        }
        let known: Vec<Reason> = versions.iter().flat_map(|version| self.reasons(version)).collect();
        let mut new = self.reasons(merged);
        new.retain(|reason| !known.iter().any(|known| known.about == reason.about));
        new
    }

    fn reasons(&self, setup: &Setup) -> Vec<Reason> {
        let found = self.beside.filter(|_| setup.kind == Kind::Found);
        let was = State::recorded(self.catalogue, found.unwrap_or(setup));
        let state = if found.is_some() { was.found(setup, None) } else { was };
        let mut reasons = Vec::new();
        if found.is_some() {
            let comparison = compare::as_written(was, state);
            let moves = compare::each_dangerous(&comparison, &state);
            reasons.extend(moves.into_iter().map(|(about, words)| Reason { about, kind: "found", words }));
        }
        reasons.extend(not_to_ride::by_reading(&state).into_iter().map(|reads| Reason {
            about: reads.finding.measure.unwrap_or_default(),
            kind: reads.finding.code.name,
            words: reads.words,
        }));
        for torque in setup.torques.iter().filter(|_| found.is_none()) {
            let joint = &torque.joint.value;
            let words = not_to_ride::badly_tightened(setup, |other, _| other != joint);
            let about = format!("torque.{joint}");
            reasons.extend(words.into_iter().map(|words| Reason {
                about: about.clone(),
                kind: "applied",
                words,
            }));
        }
        reasons
    }

    /// Whether a setup was read there, or tightened, on a later day. A sheet tells of one day alone.
    fn is_answered(&self, about: &str, had: &Setup, now: &Setup) -> bool {
        let day = |setup: &Setup| self.day_of(about, setup);
        now.kind == Kind::Setup && day(had).zip(day(now)).is_some_and(|(was, is)| is > was)
    }

    fn day_of(&self, about: &str, setup: &Setup) -> Option<NaiveDate> {
        let own = match about.strip_prefix("torque.") {
            Some(joint) => setup.torque(joint)?.applied.as_ref()?.read,
            None => setup.reading(&self.catalogue.find(about)?)?.read(),
        };
        own.or_else(|| setup.day())
    }
}
