//! Marks and torques that the later text leaves undecided: it is neither as the one version says nor as if nobody had
//! looked.

use serde::Serialize;

use crate::catalogue::{Weight, joint};
use crate::geometry::state::Difference;
use crate::setup::model::Setup;
use crate::setup::undecided::InConflict;

/// A mark or a torque in conflict.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct RecordUndecided {
    /// Its path: "mark.L1", "torque.stem-face".
    pub about: String,
    /// Its joint.
    pub joint: Option<String>,
    /// The joint in plain words.
    pub title: Option<String>,
    /// What the joint does to a rider when it slips.
    pub weight: Weight,
    /// What either version holds, as typed: "ours broken, theirs aligned".
    pub versions: String,
}

impl RecordUndecided {
    /// "mark L1 across left brake lever".
    pub fn in_words(&self) -> String {
        self.named(self.title.as_deref())
    }

    /// The same, the joint called so.
    pub fn named(&self, title: Option<&str>) -> String {
        match (self.about.strip_prefix("mark."), title) {
            (Some(mark), Some(title)) => format!("mark {mark} across {title}"),
            (Some(mark), None) => format!("mark {mark}"),
            (None, title) => format!("torque of {}", title.unwrap_or(&self.about)),
        }
    }
}

/// What the topmost text of the later state leaves undecided and the earlier state did not, dangerous first.
pub fn records(difference: &Difference) -> Vec<RecordUndecided> {
    let (from, to) = (difference.from.setup(), difference.to.setup());
    let top = difference.to.sheet().unwrap_or(to);
    let is_new = |one: &&InConflict| !from.in_conflict.contains(one);
    let mut records: Vec<RecordUndecided> =
        top.in_conflict.iter().filter(is_new).map(|one| record(one, [to, from])).collect();
    records.sort_by_key(|record| record.weight);
    records
}

fn record(one: &InConflict, setups: [&Setup; 2]) -> RecordUndecided {
    let of_mark = |setup: &Setup| {
        let mark = setup.mark(one.mark()?)?;
        mark.on.as_ref().map(|on| on.value.clone())
    };
    let joint = one.joint.clone().or_else(|| setups.into_iter().find_map(of_mark));
    RecordUndecided {
        about: one.about.clone(),
        title: joint.as_deref().map(joint::title),
        // A line that crosses nobody knows what may be one on the brakes.
        weight: joint.as_deref().map_or(Weight::SteeringAndBrakes, joint::weight),
        joint,
        versions: one.versions.in_words(),
    }
}
