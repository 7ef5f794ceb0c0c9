//! Reading a text that is nearly the one read before: what stands there unchanged keeps its nodes.
//!
//! The text is cut where the nodes in the outermost block begin. A stretch that stands in both texts means the same in
//! both, if the reader comes to it in the same state, between two nodes of that block. It does so after an equal
//! stretch, and after new text that reads as whole nodes by itself. Whatever is less plain is read from the start.

use std::mem;

use super::{DEEPEST_NESTING, Document, LARGEST_FILE, Node, SyntaxFault, parse, tree};
use crate::setup::span::Span;

/// How many of the old nodes are passed over in search of one that still stands.
const PASSED_OVER: usize = 4;

/// Reads one text after another, best in the order of a history.
#[derive(Debug, Default)]
pub struct Parser {
    document: Document,
    /// The text of the document, if it was read as it stands and without a fault.
    text: Option<String>,
}

/// New text in the place of some of the old nodes.
struct Patch {
    first: usize,
    behind: usize,
    nodes: Vec<Node>,
    /// By how much the nodes behind it move.
    shift: i32,
}

impl Parser {
    /// The same as [`parse`] of this text.
    pub fn parse(&mut self, bytes: &[u8]) -> (&Document, Vec<SyntaxFault>) {
        if self.patch(bytes).is_some() {
            return (&self.document, Vec::new());
        }
        let (document, faults) = parse(bytes);
        self.document = document;
        let text = str::from_utf8(bytes).ok().filter(|text| faults.is_empty() && is_read_as_it_stands(text));
        self.text = text.map(str::to_owned);
        (&self.document, faults)
    }

    fn patch(&mut self, bytes: &[u8]) -> Option<()> {
        let (old, new) = (self.text.as_deref()?, str::from_utf8(bytes).ok()?);
        let [root] = self.document.nodes.as_mut_slice() else { return None };
        if !root.has_block || new.len() > LARGEST_FILE || !is_read_as_it_stands(new) {
            return None;
        }
        let (head, patches) = patches(root, old, new)?;
        let shift = signed(new.len())? - signed(old.len())?;
        let mut end = root.children.len();
        for patch in patches.into_iter().rev() {
            root.children[patch.behind..end].iter_mut().for_each(|node| move_by(node, patch.shift));
            end = patch.first;
            root.children.splice(patch.first..patch.behind, patch.nodes);
        }
        let whole_end = moved(root.whole, shift).end;
        if let Some(head) = head {
            *root = Node { children: mem::take(&mut root.children), ..head };
        }
        root.whole.end = whole_end;
        self.text = Some(new.to_owned());
        Some(())
    }
}

/// The outermost node without its children, if it reads otherwise now, and what to put in the place of what, from the
/// first to the last; none if the whole text must be read.
fn patches(root: &Node, old: &str, new: &str) -> Option<(Option<Node>, Vec<Patch>)> {
    let mut starts: Vec<usize> = root.children.iter().map(start).collect();
    let end = (root.whole.end as usize).checked_sub(1)?;
    starts.push(end);
    let count = root.children.len();
    let piece = |place: usize| &old[starts[place]..starts[place + 1]];
    let (before, tail) = (&old[..starts[0]], &old[end..]);
    let inside = new.strip_suffix(tail)?;
    // The last piece may end where the block does, on the node's own line: text behind it would belong to that node.
    let stands = |place: usize, at: usize| {
        inside[at..].starts_with(piece(place))
            && (place + 1 < count || at + piece(place).len() == inside.len())
    };
    // The next of the old nodes that still stands, and where.
    let next = |place: usize, at: usize| {
        let found = |next: usize| inside[at..].match_indices(piece(next)).map(move |(offset, _)| at + offset);
        let still_there = |next: usize| Some((next, found(next).find(|&at| stands(next, at))?));
        (place..count).take(PASSED_OVER).find_map(still_there)
    };
    let (mut head, mut patches) = (None, Vec::new());
    let (mut place, mut at) = (0, before.len());
    if !inside.starts_with(before) {
        (place, at) = next(0, 0)?;
        let mut root = root_of(&inside[..at])?;
        let shift = signed(at)? - signed(starts[place])?;
        patches.push(Patch { first: 0, behind: place, nodes: mem::take(&mut root.children), shift });
        head = Some(root);
    }
    while place < count || at < inside.len() {
        if place < count && stands(place, at) {
            at += piece(place).len();
            place += 1;
            continue;
        }
        let (behind, stop) = next(place + 1, at).unwrap_or((count, inside.len()));
        let mut nodes = whole_nodes(&inside[at..stop])?;
        let shift = signed(at)?;
        for node in &mut nodes {
            move_by(node, shift);
        }
        let shift = signed(stop)? - signed(starts[behind])?;
        patches.push(Patch { first: place, behind, nodes, shift });
        (place, at) = (behind, stop);
    }
    Some((head, patches))
}

/// The outermost node, of a text that ends between two nodes of its block.
fn root_of(text: &str) -> Option<Node> {
    if !ends_between_nodes(text) {
        return None;
    }
    let closed = [text, "}"].concat();
    let mut nodes = nodes_of(&closed)?;
    let root = nodes.pop().filter(|root| nodes.is_empty() && root.has_block)?;
    // Closed by the bracket added, and not by one before it.
    (root.whole.end as usize == closed.len()).then_some(root)
}

/// The nodes of a stretch of text that begins between two nodes, if it also ends between two.
fn whole_nodes(text: &str) -> Option<Vec<Node>> {
    if ends_between_nodes(text) { nodes_of(text) } else { None }
}

/// As far as that can be told from the end of a text that reads as whole nodes.
fn ends_between_nodes(text: &str) -> bool {
    let ends_a_line = text.is_empty() || text.trim_end_matches([' ', '\t']).ends_with('\n');
    // A continued line or a commented-out node may reach on into what follows.
    ends_a_line && !text.contains('\\') && !text.contains("/-")
}

/// The nodes of a text that is read to its end without trouble and cannot be nested too deep. A byte order mark is
/// passed over only where it begins a text, and so must not begin one here.
fn nodes_of(text: &str) -> Option<Vec<Node>> {
    if text.matches('{').count() >= DEEPEST_NESTING - 1 || text.contains('\u{feff}') {
        return None;
    }
    let grown = tree::grow(text, text, &[], &[]);
    (grown.trouble.is_none() && grown.open.is_empty()).then_some(grown.nodes)
}

/// Whether the reader gets the text itself and not a copy with something painted over.
fn is_read_as_it_stands(text: &str) -> bool {
    !(text.contains("\"\"\"") || text.contains('\\') && text.contains('\r'))
}

/// Where a node begins, its annotation included.
fn start(node: &Node) -> usize {
    node.annotation.as_ref().map_or(node.span, |annotation| annotation.span).start as usize
}

fn move_by(node: &mut Node, shift: i32) {
    if shift == 0 {
        return;
    }
    let own = [&mut node.span, &mut node.whole];
    let annotation = node.annotation.iter_mut().map(|annotation| &mut annotation.span);
    let arguments = node.arguments.iter_mut().flat_map(|it| [&mut it.span, &mut it.value_span]);
    let properties =
        node.properties.iter_mut().flat_map(|it| [&mut it.key_span, &mut it.span, &mut it.value_span]);
    for span in own.into_iter().chain(annotation).chain(arguments).chain(properties) {
        *span = moved(*span, shift);
    }
    node.children.iter_mut().for_each(|child| move_by(child, shift));
}

fn moved(span: Span, shift: i32) -> Span {
    Span { start: span.start.saturating_add_signed(shift), end: span.end.saturating_add_signed(shift) }
}

/// An offset in a text no larger than [`LARGEST_FILE`].
fn signed(offset: usize) -> Option<i32> {
    i32::try_from(offset).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    const FILE: &str = "// head\nsetup \"a\" {\n    floor 1 // level\n    (x)stem { length 50 }\n    /- bar { }\n    \
                        left { grip { hand 62 }; lever 3\n        to=4 }\n    note \"is \\\"so\\\"\"\n}\n// tail\n";

    /// Every text read after the one before it, and by itself.
    fn agrees(texts: &[&str]) {
        let mut parser = Parser::default();
        for text in texts {
            let (document, faults) = parser.parse(text.as_bytes());
            let (alone, faults_alone) = parse(text.as_bytes());
            assert_eq!((document, &faults), (&alone, &faults_alone), "{text}");
        }
    }

    #[test]
    fn a_text_read_after_another_reads_as_by_itself() {
        for (was, now) in [
            ("50", "7"),
            ("50", "50.25"),
            ("floor 1", "tilt 1; floor 1"),
            ("    floor 1 // level\n", ""),
            ("    note \"is \\\"so\\\"\"\n", ""),
            ("62", "63 }; x { y 1"),
            ("note", "part { note \"one\" }\n    note"),
            ("// tail", "// another\nb 2"),
            ("\"a\"", "\"b\" format=1"),
            ("// head\nsetup \"a\" {\n", "setup \"another\" {\n    rider { stature 1780 }\n"),
        ] {
            let edited = FILE.replace(was, now);
            assert_ne!(edited, FILE, "{was}");
            agrees(&[FILE, &edited, FILE, FILE]);
        }
    }

    #[test]
    fn what_reaches_into_its_neighbours_is_read_with_them() {
        for (was, now) in [
            ("level\n", "level\n    /-\n"),
            ("level\n", "level\n    x \\\n"),
            ("level\n", "level\n    /* open\n"),
            ("level\n", "level\n    \"open\n"),
            ("level\n", "level\n    x {\n"),
            ("level\n", "level\n    }\n"),
            ("1 // level\n", "1 "),
            ("(x)", "(y)"),
            ("/- bar", "bar"),
            ("// level", "//"),
            ("62 }", "62"),
            ("\"a\" {", "\"b\" {} }"),
            ("\"a\" {", "\"b\" { x {"),
            ("\"a\" {", "\"b\"; y {"),
            ("\"a\" {", "\"b\" {}\nz {"),
            ("\"a\" {", "\"b\" { /*"),
            ("\"a\" {", "/- { } \"b\" {"),
        ] {
            let edited = FILE.replace(was, now);
            assert_ne!(edited, FILE, "{was}");
            agrees(&[FILE, &edited, FILE]);
        }
    }

    #[test]
    fn a_block_closed_on_its_last_nodes_line_ends_that_node() {
        for (was, now) in [
            ("floor 1\n    note }\n", "floor 1\n    note \"hello\"\n}\n"),
            ("fork { rebound 7 } }\n", "fork { rebound 7 } shock { rebound 5 }\n}\n"),
            ("accept \"x\" }\n", "accept \"x\" \"why\"\n}\n"),
            ("floor unmeasured}\n", "floor unmeasuredx\n}\n"),
            ("floor unmeasured }\n", "floor unmeasured 5\n}\n"),
            ("a 1; b }\n", "a 1; b c; b }\n"),
            ("a 1; b }\n", "x; b }\n"),
            ("a }\n", "a; }\n"),
            ("a;}\n", "a;b\n}\n"),
        ] {
            let (was, now) = (format!("setup \"a\" {{ {was}"), format!("setup \"a\" {{ {now}"));
            agrees(&[&was, &now, &was, &now]);
        }
    }

    #[test]
    fn a_byte_order_mark_within_the_text_is_not_passed_over() {
        for (was, now) in [
            ("floor 1", "\u{feff}floor 2"),
            ("    floor 1 // level\n", "\u{feff}    floor 1 // level\n    x 1\n"),
            ("    floor 1 // level\n", "\u{feff}\n    floor 1 // level\n"),
            ("// head\n", "\u{feff}// head\n"),
            ("\n}\n// tail", "\n\u{feff}\n}\n// tail"),
        ] {
            let edited = FILE.replace(was, now);
            assert_ne!(edited, FILE, "{was}");
            agrees(&[FILE, &edited, FILE, &edited]);
        }
    }
}
