//! The notes and cautions of a group: they have no name, so they are found again by their text, and merged by paragraph.
//! Two new ones are two.

use crate::merge::notes::{Paragraphs, matched, merged};
use crate::merge::session::Side;
use crate::merge::tree::Key;
use crate::setup::edit::Splice;
use crate::setup::edit::number::quoted;
use crate::setup::syntax::{Argument, Node, Value};

use super::{Trio, Walk};

impl<'a> Walk<'a> {
    /// The texts of one group under one word, matched by what they say and merged by paragraph.
    pub(super) fn texts(
        &mut self,
        (word, path): (&str, &str),
        base: Option<&'a Node>,
        ours: &'a Node,
        theirs: &'a Node,
        gone: &mut Vec<u32>,
    ) {
        let in_base: Vec<Note> = base.map(|base| notes_of(base, word)).unwrap_or_default();
        let (in_ours, in_theirs) = (notes_of(ours, word), notes_of(theirs, word));
        let (to_ours, to_theirs) = (matches(&in_base, &in_ours), matches(&in_base, &in_theirs));
        let path = Key { word: word.to_owned(), name: None, ordinal: 1 }.path(path);
        let mut orphans = Vec::new();
        for (place, note) in in_base.iter().enumerate() {
            let mine = to_ours[place].map(|at| &in_ours[at]);
            let yours = to_theirs[place].map(|at| &in_theirs[at]);
            let trio = Trio {
                path: path.clone(),
                base: Some(note.node),
                ours: mine.map(|note| note.node),
                theirs: yours.map(|note| note.node),
                is_apart: false,
            };
            match (mine, yours) {
                (None, None) => {}
                (Some(mine), Some(yours)) => self.both_notes(&trio, &note.text, mine, yours),
                (None, Some(yours)) if yours.text == note.text => {
                    self.say_no_caution(&path, Side::Ours, &note.text);
                }
                (Some(mine), None) if mine.text == note.text => {
                    self.say_no_caution(&path, Side::Theirs, &note.text);
                    self.gone.push(mine.node);
                    gone.push(mine.node.span.start);
                }
                (Some(mine), None) => self.conflict_over(&trio, mine.node, None),
                // We took it out, they changed it.
                (None, Some(_)) => orphans.push(trio),
            }
        }
        let last = ours.children.iter().rev().find(|child| !gone.contains(&child.span.start));
        for trio in orphans {
            let indent = format!("{}    ", self.indent(ours));
            let text = self.conflict(&trio, &indent, None);
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
        if mine.text == yours.text || yours.text == base {
            return;
        }
        let text = if mine.text == base {
            let whole = yours.argument.value_span;
            whole.text(&self.three.theirs.text).replace("\r\n", "\n").replace('\n', self.line_end)
        } else {
            let paragraphs = merged(base, &mine.text, &yours.text);
            if let Some(apart) = &paragraphs.apart {
                return self.apart_notes(trio, mine, &paragraphs, apart);
            }
            self.literal(mine, &paragraphs.ours)
        };
        let over = mine.argument.value_span.range();
        self.splices.push(Splice { start: over.start, end: over.end, text });
    }

    /// Each version holds the whole note with everything else merged, so that keeping one loses no paragraph; told is
    /// only what is not decided.
    fn apart_notes(&mut self, trio: &Trio<'a>, mine: &Note<'a>, whole: &Paragraphs, apart: &[String; 2]) {
        let written = |text: &str| format!("{} {}", mine.node.name, self.literal(mine, text));
        let texts = [&whole.ours, &whole.theirs].map(|text| Some(written(text)));
        let told = apart.each_ref().map(|text| Some(written(text)));
        let indent = self.indent(mine.node).to_owned();
        let text = self.conflict_of(trio, &indent, &texts, told, None);
        let over = mine.node.whole.range();
        self.splices.push(Splice { start: over.start, end: over.end, text });
    }

    /// A text as it is written: one line in quotes, several in three, as far in as ours stands.
    fn literal(&self, mine: &Note<'a>, text: &str) -> String {
        if !text.contains('\n') {
            return quoted(text);
        }
        let indent = self.indent_of_text(mine);
        let lines = text.split('\n').map(|line| {
            let line = quoted(line);
            let line = &line[1..line.len() - 1];
            if line.is_empty() { String::new() } else { format!("{indent}{line}") }
        });
        let lines: Vec<String> = lines.collect();
        let line_end = self.line_end;
        format!("\"\"\"{line_end}{}{line_end}{indent}\"\"\"", lines.join(line_end))
    }

    /// The white space before each line of a text over several; before its node, where ours is one line.
    fn indent_of_text(&self, mine: &Note<'a>) -> &'a str {
        let written = mine.argument.value_span.text(&self.three.ours.text);
        match written.rsplit_once(['\n', '\r']) {
            // KDL 2.0, 3.13: the white space on the last line is what every line begins with.
            Some((_, last)) => &last[..last.len() - last.trim_start_matches([' ', '\t']).len()],
            None => self.indent(mine.node),
        }
    }
}

/// A note or a caution with its text.
struct Note<'a> {
    node: &'a Node,
    argument: &'a Argument,
    text: String,
}

fn notes_of<'a>(group: &'a Node, word: &str) -> Vec<Note<'a>> {
    let note = |node| {
        let node: &Node = node;
        let argument = node.arguments.first()?;
        match &argument.value {
            Value::Text(text) => Some(Note { node, argument, text: text.to_string() }),
            _ => None,
        }
    };
    group.children.iter().filter(|node| &*node.name == word).filter_map(note).collect()
}

fn matches(base: &[Note], other: &[Note]) -> Vec<Option<usize>> {
    let texts = |notes: &[Note]| -> Vec<String> { notes.iter().map(|note| note.text.clone()).collect() };
    matched(&texts(base), &texts(other))
}
