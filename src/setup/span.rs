//! Places in a text: byte spans, and the line and column a person reads.
//!
//! Refuses to know what stands at a place.

/// A stretch of text in byte offsets from the start of the file, a byte order mark included.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Span {
    /// Offset of the first byte.
    pub start: u32,
    /// Offset just after the last byte.
    pub end: u32,
}

impl Span {
    /// A span from byte offsets; an offset beyond `u32` is held at its end, an inverted span becomes empty.
    pub fn new(start: usize, end: usize) -> Self {
        let start = u32::try_from(start).unwrap_or(u32::MAX);
        let end = u32::try_from(end).unwrap_or(u32::MAX);
        Self { start, end: end.max(start) }
    }

    /// The stretch of `text` this span covers; empty if the span does not fit the text.
    pub fn text(self, text: &str) -> &str {
        text.get(self.range()).unwrap_or_default()
    }

    /// The same offsets as an index range.
    pub fn range(self) -> std::ops::Range<usize> {
        self.start as usize..self.end as usize
    }

    /// The same stretch where the text before it grew by so many bytes, or shrank.
    #[must_use]
    pub fn moved(self, shift: i32) -> Self {
        Self { start: self.start.saturating_add_signed(shift), end: self.end.saturating_add_signed(shift) }
    }

    /// True if the two spans share a byte or touch.
    pub fn touches(self, other: Self) -> bool {
        self.start <= other.end && other.start <= self.end
    }
}

const BYTE_ORDER_MARK: char = '\u{feff}';

/// Finds the line and column of a byte offset.
///
/// A line ends at LF, CRLF or a lone CR, as editors count; a byte order mark takes no column.
#[derive(Debug, Clone)]
pub struct LineIndex<'text> {
    text: &'text str,
    starts: Vec<u32>,
}

impl<'text> LineIndex<'text> {
    /// Reads the text once and remembers where its lines start.
    pub fn new(text: &'text str) -> Self {
        let first = if text.starts_with(BYTE_ORDER_MARK) { BYTE_ORDER_MARK.len_utf8() } else { 0 };
        let bytes = text.as_bytes();
        let mut starts = vec![Span::new(first, first).start];
        for (offset, byte) in bytes.iter().enumerate() {
            let ends = *byte == b'\n' || (*byte == b'\r' && bytes.get(offset + 1) != Some(&b'\n'));
            if ends {
                starts.push(Span::new(offset + 1, offset + 1).start);
            }
        }
        Self { text, starts }
    }

    /// Line and column of a byte offset, both counted from 1, the column in characters.
    ///
    /// An offset past the end gives the place just after the last character.
    pub fn line_column(&self, offset: u32) -> (usize, usize) {
        let offset = self.text.floor_char_boundary(offset as usize);
        let line = self.starts.partition_point(|start| *start as usize <= offset).max(1);
        let start = self.starts[line - 1] as usize;
        let column = self.text.get(start..offset).map_or(0, |before| before.chars().count());
        (line, column + 1)
    }

    /// The text of a line counted from 1, without its line ending; empty if there is no such line.
    pub fn line_text(&self, line: usize) -> &'text str {
        let Some(start) = line.checked_sub(1).and_then(|index| self.starts.get(index)) else { return "" };
        let end = self.starts.get(line).map_or(self.text.len(), |next| *next as usize);
        self.text.get(*start as usize..end).unwrap_or_default().trim_end_matches(['\r', '\n'])
    }

    /// How many lines the text has; an empty text has one.
    pub fn lines(&self) -> usize {
        self.starts.len()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Offsets and columns below are counted by hand.

    #[test]
    fn lines_end_at_lf_crlf_and_cr() {
        // a=0 LF=1 b=2 CR=3 LF=4 c=5 CR=6 d=7
        let index = LineIndex::new("a\nb\r\nc\rd");
        assert_eq!(index.lines(), 4);
        assert_eq!(index.line_column(0), (1, 1));
        assert_eq!(index.line_column(2), (2, 1));
        assert_eq!(index.line_column(5), (3, 1));
        assert_eq!(index.line_column(7), (4, 1));
        assert_eq!(index.line_column(99), (4, 2));
        assert_eq!(index.line_text(2), "b");
        assert_eq!(index.line_text(5), "");
    }

    #[test]
    fn a_column_is_a_character_and_the_byte_order_mark_is_none() {
        // BOM 0..3, ° 3..5, x 5
        let index = LineIndex::new("\u{feff}°x");
        assert_eq!(index.line_column(3), (1, 1));
        assert_eq!(index.line_column(5), (1, 2));
        assert_eq!(index.line_column(0), (1, 1));
        assert_eq!(index.line_text(1), "°x");
    }

    #[test]
    fn a_span_that_does_not_fit_is_empty_text() {
        assert_eq!(Span::new(0, 1).text("°"), "");
        assert_eq!(Span::new(1, 3).text("abcd"), "bc");
        assert_eq!(Span::new(4, 2), Span { start: 4, end: 4 });
    }
}
