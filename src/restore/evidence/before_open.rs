//! What a sheet read of a joint before the day on which it tells that the joint was open or had turned: that says nothing of how
//! the joint stands since, and is told as what it is. A sheet that was merged from two bears two days.

use std::borrow::Cow;
use std::collections::BTreeMap;

use chrono::NaiveDate;

use crate::catalogue::joint::{self, is_control_angle, rotation};
use crate::catalogue::{Catalogue, MeasureId};
use crate::check::lines;
use crate::compare::{ReadBeforeOpen, as_told, found_moved};
use crate::geometry::state::State;
use crate::setup::model::{Mark, MarkState, Setup};

use super::telling::without_readings;
use super::weigh;

/// When a joint was open, and what tells so: "the left brake lever was opened".
#[derive(Clone)]
struct Open {
    day: Option<NaiveDate>,
    words: String,
}

/// The readings that say nothing any more, each with what came after it.
type Old = BTreeMap<MeasureId, Open>;

/// Everything of a sheet, as somebody wrote it, that was read before its joint was open, in the table's order.
pub fn read_before_open(catalogue: &Catalogue, setup: &Setup, sheet: &Setup) -> Vec<ReadBeforeOpen> {
    let recorded = State::recorded(catalogue, setup);
    let whole = sheet.whole();
    let whole = as_told(&recorded, &whole);
    let mut old = before_opened(catalogue, setup, &whole);
    let left = without_before_opened(catalogue, setup, Cow::Borrowed(&*whole));
    old.extend(before_turned(catalogue, setup, &left));
    let one = |(id, open): (&MeasureId, &Open)| {
        ReadBeforeOpen::of(
            catalogue,
            (id, whole.reading(id)?),
            whole.day_of(whole.reading(id)),
            (open.day, &open.words),
        )
    };
    old.iter().filter_map(one).collect()
}

/// Without what it read of a joint, or of a line across it, before the day on which it was open.
pub(super) fn without_before_opened<'s>(
    catalogue: &Catalogue,
    setup: &Setup,
    sheet: Cow<'s, Setup>,
) -> Cow<'s, Setup> {
    let opened = open_on(setup, &sheet);
    let old = before_opened(catalogue, setup, &sheet);
    let is_old_line = |mark: &Mark| {
        let tells_a_place = mark.state.as_ref().is_some_and(|state| lost(state.value).is_none());
        let open = joint_of(setup, mark).and_then(|joint| opened.get(&joint));
        tells_a_place && open.is_some_and(|open| sheet.day_seen(&mark.name.value) < open.day)
    };
    let lines: Vec<String> =
        sheet.marks.iter().filter(|mark| is_old_line(mark)).map(|mark| mark.name.value.clone()).collect();
    if old.is_empty() && lines.is_empty() {
        return sheet;
    }
    let mut sheet = sheet.into_owned();
    sheet.readings.retain(|id, _| !old.contains_key(id));
    for mark in sheet.marks.iter_mut().filter(|mark| lines.contains(&mark.name.value)) {
        mark.state = None;
    }
    Cow::Owned(sheet)
}

/// Without what it read of a turn before the day on which the line there stood apart: that belies no line.
pub(super) fn without_before_turned<'s>(
    catalogue: &Catalogue,
    setup: &Setup,
    sheet: Cow<'s, Setup>,
) -> Cow<'s, Setup> {
    let old: Vec<MeasureId> = before_turned(catalogue, setup, &sheet).into_keys().collect();
    without_readings(sheet, &old)
}

fn before_opened(catalogue: &Catalogue, setup: &Setup, sheet: &Setup) -> Old {
    let opened = open_on(setup, sheet);
    let after = |id: &MeasureId, of: &MeasureId| {
        let day = sheet.day_of(Some(sheet.reading(id)?));
        opened.get(setup.joint_of(catalogue, of)?).filter(|open| day < open.day).cloned()
    };
    let (roll, recorded) = (lines::roll(), State::recorded(catalogue, setup));
    let old = |id: &MeasureId| {
        // An angle on the bar is read along with that; but that the bar was open mends no lever that had turned on it.
        let on_the_bar = || is_control_angle(id.row) && !found_moved(&recorded, sheet, id);
        let open = after(id, id).or_else(|| after(id, &roll).filter(|_| on_the_bar()))?;
        Some((id.clone(), open))
    };
    sheet.readings.keys().filter_map(old).collect()
}

fn before_turned(catalogue: &Catalogue, setup: &Setup, sheet: &Setup) -> Old {
    let read_before = |mark: &Mark| {
        let is_apart = matches!(mark.state.as_ref()?.value, MarkState::Off(_));
        let (turn, _) = rotation(&joint_of(setup, mark)?).filter(|_| is_apart)?;
        let day = sheet.day_seen(&mark.name.value);
        (sheet.day_of(Some(sheet.reading(&turn)?)) < day).then(|| (mark.name.value.clone(), turn, day))
    };
    let old: Vec<_> = sheet.marks.iter().filter_map(read_before).collect();
    if old.is_empty() {
        return Old::new();
    }
    let mut without = sheet.clone();
    without.readings.retain(|id, _| old.iter().all(|(_, turn, _)| turn != id));
    // A line that is no evidence, or whose halves stand within its width, leaves the reading what it is.
    let marks = weigh(catalogue, setup, &without).marks;
    let is_turned = |name: &String| marks.iter().any(|report| report.name == *name && report.tells_a_move());
    let turned = old.into_iter().filter(|(name, ..)| is_turned(name));
    turned
        .map(|(name, turn, day)| (turn, Open { day, words: format!("mark {name} was found apart") }))
        .collect()
}

/// The clamps that a sheet tells were open, in words or by a line that was lost, each with the last day on which it does.
fn open_on(setup: &Setup, sheet: &Setup) -> BTreeMap<String, Open> {
    let told = sheet.opened.iter().map(|one| {
        let joint = setup.clamp_of(&one.joint.value).into_owned();
        let words = format!("the {} was opened", joint::title(&joint));
        (joint, Open { day: sheet.day_opened(&one.joint.value), words })
    });
    let lost = sheet.marks.iter().filter_map(|mark| {
        let (name, how) = (&mark.name.value, lost(mark.state.as_ref()?.value)?);
        let words = format!("mark {name} was found {how}");
        Some((joint_of(setup, mark)?, Open { day: sheet.day_seen(name), words }))
    });
    let mut open: BTreeMap<String, Open> = BTreeMap::new();
    for (joint, one) in told.chain(lost) {
        match open.get(&joint) {
            Some(known) if known.day >= one.day => {}
            _ => drop(open.insert(joint, one)),
        }
    }
    open
}

/// The clamp that a mark of a sheet crosses: the setup says it where the sheet does not.
fn joint_of(setup: &Setup, mark: &Mark) -> Option<String> {
    let known = setup.mark(&mark.name.value).and_then(|known| known.on.as_ref());
    known.or(mark.on.as_ref()).map(|on| setup.clamp_of(&on.value).into_owned())
}

/// How a line was lost that tells that its joint was open.
fn lost(state: MarkState) -> Option<&'static str> {
    match state {
        MarkState::Broken => Some("broken"),
        MarkState::Missing => Some("gone"),
        MarkState::Aligned | MarkState::Off(_) => None,
    }
}
