//! Which parts an assembly replaces, and whose figures in the file are then those of a part that is gone.

use serde::Serialize;

use crate::catalogue::joint::CONTROLS;
use crate::catalogue::table::{
    BAR_BACK_SWEEP, BAR_BEND, BAR_RISE, BAR_SETBACK, BAR_UP_SWEEP, BAR_WIDTH, STEM_ANGLE, STEM_CLAMP_HEIGHT,
    STEM_LENGTH,
};
use crate::catalogue::{MeasureId, Row};
use crate::setup::model::Setup;
use crate::setup::torque::Torque;

/// The figures of a stem; its angle changes its sign when it is turned over.
const STEM: [Row; 3] = [STEM_LENGTH, STEM_ANGLE, STEM_CLAMP_HEIGHT];
/// The figures of a bar.
const BAR: [Row; 6] = [BAR_WIDTH, BAR_RISE, BAR_BACK_SWEEP, BAR_UP_SWEEP, BAR_SETBACK, BAR_BEND];
/// A thousandth of a millimetre or degree is what writing a figure down may cost.
const ALIKE: f64 = 1e-3;

/// The parts that are not those on the bike now.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Replaced {
    /// `stem`, `bar`.
    pub parts: Vec<&'static str>,
    /// The joints whose recorded torque was a figure of theirs.
    pub torques: Vec<String>,
}

impl Replaced {
    /// The parts in words: "stem and bar".
    pub fn words(&self) -> String {
        self.parts.join(" and ")
    }
}

/// What an assembly replaces; none if it is put together from what is on the bike.
pub fn replaced(now: &Setup, assembled: &Setup) -> Option<Replaced> {
    let differs = |row: &Row| {
        let value = |setup: &Setup| setup.value(&MeasureId::bike(*row)).map(f64::abs);
        match (value(now), value(assembled)) {
            (Some(was), Some(is)) => (was - is).abs() > ALIKE,
            (was, is) => was.is_some() != is.is_some(),
        }
    };
    let (stem, bar) = (STEM.iter().any(differs), BAR.iter().any(differs));
    let parts: Vec<&str> =
        [("stem", stem), ("bar", bar)].into_iter().filter(|(_, is)| *is).map(|(part, _)| part).collect();
    if parts.is_empty() {
        return None;
    }
    let is_theirs = |torque: &&Torque| {
        let joint = &*torque.joint.value;
        let on_the_bar = joint
            .split_once('.')
            .is_some_and(|(_, clamp)| CONTROLS.iter().any(|control| control.name == clamp));
        let limits = |part: &str| torque.ceilings.iter().any(|ceiling| ceiling.part.value == part);
        joint == "stem-face"
            || stem && (joint == "stem-steerer" || limits("stem"))
            || bar && (on_the_bar || limits("bar"))
    };
    let torques = now.torques.iter().filter(is_theirs).map(|torque| torque.joint.value.clone()).collect();
    Some(Replaced { parts, torques })
}
