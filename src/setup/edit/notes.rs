//! Notes in the text: behind what already stands in their group.

use super::super::syntax::Node;
use super::verify::Touched;
use super::{Edit, EditError, insert, number, over, place};

impl Edit<'_> {
    /// Puts a note at the end of a group: a part's (`bar`, `left.brake-lever`), a joint's torque (`torque.stem-face`), or
    /// behind the notes at the top for an empty path.
    ///
    /// # Errors
    /// [`EditError::NotThere`] if the file has no such group; [`EditError::WouldNotRead`] as for every edit.
    pub fn add_note(&mut self, on: &str, text: &str) -> Result<(), EditError> {
        let document = self.document();
        let not_there = || EditError::NotThere(on.to_owned());
        let root = place::root(&document).ok_or_else(not_there)?;
        let group = group(root, on).ok_or_else(not_there)?;
        let after = if on.is_empty() { behind_the_notes(root) } else { group.children.last() };
        let line = format!("note {}", number::quoted(text));
        let splice = insert::node(&self.text, root, group, after, &line);
        self.settle(vec![splice], Touched { note: Some((on, text)), ..Touched::default() })
    }
}

impl Edit<'_> {
    /// Takes a note out of a group.
    ///
    /// # Errors
    /// [`EditError::NotThere`] if the group has no such note; [`EditError::WouldNotRead`] as for every edit.
    pub fn remove_note(&mut self, on: &str, text: &str) -> Result<(), EditError> {
        let document = self.document();
        let not_there = || EditError::NotThere(on.to_owned());
        let root = place::root(&document).ok_or_else(not_there)?;
        let group = group(root, on).ok_or_else(not_there)?;
        let mut notes = group.children.iter().filter(|child| place::is_named(child, "note", text));
        let note = notes.next().ok_or_else(not_there)?;
        let splice = insert::without_node(&self.text, note);
        self.settle(vec![splice], Touched { gone: Some((on, text)), ..Touched::default() })
    }
}

impl Edit<'_> {
    /// Writes a note otherwise, where it stands.
    ///
    /// # Errors
    /// [`EditError::NotThere`] if the group has no such note; [`EditError::WouldNotRead`] as for every edit.
    pub fn rewrite_note(&mut self, on: &str, text: &str, now: &str) -> Result<(), EditError> {
        let document = self.document();
        let not_there = || EditError::NotThere(on.to_owned());
        let root = place::root(&document).ok_or_else(not_there)?;
        let group = group(root, on).ok_or_else(not_there)?;
        let note = group.children.iter().find(|child| place::is_named(child, "note", text));
        let words = note.and_then(|note| note.arguments.first()).ok_or_else(not_there)?;
        let splice = over(words.span, &number::quoted(now));
        let touched = Touched { gone: Some((on, text)), note: Some((on, now)), ..Touched::default() };
        self.settle(vec![splice], touched)
    }
}

/// The node of a group's path; the path of a torque and of a mark goes on with its name, dots and all.
fn group<'n>(root: &'n Node, on: &str) -> Option<&'n Node> {
    if on.is_empty() {
        return Some(root);
    }
    match on.split_once('.') {
        Some((word @ ("torque" | "mark" | "hose" | "guard"), name)) => {
            root.children.iter().find(|node| place::is_named(node, word, name))
        }
        _ => on.split('.').try_fold(root, |group, word| group.child(word)),
    }
}

/// Where a note on the whole bike goes: after the last of its kind, else after the head of the file.
fn behind_the_notes(root: &Node) -> Option<&Node> {
    let is_head = |node: &&Node| matches!(&*node.name, "measured" | "purpose");
    let notes = root.children.iter().rev().find(|node| &*node.name == "note");
    notes.or_else(|| root.children.iter().rev().find(is_head))
}
