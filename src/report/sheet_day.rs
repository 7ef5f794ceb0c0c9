//! What is wrong with the day of a sheet, the same wherever that is told.

use crate::check::dates::SheetDay;

use super::screen::{Label, Page, piece};

/// One sentence, if anything is wrong with it.
pub fn said(page: &mut Page, day: Option<&SheetDay>) {
    if let Some(day) = day {
        page.blank();
        page.paragraph(0, 2, &[piece(Label::Care, day.words.clone())]);
    }
}
