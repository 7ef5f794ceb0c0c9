//! That somebody found the bike otherwise since its setup was read, wherever the setup is told of.

use crate::setup::checked::NewerSheet;

use super::screen::{Label, Page, piece, plain};

/// One line, and the command that tells more, which does not break.
pub fn said(page: &mut Page, indent: usize, newer: &NewerSheet) {
    let (label, forbids) =
        if newer.not_to_ride { (Label::Danger, ", and says not to ride") } else { (Label::Care, "") };
    let sheet = match newer.day {
        Some(day) => format!("A newer sheet of this setup, {} of {day},", newer.sheet),
        None => format!("A sheet of this setup, {} of no day,", newer.sheet),
    };
    let words = format!("{sheet} is not written in{forbids}:");
    page.paragraph(indent, indent + 2, &[piece(label, words)]);
    page.raw(vec![plain(" ".repeat(indent + 2)), piece(Label::Command, newer.command.clone())]);
}
