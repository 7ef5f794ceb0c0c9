//! The marks of an as-found sheet over its revisions: how they were found, and on which day. A sheet draws no line.

use crate::compare::Bar;
use crate::geometry::state::State;
use crate::history::Stamp;
use crate::metrology::show::brief;
use crate::setup::model::{Mark, MarkState, Setup};

use super::ground::OfTheDrawing;
use super::{MarkEvent, Marks, What, begun, event};

impl Marks<'_> {
    /// What a sheet tells of a mark: how it was found, and no drawing.
    pub(super) fn see(&mut self, stamp: &Stamp, sheet: &Setup, mark: &Mark) {
        let place = self.followed.iter().position(|known| known.drawn.name.value == mark.name.value);
        let bar = Bar::of(&State::recorded(self.catalogue, sheet));
        let is_new = place.is_none();
        let place = place.unwrap_or_else(|| {
            let ground = OfTheDrawing::of(self.catalogue, sheet, mark);
            self.followed.push(begun(mark, None, ground, bar));
            self.followed.len() - 1
        });
        let story = &mut self.followed[place].story;
        let state = mark.state.as_ref().map(|state| state.value);
        let on = sheet.day_seen(&mark.name.value).map(|day| day.to_string());
        let what = if is_new && stamp.cut { What::ShallowCloneEnds } else { What::Found };
        let seen = MarkEvent {
            state: state.map(|state| state.to_string()),
            found: state.map(found_in_words),
            seen_on: on.clone(),
            ..event(what, stamp)
        };
        let is_said = |last: &MarkEvent| last.state == seen.state && last.seen_on == seen.seen_on;
        if !story.gone && story.events.last().is_some_and(is_said) {
            return;
        }
        let on = on.map(|day| format!(" on {day}")).unwrap_or_default();
        story.found = seen.found.as_ref().map(|found| format!("{found}{on}"));
        story.found_off = state.is_some_and(|state| state != MarkState::Aligned);
        story.gone = false;
        story.events.push(seen);
    }
}

/// "found 0.8 mm apart".
fn found_in_words(state: MarkState) -> String {
    match state {
        MarkState::Off(apart) => format!("found {} mm apart", brief(apart.abs())),
        other => other.as_found().to_owned(),
    }
}
