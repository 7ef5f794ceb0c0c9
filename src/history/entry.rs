//! One revision: what became of the file, and what moved.

use serde::Serialize;

use crate::catalogue::{Catalogue, Weight, joint};
use crate::check::{not_to_ride, opened};
use crate::compare::{
    self, Beside, Change, Comparison, DamageFound, DerivedChange, InstrumentChange, MarkChange, NoteChange,
    PartChange, ReadOtherwise, TorqueChange,
};
use crate::geometry::state::State;
use crate::setup::model::{Damage, Setup, Value};

use super::Step;
use super::merged::keep_what_differs;
use super::not_taken::{NotTaken, Version, not_taken};
use super::series::{Held, held};
use super::wanted::Wanted;

/// What a revision did to the file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Event {
    /// It was recorded for the first time.
    Recorded,
    /// It is there in the oldest revision of a shallow clone: what it was before is not in this clone.
    ShallowCloneEnds,
    /// Its content changed, if only in words.
    Changed,
    /// It was put back after it had been deleted.
    Back,
    /// It was deleted.
    Deleted,
    /// Its content cannot be read; the next revision is compared with the one before this.
    Unreadable,
}

impl Event {
    /// In one word.
    pub const fn word(self) -> &'static str {
        match self {
            Event::Recorded => "recorded",
            Event::ShallowCloneEnds => "shallow-clone-ends",
            Event::Changed => "changed",
            Event::Back => "back",
            Event::Deleted => "deleted",
            Event::Unreadable => "unreadable",
        }
    }
}

/// One revision.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Entry {
    /// The full hash.
    pub revision: String,
    /// The shortened hash.
    pub short: String,
    /// The day its author wrote it, by the author's clock.
    pub date: String,
    /// That moment, RFC 3339.
    pub at: String,
    /// The day it was committed as it stands, by the committer's clock: after a rebase another one.
    pub committed: String,
    /// The author's name.
    pub author: String,
    /// The first line of the message.
    pub subject: String,
    /// The file's path after it.
    pub path: String,
    /// The file's path before it, if it was renamed.
    pub renamed_from: Option<String>,
    /// The path it was given, if that is why it is no longer under this one.
    pub renamed_to: Option<String>,
    /// Of a merge.
    #[serde(flatten)]
    pub joined: Joined,
    /// What it did to the file.
    pub event: Event,
    /// Why the content cannot be read.
    pub problem: Option<String>,
    /// How many unreadable revisions were stepped over to find what this one is compared with.
    pub stepped_over: usize,
    /// Whether values of what it left are planned, not measured.
    pub planned: bool,
    /// How many measures the file has a value for after it.
    pub measures: usize,
    /// The measures that differ, dangerous first; of named measures only those.
    pub changes: Vec<Change>,
    /// The named derived values that differ.
    pub derived: Vec<DerivedChange>,
    /// Controls, hoses and guards that came or went.
    pub parts: Vec<PartChange>,
    /// Witness marks that came, went or were drawn anew.
    pub marks: Vec<MarkChange>,
    /// Damage that this revision notes for the first time.
    pub damages: Vec<DamageFound>,
    /// Torque ranges that differ.
    pub torque: Vec<TorqueChange>,
    /// Instruments that came, went or read otherwise than before.
    pub instruments: Vec<InstrumentChange>,
    /// Measures that stand as they were, but with another tolerance or instrument.
    pub read_otherwise: Vec<ReadOtherwise>,
    /// Notes that differ.
    pub notes: Vec<NoteChange>,
    /// What else is told otherwise: of a sheet damage, opened joints and lines; of a setup what is accepted.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub besides: Vec<Beside>,
    /// Of these, and of a file that is new, the notes by which nobody is to ride.
    pub forbidding: Vec<Forbidding>,
    /// The joints that were noted to be open, and no torque is known since; the dangerous first.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub left_open: Vec<LeftOpen>,
    /// Whether there was an earlier content to compare it with.
    #[serde(skip)]
    pub compared: bool,
    /// The named values after it, in the order of their names; for [`super::series`].
    #[serde(skip)]
    pub values: Vec<Held>,
}

/// How a merge came by the file.
#[derive(Clone, Debug, Default, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Joined {
    /// Whether it joined several versions of the file; then only what none of them had is told.
    pub merged: bool,
    /// What it did not take of what these versions had changed.
    pub not_taken: Vec<NotTaken>,
    /// Whether it brought what the revision asked from had already: part of what it did may be older.
    pub reaches_before: bool,
    /// Whether it only passes on what one of its sides did, and is told there.
    #[serde(skip)]
    pub only_passes_on: bool,
    /// Each version, by its shortened hash, and what it has otherwise of the named values.
    #[serde(skip)]
    pub versions: Vec<(String, Vec<Change>, Vec<DerivedChange>)>,
}

/// A joint that was left open.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct LeftOpen {
    /// Its name.
    pub joint: String,
    /// In plain words.
    pub title: String,
    /// What slipping there does.
    pub weight: Weight,
    /// The note that says so.
    pub note: String,
}

/// A note of damage, or one that forbids riding, that came or went.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Forbidding {
    /// The part or joint at which it stands; empty at the top.
    pub on: String,
    /// Its text.
    pub text: String,
    /// Whether it was taken out.
    pub taken_out: bool,
}

impl Forbidding {
    /// Whether both are one note.
    pub(super) fn is_the_text_of(&self, other: &Forbidding) -> bool {
        self.on == other.on && self.text == other.text
    }
}

impl Entry {
    /// Whether nothing but words or layout changed since there was a file.
    pub fn is_quiet(&self) -> bool {
        self.joined.not_taken.is_empty() && self.changed_nothing()
    }

    /// Whether it itself changed nothing but words or layout.
    pub fn changed_nothing(&self) -> bool {
        matches!(self.event, Event::Changed | Event::Back)
            && self.changes.is_empty()
            && self.derived.is_empty()
            && self.parts.is_empty()
            && self.marks.is_empty()
            && self.damages.is_empty()
            && self.torque.is_empty()
            && self.instruments.is_empty()
            && self.read_otherwise.is_empty()
            && self.notes.is_empty()
            && self.besides.is_empty()
    }
}

/// Judges one revision. With named values only those are compared and kept.
pub fn entry(catalogue: &Catalogue, step: &Step, wanted: &[Wanted]) -> Entry {
    let mut entry = bare(step);
    let after = match &step.after {
        None => {
            entry.event = Event::Deleted;
            return entry;
        }
        Some(content) => match content.setup() {
            Ok(setup) => setup,
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
        entry.forbidding = noted(after).map(|(on, text)| forbidding(on, text, false)).collect();
    }
    if step.back {
        entry.event = Event::Back;
    }
    let state = State::recorded(catalogue, after);
    entry.compared = !earlier.is_empty();
    entry.values = held(&state, wanted, &entry);
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
    let parted = merge.parted.as_ref().and_then(|content| content.setup().ok());
    for (revision, setup) in versions {
        let short = revision.get(..entry.short.len()).unwrap_or(revision);
        let left = since(catalogue, setup, after, wanted);
        if let Some(parted) = parted {
            let own = since(catalogue, setup, parted, wanted);
            let version = Version { revision, short, setup, own: &own, left: &left };
            let mut found = not_taken(&version, parted, after, &entry.changes);
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

fn bare(step: &Step) -> Entry {
    let stamp = &step.stamp;
    Entry {
        revision: stamp.revision.clone(),
        short: stamp.short.clone(),
        date: stamp.date.format("%Y-%m-%d").to_string(),
        at: stamp.date.to_rfc3339(),
        committed: stamp.committed.format("%Y-%m-%d").to_string(),
        author: stamp.author.clone(),
        subject: stamp.subject.clone(),
        path: stamp.path.clone(),
        renamed_from: stamp.renamed_from.clone(),
        renamed_to: stamp.renamed_to.clone(),
        joined: Joined {
            reaches_before: stamp.reaches_before,
            only_passes_on: step.merge.as_ref().is_some_and(|merge| merge.only_passes_on),
            ..Joined::default()
        },
        event: Event::Changed,
        problem: None,
        stepped_over: step.stepped_over,
        planned: false,
        measures: 0,
        changes: Vec::new(),
        derived: Vec::new(),
        parts: Vec::new(),
        marks: Vec::new(),
        damages: Vec::new(),
        torque: Vec::new(),
        instruments: Vec::new(),
        read_otherwise: Vec::new(),
        notes: Vec::new(),
        besides: Vec::new(),
        forbidding: Vec::new(),
        left_open: Vec::new(),
        compared: false,
        values: Vec::new(),
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
    entry.changes = found.changes;
    if wanted.is_empty() {
        entry.parts = found.parts;
        entry.marks = found.marks;
        entry.damages = new_damages(before, after);
        for other in beside {
            let new = new_damages(other, after);
            entry.damages.retain(|damage| new.contains(damage));
        }
        entry.torque = found.torque;
        entry.instruments = found.instruments;
        entry.read_otherwise = found.read_otherwise;
        entry.notes = found.notes;
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
    let named = |change: &DerivedChange| wanted.iter().any(|wanted| wanted.is_derived(change.name));
    entry.derived = found.derived.into_iter().filter(named).collect();
}

/// Where the notes by which nobody is to ride stand, and what they say.
fn noted(setup: &Setup) -> impl Iterator<Item = (&str, &str)> {
    not_to_ride::notes(setup).map(|note| (note.place(), note.text.value.as_str()))
}

fn forbidding(on: &str, text: &str, taken_out: bool) -> Forbidding {
    Forbidding { on: on.to_owned(), text: text.to_owned(), taken_out }
}

/// The notes by which nobody is to ride that only the later of two setups has, and those that only the earlier had.
pub(super) fn forbidding_since(before: &Setup, after: &Setup) -> Vec<Forbidding> {
    let only = |one: &'_ Setup, other: &'_ Setup, taken_out| -> Vec<Forbidding> {
        let alone = noted(one).filter(|note| !noted(other).any(|known| known == *note));
        alone.map(|(on, text)| forbidding(on, text, taken_out)).collect()
    };
    [only(after, before, false), only(before, after, true)].concat()
}

/// The joints of which only the later of two setups notes that they are open.
fn left_open_since(before: &Setup, after: &Setup) -> Vec<LeftOpen> {
    let known = |noted: &opened::Noted| {
        opened::open(before)
            .any(|one| one.joint == noted.joint && one.note.text.value == noted.note.text.value)
    };
    let told = |noted: opened::Noted| LeftOpen {
        joint: noted.joint.to_owned(),
        title: joint::title(noted.joint),
        weight: joint::weight(noted.joint),
        note: noted.note.text.value.clone(),
    };
    let mut open: Vec<LeftOpen> = opened::open(after).filter(|noted| !known(noted)).map(told).collect();
    open.sort_by_key(|one| one.weight);
    open
}

/// The damage that only the later of two recorded setups notes.
pub(super) fn new_damages(before: &Setup, after: &Setup) -> Vec<DamageFound> {
    // A day of its own, which a merge gives it, makes no other of it.
    let is_known = |damage: &Damage| before.damages.iter().any(|known| known.is(damage));
    after.damages.iter().filter(|damage| !is_known(damage)).map(DamageFound::of).collect()
}
