//! A bike as found, as one setup: for the rules that look at one.

use std::borrow::Cow;

use crate::catalogue::MeasureId;
use crate::catalogue::table::FLOOR;
use crate::geometry::state::State;
use crate::metrology::NEGLIGIBLE;
use crate::metrology::reading::Reading;
use crate::metrology::show;
use crate::setup::model::{Recorded, Setup, Value};
use crate::setup::span::Span;

/// The recorded setup with what a sheet reads and its marks tell in place of what it has, angles as they would read on
/// the ground it was recorded on.
pub fn as_found<'a>(state: &State<'a>) -> Cow<'a, Setup> {
    let Some(sheet) = state.sheet() else { return Cow::Borrowed(state.setup()) };
    let mut setup = state.setup().clone();
    for (id, versions) in &sheet.undecided {
        setup.readings.remove(id);
        setup.undecided.insert(id.clone(), versions.clone());
    }
    for (id, recorded) in sheet.readings.iter().filter(|(id, _)| id.row != FLOOR) {
        setup.undecided.remove(id);
        setup.readings.insert(id.clone(), recorded.clone());
    }
    for id in sheet.readings.keys().chain(state.turned()).filter(|id| id.row != FLOOR) {
        if let Some(value) = on_recorded_ground(state, id) {
            let at = setup.readings.get(id).map(|recorded| (recorded.span, recorded.node));
            let (span, node) = at.unwrap_or((Span::default(), Span::default()));
            setup.readings.insert(id.clone(), Recorded { value: Value::Reading(value), span, node });
        }
    }
    Cow::Owned(setup)
}

/// A number that nobody typed so: told by a mark, or read on other ground.
fn on_recorded_ground(state: &State, id: &MeasureId) -> Option<Reading> {
    let value = state.value_on_recorded_ground(id)?;
    let typed = state.sheet().and_then(|sheet| sheet.reading(id));
    if typed.is_some_and(|typed| (typed.value() - value).abs() < NEGLIGIBLE) {
        return None;
    }
    let unit = state.catalogue().measure(id.row).unit();
    let half_width = typed.or_else(|| state.number(id)).map_or(0.0, Reading::half_width);
    Reading::new([value], [show::plain(value, 1)], unit, unit, half_width)
}
