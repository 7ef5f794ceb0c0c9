//! The walk through the three trees at once, group by group; what it decides become splices of our text.

use std::cmp::Reverse;

use crate::catalogue::Catalogue;
use crate::setup::edit::insert::{self, entries_end};
use crate::setup::edit::number::quoted;
use crate::setup::edit::{Splice, apply};
use crate::setup::span::Span;
use crate::setup::syntax::{Argument, Node, Value};

use super::Conflict;
use super::around::Around;
use super::notes;
use super::session::{Choice, Side, Three};
use super::tree::{Key, is_same_head, keyed};
use super::version::Version;

/// The walk and what it has decided so far.
pub struct Walk<'a> {
    three: Three<'a>,
    around: Around,
    line_end: &'static str,
    splices: Vec<Splice>,
    /// What is taken out, once everything else is in its place.
    gone: Vec<&'a Node>,
    pub conflicts: Vec<Conflict>,
    pub said: Vec<String>,
}

/// One thing in all three versions.
struct Trio<'a> {
    path: String,
    base: Option<&'a Node>,
    ours: Option<&'a Node>,
    theirs: Option<&'a Node>,
}

impl<'a> Walk<'a> {
    pub fn new(
        catalogue: &'a Catalogue,
        base: Option<&'a Version>,
        ours: &'a Version,
        theirs: &'a Version,
    ) -> Self {
        let three = Three { catalogue, base, ours, theirs };
        Walk {
            around: Around::of(&three),
            three,
            line_end: if ours.text.contains("\r\n") { "\r\n" } else { "\n" },
            splices: Vec::new(),
            gone: Vec::new(),
            conflicts: Vec::new(),
            said: Vec::new(),
        }
    }

    /// Walks the whole file.
    pub fn finish(mut self) -> Self {
        let (base, ours, theirs) =
            (self.three.base.map(|base| &base.root), &self.three.ours.root, &self.three.theirs.root);
        if !is_same_head(ours, theirs) {
            match base {
                Some(base) if is_same_head(base, ours) => self.take_head(ours, theirs),
                Some(base) if is_same_head(base, theirs) => {}
                _ => self.said.push("The two sides name the setup differently; our name stays.".to_owned()),
            }
        }
        self.say_sessions(base, ours, theirs);
        self.group("", base, ours, theirs);
        self
    }

    /// Of two new sessions one dates the file: that is a choice, and so it is said.
    fn say_sessions(&mut self, base: Option<&Node>, ours: &Node, theirs: &Node) {
        let measured =
            |root: &'_ Node| root.children.iter().find(|child| &*child.name == "measured").cloned();
        let (base, ours, theirs) = (base.and_then(measured), measured(ours), measured(theirs));
        let (Some(ours), Some(theirs), Some(day)) = (ours, theirs, self.around.day) else { return };
        let three = &self.three;
        let both = !three.is_agreed(Some(&ours), Some(&theirs))
            && !three.ours_is_base(base.as_ref(), Some(&ours))
            && !three.theirs_is_base(base.as_ref(), Some(&theirs));
        if both {
            self.said.push(format!(
                "Both sides were measured anew: the session of {day} dates the file, readings of the other keep \
                 their day."
            ));
        }
    }

    /// Our text with everything decided; none if two changes fall on the same place.
    pub fn text(&mut self) -> Option<String> {
        let splices = std::mem::take(&mut self.splices);
        let mut text = apply(&self.three.ours.text, splices.clone())?;
        self.gone.sort_by_key(|node| Reverse(node.span.start));
        // From the last on, so that the places of the others hold.
        for node in &self.gone {
            let taken_out = insert::without_node(&text, &moved_along(node, &splices));
            text = apply(&text, vec![taken_out])?;
        }
        Some(text)
    }

    fn group(&mut self, path: &str, base: Option<&'a Node>, ours: &'a Node, theirs: &'a Node) {
        let catalogue = self.three.catalogue;
        let in_base = base.map(|base| keyed(catalogue, &base.children)).unwrap_or_default();
        let (in_ours, in_theirs) = (keyed(catalogue, &ours.children), keyed(catalogue, &theirs.children));
        let of = |nodes: &[(Key, &'a Node)], key: &Key| {
            nodes.iter().find(|(known, _)| known == key).map(|(_, node)| *node)
        };
        let mut gone: Vec<u32> = Vec::new();
        for (key, node) in &in_ours {
            let trio = Trio {
                path: key.path(path),
                base: of(&in_base, key),
                ours: Some(node),
                theirs: of(&in_theirs, key),
            };
            if !self.ours(&trio, node) {
                gone.push(node.span.start);
            }
        }
        self.notes(path, base, ours, theirs, &mut gone);
        let last = ours.children.iter().rev().find(|child| !gone.contains(&child.span.start));
        for (key, node) in in_theirs.iter().filter(|(key, _)| of(&in_ours, key).is_none()) {
            let trio = Trio { path: key.path(path), base: of(&in_base, key), ours: None, theirs: Some(node) };
            self.theirs_alone(&trio, node, ours, last);
        }
    }

    /// Something we have. False if it is taken out.
    fn ours(&mut self, trio: &Trio<'a>, ours: &'a Node) -> bool {
        let Some(theirs) = trio.theirs else {
            if trio.base.is_none() {
                self.keep(trio, ours);
            } else if self.three.ours_is_base(trio.base, Some(ours)) {
                self.gone.push(ours);
                self.say_torque(trio, "is no longer recorded, as they have it");
                return false;
            } else {
                self.conflict_over(trio, ours);
            }
            return true;
        };
        if !ours.children.is_empty() || !theirs.children.is_empty() {
            self.both_groups(trio, ours, theirs);
            return true;
        }
        match self.three.choose(trio.base, ours, theirs) {
            Choice::Ours if self.three.is_agreed(Some(ours), Some(theirs)) => {}
            Choice::Ours => self.keep(trio, ours),
            Choice::Theirs => self.take(trio, ours, theirs),
            Choice::Newer(side) => {
                let whose = if side == Side::Ours { "ours" } else { "theirs" };
                let text = |version: &Version, node: &Node| node.whole.text(&version.text).to_owned();
                self.said.push(format!(
                    "`{}`: ours `{}` and theirs `{}` agree within reading; the newer or finer, {whose}, stays.",
                    trio.path,
                    text(self.three.ours, ours),
                    text(self.three.theirs, theirs)
                ));
                if side == Side::Ours { self.keep(trio, ours) } else { self.take(trio, ours, theirs) }
            }
            Choice::Apart => self.conflict_over(trio, ours),
        }
        true
    }

    fn both_groups(&mut self, trio: &Trio<'a>, ours: &'a Node, theirs: &'a Node) {
        if self.three.is_agreed(Some(ours), Some(theirs)) {
            return;
        }
        let both_changed = !self.three.ours_is_base(trio.base, Some(ours))
            && !self.three.theirs_is_base(trio.base, Some(theirs));
        let same_head = is_same_head(ours, theirs);
        // Who changed a group's head changed what it says of everything inside.
        let apart = !same_head || !holds_apart(&ours.name, ours, theirs);
        if both_changed && apart {
            return self.conflict_over(trio, ours);
        }
        if !same_head && self.three.ours_is_base(trio.base, Some(ours)) {
            self.take_head(ours, theirs);
        }
        if !self.three.theirs_is_base(trio.base, Some(theirs)) {
            self.say_torque(trio, "is taken as they have it");
        }
        self.group(&trio.path, trio.base, ours, theirs);
    }

    fn theirs_alone(&mut self, trio: &Trio<'a>, theirs: &'a Node, parent: &'a Node, last: Option<&'a Node>) {
        if trio.base.is_some() && self.three.theirs_is_base(trio.base, Some(theirs)) {
            return;
        }
        if trio.base.is_some() || self.is_off_floor(Side::Theirs, theirs) {
            let indent = last
                .map_or_else(|| format!("{}    ", self.indent(parent)), |last| self.indent(last).to_owned());
            let text = self.conflict(trio, &indent);
            self.put(parent, last, &text);
            return;
        }
        let text = self.three.theirs.node_text(theirs, &self.around, self.line_end);
        self.put(parent, last, &text);
        self.say_torque(trio, "is new, as they have it");
    }

    fn put(&mut self, parent: &Node, last: Option<&Node>, text: &str) {
        let ours = self.three.ours;
        self.splices.push(insert::node(&ours.text, &ours.root, parent, last, text));
    }

    /// Our version stays where theirs is another; what we changed keeps its day and its tolerance.
    fn keep(&mut self, trio: &Trio<'a>, ours: &'a Node) {
        if self.is_off_floor(Side::Ours, ours) {
            return self.conflict_over(trio, ours);
        }
        self.splices.extend(self.three.ours.settling(ours, &self.around));
    }

    fn take(&mut self, trio: &Trio<'a>, ours: &'a Node, theirs: &'a Node) {
        if self.is_off_floor(Side::Theirs, theirs) {
            return self.conflict_over(trio, ours);
        }
        let whole = ours.whole.range();
        let text = self.three.theirs.node_text(theirs, &self.around, self.line_end);
        self.splices.push(Splice { start: whole.start, end: whole.end, text });
    }

    fn take_head(&mut self, ours: &Node, theirs: &Node) {
        let head = theirs.span.start as usize..entries_end(theirs);
        let text = self.three.theirs.text.get(head).unwrap_or_default().to_owned();
        self.splices.push(Splice { start: ours.span.start as usize, end: entries_end(ours), text });
    }

    /// Whether a node's angles against gravity were read on another floor than the merged file will have.
    fn is_off_floor(&self, side: Side, node: &Node) -> bool {
        let (mine, other) = match side {
            Side::Ours => (self.three.ours, self.three.theirs),
            Side::Theirs => (self.three.theirs, self.three.ours),
        };
        let same_floor = match (mine.floor(), other.floor()) {
            (Some(mine), Some(other)) => mine.is_same_reading(other),
            (None, None) => true,
            _ => false,
        };
        let kept = match self.around.floor {
            Choice::Ours => side == Side::Ours,
            Choice::Theirs => side == Side::Theirs,
            Choice::Newer(newer) => side == newer,
            Choice::Apart => false,
        };
        !same_floor && !kept && mine.has_gravity(self.three.catalogue, node)
    }

    fn say_torque(&mut self, trio: &Trio<'a>, what: &str) {
        if let Some(joint) = trio.path.strip_prefix("torque.") {
            self.said.push(format!("The torque of `{joint}` {what}: check it against the part."));
        }
    }

    /// Both versions in place of ours.
    fn conflict_over(&mut self, trio: &Trio<'a>, ours: &'a Node) {
        let indent = self.indent(ours).to_owned();
        let text = self.conflict(trio, &indent);
        let whole = ours.whole.range();
        self.splices.push(Splice { start: whole.start, end: whole.end, text });
    }

    /// The `conflict` node, its lines behind the first one indented.
    fn conflict(&mut self, trio: &Trio<'a>, indent: &str) -> String {
        let line_end = self.line_end;
        // Under its own day, which stands beside it.
        let verbatim = |version: &Version, node: Option<&Node>| {
            node.map(|node| version.node_text(node, &self.around.on(version.day()), line_end))
        };
        let conflict = Conflict {
            about: trio.path.clone(),
            ours: verbatim(self.three.ours, trio.ours),
            theirs: verbatim(self.three.theirs, trio.theirs),
        };
        let side = |word: &str, version: &Version, node: Option<&Node>, text: Option<&String>| {
            let mut line = format!("{indent}    {word}");
            let day = node.map_or_else(|| version.day(), |node| version.day_of(node));
            if let Some(day) = day {
                line = format!("{line} read=\"{day}\"");
            }
            if let Some(by) = version.setup.measured.as_ref().and_then(|measured| measured.by.as_ref()) {
                line = format!("{line} by={}", quoted(by));
            }
            if let Some(text) = text {
                line = format!("{line} {{ {text} }}");
            }
            line + line_end
        };
        let text = format!(
            "conflict {} {{{line_end}{}{}{indent}}}",
            quoted(&trio.path),
            side("ours", self.three.ours, trio.ours, conflict.ours.as_ref()),
            side("theirs", self.three.theirs, trio.theirs, conflict.theirs.as_ref()),
        );
        self.conflicts.push(conflict);
        text
    }

    /// The white space at the start of a node's line in our text.
    fn indent(&self, node: &Node) -> &'a str {
        let text = &self.three.ours.text;
        let before = text.get(..node.span.start as usize).unwrap_or_default();
        let line = &text[before.rfind(['\n', '\r']).map_or(0, |end| end + 1)..];
        &line[..line.len() - line.trim_start_matches([' ', '\t']).len()]
    }

    /// The notes of one group, matched by their text and merged by paragraph.
    fn notes(
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
            if mine_text == yours_text || yours_text == was {
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
            let whole = yours.argument.value_span;
            whole.text(&self.three.theirs.text).replace("\r\n", "\n").replace('\n', self.line_end)
        } else {
            match notes::merged(base, &mine.text, &yours.text) {
                Some(text) => self.literal(mine.node, &text),
                None => return self.conflict_over(trio, mine.node),
            }
        };
        let over = mine.argument.value_span.range();
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

/// Whether both sides may have changed this group in different places: a mark is one drawing, and the figures of a
/// torque belong together.
fn holds_apart(word: &str, ours: &Node, theirs: &Node) -> bool {
    let figures = |node: &Node| -> Vec<Node> {
        let figure = |child: &&Node| matches!(&*child.name, "ceiling" | "slips-in-a-crash");
        node.children.iter().filter(figure).cloned().collect()
    };
    match word {
        "mark" => false,
        "torque" => {
            let (mine, yours) = (figures(ours), figures(theirs));
            mine.len() == yours.len()
                && mine.iter().zip(&yours).all(|(mine, yours)| is_same_head(mine, yours))
        }
        _ => true,
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
    notes::matched(&texts(base), &texts(other))
}

/// A node where the splices before it have moved it; none of them touches it.
fn moved_along(node: &Node, splices: &[Splice]) -> Node {
    let before = splices.iter().filter(|splice| splice.end <= node.span.start as usize);
    let (more, less) = before
        .fold((0, 0), |(more, less), splice| (more + splice.text.len(), less + (splice.end - splice.start)));
    let moved = |span: Span| {
        let range = span.range();
        Span::new(range.start + more - less, range.end + more - less)
    };
    Node { span: moved(node.span), whole: moved(node.whole), ..node.clone() }
}
