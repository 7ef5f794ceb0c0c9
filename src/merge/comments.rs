//! The comments of the two sides: they belong to no node, so they are found again by their text. Those of ours stay;
//! what theirs added or changed is put in where its place is still there, and told where it is not.

use similar::{Algorithm, DiffOp, capture_diff_slices};

use crate::setup::syntax::{self, Node};

/// One comment with its place.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Comment {
    text: String,
    start: usize,
    end: usize,
}

/// The merged text with their new comments, and the text of each that found no place.
pub fn brought_over(base: Option<&str>, theirs: &str, merged: &str) -> (String, Vec<String>) {
    let (base, yours) = (base.map(comments).unwrap_or_default(), comments(theirs));
    let changed = changed(&base, &yours);
    let (mut text, mut lost) = (merged.to_owned(), Vec::new());
    // From the last on: of several lines of comment each then finds the next one in its place.
    for (place, comment) in yours.iter().enumerate().rev() {
        let here = comments(&text);
        if count(&yours, comment) <= count(&base, comment) || count(&here, comment) >= count(&yours, comment)
        {
            continue;
        }
        let was = changed[place].map(|at| &base[at]);
        let candidate = was
            .and_then(|was| in_place_of(&text, &here, was, comment))
            .or_else(|| at_its_line(&text, theirs, comment));
        // Put into a quoted text it would be no comment.
        match candidate.filter(|candidate| count(&comments(candidate), comment) > count(&here, comment)) {
            Some(candidate) => text = candidate,
            None => lost.push(comment.text.clone()),
        }
    }
    lost.reverse();
    (text, lost)
}

/// The comments beside a node: on its line behind it, and on lines of their own above it.
pub fn beside(text: &str, node: &Node) -> Vec<String> {
    let (start, end) = (node.span.start as usize, node.whole.end as usize);
    let near = |comment: &Comment| {
        let between = |from: usize, to: usize| text.get(from..to).unwrap_or_default();
        if comment.start >= end {
            return !between(end, comment.start).contains('\n');
        }
        let lines = between(comment.end, start).lines().map(str::trim);
        comment.end <= start
            && is_alone(text, comment)
            && lines.into_iter().all(|line| line.is_empty() || line.starts_with("//"))
    };
    comments(text).into_iter().filter(near).map(|comment| comment.text).collect()
}

/// The comments inside a node, between its parts.
pub fn inside(text: &str, node: &Node) -> Vec<String> {
    let (start, end) = (node.span.start as usize, node.whole.end as usize);
    let within = comments(text).into_iter().filter(|comment| start <= comment.start && comment.end <= end);
    within.map(|comment| comment.text).collect()
}

/// Whether a node, given as its text, stands in another version behind a `/-`, however it is laid out there.
pub fn is_disabled(node: &str, other: &str) -> bool {
    let letters = |text: &'_ str| -> Vec<char> { text.chars().filter(|c| !c.is_whitespace()).collect() };
    let sought = letters(node);
    let mut behind = other.match_indices("/-").map(|(at, mark)| letters(&other[at + mark.len()..]));
    behind.any(|rest| rest.starts_with(&sought))
}

fn count(comments: &[Comment], comment: &Comment) -> usize {
    comments.iter().filter(|other| other.text == comment.text).count()
}

/// Which comment of the base each of theirs was before they changed it.
fn changed(base: &[Comment], theirs: &[Comment]) -> Vec<Option<usize>> {
    let texts = |comments: &[Comment]| -> Vec<String> {
        comments.iter().map(|comment| comment.text.clone()).collect()
    };
    let mut was = vec![None; theirs.len()];
    for op in capture_diff_slices(Algorithm::Myers, &texts(base), &texts(theirs)) {
        if let DiffOp::Replace { old_index, old_len, new_index, new_len } = op
            && old_len == new_len
        {
            for step in 0..new_len {
                was[new_index + step] = Some(old_index + step);
            }
        }
    }
    was
}

/// Over the comment they changed, if it stands as it was and only once.
fn in_place_of(text: &str, here: &[Comment], was: &Comment, comment: &Comment) -> Option<String> {
    let same_sort = was.text.get(..2) == comment.text.get(..2);
    let mut found = here.iter().filter(|other| other.text == was.text);
    let (Some(only), None, true) = (found.next(), found.next(), same_sort) else { return None };
    Some(format!("{}{}{}", &text[..only.start], comment.text, &text[only.end..]))
}

/// Beside the line that it stands beside in theirs, if that line is there once.
fn at_its_line(text: &str, theirs: &str, comment: &Comment) -> Option<String> {
    let line_start = theirs[..comment.start].rfind('\n').map_or(0, |end| end + 1);
    let rest = &theirs[comment.end..];
    if is_alone(theirs, comment) {
        let next = rest.lines().skip(1).map(str::trim).find(|line| !line.is_empty())?;
        let (start, line) = only_line(text, next)?;
        let indent = &line[..line.len() - line.trim_start().len()];
        let line_end = if line.ends_with("\r\n") { "\r\n" } else { "\n" };
        return Some(format!("{}{indent}{}{line_end}{}", &text[..start], comment.text, &text[start..]));
    }
    if !rest.lines().next().unwrap_or_default().trim().is_empty() {
        return None;
    }
    let code = &theirs[line_start..comment.start];
    let gap = &code[code.trim_end().len()..];
    let (start, line) = only_line(text, code.trim())?;
    let end = start + line.trim_end().len();
    Some(format!("{}{gap}{}{}", &text[..end], comment.text, &text[end..]))
}

/// Whether nothing else stands on its lines.
fn is_alone(text: &str, comment: &Comment) -> bool {
    let before = text[..comment.start].rsplit('\n').next().unwrap_or_default();
    let after = text[comment.end..].lines().next().unwrap_or_default();
    before.trim().is_empty() && after.trim().is_empty()
}

/// The one line that reads like that, with its place; none if there are several.
fn only_line<'t>(text: &'t str, sought: &str) -> Option<(usize, &'t str)> {
    let mut start = 0;
    let mut found = None;
    for line in text.split_inclusive('\n') {
        if line.trim() == sought && found.replace((start, line)).is_some() {
            return None;
        }
        start += line.len();
    }
    found
}

/// All comments of a text, outside its values.
fn comments(text: &str) -> Vec<Comment> {
    let mut values = Vec::new();
    for node in &syntax::parse(text.as_bytes()).0.nodes {
        collect_values(node, &mut values);
    }
    values.sort_unstable();
    let mut values = values.into_iter().peekable();
    let (mut comments, mut at) = (Vec::new(), 0);
    while let Some(rest) = text.get(at..).filter(|rest| !rest.is_empty()) {
        while values.next_if(|(start, _)| *start < at).is_some() {}
        if let Some((_, end)) = values.next_if(|(start, end)| *start == at && *end > at) {
            at = end;
            continue;
        }
        let length = if rest.starts_with("//") {
            rest.find(['\r', '\n']).unwrap_or(rest.len())
        } else if rest.starts_with("/*") {
            syntax::block_comment_end(text, at).unwrap_or(text.len()) - at
        } else {
            at += rest.chars().next().map_or(1, char::len_utf8);
            continue;
        };
        let end = at + rest[..length].trim_end().len();
        comments.push(Comment { text: text[at..end].to_owned(), start: at, end });
        at += length;
    }
    comments
}

fn collect_values(node: &Node, values: &mut Vec<(usize, usize)>) {
    let spans = [node.span].into_iter();
    let spans = spans.chain(node.arguments.iter().map(|argument| argument.value_span));
    let spans = spans.chain(node.properties.iter().map(|property| property.value_span));
    values.extend(spans.map(|span| (span.start as usize, span.end as usize)));
    for child in &node.children {
        collect_values(child, values);
    }
}
