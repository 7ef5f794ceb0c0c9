//! The page of `gate`: what `check` finds in the staged files, and what that means for the commit.

use crate::setup::checked::Report;

use super::screen::{Label, Page, piece, plain};

/// Writes the page.
pub fn page(page: &mut Page, report: &Report) {
    super::check::page(page, report);
    page.blank();
    if report.counts.fault > 0 {
        let stopped = [
            piece(Label::Danger, "The commit is stopped"),
            plain(" until the faults are gone from what is staged: mend them, then git add the files again."),
        ];
        page.paragraph(0, 2, &stopped);
    } else {
        page.paragraph(0, 2, &[plain("No fault is staged: the commit goes on.")]);
    }
}
