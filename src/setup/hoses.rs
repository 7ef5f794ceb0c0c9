//! On which side of the bar a hose leaves, and which control there it goes along with.

use crate::catalogue::joint::{self, Control};
use crate::catalogue::table::HOSE_LEAVES_SIDE;
use crate::catalogue::{MeasureId, Side, Subject};

use super::model::Setup;

/// A hose on its side of the bar, and the control there that it leaves, where that can be told.
#[derive(Clone, Debug)]
pub struct HoseOn {
    /// The hose.
    pub hose: String,
    /// Its side of the bar.
    pub side: Side,
    /// What it goes along with.
    pub control: Option<&'static Control>,
}

impl HoseOn {
    /// `left.brake-lever`
    pub fn control_path(&self) -> Option<String> {
        Some(format!("{}.{}", self.side, self.control?.name))
    }
}

/// Every hose of which it is known on which side it leaves.
pub fn hoses_on(setup: &Setup) -> Vec<HoseOn> {
    let on = |name: &str| {
        let leaves = MeasureId { row: HOSE_LEAVES_SIDE, subject: Subject::named(name) };
        let side = Side::parse(setup.choice(&leaves)?)?;
        let is_there = |control: &Control| setup.has_part(&format!("{side}.{}", control.name));
        Some(HoseOn { hose: name.to_owned(), side, control: joint::left_by(name, is_there) })
    };
    setup.hoses().filter_map(on).collect()
}
