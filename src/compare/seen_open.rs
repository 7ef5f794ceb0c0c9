//! On which day a sheet tells or shows that a joint was open: in words, by a line that was lost, or by a reading of what the
//! joint holds. A reading and a line may bear another day than the sheet, and a torque of before that day tells nothing.

use chrono::NaiveDate;

use crate::catalogue::MeasureId;
use crate::catalogue::table::BAR_WIDTH;
use crate::setup::model::Setup;

use super::Comparison;
use super::tightened::{lost_marks, moved};

/// The last day on which a sheet tells or shows a joint to have been open.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct SeenOpen {
    /// That day; none where nothing on the sheet has one.
    pub day: Option<NaiveDate>,
    /// The same, if the sheet is of another as a whole.
    pub own: Option<NaiveDate>,
}

/// Of one joint, by the name of its clamp.
pub(super) fn seen_open(comparison: &Comparison, setup: &Setup, sheet: &Setup, joint: &str) -> SeenOpen {
    let opened = sheet.opened.iter().filter(|one| setup.clamp_of(&one.joint.value) == joint);
    let lost = lost_marks(comparison).filter(|mark| mark.joint.as_deref() == Some(joint));
    let told = opened.map(|one| one.read).chain(lost.map(|mark| mark.read));
    let told = told.filter_map(|own| own.or_else(|| sheet.day()));
    let read = moved(comparison).filter(|change| change.joint.as_deref() == Some(joint));
    let read = read.filter_map(|change| read_on(sheet, &change.id));
    let day = told.chain(read).chain(apart(comparison, sheet, joint)).max();
    SeenOpen { day, own: day.filter(|_| day != sheet.day()) }
}

/// When a part was read that came into the joint since, or the bar whose clamps a saw had off.
fn apart(comparison: &Comparison, sheet: &Setup, joint: &str) -> Option<NaiveDate> {
    let is_here = |joints: &[String]| joints.iter().any(|name| name == joint);
    let replaced = comparison.replaced.iter().filter(|replaced| is_here(&replaced.joints));
    let by_part = replaced.filter_map(|replaced| replaced_on(sheet, &replaced.figures));
    let sawn = comparison.narrower.iter().filter(|narrower| is_here(&narrower.opened));
    let width = MeasureId::bike(BAR_WIDTH);
    by_part.chain(sawn.filter_map(|_| read_on(sheet, &width).or_else(|| sheet.day()))).max()
}

/// When a sheet read the figures that tell of another part.
pub fn replaced_on(sheet: &Setup, figures: &[MeasureId]) -> Option<NaiveDate> {
    figures.iter().filter_map(|id| read_on(sheet, id)).max().or_else(|| sheet.day())
}

/// When a sheet read a measure, if it did and somebody says when.
fn read_on(sheet: &Setup, id: &MeasureId) -> Option<NaiveDate> {
    sheet.recorded(id)?;
    sheet.day_of(sheet.reading(id))
}
