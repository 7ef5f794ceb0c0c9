//! What is told of one revision: what became of the file, and what moved.

use serde::Serialize;

use crate::catalogue::MeasureId;
use crate::compare::{
    Beside, Change, CommonShift, DamageFound, DerivedChange, InstrumentChange, MarkChange, NoteChange,
    PartChange, ReadOtherwise, TorqueChange, UnreadGround, WasReadBefore,
};

use super::Step;
use super::against_riding::{Forbidding, LeftOpen};
use super::held::Held;
use super::not_taken::NotTaken;

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

/// What a revision was compared with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Compared {
    /// There was no earlier content, or none that can be read.
    WithNothing,
    /// What stands as it was is known as well as before.
    KnownAlike,
    /// Something may stand as it was and be known better or less well.
    ReadOtherwise,
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
    /// How many unreadable revisions lie before it; what can be read is compared across them, if there is anything behind.
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
    /// Damage that this revision notes for the first time, if only in other words.
    pub damages: Vec<DamageFound>,
    /// Torque ranges that differ.
    pub torque: Vec<TorqueChange>,
    /// Instruments that came, went or read otherwise than before.
    pub instruments: Vec<InstrumentChange>,
    /// Measures that stand as they were, but with another tolerance or instrument.
    pub read_otherwise: Vec<ReadOtherwise>,
    /// Notes that differ.
    pub notes: Vec<NoteChange>,
    /// A shift that all angles against gravity share, where the slope of the ground was not read.
    pub common_shift: Option<CommonShift>,
    /// The angles that are told since, and before were those of a bar that stood otherwise: whether they moved on it, the
    /// figures do not say; of named measures only those.
    pub was_read_before_the_roll: Vec<WasReadBefore>,
    /// The angles against gravity whose ground only one of the two contents tells; of named measures only those.
    #[serde(flatten)]
    pub unread_ground: UnreadGround,
    /// What else is told otherwise: of a sheet damage, opened joints and lines; of a setup what is accepted.
    pub besides: Vec<Beside>,
    /// Of the notes that differ, and of those of a file that is new, the ones by which nobody is to ride.
    pub forbidding: Vec<Forbidding>,
    /// The joints that were noted to be open, and no torque is known since; the dangerous first.
    pub left_open: Vec<LeftOpen>,
    /// With what it was compared.
    #[serde(skip)]
    pub compared: Compared,
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

impl Entry {
    /// What is told of a revision whatever it did.
    pub(super) fn bare(step: &Step) -> Entry {
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
            common_shift: None,
            was_read_before_the_roll: Vec::new(),
            unread_ground: UnreadGround::default(),
            besides: Vec::new(),
            forbidding: Vec::new(),
            left_open: Vec::new(),
            compared: Compared::WithNothing,
            values: Vec::new(),
        }
    }

    /// Whether there was an earlier content to compare it with.
    pub fn is_compared(&self) -> bool {
        self.compared != Compared::WithNothing
    }

    /// Whether nothing but words or layout changed since there was a file.
    pub fn is_quiet(&self) -> bool {
        self.joined.not_taken.is_empty() && self.changed_nothing()
    }

    /// In few words what the ground has to do with an angle, where only one of the two contents tells its slope.
    pub fn on_unread_ground(&self, id: &MeasureId) -> Option<&'static str> {
        let unread = &self.unread_ground;
        unread.is_of(id).then(|| unread.in_short(self.changes.iter().any(|change| change.id == *id)))
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
            && self.was_read_before_the_roll.is_empty()
    }
}
