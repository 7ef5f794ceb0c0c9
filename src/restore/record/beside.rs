//! Comments beside the readings that were written over: they stay, and may be about the reading before.

use serde::Serialize;

use crate::catalogue::{Catalogue, MeasureId};
use crate::setup::edit::Edit;
use crate::setup::model::{Setup, Value};

/// A comment that stands beside new readings.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Remark {
    /// As it stands in the file.
    pub words: String,
    /// The measures on its line that were written over, in plain words.
    pub titles: Vec<String>,
    #[serde(skip)]
    start: usize,
}

/// Every comment on the line of a reading that was written over.
pub(super) fn remarks(
    catalogue: &Catalogue,
    edit: &Edit,
    before: &Setup,
    changed: &[&MeasureId],
) -> Vec<Remark> {
    let mut remarks: Vec<Remark> = Vec::new();
    let had_one =
        |id: &MeasureId| before.recorded(id).is_some_and(|recorded| recorded.value != Value::Unmeasured);
    for id in changed.iter().filter(|id| had_one(id)) {
        let Some(beside) = edit.remark_beside(id) else { continue };
        let title = catalogue.title(id);
        match remarks.iter_mut().find(|remark| remark.start == beside.start) {
            Some(remark) => remark.titles.push(title),
            None => remarks.push(Remark { words: beside.words, titles: vec![title], start: beside.start }),
        }
    }
    remarks
}
