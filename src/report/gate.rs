//! The page of `gate`: what `check` finds in the staged files that can hurt, and what that means for the commit.

use crate::catalogue::code::Severity;
use crate::setup::checked::Report;

use super::screen::{Label, Page, piece, plain};

/// Writes the page. Advice is only counted: whoever commits ten times a day has read it before. `with_advice` are the
/// commands that tell it.
pub fn page(page: &mut Page, report: &Report, with_advice: &[String]) {
    let mut pressing = report.clone();
    for file in &mut pressing.files {
        // Two ledgers may each have a setup of one name.
        if !file.path.starts_with("setups/") {
            file.setup = file.path.clone();
        }
        file.findings.retain(|finding| finding.severity != Severity::Advice);
        file.acknowledged.retain(|accepted| accepted.placed.severity != Severity::Advice);
    }
    super::check::page(page, &pressing);
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
    if report.counts.advice > 0 {
        let mut show = Vec::new();
        for (place, command) in with_advice.iter().enumerate() {
            show.push(plain(if place == 0 { "The advice is left out here: " } else { ", " }));
            show.push(piece(Label::Command, command.clone()));
        }
        show.push(plain("."));
        page.paragraph(0, 2, &show);
    }
}
