//! Where a measure stands in the tree, or where it would.

use std::fmt::Write as _;
use std::sync::Arc;

use crate::catalogue::word;
use crate::catalogue::{Catalogue, MeasureId, Shape, Shelf, Side, Taking};

use super::super::syntax::{Document, Node, Value};
use super::{Entry, number};

/// One node on the way to a measure.
pub(super) struct Step {
    pub word: &'static str,
    pub name: Option<Arc<str>>,
    /// Which of several of that word, counted from 1; 0 for the only one.
    pub ordinal: u16,
}

/// The way to a measure's node from the file's one node, and the property there, if it stands as one.
pub(super) struct Address {
    pub steps: Vec<Step>,
    pub property: Option<&'static str>,
}

/// How far the tree goes along an address.
pub(super) enum Found<'d> {
    /// All the way.
    Node(&'d Node),
    /// To this group; the first `depth` steps are there.
    Group { root: &'d Node, group: &'d Node, depth: usize },
}

/// The address of a measure.
pub(super) fn address(catalogue: &Catalogue, id: &MeasureId) -> Address {
    let measure = catalogue.measure(id.row);
    let mut steps: Vec<Step> = Vec::new();
    for word in measure.path.split('.') {
        match (word, steps.last_mut()) {
            ("SIDE", _) => {
                let word = id.subject.side.unwrap_or(Side::Left).word();
                steps.push(Step { word, name: None, ordinal: 0 });
            }
            ("NAME", Some(last)) => last.name.clone_from(&id.subject.name),
            ("N", Some(last)) => last.ordinal = id.subject.ordinal,
            _ => steps.push(Step { word, name: None, ordinal: 0 }),
        }
    }
    let property = match measure.shape {
        Shape::Node => None,
        Shape::Property => steps.pop().map(|step| step.word),
    };
    Address { steps, property }
}

/// The file's one node.
pub(super) fn root(document: &Document) -> Option<&Node> {
    document.nodes.iter().find(|node| matches!(&*node.name, "setup" | "found"))
}

/// Follows an address as far as the tree goes; none without a root.
pub(super) fn find<'d>(document: &'d Document, address: &Address) -> Option<Found<'d>> {
    let root = root(document)?;
    let mut at = root;
    for (depth, step) in address.steps.iter().enumerate() {
        match child(at, step) {
            Some(next) => at = next,
            None => return Some(Found::Group { root, group: at, depth }),
        }
    }
    Some(Found::Node(at))
}

/// Whether a node has this word, and this name as its first value.
pub(super) fn is_named(node: &Node, word: &str, name: &str) -> bool {
    let first = node.arguments.first().map(|argument| &argument.value);
    &*node.name == word && first.is_some_and(|first| is_text(first, name))
}

/// Whether a value is this text.
pub(super) fn is_text(value: &Value, words: &str) -> bool {
    matches!(value, Value::Text(text) if text == words)
}

/// The child that a step leads to.
pub(super) fn child<'n>(node: &'n Node, step: &Step) -> Option<&'n Node> {
    let mut fitting = node.children.iter().filter(|child| match &step.name {
        Some(name) => is_named(child, step.word, name),
        None => &*child.name == step.word,
    });
    fitting.nth(usize::from(step.ordinal.saturating_sub(1)))
}

/// The last mark, or else the last node of all: where a sheet's next mark goes.
pub(super) fn last_record(root: &Node) -> Option<&Node> {
    root.children.iter().rev().find(|child| &*child.name == "mark").or(root.children.last())
}

/// The node after which the step at `depth` goes: the last that comes before it in the catalogue's order.
pub(super) fn predecessor<'n>(
    catalogue: &Catalogue,
    address: &Address,
    group: &'n Node,
    depth: usize,
) -> Option<&'n Node> {
    let shelf = shelf_at(catalogue, address, depth)?;
    let own = rank(catalogue, shelf, address.steps.get(depth)?.word, depth == 0)?;
    group
        .children
        .iter()
        .rev()
        .find(|child| rank(catalogue, shelf, &child.name, depth == 0).is_some_and(|rank| rank <= own))
}

/// The shelf on which the step at `depth` stands.
fn shelf_at<'c>(catalogue: &'c Catalogue, address: &Address, depth: usize) -> Option<&'c Shelf> {
    let mut shelf = catalogue.top();
    for step in &address.steps[..depth] {
        let next = shelf.children.iter().map(|id| catalogue.shelf(*id)).find(|next| fits(next, step.word));
        shelf = next?;
    }
    Some(shelf)
}

fn fits(shelf: &Shelf, word: &str) -> bool {
    if shelf.taking == Taking::Side { Side::parse(word).is_some() } else { shelf.word == word }
}

/// A word's place among its siblings; none for words that have no fixed place, such as notes.
fn rank(catalogue: &Catalogue, shelf: &Shelf, word: &str, top: bool) -> Option<(usize, usize)> {
    if top && [&word::MEASURED, &word::PURPOSE, &word::INSTRUMENTS].iter().any(|head| head.name == word) {
        return Some((0, 0));
    }
    let index = shelf.children.iter().position(|id| fits(catalogue.shelf(*id), word))?;
    Some((index + 1, Side::parse(word).map_or(0, |side| usize::from(side == Side::Right))))
}

/// A new line for a measure: its node and the groups around it that are missing, opened on one line.
pub(super) fn written(
    address: &Address,
    depth: usize,
    values: &[String],
    properties: &[(&str, Entry<String>)],
) -> String {
    let mut line = String::new();
    let missing = address.steps.get(depth..).unwrap_or_default();
    for (index, step) in missing.iter().enumerate() {
        if index > 0 {
            line.push_str(" { ");
        }
        line.push_str(step.word);
        if let Some(name) = &step.name {
            line.push(' ');
            line.push_str(&number::quoted(name));
        }
    }
    match address.property {
        None => line.extend(values.iter().map(|value| format!(" {value}"))),
        Some(key) => {
            let _ = write!(line, " {key}={}", values.join(" "));
        }
    }
    for (key, entry) in properties {
        if let Entry::Set(value) = entry {
            let _ = write!(line, " {key}={value}");
        }
    }
    line.push_str(&" }".repeat(missing.len().saturating_sub(1)));
    line
}
