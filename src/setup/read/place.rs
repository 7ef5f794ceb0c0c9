//! Where the walk along the catalogue's shelves stands, and what a node of some name is there.

use chrono::NaiveDate;

use crate::catalogue::{Catalogue, Shelf, ShelfId, Side, Subject, Taking};

use super::super::syntax::Node;
use super::context::Context;

/// Where the walk stands: a shelf, which part is meant, and what the group says of all its readings.
#[derive(Clone)]
pub struct Place<'c> {
    pub(super) shelf: &'c Shelf,
    pub(super) subject: Subject,
    pub(super) read: Option<NaiveDate>,
    pub(super) path: String,
    /// How many nodes of each counted word have been seen here.
    counted: Vec<(ShelfId, u16)>,
}

impl<'c> Place<'c> {
    /// The top of a file.
    pub fn top(catalogue: &'c Catalogue) -> Self {
        Place {
            shelf: catalogue.top(),
            subject: Subject::BIKE,
            read: None,
            path: String::new(),
            counted: Vec::new(),
        }
    }

    fn inside(&self, shelf: &'c Shelf, subject: Subject, word: &str, read: Option<NaiveDate>) -> Self {
        let path = if self.path.is_empty() { word.to_owned() } else { format!("{}.{word}", self.path) };
        Place { shelf, subject, read: read.or(self.read), path, counted: Vec::new() }
    }

    /// Whether it is the top of the file.
    pub fn is_top(&self) -> bool {
        self.path.is_empty()
    }

    /// Whether a group or a measure of that name may stand here.
    pub fn knows(&self, catalogue: &Catalogue, name: &str) -> bool {
        found(catalogue, self.shelf, name).is_some()
    }

    /// Whether a node of that name is told from others that stand here by counting them.
    pub fn counts(&self, catalogue: &Catalogue, name: &str) -> bool {
        let id = found(catalogue, self.shelf, name);
        id.is_some_and(|id| catalogue.shelf(id).taking == Taking::Count)
    }

    /// What stands in the block of a node, if the node is a group and no other could be meant by it.
    pub fn inside_of(&self, context: &mut Context<'c>, node: &Node) -> Option<Place<'c>> {
        let catalogue = context.catalogue;
        let id = found(catalogue, self.shelf, &node.name)?;
        let shelf = catalogue.shelf(id);
        if !shelf.is_group() || shelf.taking == Taking::Count {
            return None;
        }
        let subject = self.clone().subject_of(context, node, id)?;
        Some(entered(context, self, node, shelf, subject))
    }

    /// Which part is meant by a node on one of the shelves here.
    pub(super) fn subject_of(&mut self, context: &mut Context, node: &Node, id: ShelfId) -> Option<Subject> {
        let mut subject = self.subject.clone();
        match context.catalogue.shelf(id).taking {
            Taking::Nothing => {}
            Taking::Side => subject.side = Side::parse(&node.name),
            Taking::Count => subject.ordinal = self.next_of(id),
            Taking::Name => {
                subject.name = Some(context.filled(node, 0, "a name in quotes")?.value.as_str().into());
            }
        }
        Some(subject)
    }

    fn next_of(&mut self, id: ShelfId) -> u16 {
        if let Some((_, count)) = self.counted.iter_mut().find(|(counted, _)| *counted == id) {
            *count = count.saturating_add(1);
            return *count;
        }
        self.counted.push((id, 1));
        1
    }
}

/// The shelf on which a node of that name lies.
pub(super) fn found(catalogue: &Catalogue, from: &Shelf, name: &str) -> Option<ShelfId> {
    let side = Side::parse(name);
    let fits = |id: &ShelfId| {
        let shelf = catalogue.shelf(*id);
        if shelf.taking == Taking::Side { side.is_some() } else { shelf.word == name }
    };
    from.children.iter().copied().find(fits)
}

/// The place inside a group.
pub(super) fn entered<'c>(
    context: &mut Context,
    place: &Place<'c>,
    node: &Node,
    shelf: &'c Shelf,
    subject: Subject,
) -> Place<'c> {
    context.properties(node, &["read"]);
    context.at_most(node, usize::from(shelf.taking == Taking::Name));
    let read = context.date_property(node, "read");
    let name = subject.name.clone().filter(|_| shelf.taking == Taking::Name);
    let word = name.map_or_else(|| node.name.to_string(), |name| format!("{}.{name}", node.name));
    place.inside(shelf, subject, &word, read)
}
