//! What `check` says of a bike as it would be, beside what it says of it now: the same words for `try` and `carry`.

use crate::catalogue::code::Severity;
use crate::trial::{Said, SaidAccepted, SaidStill, a_fault_stands};

use super::screen::{Label, Page, piece, plain};

/// One thing that `check` says of the one and not of the other.
pub fn said_line(page: &mut Page, said: &Said) {
    let label = match said.severity {
        Severity::Fault => Label::Danger,
        Severity::Caution => Label::Care,
        Severity::Advice => Label::Plain,
    };
    let head = format!("{} ({}): ", said.severity.word(), said.code);
    page.paragraph(2, 4, &[piece(label, head), plain(said.message.clone())]);
}

/// What is found, too, and was accepted beforehand: it is not gone, and nobody has to act on it.
pub fn accepted(page: &mut Page, accepted: &[SaidAccepted]) {
    if accepted.is_empty() {
        return;
    }
    page.title("New, and accepted in the file");
    for one in accepted {
        said_line(page, &one.said);
        page.paragraph(4, 4, &[plain(format!("Accepted because: {}", one.why))]);
    }
}

/// What keeps anybody from riding and stands already, under a title.
pub fn stands(page: &mut Page, title: impl Into<String>, stands: &[SaidStill]) {
    if stands.is_empty() {
        return;
    }
    page.title(title.into());
    if a_fault_stands(stands) {
        let words = " This does not put it right.";
        page.paragraph(2, 4, &[piece(Label::Danger, "Do not ride so."), plain(words)]);
    }
    stands_lines(page, stands);
}

/// The same without the title.
pub fn stands_lines(page: &mut Page, stands: &[SaidStill]) {
    for still in stands {
        said_line(page, &still.said);
        was(page, still);
    }
}

/// What is said still, as bad and in other words.
pub fn otherwise(page: &mut Page, otherwise: &[SaidStill]) {
    if otherwise.is_empty() {
        return;
    }
    page.title("Still to say, with other figures");
    for still in otherwise {
        said_line(page, &still.said);
        was(page, still);
    }
}

fn was(page: &mut Page, still: &SaidStill) {
    if let Some(was) = &still.was {
        page.paragraph(4, 4, &[piece(Label::Quiet, format!("So far: {was}"))]);
    }
}
