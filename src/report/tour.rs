//! The page of `tour`: each command with why one would run it, then what it prints, and what to play with.

use serde::Serialize;

use super::screen::{Label, Page, piece, plain};

/// One stop of the tour.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Step {
    /// The command as a person types it inside the folder.
    pub command: String,
    /// Why one would.
    pub why: String,
    /// Its exit status.
    pub status: Option<i32>,
    /// What it printed.
    pub output: String,
}

/// A finished tour.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Tour {
    /// `clampmark.tour/1`.
    pub schema: &'static str,
    /// The ledger that was built and is left to play with.
    pub folder: String,
    /// What the ledger tells, oldest first.
    pub story: Vec<String>,
    /// The stops.
    pub steps: Vec<Step>,
    /// What to try next, each with why.
    pub next: Vec<(String, String)>,
    /// Where the program is.
    pub program: String,
}

/// Writes the page.
pub fn page(page: &mut Page, tour: &Tour) {
    let intro =
        " A small ledger was built, with a real history in git. The bikes and their rider are invented.";
    page.paragraph(0, 2, &[piece(Label::Title, "Clampmark: a tour."), plain(intro)]);
    for line in &tour.story {
        page.paragraph(2, 4, &[plain(line.clone())]);
    }
    for step in &tour.steps {
        page.blank();
        page.raw(vec![piece(Label::Quiet, "─".repeat(page.width()))]);
        page.paragraph(0, 2, &[plain(step.why.clone())]);
        page.paragraph(0, 4, &[piece(Label::Quiet, "> "), piece(Label::Command, step.command.clone())]);
        page.blank();
        for line in step.output.lines() {
            page.raw(vec![plain(line)]);
        }
    }
    page.blank();
    page.raw(vec![piece(Label::Quiet, "─".repeat(page.width()))]);
    page.paragraph(0, 2, &[plain("The ledger stays for you to play with:")]);
    page.raw(vec![plain("  "), piece(Label::Command, format!("cd {}", tour.folder))]);
    for (command, why) in &tour.next {
        page.raw(vec![plain("  "), piece(Label::Command, command.clone())]);
        page.paragraph(6, 6, &[plain(why.clone())]);
    }
    page.paragraph(0, 2, &[plain("Where your shell does not find clampmark, the program is")]);
    page.raw(vec![plain(format!("  {}", tour.program))]);
}
