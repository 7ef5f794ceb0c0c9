//! One revision judged: the content that it left against what was there before, of a merge against all that it joined.

use crate::catalogue::Catalogue;
use crate::compare::{self, Comparison, DerivedChange};
use crate::geometry::state::State;
use crate::metrology::verdict::Verdict;
use crate::setup::model::{Kind, Setup, Value};

use super::Step;
use super::against_riding::{forbidding, forbidding_since, left_open, left_open_since};
use super::entry::{Compared, Entry, Event};
use super::held::held;
use super::merged::keep_what_differs;
use super::not_taken::{Version, not_taken};
use super::wanted::Wanted;

/// Judges one revision. With named values only those are compared and kept.
pub fn entry(catalogue: &Catalogue, step: &Step, wanted: &[Wanted]) -> Entry {
    let mut entry = Entry::bare(step);
    let (after, moved) = match &step.after {
        None => {
            entry.event = Event::Deleted;
            return entry;
        }
        Some(content) => match content.setup() {
            Ok(setup) => (setup, &content.moved),
            Err(problem) => {
                entry.event = Event::Unreadable;
                entry.problem = Some(problem);
                return entry;
            }
        },
    };
    entry.planned = after.is_planned();
    entry.measures = after.readings.values().filter(|recorded| recorded.value != Value::Unmeasured).count();
    // A file that the first parent does not have may come from another.
    let earlier = versions(step);
    if let Some(((_, before), beside)) = earlier.split_first() {
        let beside: Vec<&Setup> = beside.iter().map(|(_, setup)| *setup).collect();
        fill(catalogue, &mut entry, before, after, &beside, wanted);
        tell_not_taken(catalogue, &mut entry, step, &earlier, after, wanted);
    } else {
        entry.event = if step.stamp.cut { Event::ShallowCloneEnds } else { Event::Recorded };
        entry.forbidding = forbidding(after);
        entry.damages = compare::noted_damages(after);
        entry.left_open = left_open(after);
        if after.kind == Kind::Found && wanted.is_empty() {
            entry.changes.clone_from(moved);
            entry.marks = compare::noted_marks(after);
            entry.besides = compare::told_of_joints(after);
        }
    }
    if step.back {
        entry.event = Event::Back;
    }
    if !wanted.is_empty() {
        let state = |setup| State::recorded(catalogue, setup);
        let before: Vec<State> = earlier.iter().map(|(_, setup)| state(*setup)).collect();
        entry.values = held(&state(after), wanted, &entry, &before);
    }
    entry
}

/// What can be read of what it is compared with, the first parent's before the others', each by its full hash.
fn versions(step: &Step) -> Vec<(&str, &Setup)> {
    let merge = step.merge.as_ref();
    let first = merge.map_or("", |merge| merge.first.as_str());
    let beside = merge.into_iter().flat_map(|merge| &merge.beside);
    let all = step.before.iter().map(|content| (first, content));
    let all = all.chain(beside.map(|(parent, content)| (parent.as_str(), content)));
    all.filter_map(|(parent, content)| Some((parent, content.setup().ok()?))).collect()
}

/// What a merge did not take of the versions it joined, and of the named values how each version had them.
fn tell_not_taken(
    catalogue: &Catalogue,
    entry: &mut Entry,
    step: &Step,
    versions: &[(&str, &Setup)],
    after: &Setup,
    wanted: &[Wanted],
) {
    let Some(merge) = step.merge.as_ref().filter(|_| versions.len() > 1) else { return };
    // Where the file was not there yet, all of it is new since. Of a content that cannot be read nobody knows what is.
    let parted: Option<Vec<&Setup>> =
        merge.parted.iter().flatten().map(|content| content.setup().ok()).collect();
    for (revision, setup) in versions {
        let short = revision.get(..entry.short.len()).unwrap_or(revision);
        let left = since(catalogue, setup, after, wanted);
        if let Some(parted) = &parted {
            let own: Vec<Comparison> =
                parted.iter().map(|parted| since(catalogue, setup, parted, wanted)).collect();
            let version = Version { revision, short, setup, parted, own: &own, left: &left };
            let mut found = not_taken(&version, after, &entry.changes);
            if wanted.is_empty() {
                found.derived.clear();
            } else {
                found.narrow(catalogue, wanted);
            }
            entry.joined.not_taken.extend(Some(found).filter(|found| !found.is_empty()));
        }
        if !wanted.is_empty() {
            entry.joined.versions.push((short.to_owned(), left.changes, left.derived));
        }
    }
}

/// What differs between two setups. The derived values cost most and are only told when asked for.
fn since(catalogue: &Catalogue, before: &Setup, after: &Setup, wanted: &[Wanted]) -> Comparison {
    let (was, now) = (State::recorded(catalogue, before), State::recorded(catalogue, after));
    let derived = wanted.iter().any(|wanted| matches!(wanted, Wanted::Derived(_)));
    if derived { compare::with_hands(was, now) } else { compare::as_written(was, now) }
}

/// What differs from the setup before; in a merge only what differs from those beside it, too.
fn fill(
    catalogue: &Catalogue,
    entry: &mut Entry,
    before: &Setup,
    after: &Setup,
    beside: &[&Setup],
    wanted: &[Wanted],
) {
    let mut found = since(catalogue, before, after, wanted);
    for other in beside {
        keep_what_differs(&mut found, &since(catalogue, other, after, wanted));
    }
    entry.joined.merged = !beside.is_empty();
    entry.compared = if is_read_otherwise(&found) { Compared::ReadOtherwise } else { Compared::KnownAlike };
    entry.changes = found.changes;
    entry.unread_ground = found.unread_ground;
    entry.was_read_before_the_roll = found.was_read_before_the_roll;
    if wanted.is_empty() {
        entry.parts = found.parts;
        entry.marks = found.marks;
        entry.damages = compare::new_damages(before, after);
        for other in beside {
            let new = compare::new_damages(other, after);
            entry.damages.retain(|damage| new.contains(damage));
        }
        entry.torque = found.torque;
        entry.instruments = found.instruments;
        entry.read_otherwise = found.read_otherwise;
        entry.notes = found.notes;
        entry.common_shift = found.common_shift;
        // New damage and another name are told by themselves.
        found.besides.retain(|one| !one.is_new_damage() && !one.is_name());
        entry.besides = found.besides;
        entry.forbidding = forbidding_since(before, after);
        entry.left_open = left_open_since(before, after);
        for other in beside {
            let open = left_open_since(other, after);
            entry.left_open.retain(|one| open.contains(one));
            let since = forbidding_since(other, after);
            entry.forbidding.retain(|note| since.contains(note));
        }
        return;
    }
    entry.changes.retain(|change| wanted.iter().any(|wanted| wanted.is_measure(catalogue, &change.measure)));
    let is_named = |path: &str| wanted.iter().any(|wanted| wanted.is_measure(catalogue, path));
    entry.was_read_before_the_roll.retain(|angle| is_named(&angle.measure));
    entry.unread_ground.retain(|id| wanted.iter().any(|wanted| wanted.is_of(id)));
    let named = |change: &DerivedChange| wanted.iter().any(|wanted| wanted.is_derived(change.name));
    entry.derived = found.derived.into_iter().filter(named).collect();
}

/// Whether a difference may leave a value where it was and known otherwise: by another tolerance or instrument, by repeats,
/// or because what counted as its natural value was read. What moved moves what depends on it.
fn is_read_otherwise(found: &Comparison) -> bool {
    !found.read_otherwise.is_empty()
        || !found.instruments.is_empty()
        || found.besides.iter().any(|one| !one.grave)
        || found.changes.iter().any(|change| change.verdict != Verdict::Moved)
}
