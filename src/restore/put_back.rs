//! A sheet after the way back: the bike stands as recorded again, and what was tightened meanwhile is known.

use std::collections::BTreeSet;

use crate::catalogue::table::FLOOR;
use crate::catalogue::{Catalogue, MeasureId, joint};
use crate::compare;
use crate::geometry::state::State;
use crate::setup::model::{MarkState, Setup, Written};
use crate::setup::span::Span;

use super::evidence;

/// What a sheet would tell once everything on it was put back: readings as recorded, at every joint that was open, too;
/// lines that stood apart meet. Broken lines, damage, torques and notes stay, and so does what was opened.
///
/// # Errors
/// In one sentence what the sheet says against itself: nobody knows then what was to be put back.
pub fn put_back(catalogue: &Catalogue, setup: &Setup, sheet: &Setup) -> Result<Setup, String> {
    let evidence = evidence::weigh(catalogue, setup, sheet);
    let recorded = State::recorded(catalogue, setup);
    let found = recorded.found(sheet, Some(&evidence.turns));
    let mut comparison = compare::as_written(recorded, found);
    evidence.settle(&mut comparison, &found);
    if let Some(one) = comparison.contradictions.first() {
        return Err(one.words.clone());
    }
    let mut opened: BTreeSet<String> = comparison.opened().into_iter().map(str::to_owned).collect();
    let mut back = sheet.clone();
    let is_set = |id: &&MeasureId| {
        let at = setup.joint_of(catalogue, id);
        sheet.readings.contains_key(id) || at.is_some_and(|at| opened.contains(at)) || id.row == FLOOR
    };
    let as_recorded = setup.readings.iter().filter(|(id, _)| is_set(id));
    back.readings = as_recorded.map(|(id, reading)| (id.clone(), reading.clone())).collect();
    let stood_apart = |state: MarkState| matches!(state, MarkState::Off(_));
    back.marks.retain(|mark| !mark.state.as_ref().is_some_and(|state| stood_apart(state.value)));
    // What came apart was open, whatever its readings say now: a line to what turned freely there meets nothing more.
    let apart = setup.marks.iter().filter(|mark| evidence::loose_half(&recorded, mark, sheet).is_some());
    opened.extend(apart.filter_map(|mark| mark.on.as_ref()).map(|on| on.value.clone()));
    let more = opened.iter().filter(|joint| !sheet.tells_open(joint) && joint::find(joint).is_some());
    back.opened.extend(more.map(|joint| Written { value: joint.clone(), span: Span::default() }));
    Ok(back)
}
