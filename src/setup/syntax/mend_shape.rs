//! Mistakes in how names, values, units in round brackets and `=` stand together.
//!
//! Refuses to know what is inside quotes and numbers; blocks are in `mend_blocks`.

use just_kdl::lexer::Token;
use just_kdl::reader::ReaderError;

use super::mend::Mender;
use super::tree::Grown;
use super::{Node, SyntaxFaultKind, Value, scan};
use crate::setup::span::Span;

impl Mender<'_> {
    /// `start..end`: the part that fits nowhere.
    pub fn mend_shape(&mut self, error: &ReaderError, start: usize, end: usize, grown: &Grown) -> bool {
        match error {
            ReaderError::UnclosedOpen => return self.open_block(start, grown),
            ReaderError::UnmatchedClose => self.extra_close(start, grown),
            ReaderError::ExpectedString(token) => self.no_name(token, start, grown),
            ReaderError::ExpectedValue(token) => self.no_value(token, start, end),
            ReaderError::ExpectedCloseParen(_) => self.open_annotation(start),
            ReaderError::ExpectedEntrySpace => self.no_space(start, grown),
            ReaderError::ExpectedEntry => self.no_entry(start, grown),
            ReaderError::ExpectedBlock => self.after_block(start),
            _ => self.other(start..end, "This cannot be read here.", "Put it in quotes if it is text."),
        }
        true
    }

    /// Something that is no name where a node begins, or no word after an opening round bracket.
    fn no_name(&mut self, token: &Token, start: usize, grown: &Grown) {
        if let Some(slash) = self.slashdash_before(start).filter(|_| ends_part(token)) {
            return self.lone_slashdash(slash);
        }
        match (scan::before(&self.text, start), token) {
            (Some((open, '(')), Token::CloseParen) => {
                self.other(
                    open..start + 1,
                    "These round brackets are empty.",
                    "Put a unit in them or delete them.",
                );
                self.blank(open..start + 1);
            }
            (Some((_, '(')), Token::Number(_) | Token::SkippedNumber | Token::Bool(_) | Token::Null) => {
                let end = scan::find(&self.text, start + 1, scan::ends_word);
                let help = "Put a unit in round brackets and the number after them, as in (mm)780.";
                self.other(start..end, "Round brackets hold a unit, not a value.", help);
                self.put(start, "_");
            }
            (Some((_, '(')), _) => self.open_annotation(start),
            (Some((close, ')')), token) if ends_part(token) => self.lone_annotation(close),
            (_, Token::OpenCurly) => self.block_on_next_line(start, grown),
            (_, Token::SemiColon) => {
                self.other(start..start + 1, "This ; ends nothing.", "Delete it.");
                self.blank(start..start + 1);
            }
            (_, Token::Equals | Token::CloseParen) => {
                self.other(start..start + 1, "A line begins with a name, not with this.", "Delete it.");
                self.blank(start..start + 1);
            }
            _ => {
                let end = scan::find(&self.text, start + 1, scan::ends_word);
                let message = format!("A line begins with a name, not with `{}`.", &self.text[start..end]);
                self.other(start..end, message, "Write the name of the measure before its value.");
                self.put(start, "_");
                self.read_at(start, None, None);
            }
        }
    }

    /// The annotation that closes at `close` has nothing after it.
    fn lone_annotation(&mut self, close: usize) {
        let Some(open) = self.text[..close].rfind('(') else {
            return self.stray_close(close);
        };
        let unit = self.text[open + 1..close].trim().to_owned();
        let head = self.text[..open].trim_end_matches(scan::is_space);
        let number = scan::find_back(head, |c| !(c.is_ascii_digit() || matches!(c, '.' | '+' | '-')));
        let written = head[number..].to_owned();
        if written.parse::<f64>().is_ok() {
            let message = format!("The unit ({unit}) stands after its number.");
            self.other(number..close + 1, message, format!("Put it in front: ({unit}){written}."));
            self.read_at(number, Some(unit.into()), None);
            self.blank(open..close + 1);
            return;
        }
        let from = if head.ends_with('=') { self.key_start(head.len() - 1) } else { open };
        self.other(
            open..close + 1,
            format!("Nothing follows ({unit})."),
            "Write the value right after the brackets.",
        );
        self.blank(from..close + 1);
    }

    /// Start of the key whose `=` stands at `equals`.
    fn key_start(&self, equals: usize) -> usize {
        let head = self.text[..equals].trim_end_matches(scan::is_space);
        match head.strip_suffix('"') {
            Some(inside) => inside.rfind('"').unwrap_or(inside.len()),
            None => scan::find_back(head, scan::ends_word),
        }
    }

    /// No value after `=` or after an annotation.
    fn no_value(&mut self, token: &Token, start: usize, end: usize) {
        match scan::before(&self.text, start) {
            Some((close, ')')) => self.lone_annotation(close),
            Some((equals, '=')) => {
                let key = self.key_start(equals);
                let written = self.text[key..equals].trim_end().to_owned();
                let message = format!("No value follows `{written}=`.");
                self.other(key..equals + 1, message, "Write the value after the = or delete both.");
                self.blank(key..if ends_part(token) { equals + 1 } else { end });
            }
            _ => self.other(start..end, "A value is missing before this.", "Write the value."),
        }
    }

    /// A round bracket with a word in it that is not closed before `start`.
    fn open_annotation(&mut self, start: usize) {
        let open = self.text[..start].rfind('(').unwrap_or(start);
        let line_end = scan::line_end(&self.text, open);
        let close = scan::find(&self.text, open, |c| matches!(c, ')' | ';' | '{' | '}')).min(line_end);
        if self.text[close..].starts_with(')') {
            let help = "Keep one word in them; a unit of several words goes in quotes.";
            self.other(open..close + 1, "Round brackets hold one word.", help);
            self.blank(start.min(close)..close);
            return;
        }
        let inside = self.text[open..start].trim_end().trim_start_matches('(');
        let from = start - self.text[open..start].trim_start_matches('(').len();
        let digits = scan::find_back(inside, |c| !(c.is_ascii_digit() || matches!(c, '.' | '+' | '-')));
        let number = Some(digits).filter(|at| *at > 0 && inside[*at..].parse::<f64>().is_ok());
        let unit = inside[..number.unwrap_or(inside.len())].trim().to_owned();
        let message = format!("The round bracket before `{unit}` is not closed.");
        let help = format!("Close it before the value: ({unit}).");
        let value = number.map_or(start, |at| from + at);
        let alone =
            value == start && self.text[start..].starts_with(|c| scan::is_line(c) || matches!(c, ';' | '}'));
        self.fault(SyntaxFaultKind::Unclosed, open..open + 1, message, help);
        if alone && self.text[..open].ends_with('=') {
            // The key before it needs something to stand for its value.
            self.paint_word(open..from + unit.len(), Some(Value::Text(unit.into())));
        } else {
            self.blank(open..value);
            self.read_at(value, Some(unit.into()), None);
        }
    }

    /// Two parts of a line without a space between them.
    fn no_space(&mut self, start: usize, grown: &Grown) {
        let Some(found) = self.text[start..].chars().next() else { return };
        let previous = latest_entry(grown).filter(|span| span.end as usize == start);
        let quoted = previous.filter(|span| span.text(&self.text).ends_with('"'));
        match found {
            '=' => self.stray_equals(start, grown),
            '"' if self.inch_mark(start) => {}
            '(' if self.text[..start].ends_with(|c: char| c.is_ascii_digit()) => {
                let close = scan::find(&self.text, start, |c| c == ')' || scan::is_line(c));
                if self.text[close..].starts_with(')') {
                    self.lone_annotation(close);
                } else {
                    self.open_annotation(close);
                }
            }
            ')' => self.stray_close(start),
            _ if quoted.is_some() || found == '"' => {
                let opened = quoted.map_or(start, |span| self.opening_quote(span));
                if self.quotes_on_line(start) % 2 == 1 {
                    self.open_quote(opened);
                } else {
                    let help = "Put a space between them, or write \\\" for a quote inside the text.";
                    self.glued_parts(start, "Quoted text stands right beside other text.", help);
                }
            }
            _ => self.glued_parts(start, "A space is missing here.", "Put a space before this."),
        }
    }

    fn opening_quote(&self, span: Span) -> usize {
        let entry = span.text(&self.text);
        let at = entry.trim_end_matches('"').rfind('"').unwrap_or(0);
        span.start as usize + at
    }

    pub fn glued_parts(&mut self, start: usize, message: &str, help: &str) {
        let mut end = start;
        while let Some(c) = self.text[end..].chars().next() {
            if scan::is_space(c) || scan::is_line(c) || matches!(c, ';' | '{' | '}') {
                break;
            }
            end = if c == '"' { scan::string_end(&self.text, end) } else { end + c.len_utf8() };
        }
        self.other(start..end, message, help);
        self.blank(start..end);
    }

    fn stray_equals(&mut self, start: usize, grown: &Grown) {
        let name = grown.open.last().filter(|node| node.arguments.is_empty() && node.properties.is_empty());
        if let Some(Node { name, .. }) = name {
            let message = format!("An = stands between `{name}` and its value.");
            self.other(start..start + 1, message, format!("Leave a space instead: {name}, then the value."));
        } else {
            let help = "Write key=value, with a unit before the value, as in tol=(mm)0.5.";
            self.other(start..start + 1, "This = follows no key.", help);
        }
        self.blank(start..start + 1);
    }

    fn stray_close(&mut self, at: usize) {
        let message = "This ) closes nothing.";
        self.fault(
            SyntaxFaultKind::Unmatched,
            at..at + 1,
            message,
            "Delete it, or add the ( before the unit.",
        );
        self.blank(at..at + 1);
    }

    fn no_entry(&mut self, start: usize, grown: &Grown) {
        match self.text[start..].chars().next() {
            Some('=') => self.stray_equals(start, grown),
            Some('/') => self.lone_slashdash(start),
            Some(')') => self.stray_close(start),
            _ => {
                self.glued_parts(start, "This cannot stand after a name.", "Put it in quotes if it is text.");
            }
        }
    }
}

/// True for what ends a node or stands between nodes, so that the part before it is what is wrong.
fn ends_part(token: &Token) -> bool {
    matches!(
        token,
        Token::Eof | Token::Lines | Token::Spaces | Token::SemiColon | Token::OpenCurly | Token::CloseCurly
    )
}

/// The place of the latest value of the node being read.
fn latest_entry(grown: &Grown) -> Option<Span> {
    let node = grown.open.last()?;
    let argument = node.arguments.last().map(|argument| argument.span);
    let property = node.properties.last().map(|property| property.span);
    argument.max(property)
}
