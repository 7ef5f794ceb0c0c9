//! That a sheet's angles against gravity hang on a slope of the ground that nobody read, the same wherever it is told.

use crate::compare::floor_not_read_words;

use super::screen::{Label, Page, piece};

/// One paragraph, if there are such angles.
pub fn said(page: &mut Page, titles: &[String]) {
    if let Some(words) = floor_not_read_words(titles) {
        page.blank();
        page.paragraph(0, 2, &[piece(Label::Care, words)]);
    }
}

/// The same on a page whose paragraphs are set in.
pub fn said_inside(page: &mut Page, titles: &[String]) {
    if let Some(words) = floor_not_read_words(titles) {
        page.blank();
        page.paragraph(2, 4, &[piece(Label::Care, words)]);
    }
}
