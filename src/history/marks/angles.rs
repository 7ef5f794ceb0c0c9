//! At which roll of the bar each angle on it was read, as the revisions tell.
//!
//! A file tells by its days alone whether an angle is older than the roll beside it. The revisions know more: that an angle
//! stands as it did in one in which the bar had another roll.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use crate::catalogue::{Catalogue, MeasureId, joint};
use crate::check::before_the_roll::{self, ReadBefore, Then};
use crate::check::lines;
use crate::metrology::reading::Reading;
use crate::setup::model::Setup;

/// An angle as it was first recorded, and how the bar stood then.
struct First {
    angle: Reading,
    day: Option<NaiveDate>,
    /// None where that revision does not know on which bar the angle was read.
    roll: Option<Reading>,
}

/// Every angle on the bar while the revisions are followed from the oldest on.
#[derive(Default)]
pub struct Angles(BTreeMap<MeasureId, First>);

impl Angles {
    /// The next revision. An angle that it has otherwise, or from another day, was read on the bar as it stands there, unless
    /// the file itself says that it was not.
    pub fn follow(&mut self, catalogue: &Catalogue, setup: &Setup) {
        for id in setup.readings.keys().filter(|id| joint::is_control_angle(id.row)) {
            let Some(angle) = setup.reading(id) else { continue };
            let day = setup.day_of(Some(angle));
            let is_known = |first: &First| first.angle.is_same_but_its_day(angle) && first.day == day;
            if self.0.get(id).is_some_and(is_known) {
                continue;
            }
            let roll = match before_the_roll::read_before(catalogue, setup, id) {
                Some(before) => before.then.map(|then| then.roll),
                None => lines::roll_now(catalogue, setup),
            };
            self.0.insert(id.clone(), First { angle: angle.clone(), day, roll });
        }
    }

    /// Whether an angle was read before the bar was rolled, by the revisions or by the file alone.
    pub fn read_before(&self, catalogue: &Catalogue, setup: &Setup, id: &MeasureId) -> Option<ReadBefore> {
        let by_the_file = || before_the_roll::read_before(catalogue, setup, id);
        let Some(First { day, roll: Some(roll), .. }) = self.0.get(id) else { return by_the_file() };
        let rolled = lines::since_roll(catalogue, setup, roll)?;
        if !rolled.is_beyond_reading() {
            return None;
        }
        let then = Some(Then { roll: roll.clone(), line: None, rolled });
        Some(ReadBefore { read: *day, since: None, then })
    }
}
