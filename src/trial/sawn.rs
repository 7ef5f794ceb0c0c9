//! A bar that is cut: what sits on it is slid along to stand as far from the new ends as from the old, and a line on the
//! bar, which stays where it is, comes nearer to them.

use crate::catalogue::joint::{self, JOINTS};
use crate::catalogue::table::BAR_WIDTH;
use crate::catalogue::{Catalogue, MeasureId, Row};
use crate::compare::Replaced;
use crate::metrology::reading::Reading;
use crate::setup::model::{Setup, Value};

/// What a saw moves.
#[derive(Clone, Debug, PartialEq)]
pub struct Sawn {
    /// What is cut off each end, mm.
    pub half: f64,
    /// The joints of all that has to be slid, in working order.
    pub slid: Vec<String>,
}

impl Sawn {
    /// None if the bar is no narrower than it was, or is another one.
    pub fn of(was: &Setup, now: &Setup, replaced: Option<&Replaced>) -> Option<Sawn> {
        let width = |setup: &Setup| setup.value(&MeasureId::bike(BAR_WIDTH));
        let half = (width(was)? - width(now)?) / 2.0;
        if half <= 0.0 || replaced.is_some_and(|replaced| replaced.parts.contains(&"bar")) {
            return None;
        }
        let is_slid = |name: &&String| slides(name) && now.has_joint(name);
        Some(Sawn { half, slid: joint::names().iter().filter(is_slid).cloned().collect() })
    }

    /// Counts the lines on the bar from its new ends: where what they cross still stands on them, it was not slid.
    pub fn shift_lines(&self, catalogue: &Catalogue, setup: &mut Setup) {
        let drawn = setup.marks.iter_mut().flat_map(|mark| &mut mark.drawn);
        for (id, recorded) in drawn.filter(|(id, _)| is_along_the_bar(id.row)) {
            let Value::Reading(was) = &recorded.value else { continue };
            let measure = catalogue.measure(id.row);
            let (now, fine) = (was.value() - self.half, measure.tolerance());
            if let Some(now) = Reading::worked_out(now, was.unit(), measure.unit(), fine, was.half_width()) {
                recorded.value = Value::Reading(now);
            }
        }
    }

    /// What stands in place of the torque that was last applied to a joint that has to be slid.
    pub fn not_tightened() -> &'static str {
        "applied before the bar was cut and this slid along it: torque not read"
    }
}

/// Whether what a joint holds can be slid along the bar.
pub fn slides(name: &str) -> bool {
    let found = joint::find(name).map(|(_, joint)| joint);
    found.is_some_and(|joint| joint.name.starts_with("SIDE.") && !joint.shows.shifts.is_empty())
}

/// Whether a line is drawn at that measure, counted from the end of the bar.
fn is_along_the_bar(row: Row) -> bool {
    JOINTS.iter().any(|joint| joint.name.starts_with("SIDE.") && joint.shows.shifts.contains(&row))
}
