//! Mistakes in characters, quoted text, comments, numbers and reserved words.
//!
//! Refuses to know blocks and nodes.

use just_kdl::lexer::LexerError;

use super::mend::Mender;
use super::{SyntaxFaultKind, Value, glued, scan};

const QUOTE_HELP: &str =
    "Add the closing \" where the text ends, or open and close text of several lines with \"\"\".";

impl Mender<'_> {
    /// `start..end`: the part being read when the error was met.
    pub fn mend_text(&mut self, error: &LexerError, start: usize, end: usize) -> bool {
        match error {
            LexerError::InvalidNumber => self.number(start),
            LexerError::UnexpectedKeyword => self.reserved(start),
            LexerError::InvalidCharacter(at) => self.character(*at),
            LexerError::UnexpectedEof(_) => return self.unclosed(start),
            LexerError::BadEscline(at) => self.backslash(*at),
            LexerError::InvalidEscape(at) | LexerError::BadUnicodeEscape(at) => self.escape(*at),
            LexerError::MissingText if self.text[start..].starts_with('#') => self.hash(start),
            // Only `\u` without its bracket is left, and the reader stands just after it.
            LexerError::MissingText => self.escape(end.saturating_sub(2)),
            LexerError::UnexpectedStringNewline(_) => self.open_quote(start),
            LexerError::BadRawString => self.hash(start),
            LexerError::MissingStringNewline => return self.triple_on_one_line(start),
            LexerError::BadEndString(at) => self.bad_closing(start, *at),
            LexerError::BadIndent(at) => self.bad_indent(start, end, *at),
            LexerError::InvalidOperator => self.operator(start),
            _ => self.other(start..end, "This cannot be read.", "Put it in quotes if it is text."),
        }
        true
    }

    fn number(&mut self, start: usize) {
        let end = scan::find(&self.text, start, scan::ends_word);
        let word = self.text[start..end].to_owned();
        let after = &self.text[end..];
        if let Ok(number) = word.parse().map(Value::Number)
            && (after.starts_with("//") || after.starts_with("/*"))
        {
            // Legal, but just-kdl 0.3.0 refuses a comment that touches a number.
            self.put(start, "_");
            return self.read_at(start, None, Some(number));
        }
        if after.starts_with('/') {
            return self.operator(end);
        }
        if self.lost_opening_quote(start, end) {
            return;
        }
        let glued = glued::explain(&word);
        self.fault(glued.kind, start..end, glued.message, glued.help);
        // An underscore in front makes a word of it, fit for a name as well as a value.
        self.put(start, "_");
        self.read_at(start, glued.annotation, Some(glued.value));
    }

    /// True if `start..end` is text that lost its opening quote and still has the closing one, which is then
    /// reported.
    fn lost_opening_quote(&mut self, start: usize, end: usize) -> bool {
        if !self.text[end..].starts_with('"') || self.quotes_on_line(end).is_multiple_of(2) {
            return false;
        }
        let word = self.text[start..end].to_owned();
        let help = format!("Put a \" before it as well: \"{word}\".");
        self.fault(SyntaxFaultKind::Unclosed, start..end + 1, "This text has a closing quote only.", help);
        self.paint_word(start..end + 1, Some(Value::Text(word.into())));
        true
    }

    /// How many quotes stand on the line of `at`, but for those written as \".
    pub fn quotes_on_line(&self, at: usize) -> usize {
        let line = scan::line_start(&self.text, at)..scan::line_end(&self.text, at);
        self.text[line].replace("\\\"", "").matches('"').count()
    }

    fn reserved(&mut self, start: usize) {
        let end = scan::find(&self.text, start, scan::ends_word);
        let word = self.text[start..end].to_owned();
        let value = match word.as_str() {
            "true" => Value::Flag(true),
            "false" => Value::Flag(false),
            "null" => Value::Null,
            "inf" => Value::Number(f64::INFINITY),
            "-inf" => Value::Number(f64::NEG_INFINITY),
            _ => Value::Number(f64::NAN),
        };
        let message = format!("The word {word} stands bare, which is reserved.");
        let help = format!("Write #{word}, or \"{word}\" if it is text.");
        self.other(start..end, message, help);
        self.put(start, "_");
        self.read_at(start, None, Some(value));
    }

    fn character(&mut self, at: usize) {
        let at = self.text.floor_char_boundary(at);
        let Some(found) = self.text[at..].chars().next() else { return };
        let end = at + found.len_utf8();
        let message = format!("An invisible character (U+{:04X}) stands here.", u32::from(found));
        self.other(at..end, message, "Delete it.");
        self.blank(at..end);
    }

    /// Quoted text or a comment that runs to the end of the file.
    fn unclosed(&mut self, start: usize) -> bool {
        let opened = self.skip_comments(start);
        let rest = &self.text[opened..];
        if rest.starts_with("/*") {
            let help = "Add */ where the comment ends.";
            let message = match rest.lines().skip(1).filter(|line| !line.trim().is_empty()).count() {
                0 => "This comment is never closed: what stands behind it is not read.".to_owned(),
                1 => "This comment is never closed: the line below it is not read either.".to_owned(),
                many => format!("This comment is never closed: none of the {many} lines below it is read."),
            };
            self.fault(SyntaxFaultKind::Unclosed, opened..opened + 2, message, help);
            self.cut(opened);
        } else if rest.trim_start_matches('#').starts_with("\"\"\"") {
            let quotes = rest.len() - rest.trim_start_matches('#').len() + 3;
            let help = "Add \"\"\" on a line of its own where the text ends.";
            let message = "The text that opens here is never closed.";
            self.fault(SyntaxFaultKind::Unclosed, opened..opened + quotes, message, help);
            self.cut(opened);
        } else if rest.trim_start_matches('#').starts_with('"') {
            self.open_quote(opened);
        } else {
            self.hash(opened);
        }
        true
    }

    /// From `at` past spaces, lines and closed comments.
    fn skip_comments(&self, mut at: usize) -> usize {
        loop {
            at = scan::find(&self.text, at, |c| !scan::is_space(c) && !scan::is_line(c) && c != '\\');
            let rest = &self.text[at..];
            if rest.starts_with("//") {
                at = scan::line_end(&self.text, at);
            } else if rest.starts_with("/*") {
                let Some(end) = scan::block_comment_end(&self.text, at) else { return at };
                at = end;
            } else {
                return at;
            }
        }
    }

    /// Quoted text without its closing quote on the line.
    pub fn open_quote(&mut self, start: usize) {
        if self.inch_mark(start) {
            return;
        }
        let rest = &self.text[start..];
        let quotes = rest.len() - rest.trim_start_matches('#').len() + 1;
        let message = "The text that opens here has no closing quote on its line.";
        self.fault(SyntaxFaultKind::Unclosed, start..start + quotes, message, QUOTE_HELP);
        let painted = self.rest_of_line(start);
        let text = self.text[painted.clone()].trim_start_matches(['#', '"']).to_owned();
        self.paint_word(painted, Some(Value::Text(text.into())));
    }

    /// True if the quote at `at` is an inch mark after a number, which is then reported.
    pub fn inch_mark(&mut self, at: usize) -> bool {
        let from = self.text[..at]
            .rfind(|c: char| !c.is_ascii_digit() && c != '.')
            .map_or(0, |before| before + self.text[before..].chars().next().map_or(0, char::len_utf8));
        let number = self.text[from..at].to_owned();
        let bounded = self.text[..from]
            .chars()
            .next_back()
            .is_none_or(|c| scan::is_space(c) || scan::is_line(c) || matches!(c, '=' | ')' | '+' | '-'));
        if !self.text[at..].starts_with('"') || number.parse::<f64>().is_err() || !bounded {
            return false;
        }
        let from = if self.text[..from].ends_with(['+', '-']) { from - 1 } else { from };
        let glued = glued::unit_glued(&self.text[from..at], "\"", "in");
        self.fault(glued.kind, from..at + 1, glued.message, glued.help);
        self.blank(at..at + 1);
        self.read_at(from, glued.annotation, None);
        true
    }

    fn backslash(&mut self, at: usize) {
        let at = self.text[..at.min(self.text.len())].rfind('\\').unwrap_or(at);
        let help = "Put text with a \\ in it in quotes and write it twice: \\\\.";
        self.other(at..at + 1, "Outside quotes a \\ may only stand at the end of a line.", help);
        self.blank(at..at + 1);
    }

    fn escape(&mut self, at: usize) {
        let length = self.text[at..].chars().take(2).map(char::len_utf8).sum::<usize>();
        let written = self.text[at..at + length].trim_end().to_owned();
        let message = format!("In quotes `{written}` stands for no character.");
        let help = "Write \\\\ for a \\ itself; \\n is a new line, \\\" a quote, \\u{b0} the character of that number.";
        self.other(at..at + length, message, help);
        self.put(at, "_");
    }

    /// A `#` that begins neither a reserved word nor raw text.
    fn hash(&mut self, start: usize) {
        let after = &self.text[start..].trim_start_matches('#');
        let line = &self.text[scan::line_start(&self.text, start)..start];
        let spaced = after.chars().next().is_none_or(|c| scan::is_space(c) || scan::is_line(c));
        if spaced || line.chars().all(scan::is_space) {
            let painted = self.rest_of_line(start);
            let help = "Begin a comment with //.";
            self.other(start..start + 1, "A # alone begins no comment here.", help);
            self.blank(painted);
            return;
        }
        let hashes = self.text.len() - start - after.len();
        let end = scan::find(&self.text, start + hashes, scan::ends_word);
        let word = self.text[start..end].to_owned();
        let message = format!("`{word}` is no word that begins with #.");
        let help = format!("Write #true, #false or #null, or put it in quotes if it is text: \"{word}\".");
        self.other(start..end, message, help);
        self.paint_word(start..end, Some(Value::Text(word.into())));
    }

    fn triple_on_one_line(&mut self, start: usize) -> bool {
        let quotes = start + self.text[start..].find("\"\"\"").map_or(0, |at| at + 3);
        let message = "After \"\"\" the text begins on the next line.";
        let help = "Move the text to a line of its own, or use single quotes \" for text of one line.";
        self.other(start..quotes, message, help);
        let Some(length) = self.text[quotes..].find("\"\"\"") else {
            self.cut(start);
            return true;
        };
        let rest = &self.text[quotes + length + 3..];
        let end = quotes + length + 3 + rest.len() - rest.trim_start_matches('#').len();
        let text = self.text[quotes..quotes + length].to_owned();
        self.paint_word(start..end, Some(Value::Text(text.into())));
        true
    }

    fn bad_closing(&mut self, start: usize, at: usize) {
        let at = self.text.floor_char_boundary(at);
        let message = "The closing \"\"\" stands on a line with text.";
        self.other(at..at + 3, message, "Put it on a line of its own, indented as the text is.");
        let rest = self.text.get(at + 3..).unwrap_or_default();
        let end = self.text.len() - rest.trim_start_matches('#').len();
        let text = self.text[start..at].trim_matches(['#', '"']).trim().to_owned();
        self.paint_word(start..end, Some(Value::Text(text.into())));
    }

    fn bad_indent(&mut self, start: usize, end: usize, line: Option<usize>) {
        let Some(from) = line else {
            // Only met in a part that is switched off, where just-kdl 0.3.0 also trips over sound text.
            return self.paint_word(start..end, None);
        };
        let to = scan::line_end(&self.text, from);
        let message =
            "This line is indented less than the closing \"\"\" of its text, or in other characters.";
        self.other(from..to, message, "Indent every line of the text at least as far as the closing \"\"\".");
        let text = self.text[start..end].trim_matches(['#', '"']).trim().to_owned();
        self.paint_word(start..end, Some(Value::Text(text.into())));
    }

    /// `[`, `]` or `/` outside quotes.
    fn operator(&mut self, start: usize) {
        let in_word = |c: char| matches!(c, '[' | ']' | '/') || !scan::ends_word(c);
        let from = self.text[..start]
            .char_indices()
            .rev()
            .take_while(|(_, c)| in_word(*c))
            .last()
            .map_or(start, |(at, _)| at);
        let to = scan::find(&self.text, start, |c| !in_word(c));
        // A comment that follows is none of the word.
        let comment = ["//", "/*"].iter().filter_map(|open| self.text[start + 1..to].find(open)).min();
        let to = comment.map_or(to, |at| start + 1 + at);
        if self.lost_opening_quote(from, to) {
            return;
        }
        let word = self.text[from..to].to_owned();
        if glued::looks_like_date(&word) {
            let glued = glued::explain(&word);
            self.fault(glued.kind, from..to, glued.message, glued.help);
        } else {
            let found = &self.text[start..=start];
            let message = format!("A {found} may not stand outside quotes.");
            self.other(from..to, message, format!("Put the text in quotes: \"{word}\"."));
        }
        let plain: String = self.text[start..to].replace(['[', ']', '/'], "_");
        self.text.replace_range(start..to, &plain);
        if from < start && self.text[from..].starts_with(|c: char| c.is_ascii_digit()) {
            self.put(from, "_");
        }
        self.read_at(from, None, Some(Value::Text(word.into())));
    }
}
