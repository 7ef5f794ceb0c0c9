//! Mistakes in blocks: curly brackets, what stands around them, and `/-`.
//!
//! Refuses to know values, keys and units.

use super::mend::Mender;
use super::tree::Grown;
use super::{Node, SyntaxFaultKind, scan};

impl Mender<'_> {
    pub fn open_block(&mut self, end: usize, grown: &Grown) -> bool {
        if self.cut_short {
            return false;
        }
        let late = closed_too_late(&self.text, grown);
        let culprit = late.or(grown.open.last());
        let message = match culprit {
            Some(node) => format!("The block of `{}` is never closed.", node.name),
            None => "A block is never closed.".to_owned(),
        };
        let range = culprit.map_or(end..end, |node| node.span.range());
        self.fault(SyntaxFaultKind::Unclosed, range, message, "Add a } where the block ends.");
        let stranger = late.and_then(|node| first_outdented(&self.text, node));
        if let Some(at) = stranger {
            self.put(at - 2, "}");
            self.put(at - 1, "\n");
        }
        stranger.is_some()
    }

    pub fn extra_close(&mut self, at: usize, grown: &Grown) {
        if self.forgiven > 0 {
            self.forgiven -= 1;
        } else if let Some(lost) = lost_opening(&self.text, at, grown) {
            let message = format!("The {{ of `{}` is missing.", lost.node.name);
            let help = format!("Write it before what belongs in `{}`.", lost.node.name);
            self.fault(SyntaxFaultKind::Unmatched, lost.node.span.range(), message, help);
            self.put(lost.at, "{");
            return;
        } else {
            let message = "This } closes nothing.";
            let help = "Delete it, or look further up for a block closed too early.";
            self.fault(SyntaxFaultKind::Unmatched, at..at + 1, message, help);
        }
        self.blank(at..at + 1);
    }

    /// Where the `/-` stands that reaches to `at` over spaces and line ends.
    pub fn slashdash_before(&self, at: usize) -> Option<usize> {
        let found = self.text[..at].trim_end_matches(|c| scan::is_space(c) || scan::is_line(c));
        let slash = found.strip_suffix("/-")?.len();
        let in_comment = self.text[scan::line_start(&self.text, slash)..slash].contains("//");
        (!in_comment).then_some(slash)
    }

    pub fn lone_slashdash(&mut self, at: usize) {
        let help = "Put it right before what it should switch off, or delete it.";
        self.other(at..at + 2, "This /- stands before nothing.", help);
        self.blank(at..at + 2);
    }

    /// `{` at the start of a line.
    pub fn block_on_next_line(&mut self, start: usize, grown: &Grown) {
        let joined = grown.latest_end.clone().filter(|(end, by_block)| {
            !by_block && self.text.as_bytes().get(end.start) != Some(&b';') && end.start < start
        });
        let siblings = grown.open.last().map_or(&grown.nodes, |parent| &parent.children);
        if let (Some((end, _)), Some(node)) = (joined, siblings.last()) {
            let message = format!("The {{ of `{}` stands on a line below it.", node.name);
            let help = format!("Move it up to the end of the line that begins with `{}`.", node.name);
            self.other(start..start + 1, message, help);
            self.blank(end.start..start);
        } else {
            let help = "Write the name of the block before its { on the same line.";
            self.other(start..start + 1, "This block has no name.", help);
            self.blank(start..start + 1);
            self.forgiven += 1;
        }
    }

    /// Something after the closing bracket of a block on the same line.
    pub fn after_block(&mut self, start: usize) {
        let found = self.text[start..].chars().next().unwrap_or(' ');
        let close = scan::before(&self.text, start).filter(|(_, c)| *c == '}').map(|(at, _)| at);
        match (found, close) {
            ('{', Some(close)) => {
                let help = "Put both into one pair of { }.";
                self.other(start..start + 1, "This is a second block for the same name.", help);
                self.blank(close..close + 1);
                self.put(start, "\n");
            }
            ('{', None) => {
                let help = "Put both into one pair of { }.";
                self.other(start..start + 1, "This is a second block for the same name.", help);
                self.blank(start..start + 1);
                self.forgiven += 1;
            }
            (_, Some(close)) if close + 1 < start && !scan::ends_word(found) && !found.is_ascii_digit() => {
                let end = scan::find(&self.text, start, scan::ends_word);
                let message = format!("`{}` follows a }} on the same line.", &self.text[start..end]);
                self.other(start..end, message, "Begin a new line or put a ; before it.");
                self.put(close + 1, "\n");
            }
            _ => {
                let help = "Put values before the block; begin a new line or put a ; after it.";
                self.glued_parts(start, "This follows a } on the same line.", help);
            }
        }
    }
}

/// A node whose opening bracket was forgotten, and the one character where the bracket can stand.
struct LostOpening<'tree> {
    node: &'tree Node,
    at: usize,
}

/// The first node before the closing bracket at `close` that looks like a block without its opening bracket: what
/// follows it is indented deeper, or it begins a line on which more brackets close than open.
fn lost_opening<'tree>(text: &str, close: usize, grown: &'tree Grown) -> Option<LostOpening<'tree>> {
    let mut waiting: Vec<&Node> = grown.nodes.iter().chain(&grown.open).collect();
    let mut found: Option<LostOpening> = None;
    while let Some(node) = waiting.pop() {
        waiting.extend(&node.children);
        let start = node.span.start as usize;
        if node.has_block || start >= close || found.as_ref().is_some_and(|first| first.node.span < node.span)
        {
            continue;
        }
        let at = above_deeper_lines(text, node).or_else(|| before_an_inner_word(text, node));
        found = at.map(|at| LostOpening { node, at }).or(found);
    }
    found
}

/// Right after a node that is alone on its line, if the next line with code is indented deeper.
fn above_deeper_lines(text: &str, node: &Node) -> Option<usize> {
    let (start, end) = (node.span.start as usize, last_entry(node));
    let line_end = scan::line_end(text, end);
    let rest = text[end..line_end].trim_start_matches(scan::is_space);
    if !begins_line(text, start) || !(rest.is_empty() || rest.starts_with("//")) || end >= text.len() {
        return None;
    }
    let mut lines = text[line_end..].lines().skip(1);
    let next = lines.find(|line| !line.trim().is_empty() && !line.trim_start().starts_with("//"))?;
    let deeper = next.len() - next.trim_start_matches(scan::is_space).len() > indent(text, start);
    (deeper && !next.trim_start().starts_with('}')).then_some(end)
}

/// The space behind the name of a node that takes a bare word as its first value, if more brackets close on its line
/// than open. Within a line the word needs a value of its own: `mount own` is no block.
fn before_an_inner_word(text: &str, node: &Node) -> Option<usize> {
    let start = node.span.start as usize;
    let line = text[scan::line_start(text, start)..scan::line_end(text, start)].split("//").next();
    let line = line.unwrap_or_default();
    let count = |bracket: char| line.matches(bracket).count();
    let first = node.arguments.first()?;
    let inner = first.value_span.text(text).starts_with(char::is_alphabetic) && first.annotation.is_none();
    let behind = node.span.end as usize;
    let named = begins_line(text, start) || node.arguments.len() > 1;
    let lost = named && inner && count('}') > count('{');
    (lost && text[behind..].starts_with(' ')).then_some(behind)
}

/// Where the last value of a node ends, or its name.
fn last_entry(node: &Node) -> usize {
    let arguments = node.arguments.iter().map(|argument| argument.span.end);
    let properties = node.properties.iter().map(|property| property.span.end);
    arguments.chain(properties).fold(node.span.end, u32::max) as usize
}

/// Width of the white space that begins the line of `at`.
fn indent(text: &str, at: usize) -> usize {
    let line = &text[scan::line_start(text, at)..at];
    line.len() - line.trim_start_matches(scan::is_space).len()
}

/// True if only white space stands before `at` on its line.
fn begins_line(text: &str, at: usize) -> bool {
    scan::before(text, at).is_none()
}

/// The first node whose closing bracket begins a line and is indented less than the node: most likely that
/// bracket was meant for a block further out.
fn closed_too_late<'tree>(text: &str, grown: &'tree Grown) -> Option<&'tree Node> {
    let mut waiting: Vec<&Node> = grown.nodes.iter().chain(&grown.open).collect();
    let mut found: Option<&Node> = None;
    while let Some(node) = waiting.pop() {
        waiting.extend(&node.children);
        let end = (node.whole.end as usize).saturating_sub(1);
        if !node.has_block || !text[end..].starts_with('}') {
            continue;
        }
        let late = begins_line(text, end) && indent(text, end) < indent(text, node.span.start as usize);
        if late && found.is_none_or(|earlier| node.whole.end < earlier.whole.end) {
            found = Some(node);
        }
    }
    found
}

/// Where the first child begins that is indented no further than `node` and so belongs beside it, if its
/// indent has room for the missing bracket.
fn first_outdented(text: &str, node: &Node) -> Option<usize> {
    let own = indent(text, node.span.start as usize);
    let start =
        |child: &Node| child.annotation.as_ref().map_or(child.span, |before| before.span).start as usize;
    node.children
        .iter()
        .map(start)
        .find(|at| begins_line(text, *at) && (2..=own).contains(&indent(text, *at)))
}
