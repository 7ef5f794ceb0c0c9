//! Readings by which nobody is to ride: what a bike goes back to is not made of them, unless that is asked for.

use serde::Serialize;

use crate::catalogue::{Catalogue, MeasureId, Weight, code};
use crate::check;
use crate::setup::edit::{Edit, EditError};
use crate::setup::finding::Finding;
use crate::setup::model::Setup;

use super::folding::Folding;

/// One reading that says of itself that nobody is to ride so, where the file did not say that before.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Unridable {
    /// Which.
    #[serde(skip)]
    pub id: MeasureId,
    /// Its written path.
    pub measure: String,
    /// In plain words.
    pub title: String,
    /// How much it matters.
    pub weight: Weight,
    /// What it reads, with its unit.
    pub found: String,
    /// The code by which `check` tells of it.
    pub code: &'static str,
    /// What `check` says of it.
    pub words: String,
    /// Whether it was written all the same, because that was asked for.
    pub written: bool,
}

/// What of all that would be written makes the setup one that nobody is to ride, and did not before; and what is `worn`,
/// for a brake that got worse is nothing to go back to.
///
/// # Errors
/// If a reading cannot be written as meant.
pub(super) fn unridable(
    edit: &Edit,
    folding: &Folding,
    even_so: &[MeasureId],
    worn: &[MeasureId],
) -> Result<Vec<Unridable>, EditError> {
    let Folding { catalogue, before, .. } = *folding;
    let mut tried = edit.clone();
    folding.write_all(&mut tried)?;
    let known = check::unridable(catalogue, before);
    let is_new = |finding: &&Finding| {
        !known.iter().any(|known| known.code == finding.code && known.measure == finding.measure)
    };
    let found = check::unridable(catalogue, tried.setup());
    let told = |finding: &Finding| {
        let path = finding.measure.as_ref()?;
        let id = folding.all.iter().find(|id| catalogue.path(id) == *path)?;
        Some(one(catalogue, tried.setup(), id, finding, even_so.contains(id)))
    };
    let mut all: Vec<Unridable> = found.iter().filter(is_new).filter_map(told).collect();
    let is_told = |id: &MeasureId, all: &[Unridable]| all.iter().any(|one| one.id == *id);
    for id in folding.all.iter().filter(|id| worn.contains(id)) {
        if !is_told(id, &all) {
            let was = super::held_words(before, id).unwrap_or_default();
            let caution = catalogue.measure(id.row).caution_of_less.unwrap_or_default();
            let finding = Finding::new(&code::BITE_NEAR_GRIP, format!("It was {was}. {caution}"));
            all.push(one(catalogue, tried.setup(), id, &finding, even_so.contains(id)));
        }
    }
    Ok(all)
}

/// Whether something at a joint was not written.
pub(super) fn is_out_at(catalogue: &Catalogue, before: &Setup, all: &[Unridable], joint: &str) -> bool {
    all.iter().any(|one| !one.written && before.joint_of(catalogue, &one.id) == Some(joint))
}

fn one(catalogue: &Catalogue, tried: &Setup, id: &MeasureId, finding: &Finding, written: bool) -> Unridable {
    Unridable {
        measure: catalogue.path(id),
        title: catalogue.title(id),
        weight: catalogue.measure(id.row).weight,
        found: super::held_words(tried, id).unwrap_or_default(),
        code: finding.code.name,
        words: finding.message.clone(),
        written,
        id: id.clone(),
    }
}
