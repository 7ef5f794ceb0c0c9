//! What a merge did not take of what one of its sides had changed: the loser of a choice is told, or it would look as if
//! its value still held.

use serde::Serialize;

use crate::catalogue::Catalogue;
use crate::compare::{Change, Comparison, DamageFound, DerivedChange, NoteChange, TorqueChange, new_damages};
use crate::setup::model::Setup;

use super::entry::{Forbidding, forbidding_since};
use super::merged::torque;
use super::wanted::Wanted;

/// What a merge left out of one of the versions it joined. In all changes that version has the earlier value, and the
/// merge the later.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct NotTaken {
    /// The full hash of that parent.
    pub revision: String,
    /// The shortened hash.
    pub short: String,
    /// Measures, dangerous first; of named measures only those.
    pub changes: Vec<Change>,
    /// The named derived values.
    pub derived: Vec<DerivedChange>,
    /// Torque ranges.
    pub torque: Vec<TorqueChange>,
    /// Damage that only that version notes.
    pub damages: Vec<DamageFound>,
    /// Notes by which nobody is to ride that only that version has.
    pub forbidding: Vec<Forbidding>,
    /// Other notes.
    pub notes: Vec<NoteChange>,
    /// How many parts, marks, instruments and tolerances.
    pub others: usize,
}

impl NotTaken {
    /// Whether all of it was taken.
    pub fn is_empty(&self) -> bool {
        self.changes.is_empty()
            && self.derived.is_empty()
            && self.torque.is_empty()
            && self.damages.is_empty()
            && self.forbidding.is_empty()
            && self.notes.is_empty()
            && self.others == 0
    }

    /// Keeps what is about these values alone.
    pub fn narrow(&mut self, catalogue: &Catalogue, wanted: &[Wanted]) {
        self.changes.retain(|change| wanted.iter().any(|one| one.is_measure(catalogue, &change.measure)));
        self.derived.retain(|change| wanted.iter().any(|one| one.is_derived(change.name)));
        let NotTaken { torque, damages, forbidding, notes, others, .. } = self;
        torque.clear();
        damages.clear();
        forbidding.clear();
        notes.clear();
        *others = 0;
    }
}

/// One version that was merged, what it had changed since the versions parted, and what it has otherwise than the merge.
pub struct Version<'a> {
    /// The full hash.
    pub revision: &'a str,
    /// The shortened hash.
    pub short: &'a str,
    /// What it holds.
    pub setup: &'a Setup,
    /// From it to where the versions parted.
    pub own: &'a Comparison,
    /// From it to the merge.
    pub left: &'a Comparison,
}

/// What the merge did not take of one version. What differs from all versions is the merge's own and `told` already.
pub fn not_taken(version: &Version, parted: &Setup, merged: &Setup, told: &[Change]) -> NotTaken {
    let Version { own, left, .. } = version;
    let is_own = |change: &&Change| own.changes.iter().any(|other| other.measure == change.measure);
    let is_told = |change: &&Change| told.iter().any(|other| other.measure == change.measure);
    let changes = left.changes.iter().filter(is_own).filter(|change| !is_told(change));
    let derived = left.derived.iter().filter(|change| own.derived.iter().any(|one| one.name == change.name));
    let lost = |new: Vec<DamageFound>| new.into_iter().filter(|one| left_out(version.setup, merged, one));
    let forbidding: Vec<Forbidding> = {
        let own = forbidding_since(parted, version.setup);
        let gone = forbidding_since(version.setup, merged);
        let is_gone = |note: &Forbidding| gone.iter().any(|one| one.taken_out && one.is_the_text_of(note));
        own.into_iter().filter(|note| !note.taken_out && is_gone(note)).collect()
    };
    let is_told = |note: &NoteChange| forbidding.iter().any(|one| note.was.as_ref() == Some(&one.text));
    let is_own = |note: &NoteChange| own.notes.iter().any(|one| one.on == note.on && one.was == note.was);
    let notes = left.notes.iter().filter(|note| is_own(note) && !is_told(note));
    let parts = left.parts.iter().filter(|part| own.parts.contains(part)).count();
    let marks = left.marks.iter().filter(|mark| own.marks.iter().any(|one| one.mark == mark.mark)).count();
    let instruments = left.instruments.iter();
    let instruments =
        instruments.filter(|one| own.instruments.iter().any(|other| other.instrument == one.instrument));
    let tolerances = left.read_otherwise.iter();
    let tolerances =
        tolerances.filter(|one| own.read_otherwise.iter().any(|other| other.measure == one.measure));
    NotTaken {
        revision: version.revision.to_owned(),
        short: version.short.to_owned(),
        changes: changes.cloned().collect(),
        derived: derived.cloned().collect(),
        torque: torques(left, own),
        damages: lost(new_damages(parted, version.setup)).collect(),
        notes: notes.cloned().collect(),
        forbidding,
        others: parts + marks + instruments.count() + tolerances.count(),
    }
}

/// Whether damage that one version notes is in the merge no more.
fn left_out(version: &Setup, merged: &Setup, damage: &DamageFound) -> bool {
    new_damages(merged, version).contains(damage)
}

/// The torques that a version changed and has otherwise than the merge.
fn torques(left: &Comparison, own: &Comparison) -> Vec<TorqueChange> {
    let one = |change: &TorqueChange| {
        torque(change.clone(), own.torque.iter().find(|other| other.joint == change.joint)?)
    };
    left.torque.iter().filter_map(one).collect()
}
