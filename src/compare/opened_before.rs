//! The joints that were opened before a sheet was read, as notes of the setup keep: nobody has said since how they were
//! tightened, and the way back has a step for each.

use chrono::NaiveDate;
use serde::Serialize;

use crate::catalogue::{Weight, joint};
use crate::check::opened::{self, Noted};
use crate::setup::model::Setup;
use crate::torque::allowed;

use super::tightened::said;
use super::{Comparison, Limits};

/// One such joint.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct OpenedBefore {
    /// The joint.
    pub joint: String,
    /// In plain words.
    pub title: String,
    /// What the joint does to a rider when it slips.
    pub weight: Weight,
    /// The day on which it was found open, or was planned to be opened.
    pub since: Option<NaiveDate>,
    /// What the recorded range and its ceilings allow.
    pub allowed: Option<Limits>,
    /// All of it, in words that follow the joint's name.
    pub words: String,
}

/// All of them, dangerous first, but for those of which the sheet tells since.
pub fn opened_before(comparison: &Comparison, setup: &Setup) -> Vec<OpenedBefore> {
    let is_here = |noted: &Noted| setup.has_joint(noted.joint);
    let mut last: Vec<Noted> = Vec::new();
    for noted in opened::open(setup).filter(is_here) {
        if comparison.tells_torque_of(noted.joint, noted.day) {
            continue;
        }
        match last.iter_mut().find(|known| known.joint == noted.joint) {
            Some(known) if known.day <= noted.day => *known = noted,
            Some(_) => {}
            None => last.push(noted),
        }
    }
    let mut all: Vec<OpenedBefore> = last.iter().map(|noted| one(setup, noted)).collect();
    let place = |one: &OpenedBefore| joint::find(&one.joint).map(|(place, _)| place);
    all.sort_by_key(|one| (one.weight, place(one)));
    all
}

fn one(setup: &Setup, noted: &Noted) -> OpenedBefore {
    let torque = setup.torque(noted.joint).filter(|_| !setup.is_torque_in_conflict(noted.joint));
    let limits = match torque.and_then(allowed) {
        Some(Ok(allowed)) => Some(Limits { from: allowed.range.from, to: allowed.range.to }),
        Some(Err(_)) | None => None,
    };
    let to = limits.map(|limits| format!("; tighten to {}", said(limits))).unwrap_or_default();
    OpenedBefore {
        joint: noted.joint.to_owned(),
        title: joint::title(noted.joint),
        weight: joint::weight(noted.joint),
        since: noted.day,
        allowed: limits,
        words: format!("{}, torque not read since{to}", noted.how()),
    }
}
