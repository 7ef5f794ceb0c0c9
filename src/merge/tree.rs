//! Which node of one version answers to which of another, and whether they say the same.

use crate::catalogue::{Catalogue, MeasureId};
use crate::setup::model::Recorded;
use crate::setup::syntax::{Node, Property, Value};

use super::version::{Version, reading};

/// Words that are told apart by the name after them; hoses are so by the table.
const NAMED: &[&str] = &["torque", "mark", "guard", "accept", "ceiling", "opened"];

/// What says when something was read, drawn, applied or seen.
const READ: &str = "read";

/// Words whose nodes hold a text alone, any number of them: they have no name, so they are found again by their text.
pub const TEXTS: [&str; 2] = ["note", "caution"];

/// What a node is called among its neighbours.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Key {
    pub word: String,
    pub name: Option<String>,
    /// Of several of one name, which, counted from 1.
    pub ordinal: usize,
}

impl Key {
    /// The path of this node inside a group's.
    pub fn path(&self, group: &str) -> String {
        let mut path = if group.is_empty() { self.word.clone() } else { format!("{group}.{}", self.word) };
        if let Some(name) = &self.name {
            path = format!("{path}.{name}");
        }
        if self.ordinal > 1 || self.word == "lowest" {
            path = format!("{path}.{}", self.ordinal);
        }
        path
    }
}

/// The nodes of a group with their keys, texts and conflicts left out.
pub fn keyed<'n>(catalogue: &Catalogue, nodes: &'n [Node]) -> Vec<(Key, &'n Node)> {
    let mut keyed: Vec<(Key, &Node)> = Vec::with_capacity(nodes.len());
    let has_key = |node: &&Node| &*node.name != "conflict" && !TEXTS.contains(&&*node.name);
    for node in nodes.iter().filter(has_key) {
        let named = NAMED.contains(&&*node.name) || is_named_group(catalogue, &node.name);
        let name = match node.arguments.first().map(|argument| &argument.value) {
            // One code may be accepted on several measures, each for a reason of its own.
            Some(Value::Text(text)) if &*node.name == "accept" && !on(node).is_empty() => {
                Some(format!("{text} on {}", on(node)))
            }
            Some(Value::Text(text)) if named => Some(text.to_string()),
            // Each damage is a finding of its own: two that differ are two, never two versions of one.
            Some(Value::Text(text)) if &*node.name == "damage" => Some(format!("{}: {text}", on(node))),
            _ => None,
        };
        let alike = |(key, _): &&(Key, &Node)| key.word == *node.name && key.name == name;
        let ordinal = keyed.iter().filter(alike).count() + 1;
        keyed.push((Key { word: node.name.to_string(), name, ordinal }, node));
    }
    keyed
}

/// What a damage or an acknowledgement is on.
fn on(node: &Node) -> &str {
    match node.property("on").map(|property| &property.value) {
        Some(Value::Text(on)) => on,
        _ => "",
    }
}

fn is_named_group(catalogue: &Catalogue, word: &str) -> bool {
    let rest = |path: &'static str| path.strip_prefix(word).and_then(|rest| rest.strip_prefix(".NAME"));
    catalogue.rows().any(|(_, measure)| rest(measure.path).is_some())
}

/// Whether two nodes say the same: their readings by what they amount to (the same words make another reading where
/// the instrument they name has another tolerance), all else word for word but for layout.
pub fn is_same(one: (&Version, &Node), other: (&Version, &Node)) -> bool {
    let leaves = one.1.children.is_empty() && other.1.children.is_empty();
    if leaves && (one.0.measures(one.1).next().is_some() || other.0.measures(other.1).next().is_some()) {
        return is_read_alike(one, other);
    }
    is_same_head_of_a_day(one, other)
        && one.1.children.len() == other.1.children.len()
        && one
            .1
            .children
            .iter()
            .zip(&other.1.children)
            .all(|(mine, yours)| is_same((one.0, mine), (other.0, yours)))
}

/// Whether two nodes say the same outside their blocks, of one day: one that a merge wrote beside what had the file's is the
/// same one.
fn is_same_head_of_a_day(one: (&Version, &Node), other: (&Version, &Node)) -> bool {
    let days = [one.1, other.1].map(|node| node.property(READ).map(|read| &read.value));
    if days[0] == days[1] || one.0.day_of(one.1) != other.0.day_of(other.1) {
        return is_same_head(one.1, other.1);
    }
    is_same_head_undated(one.1, other.1)
}

/// Whether two nodes say the same outside their blocks, whenever it was.
fn is_same_head_undated(one: &Node, other: &Node) -> bool {
    let undated = |node: &Node| {
        let properties = node.properties.iter().filter(|property| &*property.key != READ).cloned().collect();
        Node { properties, children: Vec::new(), ..node.clone() }
    };
    is_same_head(&undated(one), &undated(other))
}

/// Whether two nodes are written with the same words but for their own day.
pub fn is_same_but_its_day(one: &Node, other: &Node) -> bool {
    is_same_head_undated(one, other)
        && one.children.len() == other.children.len()
        && one.children.iter().zip(&other.children).all(|(one, other)| is_written_alike(one, other))
}

/// Whether two nodes say the same, each of another day: the day that is written in it, else its file's.
pub fn is_same_of_another_day(one: (&Version, &Node), other: (&Version, &Node)) -> bool {
    one.0.day_of(one.1) != other.0.day_of(other.1) && is_same_undated(one, other)
}

/// Whether two nodes say the same, whenever it was.
pub fn is_same_undated(one: (&Version, &Node), other: (&Version, &Node)) -> bool {
    let is_one = |mine: &(&MeasureId, &Recorded), yours: &(&MeasureId, &Recorded)| {
        let alike = reading(&mine.1.value)
            .zip(reading(&yours.1.value))
            .map_or(mine.1.value == yours.1.value, |(mine, yours)| mine.is_same_but_its_day(yours));
        mine.0 == yours.0 && alike
    };
    let (mine, yours): (Vec<_>, Vec<_>) =
        (one.0.measures(one.1).collect(), other.0.measures(other.1).collect());
    if mine.is_empty() || !one.1.children.is_empty() {
        return yours.is_empty() && is_same_but_its_day(one.1, other.1);
    }
    mine.len() == yours.len() && mine.iter().zip(&yours).all(|(mine, yours)| is_one(mine, yours))
}

/// Whether two nodes say the same outside their blocks.
pub fn is_same_head(one: &Node, other: &Node) -> bool {
    let arguments = one.arguments.len() == other.arguments.len()
        && one
            .arguments
            .iter()
            .zip(&other.arguments)
            .all(|(one, other)| one.annotation == other.annotation && one.value == other.value);
    let holds = |property: &Property, node: &Node| {
        node.properties.iter().any(|other| {
            other.key == property.key
                && other.annotation == property.annotation
                && other.value == property.value
        })
    };
    one.name == other.name
        && arguments
        && one.properties.len() == other.properties.len()
        && one.properties.iter().all(|property| holds(property, other))
}

/// Whether two nodes are written with the same words, whatever they amount to.
pub fn is_written_alike(one: &Node, other: &Node) -> bool {
    is_same_head(one, other)
        && one.children.len() == other.children.len()
        && one.children.iter().zip(&other.children).all(|(one, other)| is_written_alike(one, other))
}

/// Leaves that record the same readings, choices or unknowns.
fn is_read_alike(one: (&Version, &Node), other: (&Version, &Node)) -> bool {
    let (mine, yours): (Vec<_>, Vec<_>) =
        (one.0.measures(one.1).collect(), other.0.measures(other.1).collect());
    let alike = |mine: &(&MeasureId, &Recorded), yours: &(&MeasureId, &Recorded)| {
        mine.0 == yours.0
            && match (reading(&mine.1.value), reading(&yours.1.value)) {
                (Some(mine), Some(yours)) => {
                    let days = (one.0.setup.day_of(Some(mine)), other.0.setup.day_of(Some(yours)));
                    mine.is_same_reading(yours) || days.0 == days.1 && mine.is_same_but_its_day(yours)
                }
                _ => mine.1.value == yours.1.value,
            }
    };
    !mine.is_empty()
        && mine.len() == yours.len()
        && mine.iter().zip(&yours).all(|(mine, yours)| alike(mine, yours))
}
