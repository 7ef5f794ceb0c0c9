//! What was looked over, on a sheet: damage that was seen, and remarks where nothing was; and words taken back.
//!
//! A remark is a comment: what was good is no reading, and goes into no setup.

use super::super::syntax::scan;
use super::verify::{MarkMeant, Touched};
use super::{Edit, EditError, Splice, insert, number, place};

impl Edit<'_> {
    /// Says what is seen on a part or joint, in place of what was said of it before; nothing for nothing.
    ///
    /// # Errors
    /// [`EditError::WouldNotRead`] as for every edit.
    pub fn set_damage(&mut self, on: &str, seen: Option<&str>) -> Result<(), EditError> {
        let touched = Touched { damage: Some((on, None)), ..Touched::default() };
        let document = self.document();
        let told: Vec<&str> =
            self.setup.damages.iter().filter(|one| one.on.value == on).map(|one| &*one.text.value).collect();
        let gone: Vec<Splice> = place::root(&document)
            .into_iter()
            .flat_map(|root| &root.children)
            .filter(|node| told.iter().any(|text| place::is_named(node, "damage", text)))
            .filter(|node| node.property("on").is_some_and(|property| place::is_text(&property.value, on)))
            .map(|node| insert::without_node(&self.text, node))
            .collect();
        if !gone.is_empty() {
            self.settle(gone, touched)?;
        }
        let Some(seen) = seen else { return Ok(()) };
        let document = self.document();
        let root = place::root(&document).ok_or_else(|| EditError::NotThere(on.to_owned()))?;
        let line = format!("damage on={} {}", number::quoted(on), number::quoted(seen));
        let splice = insert::node(&self.text, root, root, place::last_record(root), &line);
        self.settle(vec![splice], Touched { damage: Some((on, Some(seen))), ..touched })
    }

    /// Says of a joint that it is apart, as of the sheet's day, or says so no longer.
    ///
    /// # Errors
    /// [`EditError::WouldNotRead`] as for every edit.
    pub fn set_opened(&mut self, joint: &str, is_open: bool) -> Result<(), EditError> {
        let is_dated = self.setup.opened.iter().any(|told| told.joint.value == joint && told.read.is_some());
        if self.setup.tells_open(joint) == is_open && !(is_open && is_dated) {
            return Ok(());
        }
        let touched = Touched { opened: Some((joint, is_open)), ..Touched::default() };
        let document = self.document();
        let root = place::root(&document).ok_or_else(|| EditError::NotThere(joint.to_owned()))?;
        let told = root.children.iter().filter(|node| place::is_named(node, "opened", joint));
        let splices = if is_open && is_dated {
            let days = told.filter_map(|node| node.property("read"));
            days.map(|read| insert::without_entry(&self.text, read.span)).collect()
        } else if is_open {
            let line = format!("opened {}", number::quoted(joint));
            vec![insert::node(&self.text, root, root, place::last_record(root), &line)]
        } else {
            told.map(|node| insert::without_node(&self.text, node)).collect()
        };
        self.settle(splices, touched)
    }

    /// Takes away what a sheet says of a mark.
    ///
    /// # Errors
    /// [`EditError::NoSuchMark`]; [`EditError::WouldNotRead`] as for every edit.
    pub fn drop_mark(&mut self, mark: &str) -> Result<(), EditError> {
        let document = self.document();
        let nodes = place::root(&document).into_iter().flat_map(|root| &root.children);
        let gone: Vec<Splice> = nodes
            .filter(|node| place::is_named(node, "mark", mark))
            .map(|node| insert::without_node(&self.text, node))
            .collect();
        if gone.is_empty() {
            return Err(EditError::NoSuchMark(mark.to_owned()));
        }
        self.settle(gone, Touched { mark: Some((mark, MarkMeant::Gone)), ..Touched::default() })
    }

    /// Whether a remark stands in the file, on a line of its own.
    pub fn has_remark(&self, words: &str) -> bool {
        self.text.lines().any(|line| is_remark(line, words))
    }

    /// Puts a remark on a line of its own, at the end of the file's one node.
    ///
    /// # Errors
    /// [`EditError::WouldNotRead`] as for every edit.
    pub fn add_remark(&mut self, words: &str) -> Result<(), EditError> {
        let document = self.document();
        let root = place::root(&document).filter(|root| root.has_block);
        let root = root.ok_or_else(|| EditError::NotThere(words.to_owned()))?;
        let close = root.whole.end as usize - 1;
        let ending = insert::line_ending(&self.text);
        let start = scan::line_start(&self.text, close);
        let is_alone = self.text.get(start..close).is_some_and(|before| before.trim().is_empty());
        let splice = if is_alone {
            Splice::at(start, format!("    // {words}{ending}"))
        } else {
            Splice::at(close, format!("{ending}    // {words}{ending}"))
        };
        self.settle(vec![splice], Touched::default())
    }

    /// Takes a remark away; nothing happens where it does not stand.
    ///
    /// # Errors
    /// [`EditError::WouldNotRead`] as for every edit.
    pub fn drop_remark(&mut self, words: &str) -> Result<(), EditError> {
        let mut at = 0;
        let mut gone = Vec::new();
        for line in self.text.split_inclusive('\n') {
            if is_remark(line, words) {
                gone.push(Splice { start: at, end: at + line.len(), text: String::new() });
            }
            at += line.len();
        }
        self.settle(gone, Touched::default())
    }
}

fn is_remark(line: &str, words: &str) -> bool {
    line.trim().strip_prefix("//").is_some_and(|said| said.trim() == words)
}

#[cfg(test)]
mod tests {
    use crate::catalogue::Catalogue;
    use crate::setup::edit::Edit;
    use crate::setup::model::MarkState;

    #[test]
    fn what_is_looked_at_again_is_of_the_sheets_day() {
        let text = "found \"rowan/race\" format=1 {\n    measured \"2026-05-09\"\n    \
                    mark \"L1\" on=\"left.brake-lever\" off=0.8 read=\"2026-05-08\"\n    \
                    opened \"stem-face\" read=\"2026-05-08\"\n}\n";
        let mut edit = Edit::new(Catalogue::standard(), text, None).expect("a sheet");
        edit.set_mark_state("L1", MarkState::Broken).expect("it is told");
        edit.set_opened("stem-face", true).expect("it is told");
        let now = edit.text();
        assert!(now.contains("mark \"L1\" broken on=\"left.brake-lever\"\n"), "{now}");
        assert!(now.contains("opened \"stem-face\"\n"), "{now}");
    }
}
