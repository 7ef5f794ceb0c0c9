//! Small steps over the characters of a setup file: spaces, comments, words, quoted text.
//!
//! Refuses to judge: every step ends somewhere in bounds, whatever the text.

/// White space within a line (KDL 2.0, table of white space).
pub(in crate::setup) fn is_space(c: char) -> bool {
    matches!(
        c,
        '\t' | ' ' | '\u{a0}' | '\u{1680}' | '\u{2000}'..='\u{200a}' | '\u{202f}' | '\u{205f}' | '\u{3000}'
    )
}

/// A line ending (KDL 2.0, table of new lines).
pub(in crate::setup) fn is_line(c: char) -> bool {
    matches!(c, '\n'..='\r' | '\u{85}' | '\u{2028}' | '\u{2029}')
}

/// A character that ends a word written without quotes.
pub(in crate::setup) fn ends_word(c: char) -> bool {
    is_space(c)
        || is_line(c)
        || matches!(c, '(' | ')' | '{' | '}' | '[' | ']' | '/' | '\\' | '"' | '#' | ';' | '=')
        || is_forbidden(c)
}

/// A character that may stand nowhere in a file, not even in quotes.
pub(in crate::setup) fn is_forbidden(c: char) -> bool {
    matches!(c, '\0'..='\u{8}' | '\u{e}'..='\u{1f}' | '\u{7f}' | '\u{feff}')
        || matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// Offset of the first character from `at` on that satisfies `stop`, or the end of the text.
pub(in crate::setup) fn find(text: &str, at: usize, stop: impl Fn(char) -> bool) -> usize {
    text.get(at..).and_then(|rest| rest.find(stop)).map_or(text.len(), |found| at + found)
}

/// End of the line that holds `at`, before its line ending.
pub(in crate::setup) fn line_end(text: &str, at: usize) -> usize {
    find(text, at, is_line)
}

/// Start of the line that holds `at`.
pub(in crate::setup) fn line_start(text: &str, at: usize) -> usize {
    text.get(..at)
        .and_then(|before| before.char_indices().rev().find(|(_, c)| is_line(*c)))
        .map_or(0, |(offset, c)| offset + c.len_utf8())
}

/// The nearest character before `at` on its line that is no space, with its offset.
pub(in crate::setup) fn before(text: &str, at: usize) -> Option<(usize, char)> {
    let found = text.get(..at)?.char_indices().rev().find(|(_, c)| !is_space(*c));
    found.filter(|(_, c)| !is_line(*c))
}

/// End of the block comment that opens at `at`, or `None` if it never closes.
pub fn block_comment_end(text: &str, at: usize) -> Option<usize> {
    let bytes = text.as_bytes();
    let (mut depth, mut offset) = (0_usize, at);
    while offset + 1 < bytes.len() {
        match &bytes[offset..offset + 2] {
            b"/*" => depth += 1,
            b"*/" => depth = depth.saturating_sub(1),
            _ => {
                offset += 1;
                continue;
            }
        }
        offset += 2;
        if depth == 0 {
            return Some(offset);
        }
    }
    None
}

/// Skips spaces, block comments and continued lines from `at`.
pub(in crate::setup) fn skip_gap(text: &str, mut at: usize) -> usize {
    let mut continued = false;
    loop {
        let rest = text.get(at..).unwrap_or_default();
        match rest.chars().next() {
            Some(c) if is_space(c) => at += c.len_utf8(),
            Some('/') if rest.starts_with("/*") => match block_comment_end(text, at) {
                Some(end) => at = end,
                None => return at,
            },
            Some('/') if continued && rest.starts_with("//") => at = line_end(text, at),
            Some('\\') => {
                continued = true;
                at += 1;
            }
            Some(c) if continued && is_line(c) => {
                continued = false;
                at += if rest.starts_with("\r\n") { 2 } else { c.len_utf8() };
            }
            _ => return at,
        }
    }
}

/// End of the word or quoted text that starts at `at`; an unclosed one ends with the text.
pub(in crate::setup) fn string_end(text: &str, at: usize) -> usize {
    let rest = text.get(at..).unwrap_or_default();
    let hashes = rest.len() - rest.trim_start_matches('#').len();
    let body = &rest[hashes..];
    if !body.starts_with('"') {
        return find(text, at + hashes, ends_word);
    }
    let quotes = if body.starts_with("\"\"\"") { "\"\"\"" } else { "\"" };
    let closing = format!("{quotes}{}", "#".repeat(hashes));
    let mut offset = at + hashes + quotes.len();
    while let Some(c) = text.get(offset..).and_then(|rest| rest.chars().next()) {
        if text[offset..].starts_with(&closing) {
            return offset + closing.len();
        }
        offset += c.len_utf8();
        if c == '\\' && hashes == 0 {
            offset += text[offset..].chars().next().map_or(0, char::len_utf8);
        }
    }
    text.len()
}

/// For the annotation that opens at `at`: the offset after its `)`, and of what it stands before.
pub(in crate::setup) fn annotation_end(text: &str, at: usize) -> (usize, usize) {
    let word = skip_gap(text, at + 1);
    let close = skip_gap(text, string_end(text, word));
    let after = (close + 1).min(text.len());
    (after, skip_gap(text, after))
}

/// Offset just after the last character of `text` that satisfies `stop`, or 0.
pub(in crate::setup) fn find_back(text: &str, stop: impl Fn(char) -> bool) -> usize {
    text.char_indices().rev().find(|(_, c)| stop(*c)).map_or(0, |(at, c)| at + c.len_utf8())
}
