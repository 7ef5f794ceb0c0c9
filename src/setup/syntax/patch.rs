//! Reading a text that is nearly the one read before: what stands there unchanged keeps its nodes.
//!
//! The text is cut where the nodes in a block begin: the outermost, and within it that of the one node that changed. A
//! stretch that stands in both texts means the same in both, if the reader comes to it in the same state, between two
//! nodes of that block. It does so after an equal stretch, and after new text that reads as whole nodes by itself.
//! Whatever is less plain is read from the start.

use std::iter;
use std::mem;
use std::ops::Range;

use memchr::memmem;

use super::{DEEPEST_NESTING, Document, LARGEST_FILE, Node, SyntaxFault, Text, parse, tree};
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

/// A text as it was read.
#[derive(Debug)]
pub struct Parsed<'p> {
    /// Its nodes, with every fault told as [`parse`] does.
    pub document: &'p Document,
    /// The faults of the text.
    pub faults: Vec<SyntaxFault>,
    /// In what it differs from the text before, from the first to the last, if it was read by that: then both are one
    /// outermost node and have no fault.
    pub edits: Option<Vec<Edit>>,
}

/// Nodes of the outermost block that stand in the place of others.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Edit {
    /// The stretch of the old text in which the nodes began that are gone; empty where new ones only came in between.
    pub was: Span,
    /// The names of the nodes that are gone.
    pub gone: Vec<Text>,
    /// The new nodes, by their places in the block.
    pub nodes: Range<usize>,
    /// By how much the text behind them moved, as far as the next edit.
    pub shift: i32,
    /// Where the one node reads otherwise only in its block: in what that differs, from the first to the last.
    pub within: Vec<Edit>,
}

/// New text in the place of some of the old nodes.
struct Patch {
    first: usize,
    behind: usize,
    /// Where these old nodes begin and end in the old text.
    was: Span,
    new: New,
    /// By how much the nodes behind it move.
    shift: i32,
}

/// What stands there now.
enum New {
    /// These nodes.
    Nodes(Vec<Node>),
    /// The one node that stood there, with these patches in its block.
    Inside(Vec<Patch>),
}

impl Parser {
    /// The same as [`parse`] of this text.
    pub fn parse(&mut self, bytes: &[u8]) -> Parsed<'_> {
        if let Some(edits) = self.patch(bytes) {
            return Parsed { document: &self.document, faults: Vec::new(), edits: Some(edits) };
        }
        let (document, faults) = parse(bytes);
        self.document = document;
        let text = str::from_utf8(bytes).ok().filter(|text| faults.is_empty() && is_read_as_it_stands(text));
        self.text = text.map(str::to_owned);
        Parsed { document: &self.document, faults, edits: None }
    }

    fn patch(&mut self, bytes: &[u8]) -> Option<Vec<Edit>> {
        let (old, new) = (self.text.as_deref()?, str::from_utf8(bytes).ok()?);
        let [root] = self.document.nodes.as_mut_slice() else { return None };
        if !root.has_block || new.len() > LARGEST_FILE || !is_read_as_it_stands(new) {
            return None;
        }
        let (head, patches) = patches(root, old, new)?;
        let edits = edits(&root.children, &patches);
        let shift = signed(new.len())? - signed(old.len())?;
        make(&mut root.children, patches, 0);
        let whole_end = root.whole.moved(shift).end;
        if let Some(head) = head {
            *root = Node { children: mem::take(&mut root.children), ..head };
        }
        root.whole.end = whole_end;
        self.text = Some(new.to_owned());
        Some(edits)
    }
}

/// Makes the patches of one block, in front of which the text moved by `lead`.
fn make(nodes: &mut Vec<Node>, patches: Vec<Patch>, lead: i32) {
    let leads: Vec<i32> = iter::once(lead).chain(patches.iter().map(|patch| patch.shift)).collect();
    let mut end = nodes.len();
    for (patch, lead) in patches.into_iter().zip(leads).rev() {
        nodes[patch.behind..end].iter_mut().for_each(|node| move_by(node, patch.shift));
        end = patch.first;
        match patch.new {
            New::Nodes(new) => drop(nodes.splice(patch.first..patch.behind, new)),
            New::Inside(patches) => {
                let node = &mut nodes[patch.first];
                let whole_end = node.whole.moved(patch.shift).end;
                move_head(node, lead);
                node.whole.end = whole_end;
                make(&mut node.children, patches, lead);
            }
        }
    }
    nodes[..end].iter_mut().for_each(|node| move_by(node, lead));
}

/// The patches of a block as they look once all of them are made; its nodes are still the old ones.
fn edits(nodes: &[Node], patches: &[Patch]) -> Vec<Edit> {
    let (mut came, mut went) = (0, 0);
    let one = |patch: &Patch| {
        let (count, within) = match &patch.new {
            New::Nodes(nodes) => (nodes.len(), Vec::new()),
            New::Inside(patches) => (1, edits(&nodes[patch.first].children, patches)),
        };
        let first = patch.first + came - went;
        let gone = nodes[patch.first..patch.behind].iter().map(|node| node.name.clone()).collect::<Vec<_>>();
        came += count;
        went += gone.len();
        Edit { was: patch.was, gone, nodes: first..first + count, shift: patch.shift, within }
    };
    patches.iter().map(one).collect()
}

/// The outermost node without its children, if it reads otherwise now, and what to put in the place of what, from the
/// first to the last; none if the whole text must be read.
fn patches(root: &Node, old: &str, new: &str) -> Option<(Option<Node>, Vec<Patch>)> {
    let end = (root.whole.end as usize).checked_sub(1)?;
    let inside = new.strip_suffix(&old[end..])?;
    let block = Block::of(root, old, inside, 1)?;
    let (mut head, mut patches) = (None, Vec::new());
    let (mut place, mut at) = (0, block.starts[0]);
    if !inside.starts_with(&old[..at]) {
        (place, at) = block.next(0, 0)?;
        let mut root = root_of(&inside[..at])?;
        patches.push(block.patch(0, place, at, New::Nodes(mem::take(&mut root.children)))?);
        head = Some(root);
    }
    block.patches(&root.children, (place, at), &mut patches)?;
    Some((head, patches))
}

/// A block, in the old text and in the new one.
struct Block<'t> {
    old: &'t str,
    /// The new text, up to the end of the block.
    inside: &'t str,
    /// Where its nodes begin in the old text, and where it ends.
    starts: Vec<usize>,
    /// How many nodes it stands in.
    depth: usize,
}

impl<'t> Block<'t> {
    fn of(node: &Node, old: &'t str, inside: &'t str, depth: usize) -> Option<Self> {
        let end = (node.whole.end as usize).checked_sub(1)?;
        let starts = node.children.iter().map(start).chain([end]).collect();
        Some(Block { old, inside, starts, depth })
    }

    fn count(&self) -> usize {
        self.starts.len() - 1
    }

    fn piece(&self, place: usize) -> &'t str {
        &self.old[self.starts[place]..self.starts[place + 1]]
    }

    /// Whether an old node still stands here. The last piece may end where the block does, on the node's own line: text
    /// behind it would belong to that node.
    fn stands(&self, place: usize, at: usize) -> bool {
        let piece = self.piece(place);
        let is_whole = place + 1 < self.count() || at + piece.len() == self.inside.len();
        is_whole && self.inside[at..].starts_with(piece)
    }

    /// The next of the old nodes that still stands, and where.
    fn next(&self, place: usize, at: usize) -> Option<(usize, usize)> {
        let found = |next: usize| {
            self.inside[at..].match_indices(self.piece(next)).map(move |(offset, _)| at + offset)
        };
        let searched = |next: usize| found(next).find(|&at| self.stands(next, at));
        let still_there =
            |next: usize| Some((next, self.as_far_from_the_end(next, at).or_else(|| searched(next))?));
        (place..self.count()).take(PASSED_OVER).find_map(still_there)
    }

    /// Where an old node stands if nothing behind it is longer or shorter than it was: there it is looked for first.
    fn as_far_from_the_end(&self, place: usize, from: usize) -> Option<usize> {
        let at = (self.inside.len() + self.starts[place]).checked_sub(self.starts[self.count()])?;
        (at >= from && self.inside.is_char_boundary(at) && self.stands(place, at)).then_some(at)
    }

    /// What to put in the place of what from an old node on, and from here on in the new text.
    fn patches(
        &self,
        nodes: &[Node],
        (mut place, mut at): (usize, usize),
        patches: &mut Vec<Patch>,
    ) -> Option<()> {
        while place < self.count() || at < self.inside.len() {
            if place < self.count() && self.stands(place, at) {
                at += self.piece(place).len();
                place += 1;
                continue;
            }
            let (behind, stop) = self.next(place + 1, at).unwrap_or((self.count(), self.inside.len()));
            let only = nodes.get(place).filter(|_| behind == place + 1);
            let new = match only.and_then(|node| self.within(node, place, at, stop)) {
                Some(patches) => New::Inside(patches),
                None => New::Nodes(self.whole_nodes(at, stop)?),
            };
            patches.push(self.patch(place, behind, stop, new)?);
            (place, at) = (behind, stop);
        }
        Some(())
    }

    fn patch(&self, first: usize, behind: usize, stop: usize, new: New) -> Option<Patch> {
        let was = Span::new(self.starts[first], self.starts[behind]);
        let shift = signed(stop)? - signed(self.starts[behind])?;
        Some(Patch { first, behind, was, new, shift })
    }

    /// The patches within the block of one node, if that node reads otherwise nowhere else.
    fn within(&self, node: &Node, place: usize, at: usize, stop: usize) -> Option<Vec<Patch>> {
        let first = start(node.children.first()?);
        let before = &self.old[self.starts[place]..first];
        let tail = &self.old[(node.whole.end as usize).checked_sub(1)?..self.starts[place + 1]];
        let inside = self.inside[..stop].strip_suffix(tail)?;
        if !inside.get(at..)?.starts_with(before) {
            return None;
        }
        let block = Block::of(node, self.old, inside, self.depth + 1)?;
        let mut patches = Vec::new();
        block.patches(&node.children, (0, at + before.len()), &mut patches)?;
        Some(patches)
    }

    /// The nodes of a stretch of the new text that begins between two nodes of the block, if it also ends between two.
    fn whole_nodes(&self, at: usize, stop: usize) -> Option<Vec<Node>> {
        let text = &self.inside[at..stop];
        let is_last = stop == self.inside.len();
        let ends_with_the_block = is_last && !text.contains("//") && !reaches_on(text);
        if !ends_between_nodes(text) && !ends_with_the_block {
            return None;
        }
        let mut nodes = nodes_of(text, self.depth)?;
        let shift = signed(at)?;
        for node in &mut nodes {
            move_by(node, shift);
        }
        Some(nodes)
    }
}

/// The outermost node, of a text that ends between two nodes of its block.
fn root_of(text: &str) -> Option<Node> {
    if !ends_between_nodes(text) {
        return None;
    }
    let closed = [text, "}"].concat();
    let mut nodes = nodes_of(&closed, 1)?;
    let root = nodes.pop().filter(|root| nodes.is_empty() && root.has_block)?;
    // Closed by the bracket added, and not by one before it.
    (root.whole.end as usize == closed.len()).then_some(root)
}

/// As far as that can be told from the end of a text that reads as whole nodes.
fn ends_between_nodes(text: &str) -> bool {
    let end = text.trim_end_matches([' ', '\t']);
    let ends = end.is_empty() || end.ends_with('\n') || end.ends_with(';') && !text.contains("//");
    ends && !reaches_on(text)
}

/// A continued line or a commented-out node may reach on into what follows.
fn reaches_on(text: &str) -> bool {
    text.contains('\\') || text.contains("/-")
}

/// The nodes of a text within so many others, if it is read to its end without trouble and cannot be nested too deep. A
/// byte order mark is passed over only where it begins a text, and so must not begin one here.
fn nodes_of(text: &str, depth: usize) -> Option<Vec<Node>> {
    if depth + text.matches('{').count() >= DEEPEST_NESTING || text.contains('\u{feff}') {
        return None;
    }
    let grown = tree::grow(text, text, &[], &[]);
    (grown.trouble.is_none() && grown.open.is_empty()).then_some(grown.nodes)
}

/// Whether the reader gets the text itself and not a copy with something painted over.
fn is_read_as_it_stands(text: &str) -> bool {
    !(memmem::find(text.as_bytes(), b"\"\"\"").is_some() || text.contains('\\') && text.contains('\r'))
}

/// Where a node begins, its annotation included.
fn start(node: &Node) -> usize {
    node.annotation.as_ref().map_or(node.span, |annotation| annotation.span).start as usize
}

fn move_by(node: &mut Node, shift: i32) {
    if shift == 0 {
        return;
    }
    move_head(node, shift);
    node.children.iter_mut().for_each(|child| move_by(child, shift));
}

/// Moves all of a node but what is in its block.
fn move_head(node: &mut Node, shift: i32) {
    let own = [&mut node.span, &mut node.whole];
    let annotation = node.annotation.iter_mut().map(|annotation| &mut annotation.span);
    let arguments = node.arguments.iter_mut().flat_map(|it| [&mut it.span, &mut it.value_span]);
    let properties =
        node.properties.iter_mut().flat_map(|it| [&mut it.key_span, &mut it.span, &mut it.value_span]);
    for span in own.into_iter().chain(annotation).chain(arguments).chain(properties) {
        *span = span.moved(shift);
    }
}

/// An offset in a text no larger than [`LARGEST_FILE`].
fn signed(offset: usize) -> Option<i32> {
    i32::try_from(offset).ok()
}

#[cfg(test)]
mod tests;
