//! What a revision notes against riding, or no more: notes that forbid it, and joints that were left open.

use serde::Serialize;

use crate::catalogue::{Weight, joint};
use crate::check::{not_to_ride, opened};
use crate::setup::model::Setup;

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

/// The notes by which nobody is to ride.
pub fn forbidding(setup: &Setup) -> Vec<Forbidding> {
    noted(setup).map(|(on, text)| one(on, text, false)).collect()
}

/// Where they stand, and what they say.
fn noted(setup: &Setup) -> impl Iterator<Item = (&str, &str)> {
    not_to_ride::notes(setup).map(|note| (note.place(), note.text.value.as_str()))
}

fn one(on: &str, text: &str, taken_out: bool) -> Forbidding {
    Forbidding { on: on.to_owned(), text: text.to_owned(), taken_out }
}

/// The notes by which nobody is to ride that only the later of two setups has, and those that only the earlier had.
pub fn forbidding_since(before: &Setup, after: &Setup) -> Vec<Forbidding> {
    let only = |this: &'_ Setup, other: &'_ Setup, taken_out| -> Vec<Forbidding> {
        let alone = noted(this).filter(|note| !noted(other).any(|known| known == *note));
        alone.map(|(on, text)| one(on, text, taken_out)).collect()
    };
    [only(after, before, false), only(before, after, true)].concat()
}

/// The joints of which only the later of two setups notes that they are open.
pub fn left_open_since(before: &Setup, after: &Setup) -> Vec<LeftOpen> {
    those_open(after, |noted| !is_noted_open(before, noted))
}

/// Whether a setup has that very note of an open joint.
pub fn is_noted_open(setup: &Setup, noted: &opened::Noted) -> bool {
    opened::open(setup).any(|one| one.joint == noted.joint && one.note.text.value == noted.note.text.value)
}

/// The joints that a setup notes to be open, the dangerous first.
pub fn left_open(setup: &Setup) -> Vec<LeftOpen> {
    those_open(setup, |_| true)
}

/// Those that are news.
pub fn those_open(setup: &Setup, is_news: impl Fn(&opened::Noted) -> bool) -> Vec<LeftOpen> {
    let told = |noted: opened::Noted| LeftOpen {
        joint: noted.joint.to_owned(),
        title: joint::title(noted.joint),
        weight: joint::weight(noted.joint),
        note: noted.note.text.value.clone(),
    };
    let mut open: Vec<LeftOpen> = opened::open(setup).filter(is_news).map(told).collect();
    open.sort_by_key(|one| one.weight);
    open
}
