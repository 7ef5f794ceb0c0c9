//! The pages of `history`: revisions with what moved, values over the revisions, marks; and the same as [`csv`].

mod csv;
mod marks;
mod not_taken;
mod revision;
mod values;

use rayon::prelude::*;

use crate::history::{Entry, Report};

pub use csv::csv;
pub use marks::marks;

use revision::revision;
use values::values;

use super::screen::{Label, Page, piece, plain};

/// Writes the page; `plot` draws a strip beside each value, `record` are the commands that record the file.
pub fn page(page: &mut Page, report: &Report, plot: bool, record: &[String]) {
    if report.never_recorded {
        never_recorded(page, report, record);
        return;
    }
    if report.entries.is_empty() {
        page.paragraph(0, 2, &[plain(format!("{}: no revision in that time.", report.setup))]);
    }
    if report.series.is_empty() {
        // No revision's lines depend on another's: they are laid out on all cores.
        let own = |entry: &Entry| {
            let mut own = page.of_this_width();
            revision(&mut own, entry);
            own
        };
        let pages: Vec<Page> = report.entries.par_iter().map(own).collect();
        for own in pages {
            page.blank();
            page.append(own);
        }
        return;
    }
    for series in &report.series {
        values(page, series, plot);
    }
    let beside_values = |entry: &&Entry| entry.problem.is_some() || entry.renamed_to.is_some();
    for entry in report.entries.iter().filter(beside_values) {
        revision(page, entry);
    }
}

/// What to do with a file that one side of a merge deleted.
pub const KEEP_OR_LET_GO: &str = "`git add` keeps it, `git rm` lets it go.";

fn never_recorded(page: &mut Page, report: &Report, record: &[String]) {
    if report.one_side_deleted {
        let said = format!(
            "{} is in no revision here: in a merge one side deleted it and the other changed it. {KEEP_OR_LET_GO}",
            report.setup
        );
        return page.paragraph(0, 2, &[plain(said)]);
    }
    let said = format!("{} is in no revision yet: git has never recorded it.", report.setup);
    page.paragraph(0, 2, &[plain(said)]);
    if record.is_empty() {
        let outside =
            "It lies outside the repository around the ledger: move it under setups/ to keep revisions.";
        page.paragraph(0, 2, &[plain(outside)]);
        return;
    }
    page.paragraph(0, 2, &[plain("To record it:")]);
    for command in record {
        page.paragraph(2, 4, &[piece(Label::Command, command.clone())]);
    }
}
