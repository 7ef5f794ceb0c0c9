//! The guard behind every edit: what was not meant must read as before.

use chrono::NaiveDate;

use crate::catalogue::{Catalogue, MeasureId};

use super::super::model::{Mark, MarkState, Recorded, Setup, Value};
use super::super::torque::Applied;
use super::NewReading;

/// What a converted number may lose by its last place, in the measure's default unit.
const LAST_PLACE: f64 = 2e-5;

/// What an edit is meant to touch.
#[derive(Clone, Copy, Default)]
pub(super) struct Touched<'t> {
    /// The setup's new name.
    pub name: Option<&'t str>,
    /// The measures.
    pub measures: &'t [&'t MeasureId],
    /// The mark, and what it is to say.
    pub mark: Option<(&'t str, MarkMeant<'t>)>,
    /// The note that is added: its group's path and its text.
    pub note: Option<(&'t str, &'t str)>,
    /// The part or joint whose damage is told, and what is to be seen there.
    pub damage: Option<(&'t str, Option<&'t str>)>,
    /// The joint that is told to be apart, or no longer is.
    pub opened: Option<(&'t str, bool)>,
    /// The note that is taken out: its group's path and its text.
    pub gone: Option<(&'t str, &'t str)>,
    /// The joint whose last torque is written, and what is to stand there.
    pub applied: Option<(&'t str, Option<AppliedMeant<'t>>)>,
}

/// What a mark is to say after an edit.
#[derive(Clone, Copy)]
pub(super) enum MarkMeant<'t> {
    /// It is drawn at these places, no more at those, and on that day.
    Drawn {
        /// These places.
        positions: &'t [(MeasureId, NewReading)],
        /// Those.
        without: &'t [MeasureId],
        /// The roll beside a control's angle.
        roll: RollMeant<'t>,
        /// That day; as before where there is none.
        day: Option<NaiveDate>,
    },
    /// It was found so.
    Found(MarkState),
    /// Nothing says where it was drawn.
    Struck,
    /// It is not spoken of.
    Gone,
}

/// What a mark is to say of the bar's roll after an edit.
#[derive(Clone, Copy)]
pub(super) enum RollMeant<'t> {
    /// What it said.
    Keep,
    /// This one.
    Is(&'t NewReading),
    /// Nothing.
    Gone,
}

/// What was applied to a joint, and on which day.
pub(super) type AppliedMeant<'t> = (&'t Applied, Option<NaiveDate>);

/// Fails with one sentence if anything but what was to be touched reads differently.
pub(super) fn only_touched(
    catalogue: &Catalogue,
    before: &Setup,
    after: &Setup,
    meant: Touched,
) -> Result<(), String> {
    let touched = meant.measures;
    let ids = before.readings.keys().chain(after.readings.keys());
    for id in ids.filter(|id| !touched.contains(id)) {
        let same = match (held(before, id), held(after, id)) {
            (Some(was), Some(now)) => was == now || beside(catalogue, id, touched) && alike(was, now),
            (was, now) => was.is_none() && now.is_none(),
        };
        if !same {
            return Err(format!("`{}` would change, too.", catalogue.path(id)));
        }
    }
    let others = |setup: &Setup| -> Vec<Mark> {
        setup
            .marks
            .iter()
            .filter(|other| meant.mark.is_none_or(|(mark, _)| *other.name.value != *mark))
            .map(without_places)
            .collect()
    };
    if others(before) != others(after) {
        return Err("another mark would change, too.".to_owned());
    }
    if meant.mark.is_some_and(|(mark, meant)| !reads_as_meant(before, after, mark, meant)) {
        return Err("the mark would not read as meant.".to_owned());
    }
    if meant.applied.is_some_and(|(joint, meant)| !is_applied(after, joint, meant)) {
        return Err("the torque would not read as meant.".to_owned());
    }
    if after.name.value != meant.name.unwrap_or(&before.name.value) {
        return Err("the name would not read as meant.".to_owned());
    }
    if meant.damage.is_some_and(|(on, seen)| !is_told(after, on, seen)) {
        return Err("the damage would not read as meant.".to_owned());
    }
    if meant.opened.is_some_and(|(joint, open)| after.tells_open(joint) != open) {
        return Err("what is apart would not read as meant.".to_owned());
    }
    let mut now = rest(after, &meant);
    if let Some((on, text)) = meant.note {
        let line = note_line(on, text);
        let Some(added) = now.iter().rposition(|known| *known == line) else {
            return Err("the note would not read as meant.".to_owned());
        };
        now.remove(added);
    }
    let mut was = rest(before, &meant);
    if let Some((on, text)) = meant.gone {
        let line = note_line(on, text);
        was.iter().position(|known| *known == line).map(|gone| was.remove(gone));
    }
    if was != now {
        return Err("something else in the file would change, too.".to_owned());
    }
    Ok(())
}

fn held<'s>(setup: &'s Setup, id: &MeasureId) -> Option<&'s Value> {
    setup.recorded(id).map(|recorded| &recorded.value)
}

/// Whether a measure shares its node with a touched one, and so its `tol`, `with` and `read`.
fn beside(catalogue: &Catalogue, id: &MeasureId, touched: &[&MeasureId]) -> bool {
    touched.iter().any(|other| id.subject == other.subject && node(catalogue, id) == node(catalogue, other))
}

/// The path of the node that a measure stands on, its own or the one whose property it is.
pub(super) fn node<'c>(catalogue: &'c Catalogue, id: &MeasureId) -> &'c str {
    let measure = catalogue.measure(id.row);
    match measure.shape {
        crate::catalogue::Shape::Node => measure.path,
        crate::catalogue::Shape::Property => measure.path.rsplit_once('.').map_or("", |(node, _)| node),
    }
}

fn alike(was: &Value, now: &Value) -> bool {
    match (was, now) {
        (Value::Reading(was), Value::Reading(now)) => {
            was.digits() == now.digits() && was.unit() == now.unit()
        }
        _ => false,
    }
}

/// Whether a mark says what it is to say, and everything else as before.
fn reads_as_meant(before: &Setup, after: &Setup, name: &str, meant: MarkMeant) -> bool {
    let named = |setup: &Setup| setup.mark(name).map(without_places);
    if matches!(meant, MarkMeant::Gone) {
        return named(after).is_none();
    }
    let Some(mut now) = named(after) else { return false };
    let new = || Mark {
        name: now.name.clone(),
        on: None,
        colour: None,
        width: None,
        drawn: Vec::new(),
        roll: None,
        drawn_on: None,
        reads: None,
        state: None,
        seen_on: None,
    };
    let mut was = named(before).unwrap_or_else(new);
    let done = match meant {
        MarkMeant::Found(state) => now.state.take().is_some_and(|now| now.value == state),
        MarkMeant::Struck => now.drawn.is_empty() && now.roll.is_none() && now.drawn_on.is_none(),
        MarkMeant::Gone => false,
        MarkMeant::Drawn { positions, without, roll, day } => {
            let is_meant = |id: &MeasureId| positions.iter().any(|(meant, _)| meant == id);
            let there = positions.iter().all(|(id, new)| is_drawn_at(&now, id, new));
            now.drawn.retain(|(id, _)| !is_meant(id));
            was.drawn.retain(|(id, _)| !is_meant(id) && !without.contains(id));
            // What stays shares the new day.
            let stays = now.drawn.len() == was.drawn.len()
                && now.drawn.iter().zip(&was.drawn).all(|((id, now), (known, was))| {
                    id == known && (now.value == was.value || alike(&was.value, &now.value))
                });
            let rolls = match (roll, &was.roll, &now.roll) {
                (RollMeant::Is(new), _, Some(now)) => is_at(now, new),
                (RollMeant::Keep, Some(was), Some(now)) => {
                    now.value == was.value || alike(&was.value, &now.value)
                }
                (RollMeant::Gone, _, None) | (RollMeant::Keep, None, None) => true,
                _ => false,
            };
            there && now.drawn_on == day.or(was.drawn_on) && stays && rolls
        }
    };
    match meant {
        // What is found anew is of the sheet's day.
        MarkMeant::Found(_) => (was.state, was.seen_on) = (None, None),
        MarkMeant::Gone | MarkMeant::Struck | MarkMeant::Drawn { .. } => {
            for mark in [&mut was, &mut now] {
                (mark.drawn, mark.roll, mark.drawn_on) = (Vec::new(), None, None);
            }
        }
    }
    done && was == now
}

/// Rounding in another unit may cost half of what the reading does not know anyway.
fn is_drawn_at(mark: &Mark, id: &MeasureId, new: &NewReading) -> bool {
    mark.drawn.iter().any(|(drawn, recorded)| drawn == id && is_at(recorded, new))
}

fn is_at(recorded: &Recorded, new: &NewReading) -> bool {
    let Value::Reading(reading) = &recorded.value else { return false };
    let typed = new.digits.first().and_then(|digits| digits.replace('_', "").parse::<f64>().ok());
    let wanted = typed.and_then(|typed| new.unit.convert(reading.default_unit(), typed));
    wanted.is_some_and(|wanted| (reading.value() - wanted).abs() <= new.half_width / 2.0 + LAST_PLACE)
}

fn is_applied(after: &Setup, joint: &str, meant: Option<AppliedMeant>) -> bool {
    let now = after.torque(joint).and_then(|torque| torque.applied.as_ref());
    match (now, meant) {
        (Some(now), Some((applied, day))) => {
            now.figure.value == applied.figure.value && now.read == day && now.with == applied.with
        }
        (now, meant) => now.is_none() && meant.is_none(),
    }
}

/// Whether this is all that is told of damage there.
fn is_told(after: &Setup, on: &str, seen: Option<&str>) -> bool {
    let told = after.damages.iter().filter(|damage| damage.on.value == on);
    told.map(|damage| &*damage.text.value).eq(seen)
}

fn without_places(mark: &Mark) -> Mark {
    let nowhere = super::super::span::Span::default();
    let mut mark = mark.clone();
    mark.name.span = nowhere;
    mark.on.iter_mut().for_each(|on| on.span = nowhere);
    mark.state.iter_mut().for_each(|state| state.span = nowhere);
    let drawn = mark.drawn.iter_mut().map(|(_, recorded)| recorded);
    for recorded in drawn.chain(mark.roll.iter_mut()) {
        (recorded.span, recorded.node) = (nowhere, nowhere);
    }
    mark
}

fn note_line(on: &str, text: &str) -> String {
    format!("note on {on}: {text}")
}

/// Everything an edit touches only when asked to, without its places.
fn rest(setup: &Setup, meant: &Touched) -> Vec<String> {
    let (tightened, damaged) = (meant.applied.map(|(joint, _)| joint), meant.damage.map(|(on, _)| on));
    let opened = meant.opened.map(|(joint, _)| joint);
    let mut rest = Vec::new();
    rest.extend(setup.measured.iter().map(|measured| format!("{} {:?}", measured.date, measured.by)));
    rest.extend(setup.purpose.iter().map(|purpose| purpose.value.clone()));
    rest.extend(setup.instruments.iter().map(|one| format!("{} {:?}", one.name, one.kind)));
    rest.extend(setup.guards.iter().map(|guard| guard.place.value.clone()));
    rest.extend(setup.notes.iter().map(|note| note_line(&note.on, &note.text.value)));
    let damages = setup.damages.iter().filter(|damage| damaged != Some(&*damage.on.value));
    rest.extend(
        damages.map(|damage| format!("{}: {} {:?}", damage.on.value, damage.text.value, damage.read)),
    );
    let apart = setup.opened.iter().filter(|one| opened != Some(&*one.joint.value));
    rest.extend(apart.map(|one| format!("opened {} {:?}", one.joint.value, one.read)));
    rest.extend(setup.accepted.iter().map(|one| {
        format!("{:?} {}: {}", one.on.as_ref().map(|on| &on.value), one.code.value, one.why.value)
    }));
    for torque in &setup.torques {
        let range = torque.range.as_ref().map(|range| &range.value);
        let ceilings: Vec<_> =
            torque.ceilings.iter().map(|ceiling| (&ceiling.part.value, &ceiling.limit.value)).collect();
        let cautions: Vec<_> = torque.cautions.iter().map(|caution| &caution.value).collect();
        let applied = torque.applied.as_ref().filter(|_| tightened != Some(&*torque.joint.value));
        let applied = applied.map(|applied| (&applied.figure.value, applied.read, &applied.with));
        let bolt = (
            torque.thread.as_ref().map(|thread| &thread.value),
            torque.class.as_ref().map(|class| &class.value),
            torque.factor.as_ref().map(|factor| factor.value),
        );
        rest.push(format!(
            "{} {range:?} {:?} {ceilings:?} {cautions:?} {applied:?} {} {bolt:?}",
            torque.joint.value,
            torque.tool,
            torque.slips_in_a_crash.is_some()
        ));
    }
    rest
}

#[cfg(test)]
mod tests;
