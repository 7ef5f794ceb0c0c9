//! Reading on after a mistake: report it, paint it over at the same length, read the copy again.
//!
//! What each mistake means and how it is painted is in `mend_text` (characters, quotes, numbers) and
//! `mend_shape` (brackets, blocks, `=`). Painting never changes the length, so every place stays true.

use std::ops::Range;

use just_kdl::reader::ReaderError;

use super::tree::{Grown, Reading, Trouble, grow};
use super::{DEEPEST_NESTING, Document, MOST_FAULTS, SyntaxFault, SyntaxFaultKind, Text, Value, scan};
use crate::setup::span::Span;

/// A copy of the text in the course of being painted.
pub(super) struct Mender<'text> {
    /// The text as the person wrote it.
    pub original: &'text str,
    /// The same with the mistakes so far painted over.
    pub text: String,
    /// The mistakes so far.
    pub faults: Vec<SyntaxFault>,
    /// What to read in place of paint.
    pub readings: Vec<Reading>,
    /// Closing brackets to come that lost their opening one to paint.
    pub forgiven: usize,
    /// True once the rest of the text was painted over, with the closing brackets in it.
    pub cut_short: bool,
}

/// Goes on from the first trouble in `grown` until the text is read or there are too many faults.
pub(super) fn read_on(
    original: &str,
    text: String,
    mut grown: Grown,
    faults: Vec<SyntaxFault>,
) -> (Document, Vec<SyntaxFault>) {
    let mut mender = Mender { original, text, faults, readings: Vec::new(), forgiven: 0, cut_short: false };
    // Some repairs are silent; the bound holds for them too.
    for _ in 0..3 * MOST_FAULTS {
        let Some(trouble) = grown.trouble.take() else { break };
        let painted = match trouble {
            Trouble::TooDeep(span) => mender.too_deep(span),
            Trouble::Reader(error, range) => mender.mend(&error, range, &grown),
        };
        if !painted || mender.faults.len() >= MOST_FAULTS {
            break;
        }
        mender.plain_spaces();
        grown = grow(&mender.text, original, &mender.readings, &mender.faults);
    }
    if grown.trouble.is_some() && mender.faults.len() < MOST_FAULTS {
        let message = "The rest of this file could not be read.";
        mender.other(original.len()..original.len(), message, "Put a space before every comment.");
    }
    mender.faults.sort_by_key(|fault| fault.span);
    (grown.into_document(), mender.faults)
}

impl Mender<'_> {
    fn too_deep(&mut self, span: Span) -> bool {
        let message = format!("This is more than {DEEPEST_NESTING} blocks inside one another.");
        let help = "Check for closing brackets that are missing further up.";
        self.fault(SyntaxFaultKind::TooDeep, span.range(), message, help);
        false
    }

    /// Reports and paints over one mistake; false if there is nothing left to read.
    fn mend(&mut self, error: &ReaderError, range: Range<usize>, grown: &Grown) -> bool {
        let start = self.text.floor_char_boundary(range.start);
        let end = self.text.ceil_char_boundary(range.end.max(start));
        let before = self.text.clone();
        let go_on = match error {
            ReaderError::Lexer(error) => self.mend_text(error, start, end),
            _ => self.mend_shape(error, start, end, grown),
        };
        if go_on && self.text == before {
            // Without progress the same error would come again: paint its first character.
            let from = start.min(self.text.len());
            let to = self.text.ceil_char_boundary(from + 1);
            self.blank(from..to);
            return self.text != before;
        }
        go_on
    }

    /// Paint can bring a space of several bytes to the start of a line, where a `"""` text makes just-kdl 0.3.0
    /// panic; in a text with faults all of them become ordinary ones.
    fn plain_spaces(&mut self) {
        if self.faults.is_empty() || self.text.is_ascii() || !self.text.contains("\"\"\"") {
            return;
        }
        let wide = |(_, c): &(usize, char)| scan::is_space(*c) && !c.is_ascii();
        let found: Vec<(usize, char)> = self.text.char_indices().filter(wide).collect();
        for (at, space) in found {
            self.blank(at..at + space.len_utf8());
        }
    }

    /// Adds a fault; its span is widened to whole characters.
    pub fn fault(
        &mut self,
        kind: SyntaxFaultKind,
        range: Range<usize>,
        message: impl Into<String>,
        help: impl Into<String>,
    ) {
        let start = self.original.floor_char_boundary(range.start);
        let end = self.original.ceil_char_boundary(range.end.max(start));
        let span = Span::new(start, end);
        self.faults.push(SyntaxFault { kind, span, message: message.into(), help: help.into() });
    }

    /// Adds a fault of no particular sort.
    pub fn other(&mut self, range: Range<usize>, message: impl Into<String>, help: impl Into<String>) {
        self.fault(SyntaxFaultKind::Other, range, message, help);
    }

    /// Paints `range` with spaces.
    pub fn blank(&mut self, range: Range<usize>) {
        let start = self.text.floor_char_boundary(range.start);
        let end = self.text.ceil_char_boundary(range.end.max(start));
        self.text.replace_range(start..end, &" ".repeat(end - start));
    }

    /// Puts one plain character at `at` in place of a character of one byte.
    pub fn put(&mut self, at: usize, plain: &str) {
        if self.text.is_char_boundary(at) && self.text.is_char_boundary(at + 1) && at < self.text.len() {
            self.text.replace_range(at..=at, plain);
        }
    }

    /// Paints `range` as a word and has `value` read there; as spaces where a word cannot begin.
    pub fn paint_word(&mut self, range: Range<usize>, value: Option<Value>) {
        let start = self.text.floor_char_boundary(range.start);
        let end = self.text.ceil_char_boundary(range.end.max(start));
        let can_begin =
            |c: char| scan::is_space(c) || scan::is_line(c) || matches!(c, '=' | ')' | '(' | '{' | '}' | ';');
        if self.text[..start].chars().next_back().is_none_or(can_begin) {
            self.text.replace_range(start..end, &"_".repeat(end - start));
            self.read_at(start, None, value);
        } else {
            self.blank(start..end);
        }
    }

    /// Has `value` and `annotation` read at the value that starts at `at`.
    pub fn read_at(&mut self, at: usize, annotation: Option<Text>, value: Option<Value>) {
        self.readings.push(Reading { at: Span::new(at, at).start, annotation, value });
    }

    /// From `start` to the end of its line, but for brackets there that the rest of the text needs.
    pub fn rest_of_line(&self, start: usize) -> Range<usize> {
        let end = scan::line_end(&self.text, start);
        let rest = self.text[start..end].trim_end();
        if let Some(head) = rest.strip_suffix('{') {
            return start..start + head.trim_end().len().max(1);
        }
        let line = &self.text[scan::line_start(&self.text, start)..start];
        let count = |bracket: char| line.matches(bracket).count();
        let mut open = count('{').saturating_sub(count('}'));
        let mut kept = rest;
        while open > 0 {
            let Some(head) = kept.trim_end_matches([' ', '\t', ';']).strip_suffix('}') else { break };
            kept = head;
            open -= 1;
        }
        start..start + kept.trim_end().len().max(1)
    }

    /// Paints everything from `start` on; what is missing after it is no mistake of its own.
    pub fn cut(&mut self, start: usize) {
        self.blank(start..self.text.len());
        self.cut_short = true;
    }
}
