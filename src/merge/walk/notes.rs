//! The notes of a group: they have no name, so they are found again by their text, and merged by paragraph.

use crate::check::not_to_ride;
use crate::merge::notes::{Paragraphs, matched, merged};
use crate::merge::session::Side;
use crate::merge::tree::Key;
use crate::setup::edit::Splice;
use crate::setup::edit::number::quoted;
use crate::setup::syntax::{Argument, Node, Value};

use super::{Trio, Walk};

impl<'a> Walk<'a> {
    /// The notes of one group, matched by their text and merged by paragraph.
    pub(super) fn notes(
        &mut self,
        path: &str,
        base: Option<&'a Node>,
        ours: &'a Node,
        theirs: &'a Node,
        gone: &mut Vec<u32>,
    ) {
        let in_base: Vec<Note> = base.map(notes_of).unwrap_or_default();
        let (in_ours, in_theirs) = (notes_of(ours), notes_of(theirs));
        let (to_ours, to_theirs) = (matches(&in_base, &in_ours), matches(&in_base, &in_theirs));
        let path = Key { word: "note".to_owned(), name: None, ordinal: 1 }.path(path);
        let mut orphans = Vec::new();
        for (place, note) in in_base.iter().enumerate() {
            let mine = to_ours[place].map(|at| &in_ours[at]);
            let yours = to_theirs[place].map(|at| &in_theirs[at]);
            let text = |note: Option<&Note<'a>>| note.map(|note| note.text.clone());
            let (was, mine_text, yours_text) = (Some(note.text.clone()), text(mine), text(yours));
            if mine_text == yours_text {
                continue;
            }
            if yours_text == was {
                self.say_no_longer_forbidden(&path, Side::Ours, yours, mine);
                continue;
            }
            let trio = Trio {
                path: path.clone(),
                base: Some(note.node),
                ours: mine.map(|note| note.node),
                theirs: yours.map(|note| note.node),
            };
            match (mine, yours) {
                (Some(mine), None) if mine_text == was => {
                    self.say_no_longer_forbidden(&path, Side::Theirs, Some(mine), None);
                    self.gone.push(mine.node);
                    gone.push(mine.node.span.start);
                }
                (Some(mine), Some(yours)) => self.both_notes(&trio, &note.text, mine, yours),
                (Some(mine), None) => self.conflict_over(&trio, mine.node),
                // We took it out, they changed it.
                (None, _) => orphans.push(trio),
            }
        }
        let last = ours.children.iter().rev().find(|child| !gone.contains(&child.span.start));
        for trio in orphans {
            let indent = format!("{}    ", self.indent(ours));
            let text = self.conflict(&trio, &indent);
            self.put(ours, last, &text);
        }
        for (place, note) in in_theirs.iter().enumerate() {
            let known = to_theirs.contains(&Some(place)) || in_ours.iter().any(|mine| mine.text == note.text);
            if !known {
                let text = self.three.theirs.node_text(note.node, &self.around, self.line_end);
                self.put(ours, last, &text);
            }
        }
    }

    fn both_notes(&mut self, trio: &Trio<'a>, base: &str, mine: &Note<'a>, yours: &Note<'a>) {
        let text = if mine.text == base {
            self.say_no_longer_forbidden(&trio.path, Side::Theirs, Some(mine), Some(yours));
            let whole = yours.argument.value_span;
            whole.text(&self.three.theirs.text).replace("\r\n", "\n").replace('\n', self.line_end)
        } else {
            let paragraphs = merged(base, &mine.text, &yours.text);
            if let Some(apart) = &paragraphs.apart {
                return self.apart_notes(trio, mine, &paragraphs, apart);
            }
            self.literal(mine.node, &paragraphs.ours)
        };
        let over = mine.argument.value_span.range();
        self.splices.push(Splice { start: over.start, end: over.end, text });
    }

    /// A note by which nobody was to ride, which is gone because one side took it out, or tells of it no more as that side
    /// changed it.
    fn say_no_longer_forbidden(&mut self, path: &str, side: Side, was: Option<&Note>, now: Option<&Note>) {
        let forbids = |side: Side, note: Option<&Note>| {
            note.is_some_and(|note| {
                not_to_ride::keeps_from_riding(&self.three.version(side).setup, note.node.whole)
            })
        };
        let Some(was) = was.filter(|was| forbids(side.other(), Some(was)) && !forbids(side, now)) else {
            return;
        };
        let text = was.text.split_whitespace().collect::<Vec<_>>().join(" ");
        self.said.push(format!(
            "`{path}`: \"{text}\" is no longer there, as {} have it: make sure that it is put right before anybody \
             rides.",
            side.they()
        ));
    }

    /// Each version holds the whole note with everything else merged, so that keeping one loses no paragraph; told is
    /// only what is not decided.
    fn apart_notes(&mut self, trio: &Trio<'a>, mine: &Note<'a>, whole: &Paragraphs, apart: &[String; 2]) {
        let written = |text: &str| format!("note {}", self.literal(mine.node, text));
        let texts = [&whole.ours, &whole.theirs].map(|text| Some(written(text)));
        let told = apart.each_ref().map(|text| Some(written(text)));
        let indent = self.indent(mine.node).to_owned();
        let text = self.conflict_of(trio, &indent, &texts, told);
        let over = mine.node.whole.range();
        self.splices.push(Splice { start: over.start, end: over.end, text });
    }

    /// A text as it is written: one line in quotes, several in three.
    fn literal(&self, node: &Node, text: &str) -> String {
        if !text.contains('\n') {
            return quoted(text);
        }
        let indent = self.indent(node);
        let lines = text.split('\n').map(|line| {
            let line = quoted(line);
            let line = &line[1..line.len() - 1];
            if line.is_empty() { String::new() } else { format!("{indent}{line}") }
        });
        let lines: Vec<String> = lines.collect();
        let line_end = self.line_end;
        format!("\"\"\"{line_end}{}{line_end}{indent}\"\"\"", lines.join(line_end))
    }
}

/// A note with its text.
struct Note<'a> {
    node: &'a Node,
    argument: &'a Argument,
    text: String,
}

fn notes_of(group: &Node) -> Vec<Note<'_>> {
    let note = |node| {
        let node: &Node = node;
        let argument = node.arguments.first()?;
        match &argument.value {
            Value::Text(text) => Some(Note { node, argument, text: text.to_string() }),
            _ => None,
        }
    };
    group.children.iter().filter(|node| &*node.name == "note").filter_map(note).collect()
}

fn matches(base: &[Note], other: &[Note]) -> Vec<Option<usize>> {
    let texts = |notes: &[Note]| -> Vec<String> { notes.iter().map(|note| note.text.clone()).collect() };
    matched(&texts(base), &texts(other))
}
