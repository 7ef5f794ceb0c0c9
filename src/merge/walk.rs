//! The walk through the three trees at once, group by group; what it decides become splices of our text.

mod alone;
mod apart;
mod conflict;
mod notes;
mod told;

use std::cmp::Reverse;

use crate::catalogue::Catalogue;
use crate::setup::edit::insert::{self, entries_end};
use crate::setup::edit::number::quoted;
use crate::setup::edit::{Splice, apply};
use crate::setup::span::Span;
use crate::setup::syntax::Node;

use super::around::Around;
use super::labels::Labels;
use super::session::{Choice, Side, Three};
use super::together::{Held, Taken};
use super::tree::{Key, TEXTS, is_same_head, is_written_alike, keyed};
use super::version::Version;
use super::{Because, Conflict};

pub use apart::PLACING;
use apart::{holds_apart, is_placed_apart};

/// The walk and what it has decided so far.
pub struct Walk<'a> {
    three: Three<'a>,
    around: Around,
    labels: &'a Labels,
    line_end: &'static str,
    splices: Vec<Splice>,
    /// What is taken out, once everything else is in its place.
    gone: Vec<&'a Node>,
    /// What is decided otherwise than by itself.
    held: &'a Held,
    /// Whether this is inside a block that is one thing: of it nothing is weighed by itself.
    is_inside_a_block: bool,
    /// The paths of what differs and is decided.
    pub decided: Vec<String>,
    pub conflicts: Vec<Conflict>,
    pub said: Vec<String>,
}

/// One thing in all three versions.
struct Trio<'a> {
    path: String,
    base: Option<&'a Node>,
    ours: Option<&'a Node>,
    theirs: Option<&'a Node>,
    /// Whether it is not decided because what it belongs to is not.
    is_apart: bool,
}

impl<'a> Walk<'a> {
    pub fn new(
        catalogue: &'a Catalogue,
        base: Option<&'a Version>,
        ours: &'a Version,
        theirs: &'a Version,
        labels: &'a Labels,
        held: &'a Held,
    ) -> Self {
        let three = Three { catalogue, base, ours, theirs };
        Walk {
            around: Around::of(&three, held),
            three,
            labels,
            line_end: if ours.text.contains("\r\n") { "\r\n" } else { "\n" },
            splices: Vec::new(),
            gone: Vec::new(),
            held,
            is_inside_a_block: false,
            decided: Vec::new(),
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
        let placed_apart = is_placed_apart(&self.three, [base, Some(ours), Some(theirs)]);
        let is_apart = |key: &Key| placed_apart && PLACING.contains(&&*key.word);
        let mut gone: Vec<u32> = Vec::new();
        for (key, node) in &in_ours {
            let trio = Trio {
                path: key.path(path),
                base: of(&in_base, key),
                ours: Some(node),
                theirs: of(&in_theirs, key),
                is_apart: is_apart(key),
            };
            if !self.ours(&trio, node) {
                gone.push(node.span.start);
            }
        }
        for word in TEXTS {
            self.texts((word, path), base, ours, theirs, &mut gone);
        }
        let last = ours.children.iter().rev().find(|child| !gone.contains(&child.span.start));
        for (key, node) in in_theirs.iter().filter(|(key, _)| of(&in_ours, key).is_none()) {
            let trio = Trio {
                path: key.path(path),
                base: of(&in_base, key),
                ours: None,
                theirs: Some(node),
                is_apart: is_apart(key),
            };
            self.theirs_alone(&trio, node, ours, last);
        }
    }

    /// Something we have. False if it is taken out.
    fn ours(&mut self, trio: &Trio<'a>, ours: &'a Node) -> bool {
        let Some(theirs) = trio.theirs else {
            return self.ours_alone(trio, ours);
        };
        if self.is_seen_by_both(trio, ours, theirs) {
            return true;
        }
        // What it amounts to hangs on an instrument that is not decided; nobody read it again.
        if is_written_alike(ours, theirs) && self.around.has_undecided(ours) {
            return true;
        }
        if trio.is_apart || self.is_seen_since(trio, ours, theirs) {
            let because = if trio.is_apart { Because::PlacedTogether } else { Because::LaterSession };
            self.conflict_over(trio, ours, Some(because));
            return true;
        }
        // A torque without a block is one all the same: what becomes of its range is told.
        let is_group = |node: &Node| !node.children.is_empty() || &*node.name == "torque";
        if is_group(ours) || is_group(theirs) {
            self.both_groups(trio, ours, theirs);
            return true;
        }
        if let Some(sources) = self.both_sources(trio, ours, theirs) {
            self.splices.push(sources);
            return true;
        }
        let choice = self.three.choose(trio.base, ours, theirs);
        if self.three.is_agreed(Some(ours), Some(theirs)) {
            // Of one day, which only one of them writes: under the other's day it has to be written.
            if !is_written_alike(ours, theirs) {
                self.keep(ours);
            }
            return true;
        }
        let stays = |side| if side == Side::Ours { (ours, theirs) } else { (theirs, ours) };
        let decided = choice.side().filter(|side| !self.is_off_floor(*side, stays(*side).0));
        let is_off_roll = decided.is_some_and(|side| self.is_off_roll(side, stays(side).0));
        if is_off_roll {
            self.conflict_over(trio, ours, Some(Because::RolledSince));
            return true;
        }
        // Of what is not decided nothing else is said.
        let Some(side) = decided else {
            let is_off_floor = self.is_off_floor(Side::Ours, ours) || self.is_off_floor(Side::Theirs, theirs);
            self.conflict_over(trio, ours, (!is_off_floor).then_some(Because::LaterSession));
            return true;
        };
        let Some(side) = self.taken(trio).side(side) else {
            self.conflict_over(trio, ours, Some(Because::DangerousTogether));
            return true;
        };
        if let Choice::Newer(side) = choice {
            self.say_newer(trio, side, ours, theirs);
        } else {
            self.say_older(trio, side, stays(side));
            self.say_put_back(trio, side, stays(side));
        }
        match side {
            Side::Ours => self.keep(ours),
            Side::Theirs => self.take(trio, ours, theirs),
        }
        true
    }

    /// How what differs and is decided by itself is taken.
    fn taken(&mut self, trio: &Trio<'a>) -> Taken {
        if self.is_inside_a_block {
            return Taken::AsItIs;
        }
        let taken = self.held.taken(&trio.path);
        self.decided.push(trio.path.clone());
        taken
    }

    /// Of two new sessions on one day neither dates the file better: who measured in either is kept.
    fn both_sources(&self, trio: &Trio<'a>, ours: &'a Node, theirs: &'a Node) -> Option<Splice> {
        let both_new = trio.path == "measured"
            && !self.three.ours_is_base(trio.base, Some(ours))
            && !self.three.theirs_is_base(trio.base, Some(theirs));
        let sources = self.three.both_sources().filter(|_| both_new)?;
        let by = ours.property("by")?.value_span.range();
        Some(Splice { start: by.start, end: by.end, text: quoted(&sources) })
    }

    fn both_groups(&mut self, trio: &Trio<'a>, ours: &'a Node, theirs: &'a Node) {
        if self.three.is_agreed(Some(ours), Some(theirs)) {
            if !is_written_alike(ours, theirs) {
                self.group(&trio.path, trio.base, ours, theirs);
            }
            return;
        }
        let both_changed = !self.three.ours_is_base(trio.base, Some(ours))
            && !self.three.theirs_is_base(trio.base, Some(theirs));
        let same_head = is_same_head(ours, theirs);
        // Who changed a group's head changed what it says of everything inside.
        let apart = !same_head || !holds_apart(&ours.name, ours, theirs);
        if both_changed && apart {
            return self.conflict_over(trio, ours, None);
        }
        let is_block = matches!(&*ours.name, "torque" | "mark");
        if let Some(changed_by) = self.changed_alone(trio).filter(|_| is_block) {
            match self.taken(trio) {
                Taken::AsItIs => {}
                Taken::Otherwise if changed_by == Side::Ours => return self.take(trio, ours, theirs),
                Taken::Otherwise => return,
                Taken::Apart => return self.conflict_over(trio, ours, Some(Because::DangerousTogether)),
            }
        }
        if !same_head && self.three.ours_is_base(trio.base, Some(ours)) {
            self.take_head(ours, theirs);
        }
        let conflicts = self.conflicts.len();
        let around = std::mem::replace(&mut self.is_inside_a_block, is_block);
        self.group(&trio.path, trio.base, ours, theirs);
        self.is_inside_a_block = around;
        let all_decided = self.conflicts.len() == conflicts;
        if !all_decided || self.three.theirs_is_base(trio.base, Some(theirs)) {
            return;
        }
        let ours_is_base = self.three.ours_is_base(trio.base, Some(ours));
        let what = if ours_is_base {
            format!("is taken {}", self.labels.as_has(Side::Theirs))
        } else {
            "holds what either side changed in it".to_owned()
        };
        self.say_torque(trio, &what);
    }

    fn put(&mut self, parent: &Node, last: Option<&Node>, text: &str) {
        let ours = self.three.ours;
        self.splices.push(insert::node(&ours.text, &ours.root, parent, last, text));
    }

    /// Our version stays where theirs is another; what we changed keeps its day and its tolerance.
    fn keep(&mut self, ours: &'a Node) {
        self.splices.extend(self.three.ours.settling(ours, &self.around));
    }

    fn take(&mut self, trio: &Trio<'a>, ours: &'a Node, theirs: &'a Node) {
        self.say_comments(trio, ours, Some(theirs));
        let whole = ours.whole.range();
        let text = self.three.theirs.node_text(theirs, &self.around, self.line_end);
        self.splices.push(Splice { start: whole.start, end: whole.end, text });
    }

    fn take_head(&mut self, ours: &Node, theirs: &Node) {
        let head = theirs.span.start as usize..entries_end(theirs);
        let text = self.three.theirs.text.get(head).unwrap_or_default().to_owned();
        self.splices.push(Splice { start: ours.span.start as usize, end: entries_end(ours), text });
    }
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
