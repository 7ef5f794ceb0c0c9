//! What nobody knew any more and a sheet reads again: where it stood before it was let go, or elsewhere.

use serde::Serialize;

use crate::catalogue::{Catalogue, MeasureId, Weight};
use crate::check::forgotten;
use crate::check::forgotten::carried::is_by_the_bar;
use crate::compare::Comparison;
use crate::metrology::reading::Reading;
use crate::metrology::verdict::Verdict;
use crate::setup::edit::{Edit, EditError};
use crate::setup::model::Setup;

use super::written::held_words;

/// A measure that was not known any more, and was read again.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct KnownAgain {
    #[serde(skip)]
    pub(super) id: MeasureId,
    /// Its written path.
    pub measure: String,
    /// In plain words.
    pub title: String,
    /// What it read before it was let go, where it now stands elsewhere: the note that keeps that stays.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub before: Option<String>,
    /// Whether it is a bar that was rolled or cut that took it along, and no clamp that was let go.
    #[serde(skip)]
    by_the_bar: bool,
    /// What it read on the bar as that stood then, where nobody can say what it would read since.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub on_the_old_bar: Option<String>,
    /// What it reads now.
    #[serde(skip)]
    pub now: String,
    /// What a slip there does.
    #[serde(skip)]
    weight: Weight,
}

impl KnownAgain {
    /// Whether it stands elsewhere than before it was let go.
    pub fn is_elsewhere(&self) -> bool {
        self.before.is_some()
    }

    /// "right brake lever angle reads 5°, and read 32° before its clamp was let go", where it does.
    pub fn elsewhere(&self) -> Option<String> {
        let before = self.before.as_ref()?;
        Some(if self.by_the_bar {
            format!("{} reads {}, and would read {before} had the bar alone moved", self.title, self.now)
        } else {
            format!("{} reads {}, and read {before} before its clamp was let go", self.title, self.now)
        })
    }

    /// The same of what is on steering and brakes.
    pub(super) fn dangerous(all: &[KnownAgain]) -> impl Iterator<Item = String> {
        let dangerous = all.iter().filter(|one| one.weight == Weight::SteeringAndBrakes);
        dangerous.filter_map(KnownAgain::elsewhere)
    }
}

/// Takes out the notes on what is known again and stands as it did: what they keep is over. Where it stands elsewhere, the
/// note stays, for nobody else tells where it was, until it is found there on a later day: then it is over, and told by its
/// text. `written` is the file as it was, `known` with what its notes keep.
pub(super) fn all(
    catalogue: &Catalogue,
    edit: &mut Edit,
    (written, known): (&Setup, &Setup),
    comparison: &Comparison,
    (sheet, changed): (&Setup, &[&MeasureId]),
) -> Result<(Vec<KnownAgain>, Vec<String>), EditError> {
    let (mut again, mut over) = (Vec::new(), Vec::new());
    for &id in changed {
        let notes: Vec<String> =
            forgotten::notes(catalogue, edit.setup(), id).map(|(_, note)| note.text.value.clone()).collect();
        if notes.is_empty() {
            continue;
        }
        let is_remembered = written.reading(id).is_none() && known.reading(id).is_some();
        let is_elsewhere = is_remembered && comparison.moved_at_their_joint().any(|change| change.id == *id);
        let last = forgotten::noted(catalogue, written, id);
        let by_the_bar = last.as_ref().is_some_and(|last| is_by_the_bar(last.because));
        let on_the_old_bar = last.filter(|_| by_the_bar && !is_remembered).map(|last| last.read.to_owned());
        if !is_elsewhere {
            for text in &notes {
                edit.remove_note(&forgotten::place(catalogue, id), text)?;
            }
        }
        again.push(KnownAgain {
            measure: catalogue.path(id),
            title: catalogue.title(id),
            before: held_words(known, id).filter(|_| is_elsewhere),
            by_the_bar,
            on_the_old_bar,
            now: held_words(edit.setup(), id).unwrap_or_default(),
            weight: forgotten::weight(catalogue, edit.setup(), id),
            id: id.clone(),
        });
    }
    for id in stands_there(edit.setup(), sheet, comparison) {
        let place = forgotten::place(catalogue, &id);
        let notes = forgotten::notes(catalogue, edit.setup(), &id).map(|(_, note)| note.text.value.clone());
        for text in notes.collect::<Vec<_>>() {
            edit.remove_note(&place, &text)?;
            over.push(text);
        }
    }
    Ok((again, over))
}

/// What a sheet finds where one of an earlier day found it: there it stands since, and what a note keeps of where it stood
/// before is over.
fn stands_there(setup: &Setup, sheet: &Setup, comparison: &Comparison) -> Vec<MeasureId> {
    let day = sheet.day();
    let is_later = |id: &MeasureId| {
        let read = setup.reading(id).and_then(Reading::read);
        read.zip(day).is_some_and(|(read, day)| read < day)
    };
    let moved = |id: &MeasureId| {
        comparison.changes.iter().any(|change| change.id == *id && change.verdict == Verdict::Moved)
    };
    let stands = |id: &&MeasureId| sheet.reading(id).is_some() && is_later(id) && !moved(id);
    sheet.readings.keys().filter(stands).cloned().collect()
}
