//! The rows arranged as the file is: groups within groups, so that reading a file is a walk along shelves.

use super::measure::{Measure, Shape};
use super::table::Row;

/// The number of a shelf in its catalogue.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ShelfId(pub usize);

/// What a node needs beside its word to say which part it means.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Taking {
    /// Nothing.
    Nothing,
    /// Its word is the side.
    Side,
    /// A given name, as its value.
    Name,
    /// Several may stand here; they are counted.
    Count,
}

/// One place of the file: a group, a measure, or both.
#[derive(Clone, Debug)]
pub struct Shelf {
    /// The node's word; `SIDE` for left and right.
    pub word: &'static str,
    /// What says which part is meant.
    pub taking: Taking,
    /// The row whose value stands on this node.
    pub measure: Option<Row>,
    /// The rows that stand as properties of this node.
    pub properties: Vec<(&'static str, Row)>,
    /// What may stand inside.
    pub children: Vec<ShelfId>,
}

impl Shelf {
    /// Whether it is a group a person opens with a brace.
    pub fn is_group(&self) -> bool {
        !self.children.is_empty()
    }
}

/// Arranges the rows; shelf 0 is the file itself.
pub fn build(rows: &[Measure]) -> Vec<Shelf> {
    let mut shelves = Vec::with_capacity(rows.len());
    shelves.push(empty(""));
    for (index, measure) in rows.iter().enumerate() {
        let row = Row(u16::try_from(index).unwrap_or(u16::MAX));
        let (nodes, property) = match measure.shape {
            Shape::Node => (measure.path, None),
            Shape::Property => {
                let (nodes, word) = measure.path.rsplit_once('.').unwrap_or(("", measure.path));
                (nodes, Some(word))
            }
        };
        let words = nodes.split_terminator('.');
        let at = words.fold(ShelfId(0), |at, word| step(&mut shelves, at, word));
        match property {
            None => shelves[at.0].measure = Some(row),
            Some(word) => shelves[at.0].properties.push((word, row)),
        }
    }
    shelves
}

fn step(shelves: &mut Vec<Shelf>, at: ShelfId, word: &'static str) -> ShelfId {
    match word {
        "NAME" => shelves[at.0].taking = Taking::Name,
        "N" => shelves[at.0].taking = Taking::Count,
        _ => {
            let found = shelves[at.0].children.iter().copied().find(|child| shelves[child.0].word == word);
            return found.unwrap_or_else(|| add(shelves, at, word));
        }
    }
    at
}

fn add(shelves: &mut Vec<Shelf>, at: ShelfId, word: &'static str) -> ShelfId {
    let id = ShelfId(shelves.len());
    shelves.push(empty(word));
    shelves[at.0].children.push(id);
    id
}

fn empty(word: &'static str) -> Shelf {
    let taking = if word == "SIDE" { Taking::Side } else { Taking::Nothing };
    Shelf { word, taking, measure: None, properties: Vec::new(), children: Vec::new() }
}
