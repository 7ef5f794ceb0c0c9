//! Parts, guards and marks that came or went, and notes word by word.

use std::collections::BTreeSet;

use serde::Serialize;
use similar::{ChangeTag, TextDiff};

use crate::geometry::state::Difference;
use crate::metrology::verdict::Verdict;
use crate::setup::model::{Mark, Setup};

/// A part, guard, mark or hose that only one state has, or a mark that was drawn anew.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct PartChange {
    /// `left.shifter`, `guard.head tube, left`, `mark.L1`.
    pub part: String,
    /// Recorded or not recorded; moved for a mark drawn anew.
    pub verdict: Verdict,
}

/// What became of a word.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Word {
    /// It stands in both.
    Kept,
    /// Only the earlier text has it.
    Gone,
    /// Only the later text has it.
    New,
}

/// A run of words with the same fate.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct WordChange {
    /// What became of them.
    pub fate: Word,
    /// The words, spaces as they stand.
    pub text: String,
}

/// A note, a caution or the purpose that differs.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct NoteChange {
    /// The group it stands in; `purpose`; `caution.stem-face`; empty at the top.
    pub on: String,
    /// The earlier text.
    pub was: Option<String>,
    /// The later text.
    pub now: Option<String>,
    /// The two, word by word; empty where there is only one.
    pub words: Vec<WordChange>,
}

/// What came and went.
pub fn parts(difference: &Difference) -> Vec<PartChange> {
    let (from, to) = (difference.from.setup(), difference.to.setup());
    let (was, now) = (named_parts(from), named_parts(to));
    let mut changes: Vec<PartChange> = Vec::new();
    for part in was.union(&now) {
        let verdict = match (was.contains(part), now.contains(part)) {
            (true, true) => continue,
            (true, false) => Verdict::NotRecorded,
            (false, _) => Verdict::Recorded,
        };
        // What stands inside a part that came or went as a whole is not named again.
        let inside = changes.last().is_some_and(|last| part.starts_with(&format!("{}.", last.part)));
        if !inside {
            changes.push(PartChange { part: part.clone(), verdict });
        }
    }
    for mark in &to.marks {
        let drawn_anew = from
            .marks
            .iter()
            .any(|earlier| earlier.name.value == mark.name.value && !same_place(earlier, mark));
        if drawn_anew {
            changes.push(PartChange { part: format!("mark.{}", mark.name.value), verdict: Verdict::Moved });
        }
    }
    changes
}

fn same_place(was: &Mark, now: &Mark) -> bool {
    let joint = |mark: &Mark| mark.on.as_ref().map(|on| on.value.clone());
    let places = |mark: &Mark| -> Vec<_> {
        mark.drawn.iter().map(|(id, recorded)| (id.clone(), recorded.value.clone())).collect()
    };
    joint(was) == joint(now) && places(was) == places(now) && was.drawn_on == now.drawn_on
}

fn named_parts(setup: &Setup) -> BTreeSet<String> {
    let groups = setup.parts.iter().map(|part| part.path.clone());
    let guards = setup.guards.iter().map(|guard| format!("guard.{}", guard.place.value));
    let marks = setup.marks.iter().map(|mark| format!("mark.{}", mark.name.value));
    groups.chain(guards).chain(marks).collect()
}

/// The notes, cautions and purposes that differ.
pub fn notes(difference: &Difference) -> Vec<NoteChange> {
    let mut was = texts(difference.from.setup());
    let mut now = texts(difference.to.setup());
    // What stands unchanged in both, in whatever order, is no difference.
    was.retain(|text| match now.iter().position(|other| other == text) {
        Some(at) => {
            now.remove(at);
            false
        }
        None => true,
    });
    let mut changes = Vec::new();
    for (on, text) in was {
        let partner = now.iter().position(|(other, _)| *other == on);
        let later = partner.map(|at| now.remove(at).1);
        changes.push(note(on, Some(text), later));
    }
    changes.extend(now.into_iter().map(|(on, text)| note(on, None, Some(text))));
    changes
}

fn note(on: String, was: Option<String>, now: Option<String>) -> NoteChange {
    let words = match (&was, &now) {
        (Some(was), Some(now)) => word_by_word(was, now),
        _ => Vec::new(),
    };
    NoteChange { on, was, now, words }
}

fn texts(setup: &Setup) -> Vec<(String, String)> {
    let purpose = setup.purpose.iter().map(|text| ("purpose".to_owned(), text.value.clone()));
    let notes = setup.notes.iter().map(|note| (note.on.clone(), note.text.value.clone()));
    let cautions = setup.torques.iter().flat_map(|torque| {
        torque.cautions.iter().map(|text| (format!("caution.{}", torque.joint.value), text.value.clone()))
    });
    let marks = setup
        .marks
        .iter()
        .filter_map(|mark| Some((format!("mark.{}", mark.name.value), mark.reads.clone()?)));
    purpose.chain(notes).chain(cautions).chain(marks).collect()
}

fn word_by_word(was: &str, now: &str) -> Vec<WordChange> {
    let mut runs: Vec<WordChange> = Vec::new();
    for change in TextDiff::from_words(was, now).iter_all_changes() {
        let fate = match change.tag() {
            ChangeTag::Equal => Word::Kept,
            ChangeTag::Delete => Word::Gone,
            ChangeTag::Insert => Word::New,
        };
        match runs.last_mut() {
            Some(last) if last.fate == fate => last.text.push_str(change.value()),
            _ => runs.push(WordChange { fate, text: change.value().to_owned() }),
        }
    }
    runs
}
