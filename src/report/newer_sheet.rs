//! That somebody found the bike otherwise since its setup was read, in one line wherever the setup is told of.

use crate::setup::checked::NewerSheet;

use super::screen::{Label, Piece, piece, plain};

/// The line.
pub fn line(newer: &NewerSheet) -> [Piece; 2] {
    let (label, forbids) =
        if newer.not_to_ride { (Label::Danger, ", and nobody is to ride by it") } else { (Label::Care, "") };
    let words =
        format!("A newer sheet of this setup, {} of {}, is not written in{forbids}:", newer.sheet, newer.day);
    [piece(label, words), plain(format!(" {}", newer.command))]
}
