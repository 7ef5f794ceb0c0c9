//! A page for the terminal: labelled pieces of text, wrapped to a width; colour only repeats what words say.
//!
//! Knows widths and labels, and nothing of setups. What a label looks like is decided in one place, [`paint`].

use std::borrow::Cow;

use owo_colors::{OwoColorize, Style};
use unicode_width::UnicodeWidthStr;

use crate::metrology::unit::Unit;

/// A space at which no line is broken: between a number and its unit.
pub const HELD_SPACE: char = '\u{a0}';

/// What a piece of text is, never what it looks like.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Label {
    /// Ordinary words.
    Plain,
    /// The name of a section or a setup.
    Title,
    /// A number with its unit.
    Number,
    /// Words of less weight.
    Quiet,
    /// Something unsafe, impossible or contradictory, or something that moved on steering and brakes.
    Danger,
    /// Something worth stopping for.
    Care,
    /// A command a person can type.
    Command,
}

/// A labelled piece of text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Piece {
    label: Label,
    text: String,
}

/// A piece of text with a label.
///
/// Text may come from a file that somebody else wrote: what would steer the terminal is shown as a sign instead.
pub fn piece(label: Label, text: impl Into<String>) -> Piece {
    let mut text = text.into();
    if text.contains(|letter: char| letter.is_control() && letter != '\n') {
        text = text.chars().map(harmless).collect();
    }
    Piece { label, text }
}

fn harmless(letter: char) -> char {
    match letter {
        '\n' => '\n',
        '\t' => ' ',
        letter if letter.is_control() => '\u{fffd}',
        letter => letter,
    }
}

/// Ordinary words.
pub fn plain(text: impl Into<String>) -> Piece {
    piece(Label::Plain, text)
}

/// Which edge a column keeps to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Align {
    /// Left.
    Left,
    /// Right: numbers.
    Right,
}

/// A page being written.
#[derive(Clone, Debug)]
pub struct Page {
    width: usize,
    lines: Vec<Vec<Piece>>,
}

impl Page {
    /// An empty page of that many columns (at least 40).
    pub fn new(width: usize) -> Page {
        Page { width: width.max(40), lines: Vec::new() }
    }

    /// An empty page as wide as this one.
    #[must_use]
    pub fn of_this_width(&self) -> Page {
        Page { width: self.width, lines: Vec::new() }
    }

    /// The lines of another page below those of this one.
    pub fn append(&mut self, mut other: Page) {
        self.lines.append(&mut other.lines);
    }

    /// The columns it has.
    pub fn width(&self) -> usize {
        self.width
    }

    /// Whether anything has been written.
    pub fn is_empty(&self) -> bool {
        self.lines.is_empty()
    }

    /// An empty line, unless the page is empty or already ends in one.
    pub fn blank(&mut self) {
        if self.lines.last().is_some_and(|line| !line.is_empty()) {
            self.lines.push(Vec::new());
        }
    }

    /// A section's title, with an empty line before it.
    pub fn title(&mut self, text: impl Into<String>) {
        self.blank();
        self.lines.push(vec![piece(Label::Title, text)]);
    }

    /// A line taken as it is, neither wrapped nor cut.
    pub fn raw(&mut self, pieces: Vec<Piece>) {
        self.lines.push(pieces);
    }

    /// Words wrapped to the page; the first line begins at `indent`, the others at `hang`.
    pub fn paragraph(&mut self, indent: usize, hang: usize, pieces: &[Piece]) {
        let mut line = vec![plain(" ".repeat(indent))];
        let mut column = indent;
        let words = words(pieces);
        // What is glued together, a number and its unit or its full stop, is wrapped as one.
        for (index, run) in words.chunk_by(|_, next| !next.2).enumerate() {
            let wide: usize = run.iter().map(|(_, word, _)| columns_of(word)).sum();
            if index > 0 && column + 1 + wide > self.width {
                self.push(std::mem::replace(&mut line, vec![plain(" ".repeat(hang))]));
                column = hang;
            } else if index > 0 {
                line.push(plain(" "));
                column += 1;
            }
            // These words are of pieces, and so harmless.
            line.extend(
                run.iter().map(|(label, word, _)| Piece { label: *label, text: (**word).to_owned() }),
            );
            column += wide;
        }
        self.push(line);
    }

    /// Rows in columns two spaces apart, each cell on one line; only the last column may wrap, under itself. A row of one
    /// cell stands across the columns.
    pub fn table(&mut self, indent: usize, aligns: &[Align], rows: &[Vec<Piece>]) {
        let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
        let mut widths = vec![0; columns];
        let is_measured = |row: &&Vec<Piece>| row.len() > 1 || columns == 1;
        for row in rows.iter().filter(is_measured) {
            for (width, cell) in widths.iter_mut().zip(row) {
                *width = (*width).max(columns_of(&cell.text));
            }
        }
        let before_last: usize =
            indent + widths.iter().take(columns.saturating_sub(1)).map(|width| width + 2).sum::<usize>();
        for row in rows {
            if !is_measured(&row) {
                if indent + row.iter().map(|cell| cell.text.width()).sum::<usize>() > self.width {
                    self.paragraph(indent, indent + 4, row);
                } else {
                    let across = [plain(" ".repeat(indent))].into_iter().chain(row.iter().cloned());
                    self.push(across.collect());
                }
                continue;
            }
            self.row(indent, aligns, &widths, before_last, row);
        }
    }

    fn row(&mut self, indent: usize, aligns: &[Align], widths: &[usize], before_last: usize, row: &[Piece]) {
        let mut line = vec![plain(" ".repeat(indent))];
        let mut column = indent;
        for (index, cell) in row.iter().enumerate() {
            if index > 0 && index + 1 < widths.len() && column + columns_of(&cell.text) > self.width {
                // Not even what stands before the last column has room.
                self.push(line);
                let mut rest: Vec<Piece> = Vec::new();
                for cell in row[index..].iter().filter(|cell| !cell.text.is_empty()) {
                    rest.extend((!rest.is_empty()).then(|| plain(": ")));
                    rest.push(cell.clone());
                }
                return self.paragraph(indent + 4, indent + 4, &rest);
            }
            let last = index + 1 == widths.len();
            let align = aligns.get(index).copied().unwrap_or(Align::Left);
            let room = self.width.saturating_sub(before_last);
            if last && align == Align::Left && columns_of(&cell.text) > room && room >= 16 {
                return self.wrapped_last(line, before_last, cell);
            }
            if last && index > 0 && columns_of(&cell.text) > room {
                // No room beside the others: it goes below them.
                self.push(line);
                return self.paragraph(indent + 4, indent + 4, std::slice::from_ref(cell));
            }
            let pad = widths[index].saturating_sub(columns_of(&cell.text));
            column += widths[index] + 2;
            if align == Align::Right {
                line.push(plain(" ".repeat(pad)));
            }
            line.push(cell.clone());
            if index + 1 < row.len() {
                let after = if align == Align::Left { pad } else { 0 };
                line.push(plain(" ".repeat(after + 2)));
            }
        }
        self.push(line);
    }

    fn wrapped_last(&mut self, mut line: Vec<Piece>, before_last: usize, cell: &Piece) {
        let mut inner = Page { width: self.width - before_last, lines: Vec::new() };
        inner.paragraph(0, 0, std::slice::from_ref(cell));
        for wrapped in inner.lines {
            line.extend(wrapped);
            self.push(std::mem::replace(&mut line, vec![plain(" ".repeat(before_last))]));
        }
    }

    /// A line without the spaces that would trail behind it.
    fn push(&mut self, mut line: Vec<Piece>) {
        while line.last().is_some_and(|last| last.text.trim().is_empty()) {
            line.pop();
        }
        self.lines.push(line);
    }

    /// Whether rows in such columns have room beside one another.
    pub fn has_room(&self, rows: &[Vec<Piece>]) -> bool {
        let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
        let wide =
            |column: usize| rows.iter().filter(|row| row.len() > 1).filter_map(move |row| row.get(column));
        let widest = |column: usize| wide(column).map(|cell| cell.text.width()).max().unwrap_or(0);
        (0..columns).map(|column| widest(column) + 2).sum::<usize>() <= self.width + 2
    }

    /// The page as text; with colour only if asked.
    pub fn render(&self, colour: bool) -> String {
        let mut text = String::new();
        for line in &self.lines {
            for piece in line {
                if colour { text.push_str(&paint(piece)) } else { text.push_str(&piece.text) }
            }
            text.push('\n');
        }
        text.replace(HELD_SPACE, " ")
    }
}

/// The words of the pieces, each with its label and whether a space stands before it: a full stop behind a number
/// stays with the number, and so do its unit and its ±.
fn words(pieces: &[Piece]) -> Vec<(Label, Cow<'_, str>, bool)> {
    let mut found: Vec<(Label, Cow<str>, bool)> = Vec::new();
    let mut spaced = false;
    for piece in pieces {
        for (index, word) in piece.text.split([' ', '\n']).enumerate() {
            spaced |= index > 0;
            if word.is_empty() {
                continue;
            }
            let held = spaced && found.last().is_some_and(|(_, before, _)| belong_together(before, word));
            let word = if held { format!("{HELD_SPACE}{word}").into() } else { word.into() };
            found.push((piece.label, word, spaced && !held));
            spaced = false;
        }
    }
    found
}

/// A number and its unit, a number and its uncertainty.
fn belong_together(before: &str, word: &str) -> bool {
    let bare = word.trim_end_matches(|letter: char| letter.is_ascii_punctuation());
    let after_number = before.ends_with(|letter: char| letter.is_ascii_digit());
    let is_unit = || Unit::ALL.iter().any(|unit| unit.sign().trim() == bare && !bare.is_empty());
    before.ends_with('±') || (after_number && (word == "±" || is_unit()))
}

/// The one place that decides what a label looks like: dim-light colours, never the only bearer of a meaning.
fn paint(piece: &Piece) -> String {
    let style = match piece.label {
        Label::Plain => return piece.text.clone(),
        // No white: on a white terminal it would vanish.
        Label::Title | Label::Number => Style::new().bold(),
        Label::Quiet => Style::new().dimmed(),
        Label::Danger => Style::new().bold().bright_magenta(),
        Label::Care => Style::new().yellow(),
        Label::Command => Style::new().cyan(),
    };
    piece.text.style(style).to_string()
}

/// How many columns a text takes on a screen. Most is plain letters, of which each takes one.
fn columns_of(text: &str) -> usize {
    let is_plain = text.bytes().all(|byte| (b' '..=b'~').contains(&byte));
    if is_plain { text.len() } else { text.width() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_keeps_its_unit_and_its_full_stop_on_its_line() {
        let mut page = Page::new(40);
        // The 40th column falls inside "20.0 mm.": the whole of it goes to the next line.
        page.paragraph(
            0,
            2,
            &[plain("the spacers below the stem now measure"), piece(Label::Number, " 20.0 mm"), plain(".")],
        );
        assert_eq!(page.render(false), "the spacers below the stem now measure\n  20.0 mm.\n");
    }

    #[test]
    fn colour_repeats_what_the_words_say_and_adds_none() {
        let mut page = Page::new(60);
        page.paragraph(0, 0, &[piece(Label::Danger, "Do not ride"), plain(": stem turned.")]);
        let bare = page.render(false);
        let painted = page.render(true);
        let mut stripped = String::new();
        let mut inside = false;
        for letter in painted.chars() {
            match letter {
                '\u{1b}' => inside = true,
                'm' if inside => inside = false,
                _ if inside => {}
                _ => stripped.push(letter),
            }
        }
        assert_eq!(bare, "Do not ride: stem turned.\n");
        assert_eq!(stripped, bare);
        assert_ne!(painted, bare);
    }

    /// SGR 1 is bold (ECMA-48 8.3.117); 37 and 97 would be white, 30 and 90 black.
    #[test]
    fn a_number_has_the_terminals_own_colour() {
        let mut page = Page::new(40);
        page.paragraph(0, 0, &[piece(Label::Number, "5")]);
        assert_eq!(page.render(true), "\u{1b}[1m5\u{1b}[0m\n");
    }

    #[test]
    fn columns_too_wide_for_the_page_go_below_one_another() {
        let mut page = Page::new(40);
        let cells = ["twelve and a half millimetres", "left lever place", "150 to 162"].map(plain);
        page.table(2, &[Align::Left, Align::Left, Align::Left], &[cells.to_vec()]);
        let expected = "  twelve and a half millimetres\n      left lever place: 150 to 162\n";
        assert_eq!(page.render(false), expected);
    }

    #[test]
    fn no_text_steers_the_terminal() {
        let mut page = Page::new(40);
        page.paragraph(0, 0, &[plain("a\u{1b}[31mb\tc\u{9b}d")]);
        assert_eq!(page.render(false), "a\u{fffd}[31mb c\u{fffd}d\n");
    }

    #[test]
    fn the_last_column_wraps_under_itself() {
        let mut page = Page::new(40);
        page.table(
            2,
            &[Align::Left, Align::Left],
            &[vec![plain("stem"), plain("one two three four five six seven")]],
        );
        assert_eq!(page.render(false), "  stem  one two three four five six\n        seven\n");
    }
}
