//! The page of `record`: what was written, and the command that makes a revision of it.

use crate::catalogue::Weight;
use crate::restore::record::Recording;

use super::screen::{Align, Label, Page, piece, plain};

/// Writes the page.
pub fn page(page: &mut Page, recording: &Recording) {
    let what = if recording.has_written() {
        "  recorded from the sheet"
    } else {
        ": nothing to record. What the sheet reads is what the setup says."
    };
    page.paragraph(0, 2, &[piece(Label::Title, recording.setup.clone()), plain(what)]);
    warnings(page, recording);
    if !recording.has_written() {
        return;
    }
    let rows: Vec<_> = recording
        .changes
        .iter()
        .map(|change| {
            let was = change.was.as_deref().map_or("new".to_owned(), |was| format!("was {was}"));
            vec![
                plain(change.title.clone()),
                piece(Label::Number, change.now.clone()),
                piece(Label::Quiet, was),
            ]
        })
        .collect();
    page.table(2, &[Align::Left, Align::Right, Align::Left], &rows);
    if !recording.marks.is_empty() {
        let words = format!(
            "Drawn anew in the file: mark {}. Draw the lines on the bike, too.",
            recording.marks.join(", ")
        );
        page.paragraph(2, 4, &[piece(Label::Care, words)]);
    }
    if !recording.stale.is_empty() {
        let words = format!(
            "No longer evidence: mark {}. Draw it again on the bike, then record with --mark.",
            recording.stale.join(", ")
        );
        page.paragraph(2, 4, &[piece(Label::Care, words)]);
    }
    if let Some(revision) = &recording.revision {
        page.paragraph(0, 2, &[plain(format!("Committed as {revision}."))]);
    } else if let Some(command) = &recording.command {
        page.blank();
        page.paragraph(0, 2, &[plain("To keep it as a revision:")]);
        page.raw(vec![plain("  "), piece(Label::Command, command.clone())]);
    }
}

/// Damage and broken marks, before anything else.
fn warnings(page: &mut Page, recording: &Recording) {
    if let Some(headline) = &recording.headline {
        page.blank();
        page.paragraph(0, 2, &[piece(Label::Danger, headline.clone())]);
    }
    for damage in &recording.damages {
        let place = match damage.noted_at.as_str() {
            "" => "at the top of the file".to_owned(),
            path => format!("in `{path}`"),
        };
        let words = format!(
            "{} A note {place} keeps it; restore stops there until the note is taken out.",
            damage.help
        );
        page.paragraph(2, 2, &[plain(words)]);
    }
    for mark in &recording.lost {
        let dangerous = mark.is_open() && mark.weight == Weight::SteeringAndBrakes;
        let label = if dangerous { Label::Danger } else { Label::Care };
        page.blank();
        page.paragraph(0, 2, &[piece(label, mark.words.clone())]);
    }
    if !(recording.damages.is_empty() && recording.lost.is_empty()) {
        page.blank();
    }
}
