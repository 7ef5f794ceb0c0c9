//! What a setup says, carried over to a text in which some nodes were put in the place of others: what came from nodes
//! that are gone goes, the rest moves along with its text.

use super::super::model::{Accepted, Damage, Guard, Instrument, Mark, Measured, Note, Part, Recorded, Setup};
use super::super::span::Span;
use super::super::syntax::Edit;
use super::super::torque::{Applied, Ceiling, Torque};

/// Leaves of a setup what still stands, each at its new place. The name is the head's and stays as it was.
pub fn over(setup: &mut Setup, edits: &[Edit]) {
    each(setup, |at: Span, places: &mut [&mut Span]| match shift(edits, at) {
        Some(shift) => {
            for place in places {
                **place = place.moved(shift);
            }
            true
        }
        None => false,
    });
}

/// What a setup says, wherever in the text it stands.
pub fn without_places(setup: &Setup) -> Setup {
    let mut setup = setup.clone();
    setup.name.span = Span::default();
    setup.versions = setup.versions.iter().map(without_places).collect();
    each(&mut setup, |_, places| {
        for place in places {
            **place = Span::default();
        }
        true
    });
    setup
}

/// Goes through everything that has places, and drops what does not stay.
fn each(setup: &mut Setup, stays: impl Fn(Span, &mut [&mut Span]) -> bool) {
    // Written out, so that whatever a setup will hold one day is not forgotten here.
    let Setup {
        kind: _,
        name: _,
        measured,
        purpose,
        instruments,
        readings,
        aside,
        // A conflict is a finding, and then the whole text is read.
        undecided: _,
        in_conflict: _,
        versions: _,
        parts,
        guards,
        torques,
        marks,
        damages,
        opened,
        notes,
        accepted,
    } = setup;
    measured.take_if(|Measured { span, .. }| !stays(*span, &mut [span]));
    purpose.take_if(|written| !stays(written.span, &mut [&mut written.span]));
    instruments.retain_mut(|Instrument { span, .. }| stays(*span, &mut [span]));
    readings.retain(|_, Recorded { span, node, .. }| stays(*node, &mut [span, node]));
    aside.retain(|_, Recorded { span, node, .. }| stays(*node, &mut [span, node]));
    parts.retain_mut(|Part { span, .. }| stays(*span, &mut [span]));
    guards.retain_mut(|Guard { place }| stays(place.span, &mut [&mut place.span]));
    torques.retain_mut(|torque| stays(torque.joint.span, &mut places_of_torque(torque)));
    marks.retain_mut(|mark| stays(mark.name.span, &mut places_of_mark(mark)));
    damages.retain_mut(|Damage { on, text }| stays(on.span, &mut [&mut on.span, &mut text.span]));
    opened.retain_mut(|joint| stays(joint.span, &mut [&mut joint.span]));
    notes.retain_mut(|Note { on: _, text }| stays(text.span, &mut [&mut text.span]));
    accepted.retain_mut(|accepted| stays(accepted.code.span, &mut places_of_accepted(accepted)));
}

/// By how much the text at a place of the old one moved; none if it is gone.
fn shift(edits: &[Edit], at: Span) -> Option<i32> {
    let before = edits.partition_point(|edit| edit.was.start <= at.start);
    match before.checked_sub(1).map(|last| &edits[last]) {
        Some(edit) if at.start < edit.was.end => None,
        Some(edit) => Some(edit.shift),
        None => Some(0),
    }
}

fn places_of_torque(torque: &mut Torque) -> Vec<&mut Span> {
    let Torque {
        joint,
        range,
        tool: _,
        thread,
        class,
        factor,
        ceilings,
        slips_in_a_crash,
        applied,
        cautions,
    } = torque;
    let mut places = vec![&mut joint.span];
    places.extend(range.iter_mut().map(|range| &mut range.span));
    places.extend([thread, class].into_iter().flatten().map(|written| &mut written.span));
    places.extend(factor.iter_mut().map(|factor| &mut factor.span));
    places.extend(ceilings.iter_mut().flat_map(|Ceiling { part, limit }| [&mut part.span, &mut limit.span]));
    places.extend(slips_in_a_crash.iter_mut());
    places.extend(applied.iter_mut().map(|Applied { figure, read: _, with: _ }| &mut figure.span));
    places.extend(cautions.iter_mut().map(|caution| &mut caution.span));
    places
}

fn places_of_mark(mark: &mut Mark) -> Vec<&mut Span> {
    let Mark { name, on, colour: _, width: _, drawn, roll, drawn_on: _, reads: _, state } = mark;
    let mut places = vec![&mut name.span];
    places.extend(on.iter_mut().map(|on| &mut on.span));
    let drawn = drawn.iter_mut().map(|(_, recorded)| recorded).chain(roll.iter_mut());
    places.extend(drawn.flat_map(|Recorded { value: _, span, node }| [span, node]));
    places.extend(state.iter_mut().map(|state| &mut state.span));
    places
}

fn places_of_accepted(accepted: &mut Accepted) -> Vec<&mut Span> {
    let Accepted { code, on, why } = accepted;
    let mut places = vec![&mut code.span, &mut why.span];
    places.extend(on.iter_mut().map(|on| &mut on.span));
    places
}

/// Sorts what stands in the order of the text, once something came in between.
pub fn in_order(setup: &mut Setup) {
    setup.parts.sort_by_key(|part| part.span.start);
    setup.guards.sort_by_key(|guard| guard.place.span.start);
    setup.torques.sort_by_key(|torque| torque.joint.span.start);
    setup.marks.sort_by_key(|mark| mark.name.span.start);
    setup.damages.sort_by_key(|damage| damage.on.span.start);
    setup.opened.sort_by_key(|joint| joint.span.start);
    setup.notes.sort_by_key(|note| note.text.span.start);
    setup.accepted.sort_by_key(|accepted| accepted.code.span.start);
}
