//! What a merge did not take of what one of its sides had changed: the loser of a choice is told, or it would look as if
//! its value still held.

use serde::Serialize;

use crate::catalogue::Catalogue;
use crate::check::opened::{self, Noted};
use crate::compare::{
    Beside, Change, Comparison, DamageFound, DerivedChange, Fate, MarkChange, NoteChange, PartChange,
    TorqueChange, new_damages,
};
use crate::metrology::verdict::Verdict;
use crate::setup::model::{Kind, MarkState, Setup, seen};

use super::against_riding::{Forbidding, LeftOpen, forbidding_since, is_noted_open, those_open};
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
    /// Of a sheet the joints that it tells are open, and how it found lines; the grave first.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub told: Vec<Beside>,
    /// The joints that only that version notes to be open, without those that were tightened since.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub left_open: Vec<LeftOpen>,
    /// Notes by which nobody is to ride that only that version has.
    pub forbidding: Vec<Forbidding>,
    /// Other notes.
    pub notes: Vec<NoteChange>,
    /// How many parts, marks, instruments and tolerances.
    pub others: usize,
    /// Which, and what that version had done: "mark L1 drawn anew".
    pub others_named: Vec<String>,
}

impl NotTaken {
    /// Whether all of it was taken.
    pub fn is_empty(&self) -> bool {
        self.changes.is_empty()
            && self.derived.is_empty()
            && self.torque.is_empty()
            && self.damages.is_empty()
            && self.told.is_empty()
            && self.left_open.is_empty()
            && self.forbidding.is_empty()
            && self.notes.is_empty()
            && self.others == 0
    }

    /// Keeps what is about these values alone.
    pub fn narrow(&mut self, catalogue: &Catalogue, wanted: &[Wanted]) {
        self.changes.retain(|change| wanted.iter().any(|one| one.is_measure(catalogue, &change.measure)));
        self.derived.retain(|change| wanted.iter().any(|one| one.is_derived(change.name)));
        let NotTaken { torque, damages, told, left_open, forbidding, notes, others, others_named, .. } = self;
        torque.clear();
        damages.clear();
        told.clear();
        left_open.clear();
        forbidding.clear();
        notes.clear();
        *others = 0;
        others_named.clear();
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
    /// What the file held where the versions parted, at one place or several; nothing where it was not there yet.
    pub parted: &'a [&'a Setup],
    /// From it to each of these: what it changed itself differs from all of them, and is all of it where there are none.
    pub own: &'a [Comparison],
    /// From it to the merge.
    pub left: &'a Comparison,
}

impl Version<'_> {
    /// Whether it changed something itself.
    fn is_own(&self, differs: impl Fn(&Comparison) -> bool) -> bool {
        self.own.iter().all(differs)
    }
}

/// What the merge did not take of one version. What differs from all versions is the merge's own and `told` already.
pub fn not_taken(version: &Version, merged: &Setup, told: &[Change]) -> NotTaken {
    let left = version.left;
    let is_told = |change: &&Change| told.iter().any(|other| other.measure == change.measure);
    let is_own = |change: &&Change| {
        version.is_own(|own| own.changes.iter().any(|other| other.measure == change.measure))
    };
    let changes = left.changes.iter().filter(is_own).filter(|change| !is_told(change));
    let is_own = |change: &&DerivedChange| {
        version.is_own(|own| own.derived.iter().any(|other| other.name == change.name))
    };
    let derived = left.derived.iter().filter(is_own);
    let forbidding = lost_forbidding(version, merged);
    let left_open = lost_open(version, merged);
    let is_told = |note: &NoteChange| {
        let is = |text: &String| note.was.as_ref() == Some(text);
        forbidding.iter().any(|one| is(&one.text)) || left_open.iter().any(|one| is(&one.note))
    };
    let is_own = |note: &NoteChange| {
        version.is_own(|own| own.notes.iter().any(|other| other.on == note.on && other.was == note.was))
    };
    let notes = left.notes.iter().filter(|note| is_own(note) && !is_told(note));
    let others_named = others(version);
    NotTaken {
        revision: version.revision.to_owned(),
        short: version.short.to_owned(),
        changes: changes.cloned().collect(),
        derived: derived.cloned().collect(),
        torque: torques(version),
        damages: lost_damages(version, merged),
        told: told_by_a_sheet(version),
        notes: notes.cloned().collect(),
        forbidding,
        left_open,
        others: others_named.len(),
        others_named,
    }
}

/// The notes by which nobody is to ride that only that version brought, and the merge has no more.
fn lost_forbidding(version: &Version, merged: &Setup) -> Vec<Forbidding> {
    let mut own = forbidding_since(merged, version.setup);
    own.retain(|note| !note.taken_out);
    for parted in version.parted {
        let new = forbidding_since(parted, version.setup);
        own.retain(|note| new.contains(note));
    }
    own
}

/// The damage that only that version noted, and the merge has no more.
fn lost_damages(version: &Version, merged: &Setup) -> Vec<DamageFound> {
    let mut own = new_damages(merged, version.setup);
    for parted in version.parted {
        let new = new_damages(parted, version.setup);
        own.retain(|damage| new.contains(damage));
    }
    own
}

/// The joints that only that version noted to be open, and that nobody tightened since.
fn lost_open(version: &Version, merged: &Setup) -> Vec<LeftOpen> {
    let is_news = |noted: &Noted| {
        let is_new = |known: &Setup| !is_noted_open(known, noted);
        is_new(merged)
            && !opened::is_tightened_since(merged, noted)
            && version.parted.iter().all(|parted| is_new(parted))
    };
    those_open(version.setup, is_news)
}

/// What a sheet told of joints and lines otherwise than the merge does: "mark L1 found broken".
fn told_by_a_sheet(version: &Version) -> Vec<Beside> {
    if version.setup.kind == Kind::Setup {
        return Vec::new();
    }
    let is_seen = |one: &&Beside| one.about.starts_with("opened.") || one.about.starts_with("mark.");
    let is_own = |one: &&Beside| {
        version.is_own(|own| own.besides.iter().any(|other| other.about == one.about && other.was == one.was))
    };
    let mut told: Vec<Beside> = version.left.besides.iter().filter(is_seen).filter(is_own).cloned().collect();
    // A mark that the merge does not name at all stands in the list of marks.
    told.extend(own_marks(version).filter_map(|mark| {
        let state = version.setup.seen(&mark.mark).filter(|_| mark.fate == Fate::Gone)?;
        Some(Beside {
            about: format!("mark.{}", mark.mark),
            what: format!("mark {}", mark.mark),
            was: Some(seen(state.as_found(), version.setup.mark(&mark.mark)?.seen_on)),
            now: None,
            grave: state != MarkState::Aligned,
        })
    }));
    told.sort_by_key(|one| !one.grave);
    told
}

/// The marks that a version changed and has otherwise than the merge.
fn own_marks<'v>(version: &'v Version) -> impl Iterator<Item = &'v MarkChange> {
    let is_own =
        |mark: &&MarkChange| version.is_own(|own| own.marks.iter().any(|other| other.mark == mark.mark));
    version.left.marks.iter().filter(is_own)
}

/// The torques that a version changed and has otherwise than the merge.
fn torques(version: &Version) -> Vec<TorqueChange> {
    let one = |change: &TorqueChange| {
        version.own.iter().try_fold(change.clone(), |left, own| {
            torque(left, own.torque.iter().find(|other| other.joint == change.joint)?)
        })
    };
    version.left.torque.iter().filter_map(one).collect()
}

/// The marks, parts, instruments and tolerances that it had changed and has otherwise than the merge.
fn others(version: &Version) -> Vec<String> {
    let left = version.left;
    let is_told = |mark: &&MarkChange| mark.fate == Fate::Gone && version.setup.seen(&mark.mark).is_some();
    let marks = own_marks(version).filter(|mark| !is_told(mark));
    let parts = left.parts.iter().filter(|part| version.is_own(|own| own.parts.contains(part)));
    let instruments = left.instruments.iter().filter(|one| {
        version.is_own(|own| own.instruments.iter().any(|other| other.instrument == one.instrument))
    });
    let tolerances = left.read_otherwise.iter().filter(|one| {
        version.is_own(|own| own.read_otherwise.iter().any(|other| other.measure == one.measure))
    });
    let mut named: Vec<String> = marks.map(drawn).collect();
    named.extend(parts.map(fitted));
    named.extend(instruments.map(|one| {
        let words = |words: &Option<String>| words.clone().unwrap_or_else(|| "not recorded".to_owned());
        format!("instrument {}, {}, kept {}", one.instrument, words(&one.was), words(&one.now))
    }));
    named.extend(tolerances.map(|one| format!("{} read {}, kept {}", one.title, one.was, one.now)));
    named
}

/// What that version had done with a mark. Told is what lies between it and the merge: what is gone there it had.
fn drawn(mark: &MarkChange) -> String {
    let fate = match mark.fate {
        Fate::Gone => "drawn",
        Fate::Added | Fate::Aligned | Fate::Off | Fate::Broken | Fate::Missing => "no longer recorded",
        _ => "drawn anew",
    };
    format!("mark {} {fate}", mark.mark)
}

/// The same with a part.
fn fitted(part: &PartChange) -> String {
    let fate = if part.verdict == Verdict::NotRecorded { "added" } else { "gone" };
    format!("{} {fate}", part.part)
}
