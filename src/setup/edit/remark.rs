//! Comments that stand on a measure's line: words of the user, which no edit touches.

use crate::catalogue::MeasureId;

use super::super::syntax::scan;
use super::place::Found;
use super::{Edit, place};

/// A comment on the line of a measure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Remark {
    /// Where it begins in the text.
    pub start: usize,
    /// The comment with its signs: `// read three times`.
    pub words: String,
}

impl Edit<'_> {
    /// The comment on the line of a measure, in or behind its node; none if there is none.
    pub fn remark_beside(&self, id: &MeasureId) -> Option<Remark> {
        let (document, address) = (self.document(), place::address(self.catalogue, id));
        let Some(Found::Node(node)) = place::find(&document, &address) else { return None };
        let (start, end) = comment(&self.text, node.span.start as usize)?;
        Some(Remark { start, words: self.text.get(start..end)?.trim_end().to_owned() })
    }
}

/// The first comment from there to the end of the line.
fn comment(text: &str, from: usize) -> Option<(usize, usize)> {
    let (mut at, end) = (from, scan::line_end(text, from));
    while at < end {
        let rest = text.get(at..)?;
        let first = rest.chars().next()?;
        if rest.starts_with("//") {
            return Some((at, end));
        } else if rest.starts_with("/*") {
            return scan::block_comment_end(text, at).map(|end| (at, end));
        }
        let is_quoted = rest.trim_start_matches('#').starts_with('"');
        at = if is_quoted { scan::string_end(text, at) } else { at + first.len_utf8() };
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_comment_is_told_from_a_text_that_looks_like_one() {
        let found = |line: &str| comment(line, 0).map(|(start, end)| line[start..end].to_owned());
        assert_eq!(found("roll 1 // line on the bar\nwidth 780 // x"), Some("// line on the bar".to_owned()));
        assert_eq!(found("roll /* read\ntwice */ 1"), Some("/* read\ntwice */".to_owned()));
        assert_eq!(found("note \"see // there\"; note #\"/* \"\"#\n// below"), None);
    }
}
