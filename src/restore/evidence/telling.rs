//! What of a sheet tells something by itself, and what is set aside until another thing is read.

use std::borrow::Cow;

use crate::catalogue::{Catalogue, MeasureId};
use crate::check::{before_the_roll, lines};
use crate::compare::{self, control_angles};
use crate::geometry::state::{Difference, State};
use crate::metrology::verdict::{Verdict, judge};
use crate::setup::model::Setup;

use super::before_open::{without_before_opened, without_before_turned};
use super::{no_news, weigh};

/// The sheet to be compared: a bar that its own places and lines tell to be cut is so, and where it leaves the bar's roll
/// open, what a gauge reads on the controls is set aside, and their own lines tell of their clamps. Whoever weighs a sheet weighs this one.
pub fn telling<'s>(catalogue: &Catalogue, setup: &Setup, sheet: &'s Setup) -> Cow<'s, Setup> {
    let recorded = State::recorded(catalogue, setup);
    let whole = match sheet.whole() {
        Cow::Borrowed(sheet) => compare::as_told(&recorded, sheet),
        Cow::Owned(sheet) => Cow::Owned(compare::as_told(&recorded, &sheet).into_owned()),
    };
    let whole = without_old_lines(setup, without_before_opened(catalogue, setup, whole));
    let whole = without_before_turned(catalogue, setup, whole);
    let whole = without_before_rolled(&recorded, whole);
    if control_angles(&whole).next().is_none() {
        return whole;
    }
    let mut without = whole.clone().into_owned();
    for id in control_angles(&whole) {
        without.aside.extend(without.readings.remove(id).map(|recorded| (id.clone(), recorded)));
    }
    let turns = weigh(catalogue, setup, &without).turns;
    let to = recorded.found(&whole, Some(&turns));
    let is_open = compare::unknown_roll(&Difference { from: recorded, to }).is_some();
    if is_open { Cow::Owned(without) } else { whole }
}

/// Without the angles that it read on a bar that it found rolled later, where nobody knows whether the lever moved: it may have
/// gone along since, or turned back. One that stands elsewhere on either bar is told.
fn without_before_rolled<'s>(recorded: &State, sheet: Cow<'s, Setup>) -> Cow<'s, Setup> {
    let mut old = before_the_roll::on_a_sheet(recorded.catalogue(), recorded.setup(), &sheet);
    let difference = Difference { from: *recorded, to: recorded.found(&sheet, None) };
    old.retain(|id| !has_moved_either_way(&difference, id));
    without_readings(sheet, &old)
}

/// Without these readings.
pub(super) fn without_readings<'s>(sheet: Cow<'s, Setup>, old: &[MeasureId]) -> Cow<'s, Setup> {
    if old.is_empty() {
        return sheet;
    }
    let mut sheet = sheet.into_owned();
    sheet.readings.retain(|id, _| !old.contains(id));
    Cow::Owned(sheet)
}

/// Whether an angle differs by more than reading from where the control was recorded, and from where the bar took it as well.
fn has_moved_either_way(difference: &Difference, id: &MeasureId) -> bool {
    let Some((angle, roll)) = difference.level(id).zip(difference.level(&lines::roll())) else {
        return false;
    };
    let gone_along = (angle.0 - roll.0, angle.1.hypot(roll.1));
    [angle, gone_along].into_iter().all(|(delta, expanded)| judge(delta, expanded) == Verdict::Moved)
}

/// Without what it tells of lines that were struck out before and not drawn again: that is no news.
fn without_old_lines<'s>(setup: &Setup, sheet: Cow<'s, Setup>) -> Cow<'s, Setup> {
    let old = no_news(setup, &sheet);
    if old.is_empty() {
        return sheet;
    }
    let mut sheet = sheet.into_owned();
    for mark in sheet.marks.iter_mut().filter(|mark| old.iter().any(|one| one.mark == mark.name.value)) {
        mark.state = None;
    }
    Cow::Owned(sheet)
}
