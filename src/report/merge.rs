//! The page of `merge`: what could not be decided first, then what was decided and should be known.

use serde::Serialize;

use crate::merge::{Labels, Merged, in_one_line, named};
use crate::setup::read::{BOTH_CAUTIONS, OVER_A_BLOCK, is_of_cautions, is_over_a_block};

use super::screen::{Label, Page, piece, plain};

/// The result of a merge with the file's name.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Report {
    /// `clampmark.merge/1`.
    pub schema: &'static str,
    /// The file.
    pub file: String,
    /// Where the versions come from, as far as that is known.
    pub labels: Labels,
    /// What came of it.
    #[serde(flatten)]
    pub merged: Merged,
}

/// Writes the page.
pub fn page(page: &mut Page, report: &Report) {
    page.paragraph(0, 2, &[piece(Label::Title, report.file.clone())]);
    for conflict in &report.merged.conflicts {
        let side = |text: &Option<String>| {
            let text = text.as_ref().map_or("not recorded", |text| text.as_str());
            in_one_line(text)
        };
        let pieces = [
            piece(Label::Danger, format!("Not decided: {}.", conflict.about)),
            plain(format!(
                " {}: {}. {}: {}.",
                named("Ours", report.labels.ours.as_ref()),
                side(&conflict.ours),
                named("Theirs", report.labels.theirs.as_ref()),
                side(&conflict.theirs)
            )),
        ];
        page.paragraph(2, 4, &pieces);
        if let Some([ours, theirs]) = &conflict.floors {
            let told = format!(
                "Ours was read on this floor: {ours}. Theirs on this one: {theirs}. An angle stands by the floor it \
                 was read on: keep that floor with it, or read it again."
            );
            page.paragraph(4, 4, &[plain(told)]);
        }
    }
    if let Some((conflict, day)) = report.merged.conflicts.iter().find_map(|one| Some((one, one.seen_on?))) {
        let sheet_of = conflict.sheet_of.map(|day| format!(" of {day}")).unwrap_or_default();
        let told = format!(
            "What was seen on {day} would stand in the sheet{sheet_of} as if it had been seen that day: keep it in a sheet \
             of its own day, and here only what was seen again."
        );
        page.paragraph(2, 4, &[plain(told)]);
    }
    if !report.merged.conflicts.is_empty() {
        let both = "Both stand in the file as `conflict`: keep what stands between { } of one of them in place of the \
                    whole `conflict`, then check.";
        let is_absent = report.merged.conflicts.iter().any(|one| one.ours.is_none() || one.theirs.is_none());
        let none = " To keep that it is not recorded, take the whole `conflict` out.";
        page.paragraph(2, 4, &[plain(format!("{both}{}", if is_absent { none } else { "" }))]);
    }
    if report.merged.conflicts.iter().any(|conflict| is_over_a_block(&conflict.about)) {
        page.paragraph(2, 4, &[plain(OVER_A_BLOCK)]);
    }
    if report.merged.conflicts.iter().any(|conflict| is_of_cautions(&conflict.about)) {
        page.paragraph(2, 4, &[plain(BOTH_CAUTIONS)]);
    }
    for said in &report.merged.said {
        page.paragraph(2, 4, &[plain(said.clone())]);
    }
}
