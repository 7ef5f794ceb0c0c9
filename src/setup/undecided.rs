//! What a merge left undecided: the measures, marks and torques that stand in a conflict, and what of them may be so.

use crate::catalogue::MeasureId;

use super::model::Setup;

/// The words of the two sides, ours first.
pub const SIDES: [&str; 2] = ["ours", "theirs"];

/// What either version of a conflict holds for a measure, as typed; none where it does not record it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Undecided {
    /// Ours.
    pub ours: Option<String>,
    /// Theirs.
    pub theirs: Option<String>,
    /// Where ours comes from, as far as the file knows.
    pub ours_from: Option<String>,
    /// Where theirs does.
    pub theirs_from: Option<String>,
}

impl Undecided {
    /// Whether either is that word.
    pub fn has(&self, word: &str) -> bool {
        let is =
            |version: &Option<String>| version.as_deref().is_some_and(|held| held.trim_matches('"') == word);
        is(&self.ours) || is(&self.theirs)
    }

    /// "ours 30, theirs 25"; with where they come from, for in a rebase ours is what one's own is put upon: "ours (HEAD) 30,
    /// theirs (wet) 25".
    pub fn in_words(&self) -> String {
        let word = |version: &Option<String>| version.clone().unwrap_or_else(|| "not recorded".to_owned());
        let of = |from: &Option<String>| from.as_ref().map(|from| format!(" ({from})")).unwrap_or_default();
        let (ours, theirs) = (of(&self.ours_from), of(&self.theirs_from));
        format!("ours{ours} {}, theirs{theirs} {}", word(&self.ours), word(&self.theirs))
    }

    /// The version of a side, by its word in the file.
    pub fn version(&mut self, side: &str) -> &mut Option<String> {
        if side == SIDES[0] { &mut self.ours } else { &mut self.theirs }
    }

    /// Where that comes from.
    pub fn source(&mut self, side: &str) -> &mut Option<String> {
        if side == SIDES[0] { &mut self.ours_from } else { &mut self.theirs_from }
    }
}

/// What the versions of a conflict tell, ours first, each thing once and with whose it is, unless both tell it.
pub fn as_either_has_it(versions: &[Vec<String>]) -> Vec<String> {
    let mut told: Vec<String> = Vec::new();
    for (version, side) in versions.iter().zip(SIDES) {
        for words in version {
            let in_both = versions.iter().all(|version| version.contains(words));
            let words = if in_both { words.clone() } else { format!("{words}, as {side} has it") };
            if !told.contains(&words) {
                told.push(words);
            }
        }
    }
    told
}

/// A mark or a torque that stands in a conflict: no version of it counts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct InConflict {
    /// Its path: "mark.L1", "torque.stem-face".
    pub about: String,
    /// The joint, if a version says it.
    pub joint: Option<String>,
    /// What either version holds, as typed.
    pub versions: Undecided,
}

impl InConflict {
    /// The name of the mark, if it is one.
    pub fn mark(&self) -> Option<&str> {
        self.about.strip_prefix("mark.")
    }

    /// The joint of the torque, if it is one.
    pub fn torque(&self) -> Option<&str> {
        self.about.strip_prefix("torque.")
    }
}

impl Setup {
    /// Whether a choice is that word, or may be: it is not decided, and one of the versions says so.
    pub fn may_be(&self, id: &MeasureId, word: &str) -> bool {
        match self.undecided.get(id) {
            Some(versions) => versions.has(word),
            None => self.choice(id) == Some(word),
        }
    }

    /// Whether the mark of that name stands in a conflict.
    pub fn is_mark_in_conflict(&self, name: &str) -> bool {
        self.in_conflict.iter().any(|one| one.mark() == Some(name))
    }

    /// Whether the torque of a joint, or a figure of it, stands in a conflict.
    pub fn is_torque_in_conflict(&self, joint: &str) -> bool {
        self.in_conflict.iter().any(|one| one.torque() == Some(joint))
    }
}
