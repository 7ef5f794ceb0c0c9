//! Writing what could not be decided: a `conflict` node with both versions, each with its day, who, and from where.

use chrono::NaiveDate;

use crate::check::opened;
use crate::merge::session::Side;
use crate::merge::version::Version;
use crate::merge::{Because, Conflict, OneSided, Source};
use crate::metrology::reading::Reading;
use crate::setup::edit::Splice;
use crate::setup::edit::number::quoted;
use crate::setup::syntax::Node;

use super::{Trio, Walk};

impl<'a> Walk<'a> {
    /// Both versions in place of ours, with why if only one side changed it.
    pub(super) fn conflict_over(&mut self, trio: &Trio<'a>, ours: &'a Node, because: Option<Because>) {
        let indent = self.indent(ours).to_owned();
        let text = self.conflict(trio, &indent, because);
        let whole = ours.whole.range();
        self.splices.push(Splice { start: whole.start, end: whole.end, text });
    }

    /// The `conflict` node, its lines behind the first one indented.
    pub(super) fn conflict(&mut self, trio: &Trio<'a>, indent: &str, because: Option<Because>) -> String {
        let line_end = self.line_end;
        // As it would stand in the merged file: whoever keeps the line keeps its day with it.
        let verbatim = |version: &Version, node: Option<&Node>| {
            node.map(|node| version.node_text(node, &self.around, line_end))
        };
        let texts = [verbatim(self.three.ours, trio.ours), verbatim(self.three.theirs, trio.theirs)];
        self.conflict_of(trio, indent, &texts, texts.clone(), because)
    }

    /// The same with given texts of ours and theirs, and with what is told of them.
    pub(super) fn conflict_of(
        &mut self,
        trio: &Trio<'a>,
        indent: &str,
        texts: &[Option<String>; 2],
        told: [Option<String>; 2],
        because: Option<Because>,
    ) -> String {
        let [ours, theirs] = told;
        let seen_on = self.seen_on(trio);
        let conflict = Conflict {
            about: trio.path.clone(),
            ours,
            theirs,
            sources: [
                source(self.three.ours, trio.ours, &trio.path),
                source(self.three.theirs, trio.theirs, &trio.path),
            ],
            one_sided: because.and_then(|because| self.one_sided(trio, because)),
            floors: self.floors(trio),
            seen_on,
            sheet_of: self.around.day.filter(|_| seen_on.is_some()),
            together: self.held.dangers(&trio.path),
        };
        let line_end = self.line_end;
        let [ours, theirs] = [Side::Ours, Side::Theirs].map(|side| self.line(side, &conflict, texts));
        let (about, indented) = (quoted(&trio.path), format!("{line_end}{indent}"));
        let text = format!("conflict {about} {{{indented}    {ours}{indented}    {theirs}{indented}}}");
        self.conflicts.push(conflict);
        text
    }

    /// The line of one side: its word, whence it is, and its text.
    fn line(&self, side: Side, conflict: &Conflict, texts: &[Option<String>; 2]) -> String {
        let (word, label) = (side.word(), self.labels.of_side(side));
        let place = side.place();
        let Source { read, by } = &conflict.sources[place];
        let floor = conflict.floors.as_ref().map(|floors| &floors[place]);
        let day = read.map(|day| day.to_string());
        let known = [("read", day.as_ref()), ("by", by.as_ref()), ("floor", floor), ("from", label)];
        let known = known.into_iter().filter_map(|(key, value)| Some(format!(" {key}={}", quoted(value?))));
        let text = texts[place].as_ref().map(|text| format!(" {{ {text} }}"));
        [word.to_owned()].into_iter().chain(known).chain(text).collect()
    }

    /// Who alone changed what is in conflict, and why it is all the same.
    fn one_sided(&self, trio: &Trio<'a>, because: Because) -> Option<OneSided> {
        let changed_by = self.changed_alone(trio)?;
        Some(OneSided { changed_by, because })
    }

    /// The floors of both sides, if something in conflict hangs on them and they differ.
    fn floors(&self, trio: &Trio<'a>) -> Option<[String; 2]> {
        let sides = [(self.three.ours, trio.ours), (self.three.theirs, trio.theirs)];
        let has_gravity = |(version, node): &(&Version, Option<&Node>)| {
            node.is_some_and(|node| version.has_gravity(self.three.catalogue, node))
        };
        let floor = |(version, _): (&Version, Option<&Node>)| {
            version.floor().map_or_else(|| "not recorded".to_owned(), Reading::in_words)
        };
        (!self.is_one_floor() && sides.iter().any(has_gravity)).then(|| sides.map(floor))
    }

    /// The day on which a side saw what is of another day than the merged sheet.
    fn seen_on(&self, trio: &Trio<'a>) -> Option<NaiveDate> {
        let sides = [(Side::Ours, trio.ours), (Side::Theirs, trio.theirs)];
        let mut other = sides.into_iter().filter_map(|(side, node)| {
            let is_other = self.is_of_another_day(side, node?);
            self.three.version(side).day_of(node?).filter(|_| is_other)
        });
        other.next()
    }

    /// The white space at the start of a node's line in our text.
    pub(super) fn indent(&self, node: &Node) -> &'a str {
        let text = &self.three.ours.text;
        let before = text.get(..node.span.start as usize).unwrap_or_default();
        let line = &text[before.rfind(['\n', '\r']).map_or(0, |end| end + 1)..];
        &line[..line.len() - line.trim_start_matches([' ', '\t']).len()]
    }
}

/// The day of what a version says there, and who read it. Of another day's reading, taken over in an earlier merge, the
/// file no longer knows who.
fn source(version: &Version, node: Option<&Node>, path: &str) -> Source {
    let read = node.map_or_else(|| version.day(), |node| version.day_of(node));
    let read = read.max(opened_on(version, node, path));
    let measured = version.setup.measured.as_ref().filter(|_| read == version.day());
    Source { read, by: measured.and_then(|measured| measured.by.clone()) }
}

/// The day on which a note tells that a joint was opened whose torque is in conflict: what was applied before was taken out
/// for that, and is not what the file's day tells of.
fn opened_on(version: &Version, node: Option<&Node>, path: &str) -> Option<NaiveDate> {
    let of_joint = path.strip_prefix("torque.")?;
    let is_applied = node.is_some_and(|node| &*node.name == "applied" || node.child("applied").is_some());
    let is_its = |joint: &str| {
        let rest = of_joint.strip_prefix(joint);
        rest.is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
    };
    opened::noted(&version.setup)
        .filter(|noted| !is_applied && is_its(noted.joint))
        .filter_map(|noted| noted.day)
        .max()
}
