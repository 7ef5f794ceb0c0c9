//! What a setup says, carried over to a text in which some nodes were put in the place of others: what came from nodes
//! that are gone goes, the rest moves along with its text.

use std::collections::BTreeMap;

use crate::catalogue::MeasureId;

use super::super::model::{
    Accepted, Damage, Guard, Instrument, Mark, Measured, Note, Opened, Part, Recorded, Setup,
};
use super::super::shared::Shared;
use super::super::span::Span;
use super::super::torque::{Applied, Ceiling, Torque};

/// Leaves of a setup what still stands, each at its new place. The name is the head's and stays as it was.
///
/// `anew`: the stretches of the old text that are read anew, from the first to the last, each with how far the text
/// behind it moved.
pub fn over(setup: &mut Setup, anew: &[(Span, i32)]) {
    each(setup, |at| shift(anew, at).map(Move::By));
}

/// What becomes of the places of something that stays.
#[derive(Clone, Copy)]
enum Move {
    By(i32),
    Away,
}

impl Move {
    fn all<'s>(self, places: impl IntoIterator<Item = &'s mut Span>) {
        for place in places {
            *place = match self {
                Move::By(shift) => place.moved(shift),
                Move::Away => Span::default(),
            };
        }
    }
}

/// What a setup says, wherever in the text it stands.
pub fn without_places(setup: &Setup) -> Setup {
    let mut setup = setup.clone();
    setup.name.span = Span::default();
    setup.versions = setup.versions.iter().map(without_places).collect();
    each(&mut setup, |_| Some(Move::Away));
    setup
}

/// Goes through everything that has places, and drops what does not stay. Most of it stays where it is.
fn each(setup: &mut Setup, moved: impl Fn(Span) -> Option<Move>) {
    // Written out, so that whatever a setup will hold one day is not forgotten here.
    let Setup {
        kind: _,
        name: _,
        measured,
        purpose,
        instruments,
        readings,
        aside,
        // It has no places, and no text has one.
        unsure: _,
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
    measured.take_if(|Measured { span, .. }| !stays(&moved, *span, || [span]));
    purpose.take_if(|written| !stays(&moved, written.span, || [&mut written.span]));
    instruments.retain_mut(|Instrument { span, .. }| stays(&moved, *span, || [span]));
    recorded(readings, &moved);
    recorded(aside, &moved);
    if !stand(parts, &moved, |part| part.span) {
        parts.retain_mut(|Part { span, .. }| stays(&moved, *span, || [span]));
    }
    guards.retain_mut(|Guard { place }| stays(&moved, place.span, || [&mut place.span]));
    if !stand(torques, &moved, |torque| torque.joint.span) {
        torques.retain_mut(|torque| stays(&moved, torque.joint.span, || places_of_torque(torque)));
    }
    if !stand(marks, &moved, |mark| mark.name.span) {
        marks.retain_mut(|mark| stays(&moved, mark.name.span, || places_of_mark(mark)));
    }
    damages
        .retain_mut(|Damage { on, text, read: _ }| stays(&moved, on.span, || [&mut on.span, &mut text.span]));
    opened.retain_mut(|Opened { joint, read: _ }| stays(&moved, joint.span, || [&mut joint.span]));
    if !stand(notes, &moved, |note| note.text.span) {
        notes.retain_mut(|Note { on: _, text }| stays(&moved, text.span, || [&mut text.span]));
    }
    accepted.retain_mut(|accepted| stays(&moved, accepted.code.span, || places_of_accepted(accepted)));
}

/// Whether all of a list stays where it is: it is left alone then, and stays one with the list it was copied from.
fn stand<T>(list: &[T], moved: impl Fn(Span) -> Option<Move>, at: impl Fn(&T) -> Span) -> bool {
    list.iter().all(|one| matches!(moved(at(one)), Some(Move::By(0))))
}

/// Whether what begins at a place stays; then its places move.
fn stays<'s, P: IntoIterator<Item = &'s mut Span>>(
    moved: impl Fn(Span) -> Option<Move>,
    at: Span,
    places: impl FnOnce() -> P,
) -> bool {
    match moved(at) {
        None => return false,
        Some(Move::By(0)) => {}
        Some(way) => way.all(places()),
    }
    true
}

fn recorded(readings: &mut BTreeMap<MeasureId, Recorded>, moved: impl Fn(Span) -> Option<Move>) {
    let mut gone = Vec::new();
    for (id, Recorded { value: _, span, node }) in &mut *readings {
        if !stays(&moved, *node, || [span, node]) {
            gone.push(id.clone());
        }
    }
    for id in gone {
        readings.remove(&id);
    }
}

/// By how much the text at a place of the old one moved; none if it is gone.
fn shift(anew: &[(Span, i32)], at: Span) -> Option<i32> {
    let before = anew.partition_point(|(was, _)| was.start <= at.start);
    match before.checked_sub(1).map(|last| anew[last]) {
        Some((was, _)) if at.start < was.end => None,
        Some((_, shift)) => Some(shift),
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
    let Mark { name, on, colour: _, width: _, drawn, roll, drawn_on: _, reads: _, state, seen_on: _ } = mark;
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
    sort(&mut setup.parts, |part| part.span.start);
    setup.guards.sort_by_key(|guard| guard.place.span.start);
    sort(&mut setup.torques, |torque| torque.joint.span.start);
    sort(&mut setup.marks, |mark| mark.name.span.start);
    setup.damages.sort_by_key(|damage| damage.on.span.start);
    setup.opened.sort_by_key(|opened| opened.joint.span.start);
    sort(&mut setup.notes, |note| note.text.span.start);
    setup.accepted.sort_by_key(|accepted| accepted.code.span.start);
}

fn sort<T: Clone>(list: &mut Shared<T>, at: impl Fn(&T) -> u32) {
    if !list.is_sorted_by_key(&at) {
        list.sort_by_key(at);
    }
}
