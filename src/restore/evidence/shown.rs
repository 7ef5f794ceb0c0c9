//! Which measures a mark speaks of, and whether readings say all of it.

use crate::catalogue::joint::rotation;
use crate::catalogue::{Catalogue, MeasureId};
use crate::setup::model::{Mark, MarkState, Setup};

use super::turns::shows;

/// Whether the sheet has a reading of everything a mark speaks of; where nobody says at what it was drawn, of the turn
/// that a line there shows, or of its shift where it shows no turn. A line that stands apart tells of its turn, whether
/// or not it was drawn at one: then that has to be read, too.
pub(super) fn overruled(
    catalogue: &Catalogue,
    setup: &Setup,
    mark: &Mark,
    seen: Option<MarkState>,
    sheet: &Setup,
) -> bool {
    let shown = shown(catalogue, setup, mark);
    let is_read = |id: &MeasureId| sheet.readings.contains_key(id);
    let turn = mark.on.as_ref().and_then(|on| rotation(&on.value)).map(|(angle, _)| angle);
    let is_told = |turn: &MeasureId| matches!(seen, Some(MarkState::Off(_))) && !is_read(turn);
    if turn.as_ref().is_some_and(is_told) {
        return false;
    }
    match turn.filter(|_| mark.drawn.is_empty()) {
        Some(turn) => is_read(&turn),
        None if mark.drawn.is_empty() => shown.iter().any(is_read),
        None => shown.iter().all(is_read),
    }
}

/// The measures that a mark shows: those at which it was drawn; of one whose place is not written, those that a line
/// across its joint can show.
pub fn shown(catalogue: &Catalogue, setup: &Setup, mark: &Mark) -> Vec<MeasureId> {
    let Some(on) = mark.on.as_ref().filter(|_| mark.drawn.is_empty()) else {
        return mark.drawn.iter().map(|(id, _)| id.clone()).collect();
    };
    let held = |id: &&MeasureId| setup.joint_of(catalogue, id) == Some(&on.value);
    let own = |id: &&MeasureId| catalogue.path(id).starts_with(&on.value) || id.subject.side.is_none();
    let shown = |id: &&MeasureId| shows(&on.value, id);
    setup.readings.keys().filter(held).filter(own).filter(shown).cloned().collect()
}
