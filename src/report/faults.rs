//! What is at fault in a file, the same wherever something is worked out from the rest of it.

use super::screen::{Label, Page, piece, plain};

/// One line for each, before everything that was worked out without it.
pub fn faults(page: &mut Page, setup: &str, findings: &[String]) {
    for finding in findings {
        let words = format!("{setup}, {finding}");
        page.paragraph(2, 4, &[piece(Label::Care, "Read with a fault: "), plain(words)]);
    }
    if !findings.is_empty() {
        page.blank();
    }
}
