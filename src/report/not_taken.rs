//! What of a file could not be taken, the same wherever something is worked out from the rest of it.

use super::screen::{Label, Page, piece, plain};

/// One line for each, before everything that was worked out without it.
pub fn not_taken(page: &mut Page, setup: &str, findings: &[String]) {
    for finding in findings {
        let lead = format!("Not taken from {setup}, ");
        page.paragraph(2, 4, &[piece(Label::Care, lead), plain(finding.clone())]);
    }
    if !findings.is_empty() {
        page.blank();
    }
}
