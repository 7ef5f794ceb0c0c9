//! What of a sheet tells something by itself, and what is set aside until another thing is read.

use std::borrow::Cow;
use std::collections::BTreeMap;

use chrono::NaiveDate;

use crate::catalogue::joint::is_control_angle;
use crate::catalogue::{Catalogue, MeasureId};
use crate::check::{before_the_roll, lines};
use crate::compare::{self, control_angles};
use crate::geometry::state::{Difference, State};
use crate::setup::model::{Mark, MarkState, Setup};

use super::{no_news, weigh};

/// The sheet to be compared: a bar that its own places and lines tell to be cut is so, and where it leaves the bar's roll open, what a gauge reads on the controls is set aside, and
/// their own lines tell of their clamps. Whoever weighs a sheet weighs this one.
pub fn telling<'s>(catalogue: &Catalogue, setup: &Setup, sheet: &'s Setup) -> Cow<'s, Setup> {
    let recorded = State::recorded(catalogue, setup);
    let whole = match sheet.whole() {
        Cow::Borrowed(sheet) => compare::as_told(&recorded, sheet),
        Cow::Owned(sheet) => Cow::Owned(compare::as_told(&recorded, &sheet).into_owned()),
    };
    let whole = without_old_lines(setup, without_before_opened(catalogue, setup, whole));
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

/// Without what it read of a joint, or of a line across it, before the day on which it was open, and of a control before the bar
/// was rolled: that tells nothing of how the joint stands since. A sheet that was merged from two bears two days.
fn without_before_opened<'s>(catalogue: &Catalogue, setup: &Setup, sheet: Cow<'s, Setup>) -> Cow<'s, Setup> {
    let opened = open_on(setup, &sheet);
    let is_before = |joint: &str, day: Option<NaiveDate>| opened.get(joint).is_some_and(|open| day < *open);
    let roll = lines::roll();
    let is_old_reading = |id: &MeasureId| {
        // An angle on the bar is read along with that.
        let bar = is_control_angle(id.row).then_some(&roll);
        let joints = bar.into_iter().chain([id]).filter_map(|id| setup.joint_of(catalogue, id));
        let day = sheet.day_of(sheet.reading(id));
        sheet.reading(id).is_some() && joints.into_iter().any(|joint| is_before(joint, day))
    };
    let mut old: Vec<MeasureId> = sheet.readings.keys().filter(|id| is_old_reading(id)).cloned().collect();
    old.extend(before_the_roll::on_a_sheet(catalogue, setup, &sheet));
    let is_old_line = |mark: &Mark| {
        let joint = joint_of(setup, mark);
        let tells_a_place = mark.state.as_ref().is_some_and(|state| !is_lost(state.value));
        tells_a_place && joint.is_some_and(|joint| is_before(&joint, sheet.day_seen(&mark.name.value)))
    };
    let lines: Vec<String> =
        sheet.marks.iter().filter(|mark| is_old_line(mark)).map(|mark| mark.name.value.clone()).collect();
    if old.is_empty() && lines.is_empty() {
        return sheet;
    }
    let mut sheet = sheet.into_owned();
    sheet.readings.retain(|id, _| !old.contains(id));
    for mark in sheet.marks.iter_mut().filter(|mark| lines.contains(&mark.name.value)) {
        mark.state = None;
    }
    Cow::Owned(sheet)
}

/// The clamps that a sheet tells were open, in words or by a line that was lost, each with the last day on which it does.
fn open_on(setup: &Setup, sheet: &Setup) -> BTreeMap<String, Option<NaiveDate>> {
    let told = sheet.opened.iter().map(|one| {
        let joint = &one.joint.value;
        (setup.clamp_of(joint).into_owned(), sheet.day_opened(joint))
    });
    let lost =
        sheet.marks.iter().filter(|mark| mark.state.as_ref().is_some_and(|state| is_lost(state.value)));
    let lost = lost.filter_map(|mark| Some((joint_of(setup, mark)?, sheet.day_seen(&mark.name.value))));
    let mut open: BTreeMap<String, Option<NaiveDate>> = BTreeMap::new();
    for (joint, day) in told.chain(lost) {
        let last = open.entry(joint).or_default();
        *last = day.max(*last);
    }
    open
}

/// The clamp that a mark of a sheet crosses: the setup says it where the sheet does not.
fn joint_of(setup: &Setup, mark: &Mark) -> Option<String> {
    let known = setup.mark(&mark.name.value).and_then(|known| known.on.as_ref());
    known.or(mark.on.as_ref()).map(|on| setup.clamp_of(&on.value).into_owned())
}

fn is_lost(state: MarkState) -> bool {
    matches!(state, MarkState::Broken | MarkState::Missing)
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
