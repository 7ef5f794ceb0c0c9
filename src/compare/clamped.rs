//! A bar of another thickness in a stem that stayed: a stem clamps the thickness it is made for, and no file says what that
//! is but by the bar that it held.

use crate::catalogue::MeasureId;
use crate::catalogue::table::BAR_CLAMP_DIAMETER;
use crate::metrology::show;
use crate::metrology::verdict::Verdict;

use super::{Comparison, Held};

impl Comparison {
    /// Why the stem may not hold the bar, in words: "the stem held a bar of 35 mm, and one of 31.8 mm is in it: it may not
    /// clamp that". None where the sheet shows another stem as well.
    pub fn may_not_clamp(&self) -> Option<String> {
        let is_new = |parts: &Vec<&str>| parts.contains(&"stem");
        if !self.partial || self.replaced.as_ref().is_some_and(|replaced| is_new(&replaced.parts)) {
            return None;
        }
        let id = MeasureId::bike(BAR_CLAMP_DIAMETER);
        let mut all = self.changes.iter();
        let change = all.find(|change| change.id == id && change.verdict == Verdict::Moved)?;
        match (&change.was, &change.now) {
            (Some(Held::Number(was)), Some(Held::Number(now))) => Some(format!(
                "{HELD}{} mm, and one of {} mm is in it: it may not clamp that",
                show::brief(*was),
                show::brief(*now)
            )),
            _ => None,
        }
    }
}

/// How those words begin, also in the note that keeps them.
pub const HELD: &str = "the stem held a bar of ";
