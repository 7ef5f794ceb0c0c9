//! The page of `new`: what was written, what to fill in, and what comes next.

use serde::Serialize;

use super::screen::{Label, Page, piece, plain};

/// What was written.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Created {
    /// `clampmark.new/1`.
    pub schema: &'static str,
    /// The setup's name.
    pub setup: String,
    /// Its file.
    pub path: String,
    /// The ledger's folder.
    pub ledger: String,
    /// Whether there was no ledger before.
    pub new_ledger: bool,
    /// Whether revisions will be kept in git.
    pub in_git: bool,
    /// The measures to fill in.
    pub blanks: Vec<String>,
}

/// Writes the page.
pub fn page(page: &mut Page, created: &Created) {
    if created.new_ledger {
        page.paragraph(
            0,
            2,
            &[plain(format!("There was no ledger yet: setups/ is now in {}.", created.ledger))],
        );
    }
    let blanks = created.blanks.len().to_string();
    page.paragraph(
        0,
        2,
        &[
            piece(Label::Title, created.setup.clone()),
            plain(" is written to "),
            plain(format!("setups/{}.kdl", created.setup)),
            plain(", with "),
            piece(Label::Number, blanks),
            plain(" blanks to fill in. Above each stands how it is measured:"),
        ],
    );
    page.paragraph(2, 2, &[plain(created.blanks.join(", ") + ".")]);
    page.blank();
    page.paragraph(
        0,
        2,
        &[plain("Then: "), piece(Label::Command, format!("clampmark check {}", created.setup))],
    );
    if !created.in_git {
        page.paragraph(
            0,
            2,
            &[
                plain("No git repository is around this ledger, so what changes will not be remembered: "),
                piece(Label::Command, "git init"),
            ],
        );
    }
}
