//! The guard behind every edit: what was not meant must read as before.

use crate::catalogue::{Catalogue, MeasureId};

use super::super::model::{Mark, Setup, Value};

/// What an edit is meant to touch.
#[derive(Clone, Copy, Default)]
pub(super) struct Touched<'t> {
    /// The setup's new name.
    pub name: Option<&'t str>,
    /// The measures.
    pub measures: &'t [&'t MeasureId],
    /// The mark.
    pub mark: Option<&'t str>,
    /// The note that is added: its group's path and its text.
    pub note: Option<(&'t str, &'t str)>,
    /// The joint whose last torque is written.
    pub applied: Option<&'t str>,
}

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
            .filter(|other| Some(&*other.name.value) != meant.mark)
            .map(without_places)
            .collect()
    };
    if others(before) != others(after) {
        return Err("another mark would change, too.".to_owned());
    }
    if after.name.value != meant.name.unwrap_or(&before.name.value) {
        return Err("the name would not read as meant.".to_owned());
    }
    let mut now = rest(after, meant.applied);
    if let Some((on, text)) = meant.note {
        let line = note_line(on, text);
        let Some(added) = now.iter().rposition(|known| *known == line) else {
            return Err("the note would not read as meant.".to_owned());
        };
        now.remove(added);
    }
    if rest(before, meant.applied) != now {
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

fn without_places(mark: &Mark) -> Mark {
    let nowhere = super::super::span::Span::default();
    let mut mark = mark.clone();
    mark.name.span = nowhere;
    mark.on.iter_mut().for_each(|on| on.span = nowhere);
    mark.state.iter_mut().for_each(|state| state.span = nowhere);
    for (_, recorded) in &mut mark.drawn {
        (recorded.span, recorded.node) = (nowhere, nowhere);
    }
    mark
}

fn note_line(on: &str, text: &str) -> String {
    format!("note on {on}: {text}")
}

/// Everything an edit touches only when asked to, without its places.
fn rest(setup: &Setup, tightened: Option<&str>) -> Vec<String> {
    let mut rest = Vec::new();
    rest.extend(setup.measured.iter().map(|measured| format!("{} {:?}", measured.date, measured.by)));
    rest.extend(setup.purpose.iter().map(|purpose| purpose.value.clone()));
    rest.extend(setup.instruments.iter().map(|one| format!("{} {:?}", one.name, one.kind)));
    rest.extend(setup.guards.iter().map(|guard| guard.place.value.clone()));
    rest.extend(setup.notes.iter().map(|note| note_line(&note.on, &note.text.value)));
    rest.extend(setup.damages.iter().map(|damage| format!("{}: {}", damage.on.value, damage.text.value)));
    rest.extend(setup.accepted.iter().map(|one| format!("{}: {}", one.code.value, one.why.value)));
    for torque in &setup.torques {
        let range = torque.range.as_ref().map(|range| &range.value);
        let ceilings: Vec<_> =
            torque.ceilings.iter().map(|ceiling| (&ceiling.part.value, &ceiling.limit.value)).collect();
        let cautions: Vec<_> = torque.cautions.iter().map(|caution| &caution.value).collect();
        let applied = torque.applied.as_ref().filter(|_| tightened != Some(&*torque.joint.value));
        let applied = applied.map(|applied| (&applied.figure.value, applied.read, &applied.with));
        rest.push(format!(
            "{} {range:?} {:?} {ceilings:?} {cautions:?} {applied:?} {}",
            torque.joint.value,
            torque.tool,
            torque.slips_in_a_crash.is_some()
        ));
    }
    rest
}
