//! New nodes where a person would put them, in the style of the lines around, and nodes taken out again.
//!
//! Knows lines, braces and indentation; refuses to know what the nodes mean.

use super::super::span::Span;
use super::super::syntax::scan;
use super::super::syntax::{Node, Property};
use super::Splice;

/// Indentation of a file that shows none.
const INDENT: &str = "    ";

/// End of the last value or property of a node, or of its name.
pub fn entries_end(node: &Node) -> usize {
    let arguments = node.arguments.iter().map(|argument| argument.span.end);
    let properties = node.properties.iter().map(|property| property.span.end);
    arguments.chain(properties).max().unwrap_or(node.span.end) as usize
}

/// Just after the `=` of a property.
pub(super) fn after_equals(text: &str, property: &Property) -> usize {
    let equals = scan::skip_gap(text, property.key_span.end as usize);
    scan::skip_gap(text, equals + 1)
}

/// Takes out a value or a property with the spaces before it.
pub(super) fn without_entry(text: &str, span: Span) -> Splice {
    let start = text.get(..span.start as usize).unwrap_or_default().trim_end_matches(scan::is_space).len();
    Splice { start, end: span.end as usize, text: String::new() }
}

/// Puts `line` into `parent`, after the node `after`, or first.
pub fn node(text: &str, root: &Node, parent: &Node, after: Option<&Node>, line: &str) -> Splice {
    match after {
        Some(after) => behind(text, after, line),
        None => first(text, root, parent, line),
    }
}

fn behind(text: &str, after: &Node, line: &str) -> Splice {
    let end = after.whole.end as usize;
    match line_rest(text, end) {
        Some(line_end) if is_first_on_line(text, after) => {
            let indent = indent(text, after.span.start as usize);
            Splice::at(line_end, format!("{}{indent}{line}", line_ending(text)))
        }
        _ => Splice::at(end, format!("; {line}")),
    }
}

fn first(text: &str, root: &Node, parent: &Node, line: &str) -> Splice {
    let entries = entries_end(parent);
    if !parent.has_block {
        return Splice::at(entries, format!(" {{ {line} }}"));
    }
    let brace = scan::skip_gap(text, entries);
    if text.as_bytes().get(brace) != Some(&b'{') {
        // Something taken out with a slash and a dash stands between: keep clear of it.
        let before =
            parent.children.first().map_or(parent.whole.end as usize - 1, |child| child.span.start as usize);
        return Splice::at(before, format!("{line}; "));
    }
    let open = brace + 1;
    let close = parent.whole.end as usize - 1;
    let content = text.get(open..close).unwrap_or_default();
    if content.trim().is_empty() && !content.contains(scan::is_line) {
        return Splice { start: open, end: close, text: format!(" {line} ") };
    }
    match line_rest(text, open) {
        Some(line_end) => {
            let indent = child_indent(text, root, parent);
            Splice::at(line_end, format!("{}{indent}{line}", line_ending(text)))
        }
        None => Splice::at(open, format!(" {line};")),
    }
}

/// Takes a node out: with its line where it has one of its own, else with the `;` that parts it from another.
pub fn without_node(text: &str, node: &Node) -> Splice {
    let (start, end) = (node.span.start as usize, node.whole.end as usize);
    let none = String::new();
    if is_first_on_line(text, node)
        && let Some(line_end) = line_rest(text, end)
    {
        let bare = text.get(end..line_end).unwrap_or_default().trim_matches([' ', '\t', ';']).is_empty();
        if bare {
            let before = text.get(..scan::line_start(text, start)).unwrap_or_default();
            let kept = before.strip_suffix("\r\n").or_else(|| before.strip_suffix(scan::is_line));
            return Splice { start: kept.map_or(start, str::len), end: line_end, text: none };
        }
        return Splice { start, end, text: none };
    }
    let before = text.get(..start).unwrap_or_default().trim_end_matches(scan::is_space);
    if let Some(kept) = before.strip_suffix(';') {
        return Splice { start: kept.len(), end, text: none };
    }
    let rest = text.get(end..).unwrap_or_default();
    let after = rest.trim_start_matches(scan::is_space);
    match after.strip_prefix(';') {
        Some(after) => {
            let after = after.trim_start_matches(scan::is_space);
            Splice { start, end: text.len() - after.len(), text: none }
        }
        None => Splice { start: before.len(), end, text: none },
    }
}

/// The end of the line that holds `at`, if nothing but an end of node and comments follows on it.
fn line_rest(text: &str, at: usize) -> Option<usize> {
    let mut at = scan::skip_gap(text, at);
    while text.as_bytes().get(at) == Some(&b';') {
        at = scan::skip_gap(text, at + 1);
    }
    let rest = text.get(at..)?;
    let ends = rest.is_empty() || rest.starts_with("//") || rest.starts_with(scan::is_line);
    ends.then(|| scan::line_end(text, at))
}

fn is_first_on_line(text: &str, node: &Node) -> bool {
    let at = node.span.start as usize;
    let start = scan::line_start(text, at);
    text.get(start..at).is_some_and(|before| before.chars().all(scan::is_space))
}

/// The white space at the start of the line that holds `at`.
fn indent(text: &str, at: usize) -> &str {
    let line = text.get(scan::line_start(text, at)..).unwrap_or_default();
    let line = line.strip_prefix('\u{feff}').unwrap_or(line);
    &line[..line.len() - line.trim_start_matches(scan::is_space).len()]
}

/// The indentation of nodes inside `parent`: as its children have it, else one step more than its own.
fn child_indent(text: &str, root: &Node, parent: &Node) -> String {
    let of_child = |node: &Node| {
        let child = node.children.iter().find(|child| is_first_on_line(text, child))?;
        Some(indent(text, child.span.start as usize).to_owned())
    };
    if let Some(indent) = of_child(parent) {
        return indent;
    }
    let outer = indent(text, root.span.start as usize).len();
    let step = of_child(root).and_then(|inner| inner.get(outer..).map(str::to_owned));
    let step = step.filter(|step| !step.is_empty()).unwrap_or_else(|| INDENT.to_owned());
    format!("{}{step}", indent(text, parent.span.start as usize))
}

/// The file's line ending: that of its first line.
pub(super) fn line_ending(text: &str) -> &'static str {
    let line_end = scan::line_end(text, 0);
    if text.get(line_end..).is_some_and(|rest| rest.starts_with("\r\n")) { "\r\n" } else { "\n" }
}
