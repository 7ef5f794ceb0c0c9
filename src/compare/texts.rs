//! Parts and guards that came or went, and notes word by word.

use std::collections::BTreeSet;

use serde::Serialize;
use similar::{ChangeTag, TextDiff};

use crate::geometry::state::Difference;
use crate::metrology::verdict::Verdict;
use crate::setup::model::Setup;

/// A control, hose or guard that only one state has.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct PartChange {
    /// `left.shifter`, `hose.rear brake`, `guard.head tube, left`.
    pub part: String,
    /// Recorded or not recorded.
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
    /// The two, word by word; empty where there is only one, or where they have too little in common.
    pub words: Vec<WordChange>,
}

impl NoteChange {
    /// Whether it is a caution at a torque.
    pub fn is_caution(&self) -> bool {
        self.on.starts_with(CAUTION)
    }
}

/// What stands before the joint of a caution.
const CAUTION: &str = "caution.";

/// What came and went. A group that only gathers figures of what every bike has is no part: its measures say it all.
pub fn parts(difference: &Difference) -> Vec<PartChange> {
    if have_the_same_parts(difference.from.setup(), difference.to.setup()) {
        return Vec::new();
    }
    let (was, now) = (named_parts(difference.from.setup()), named_parts(difference.to.setup()));
    let verdict = |part: &String| {
        if was.contains(part) { Verdict::NotRecorded } else { Verdict::Recorded }
    };
    was.symmetric_difference(&now)
        .map(|part| PartChange { part: part.clone(), verdict: verdict(part) })
        .collect()
}

/// Whether the same groups and guards stand in both in the same order, as mostly between two revisions.
fn have_the_same_parts(was: &Setup, now: &Setup) -> bool {
    let paths = || was.parts.iter().map(|part| &part.path);
    (was.parts.is(&now.parts) || paths().eq(now.parts.iter().map(|part| &part.path)))
        && was
            .guards
            .iter()
            .map(|guard| &guard.place.value)
            .eq(now.guards.iter().map(|guard| &guard.place.value))
}

fn named_parts(setup: &Setup) -> BTreeSet<String> {
    let controls = setup.controls().map(|(side, control)| format!("{side}.{}", control.name));
    let hoses = setup.hoses().map(|name| format!("hose.{name}"));
    let guards = setup.guards.iter().map(|guard| format!("guard.{}", guard.place.value));
    controls.chain(hoses).chain(guards).collect()
}

/// The notes, cautions and purposes that differ.
pub fn notes(difference: &Difference) -> Vec<NoteChange> {
    let (from, to) = (difference.from.setup(), difference.to.setup());
    let (mut was, mut now) =
        if have_the_same_texts(from, to) { Default::default() } else { (texts(from, to), texts(to, from)) };
    // What stands unchanged in both, in whatever order, is no difference.
    was.retain(|text| match now.iter().position(|other| other == text) {
        Some(at) => {
            now.remove(at);
            false
        }
        None => true,
    });
    let mut changes = Vec::new();
    for text in was {
        let partner = now.iter().position(|other| other.is_beside(&text));
        let later = partner.map(|at| now.remove(at).words);
        changes.push(note(text.place(), Some(text.words.to_owned()), later.map(str::to_owned)));
    }
    // A sheet's own notes are news, whatever the setup beneath it says.
    now.extend(difference.to.sheet().into_iter().flat_map(|sheet| texts(sheet, sheet)));
    changes.extend(now.into_iter().map(|text| note(text.place(), None, Some(text.words.to_owned()))));
    changes
}

/// A text of a setup with where it stands, none of it copied: of two neighbours in a history nearly all are the same.
struct Text<'s> {
    kind: &'static str,
    on: &'s str,
    words: &'s str,
}

impl Text<'_> {
    /// Where it stands: the group of a note; `purpose`; `caution.stem-face`.
    fn place(&self) -> String {
        [self.kind, self.on].concat()
    }

    /// Whether both stand in one place.
    fn is_beside(&self, other: &Text) -> bool {
        let letters = self.kind.bytes().chain(self.on.bytes());
        letters.eq(other.kind.bytes().chain(other.on.bytes()))
    }
}

impl PartialEq for Text<'_> {
    fn eq(&self, other: &Self) -> bool {
        self.words == other.words && self.is_beside(other)
    }
}

fn note(on: String, was: Option<String>, now: Option<String>) -> NoteChange {
    let words = match (&was, &now) {
        (Some(was), Some(now)) => word_by_word(was, now),
        _ => Vec::new(),
    };
    NoteChange { on, was, now, words }
}

/// Whether all texts stand in lists that both setups have in common, as mostly between two revisions.
fn have_the_same_texts(was: &Setup, now: &Setup) -> bool {
    let purpose = |setup: &Setup| setup.purpose.as_ref().map(|purpose| purpose.value.clone());
    was.notes.is(&now.notes)
        && was.torques.is(&now.torques)
        && was.marks.is(&now.marks)
        && purpose(was) == purpose(now)
}

/// The texts of a setup. What a mark reads goes with the mark, so only where the other setup has it too.
fn texts<'s>(setup: &'s Setup, other: &Setup) -> Vec<Text<'s>> {
    let purpose = setup.purpose.iter().map(|text| Text { kind: "purpose", on: "", words: &text.value });
    let notes = setup.notes.iter().map(|note| Text { kind: "", on: &note.on, words: &note.text.value });
    // What stands in a conflict with its torque is not gone.
    let is_open = |joint: &str| other.torque(joint).is_none() && other.is_torque_in_conflict(joint);
    let torques =
        setup.torques.iter().filter(|torque| other.in_conflict.is_empty() || !is_open(&torque.joint.value));
    let cautions = torques.flat_map(|torque| {
        let on = &torque.joint.value;
        torque.cautions.iter().map(move |text| Text { kind: CAUTION, on, words: &text.value })
    });
    let marks = setup
        .marks
        .iter()
        .filter(|mark| other.marks.iter().any(|stays| stays.name.value == mark.name.value))
        .filter_map(|mark| Some(Text { kind: "mark.", on: &mark.name.value, words: mark.reads.as_deref()? }));
    purpose.chain(notes).chain(cautions).chain(marks).collect()
}

/// The runs of words; none where less than half of either text was kept, for then the two are better read whole.
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
    let kept: usize = runs.iter().filter(|run| run.fate == Word::Kept).map(|run| run.text.trim().len()).sum();
    if kept * 2 < was.len().max(now.len()) { Vec::new() } else { runs }
}
