//! That angles against gravity hang on a slope of the ground that nobody read, the same wherever it is told.

use crate::compare::{UnreadGround, unread_ground_words};

use super::screen::{Label, Page, piece};

/// One paragraph, if there are such angles, on a page whose paragraphs are set in.
pub fn said_inside(page: &mut Page, titles: &[String]) {
    one_paragraph(page, 2, unread_ground_words(titles));
}

/// The same of a comparison; `through_time` of a setup with what became of it.
pub fn said_between(page: &mut Page, unread: &UnreadGround, through_time: bool) {
    one_paragraph(page, 0, unread.words(through_time));
}

fn one_paragraph(page: &mut Page, indent: usize, words: Option<String>) {
    if let Some(words) = words {
        page.blank();
        page.paragraph(indent, indent + 2, &[piece(Label::Care, words)]);
    }
}
