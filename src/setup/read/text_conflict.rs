//! The marks a merge by lines leaves in a text: `<<<<<<<`, `=======`, `>>>>>>>`, each at the start of a line.
//!
//! What lies around them is no setup that anybody wrote, so nothing else is said of such a file.

use crate::catalogue::code;

use super::super::finding::Finding;
use super::super::span::{LineIndex, Span};

/// Above our lines.
pub const OURS: &str = "<<<<<<<";
/// Between the two versions.
pub const BETWEEN: &str = "=======";
/// Below their lines.
pub const THEIRS: &str = ">>>>>>>";

/// A finding for each place where two versions of some lines stand. Where the syntax reader had no trouble the marks
/// stand inside a value or a comment, as somebody wrote them.
pub fn findings(source: &str, is_garbled: bool) -> Vec<Finding> {
    // A sound file pays for no more than this.
    if !is_garbled || !source.contains(OURS) {
        return Vec::new();
    }
    let lines = LineIndex::new(source);
    let mut findings = Vec::new();
    let mut ours: Option<Span> = None;
    let mut between = false;
    let mut start = 0;
    for line in source.split_inclusive('\n') {
        let text = line.trim_end_matches(['\r', '\n']);
        let span = Span::new(start, start + text.len());
        if is_mark(text, OURS) {
            (ours, between) = (Some(span), false);
        } else if is_mark(text, BETWEEN) {
            between = ours.is_some();
        } else if let Some(from) = ours.filter(|_| between && is_mark(text, THEIRS)) {
            let (first, last) = (lines.line_column(from.start).0, lines.line_column(span.start).0);
            let message = format!(
                "Two versions of the text stand between the conflict marks of line {first} and line {last}."
            );
            let help = "Between the marks keep what is true, of both sides where each has something of its own; then take \
                        out the marks.";
            findings.push(Finding::new(&code::UNRESOLVED_CONFLICT, message).at(from).help(help));
            (ours, between) = (None, false);
        }
        start += line.len();
    }
    findings
}

/// Whether a line is a mark: alone, or with a name after a space, as every tool writes it.
fn is_mark(line: &str, mark: &str) -> bool {
    line.strip_prefix(mark).is_some_and(|rest| rest.is_empty() || rest.starts_with(' '))
}

#[cfg(test)]
mod tests {
    use super::*;

    const CONFLICT: &str = "setup \"rowan/race\" format=1 {\r\n<<<<<<< ours\r\n    bar { width 780 }\r\n=======\r\n    bar { width 760 }\r\n>>>>>>> theirs\r\n}\r\n";

    #[test]
    fn every_conflict_is_told_at_its_place_and_nothing_beside() {
        let twice = format!("{CONFLICT}{CONFLICT}");
        let [first, second] = &findings(&twice, true)[..] else { panic!("two conflicts") };
        assert_eq!(
            first.message,
            "Two versions of the text stand between the conflict marks of line 2 and line 6."
        );
        assert_eq!(first.span.map(|span| span.text(&twice)), Some("<<<<<<< ours"));
        assert_eq!(second.span.map(|span| span.start as usize), twice.rfind("<<<<<<<"));
    }

    #[test]
    fn what_only_looks_like_marks_is_none() {
        assert!(findings(&CONFLICT.replace("<<<<<<< ", "<<<<<<<<< "), true).is_empty());
        assert!(findings(&CONFLICT.replace("\r\n=======", "\r\n    ======="), true).is_empty());
        assert!(findings("// <<<<<<< ours\n", true).is_empty());
    }

    #[test]
    fn marks_in_a_note_that_reads_without_trouble_are_its_text() {
        let note = "setup \"rowan/race\" format=1 {\n    bar { width 780 }\n    note \"\"\"\n<<<<<<< ours\nwet\n=======\ndry\n>>>>>>> theirs\n\"\"\"\n}\n";
        let read = super::super::read(crate::catalogue::Catalogue::standard(), note.as_bytes(), None);
        assert!(read.setup.is_some());
        assert!(read.findings.is_empty(), "{:?}", read.findings);
    }
}
