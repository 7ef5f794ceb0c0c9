//! That angles on a bar tell nothing of their clamps, for nobody read its roll: the same wherever it is told.

use crate::compare::UnknownRoll;

use super::screen::{Label, Page, piece};

/// One paragraph, if it is so.
pub fn said(page: &mut Page, roll: Option<&UnknownRoll>) {
    if let Some(roll) = roll {
        page.blank();
        page.paragraph(0, 2, &[piece(Label::Care, roll.words.clone())]);
    }
}
