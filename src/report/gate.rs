//! The page of `gate`: what `check` finds in the staged files that can hurt, and what that means for the commit.

use serde::Serialize;

use crate::catalogue::code::Severity;
use crate::setup::checked;

use super::overview::adopted_earlier;
use super::screen::{Label, Page, piece, plain};

/// What is found in the staged files, and around them.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Report {
    /// What `check` finds.
    #[serde(flatten)]
    pub checked: checked::Report,
    /// Whether git merges setups as an earlier version of this program told it.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub adopted_earlier: bool,
    /// The commands that tell the advice, which is only counted here.
    #[serde(skip)]
    pub with_advice: Vec<String>,
    /// How the ledger is named to a command that renews what git was told.
    #[serde(skip)]
    pub option: String,
}

impl Report {
    /// Whether anything is to be told.
    pub fn tells(&self) -> bool {
        self.tells_of_files() || self.adopted_earlier
    }

    fn tells_of_files(&self) -> bool {
        let counts = &self.checked.counts;
        counts.fault + counts.caution + counts.advice + counts.unridable > 0
    }
}

/// Writes the page. Advice is only counted: whoever commits ten times a day has read it before.
pub fn page(page: &mut Page, report: &Report) {
    if report.tells_of_files() {
        of_files(page, report);
    }
    if report.adopted_earlier {
        adopted_earlier(page, &report.option);
    }
}

fn of_files(page: &mut Page, Report { checked: report, with_advice, .. }: &Report) {
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
