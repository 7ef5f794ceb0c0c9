//! The marks a merge by lines leaves in a text: `<<<<<<<`, `=======`, `>>>>>>>`, each at the start of a line.
//!
//! What lies around them is no setup that anybody wrote, so nothing else is said of such a file.

use std::ops::Range;

use crate::catalogue::code;

use super::super::finding::Finding;
use super::super::span::{LineIndex, Span};
use super::super::syntax::{block_comment_end, scan};

/// Above our lines.
pub const OURS: &str = "<<<<<<<";
/// Above what both came from, where that is shown.
pub const BASE: &str = "|||||||";
/// Between the two versions.
pub const BETWEEN: &str = "=======";
/// Below their lines.
pub const THEIRS: &str = ">>>>>>>";

/// A finding for each place where two versions of some lines stand. Where the syntax reader had no trouble, or all of
/// the marks stand inside values and comments that are sound, somebody wrote them there.
pub fn findings(source: &str, is_garbled: bool) -> Vec<Finding> {
    // A sound file pays for no more than this.
    if !is_garbled || !source.contains(OURS) {
        return Vec::new();
    }
    let sound = sound_over_lines(source);
    let is_inside = |mark: Span| sound.iter().any(|whole| whole.contains(&(mark.start as usize)));
    let mut all_inside = true;
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
            all_inside &= !between || is_inside(span);
        } else if let Some(from) = ours.filter(|_| between && is_mark(text, THEIRS)) {
            all_inside &= is_inside(from) && is_inside(span);
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
    if all_inside { Vec::new() } else { findings }
}

/// What the text is with all as ours has it between the marks, and as theirs; none of a text without such marks.
pub fn sides(source: &str) -> Option<[String; 2]> {
    let [mut ours, mut theirs] = [String::new(), String::new()];
    // Of both outside the marks; between them of one of the two, or of what they came from.
    let (mut of_ours, mut of_theirs) = (true, true);
    let mut any = false;
    for line in source.split_inclusive('\n') {
        let text = line.trim_end_matches(['\r', '\n']);
        let is_inside = !(of_ours && of_theirs);
        if is_mark(text, OURS) {
            (of_ours, of_theirs) = (true, false);
            any = true;
        } else if is_inside && is_mark(text, BASE) {
            (of_ours, of_theirs) = (false, false);
        } else if is_inside && is_mark(text, BETWEEN) {
            (of_ours, of_theirs) = (false, true);
        } else if is_inside && is_mark(text, THEIRS) {
            (of_ours, of_theirs) = (true, true);
        } else {
            if of_ours {
                ours.push_str(line);
            }
            if of_theirs {
                theirs.push_str(line);
            }
        }
    }
    any.then_some([ours, theirs])
}

/// The quoted texts and comments over several lines that are opened and closed.
fn sound_over_lines(source: &str) -> Vec<Range<usize>> {
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(rest) = source.get(at..).filter(|rest| !rest.is_empty()) {
        let hashes = rest.len() - rest.trim_start_matches('#').len();
        let next = rest.chars().next().map_or(1, char::len_utf8);
        if rest.starts_with("//") {
            at = scan::line_end(source, at);
            continue;
        }
        let end = if rest.starts_with("/*") {
            block_comment_end(source, at)
        } else if rest[hashes..].starts_with("\"\"\"") {
            closed(source, at, &format!("\"\"\"{}", "#".repeat(hashes)))
        } else if rest[hashes..].starts_with('"') {
            // One that is open at its line's end is a fault; the next line is read anew.
            closed(source, at, &format!("\"{}", "#".repeat(hashes)))
                .filter(|end| !source[at..*end].contains('\n'))
        } else {
            None
        };
        if let Some(end) = end.filter(|end| source[at..*end].contains('\n')) {
            found.push(at..end);
        }
        at = end.unwrap_or(at + next.max(hashes));
    }
    found
}

/// The end of the quoted text at `at`, if it is closed.
fn closed(source: &str, at: usize, closing: &str) -> Option<usize> {
    let end = scan::string_end(source, at);
    (end > at + closing.len() && source[..end].ends_with(closing)).then_some(end)
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

    #[test]
    fn marks_in_a_sound_value_hide_no_fault_elsewhere() {
        let note = "note \"\"\"\n<<<<<<< ours\nwet\n=======\ndry\n>>>>>>> theirs\n\"\"\"";
        let raw = note.replacen("\"\"\"", "##\"\"\"", 1) + "##";
        let comment = "/* /* nested */\n<<<<<<< ours\nwet\n=======\ndry\n>>>>>>> theirs\n*/";
        for whole in [note, &raw, comment] {
            let broken = format!("setup \"rowan/race\" format=1 {{\n    bar {{ roll ? }}\n    {whole}\n}}\n");
            assert!(findings(&broken, true).is_empty(), "{broken}");
            // Where one conflict is real, the others are told, too.
            let both = format!("{broken}{CONFLICT}");
            assert_eq!(findings(&both, true).len(), 2, "{both}");
        }
        // The quotes close on each side: the marks are no text.
        let real = "note \"\"\"\n<<<<<<< ours\nwet\n\"\"\"\n=======\ndry\n\"\"\"\n>>>>>>> theirs\n";
        assert_eq!(findings(real, true).len(), 1);
        // A text that is never closed is none.
        assert_eq!(findings(&format!("note \"\"\"\n{CONFLICT}"), true).len(), 1);
    }
}
