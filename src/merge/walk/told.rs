//! What was decided and a person should know of, one sentence each.

use chrono::NaiveDate;

use crate::catalogue::joint;
use crate::check::opened::{self, Noted};
use crate::merge::comments::{beside, inside};
use crate::merge::notes::in_one_line;
use crate::merge::session::{Choice, Side};
use crate::merge::tree::{TEXTS, is_written_alike};
use crate::merge::version::Version;
use crate::setup::model::{Kind, Setup};
use crate::setup::syntax::Node;

use super::{Trio, Walk};

impl<'a> Walk<'a> {
    /// Of two new sessions one dates the file: that is a choice, and so it is said.
    pub(super) fn say_sessions(&mut self, base: Option<&Node>, ours: &Node, theirs: &Node) {
        let word = "measured";
        let (base, ours, theirs) =
            (base.and_then(|base| base.child(word)), ours.child(word), theirs.child(word));
        let (Some(ours), Some(theirs), Some(day)) = (ours, theirs, self.around.day) else { return };
        let three = &self.three;
        let both = !three.is_agreed(Some(ours), Some(theirs))
            && !three.ours_is_base(base, Some(ours))
            && !three.theirs_is_base(base, Some(theirs));
        if !both {
            return;
        }
        if let Some(sources) = three.both_sources() {
            self.said.push(format!(
                "Both sides were measured on {day}, so the file names both sources: {sources}."
            ));
        } else {
            self.said.push(format!(
                "Both sides were measured anew: the session of {day} dates the file, readings of the other keep \
                 their day."
            ));
        }
    }

    /// Of two that agree within reading, the one that stays.
    pub(super) fn say_newer(&mut self, trio: &Trio<'a>, side: Side, ours: &Node, theirs: &Node) {
        let whose = self.labels.whose(side);
        let text = |version: &Version, node: &Node| node.whole.text(&version.text).to_owned();
        self.said.push(format!(
            "`{}`: ours `{}` and theirs `{}` agree within reading; the newer or finer, {whose}, stays.",
            trio.path,
            text(self.three.ours, ours),
            text(self.three.theirs, theirs)
        ));
    }

    /// Of one thing that both saw, each on its day, which day stays; nothing where the other side let it be.
    pub(super) fn say_seen(&mut self, trio: &Trio<'a>, side: Side, ours: &Node, theirs: &Node) {
        let days = [self.three.ours.day_of(ours), self.three.theirs.day_of(theirs)];
        let other = if side == Side::Ours { theirs } else { ours };
        let is_let_be = trio.base.is_some_and(|base| is_written_alike(base, other))
            && self.three.base.is_some_and(|base| base.day() == self.three.version(side.other()).day());
        let [Some(mine), Some(yours)] = days else { return };
        if mine == yours || is_let_be {
            return;
        }
        let stays = if side == Side::Ours { mine } else { yours };
        self.said.push(format!(
            "`{}`: seen on {} and on {}; of the two {stays} stays, {}.",
            trio.path,
            mine.min(yours),
            mine.max(yours),
            self.labels.as_has(side)
        ));
    }

    /// A change that stays though the other side was measured later and says the same within reading: what that session
    /// left standing may be the truer one.
    pub(super) fn say_older(&mut self, trio: &Trio<'a>, side: Side, (stays, goes): (&Node, &Node)) {
        let (version, other) = (self.three.version(side), self.three.version(side.other()));
        let Some(read) = version.day_of(stays).filter(|_| version.measures(stays).next().is_some()) else {
            return;
        };
        if !self.three.is_newer_session(side.other(), goes, Some(read)) {
            return;
        }
        let (now, was) = (version.plain_text(stays, " "), other.plain_text(goes, " "));
        self.said.push(format!(
            "`{}`: `{now}`, read {read}, {}; {} says `{was}` of a session on {}: look again.",
            trio.path,
            self.labels.as_has(side),
            self.labels.whose(side.other()),
            other.day().unwrap_or(read)
        ));
    }

    /// What one side recorded as it was found, where the other opened or tightened its joint on that day or later and has it as
    /// recorded: so it is once a sheet was put back on one side, and kept on the other. Which of the two holds no file tells.
    pub(super) fn say_put_back(&mut self, trio: &Trio<'a>, side: Side, (stays, goes): (&Node, &Node)) {
        let (version, other) = (self.three.version(side), self.three.version(side.other()));
        let (ours, theirs) = if side == Side::Ours { (stays, goes) } else { (goes, stays) };
        let is_found_there = version.setup.kind == Kind::Setup
            && self.changed_alone(trio) == Some(side)
            && self.three.newer_within_reading(ours, theirs) == Choice::Apart;
        let Some((id, _)) = version.measures(stays).next().filter(|_| is_found_there) else { return };
        let Some((read, joint)) = version.day_of(stays).zip(version.setup.joint_of(self.three.catalogue, id))
        else {
            return;
        };
        let base = self.three.base.map(|base| &base.setup);
        let Some((done, day)) = handled(&other.setup, base, joint).filter(|(_, day)| *day >= read) else {
            return;
        };
        self.said.push(format!(
            "`{}`: `{}`, read {read}, {}; {} has `{}` and {done} the {} on {day}, as after putting it back: look again \
             which of the two holds.",
            trio.path,
            version.plain_text(stays, " "),
            self.labels.as_has(side),
            self.labels.whose(side.other()),
            other.plain_text(goes, " "),
            joint::title(joint),
        ));
    }

    /// The same of what one side took out.
    pub(super) fn say_older_without(&mut self, trio: &Trio<'a>, side: Side, goes: &Node) {
        let other = self.three.version(side.other());
        let Some(day) = other.day().filter(|_| other.measures(goes).next().is_some()) else { return };
        if self.three.is_newer_session(side.other(), goes, self.three.version(side).day()) {
            self.said.push(format!(
                "`{}`: no longer recorded, {}; {} says `{}` of a session on {day}: look again.",
                trio.path,
                self.labels.as_has(side),
                self.labels.whose(side.other()),
                other.plain_text(goes, " ")
            ));
        }
    }

    /// Our comments at a place that is now as theirs has it: one beside our version may be untrue beside theirs, one
    /// inside it goes with it.
    pub(super) fn say_comments(&mut self, trio: &Trio<'a>, ours: &Node, theirs: Option<&Node>) {
        let (text, path) = (&self.three.ours.text, &trio.path);
        let as_theirs = self.labels.as_has(Side::Theirs);
        let known = |of: fn(&str, &Node) -> Vec<String>| match (self.three.base, trio.base) {
            (Some(version), Some(node)) => of(&version.text, node),
            _ => Vec::new(),
        };
        let (known_inside, known_beside) = (known(inside), known(beside));
        let taken = theirs.map(|theirs| inside(&self.three.theirs.text, theirs)).unwrap_or_default();
        for comment in inside(text, ours) {
            if !known_inside.contains(&comment) && !taken.contains(&comment) {
                self.said.push(format!(
                    "`{path}` is taken {as_theirs}; our comment inside it is not kept: {comment}"
                ));
            }
        }
        // Beside what is gone nothing is left to be untrue.
        for comment in theirs.map(|_| beside(text, ours)).unwrap_or_default() {
            if !known_beside.contains(&comment) {
                self.said
                    .push(format!("`{path}` is taken {as_theirs}; our comment beside it stays: {comment}"));
            }
        }
    }

    /// What becomes of a torque, with the figures that come and go: of what the base had if either side changed it.
    pub(super) fn say_torque(&mut self, trio: &Trio<'a>, what: &str) {
        let is_whole = [trio.ours, trio.theirs].into_iter().flatten().any(|node| &*node.name == "torque");
        let Some(joint) = trio.path.strip_prefix("torque.").filter(|_| is_whole) else { return };
        let figures = |version: Option<&Version>, node: Option<&Node>| {
            version.zip(node).map(|(version, node)| figures(&version.text, node)).unwrap_or_default()
        };
        let was = if trio.base.is_some() {
            figures(self.three.base, trio.base)
        } else {
            figures(Some(self.three.ours), trio.ours)
        };
        let is = figures(Some(self.three.theirs), trio.theirs);
        let without = |some: &[String], others: &[String]| -> String {
            let some = some.iter().filter(|one| !others.contains(one));
            some.map(|one| format!("`{one}`")).collect::<Vec<_>>().join(", ")
        };
        let (now, before) = (without(&is, &was), without(&was, &is));
        let told = match (now.is_empty(), before.is_empty()) {
            (true, true) => String::new(),
            (false, true) => format!(" ({now})"),
            (true, false) => format!(" (without {before})"),
            (false, false) => format!(" ({now}, not {before})"),
        };
        self.said.push(format!("The torque of `{joint}` {what}{told}: check it against the part."));
    }

    /// A caution that one side took out; of any other text that goes, only those by which nobody was to ride are told.
    pub(super) fn say_no_caution(&mut self, path: &str, side: Side, text: &str) {
        if path.ends_with(".caution") {
            let text = in_one_line(text);
            self.said.push(format!(
                "`{path}`: \"{text}\" is no longer there, {}: check it against the part.",
                self.labels.as_has(side)
            ));
        }
    }
}

/// What a version did to a joint since the base, and when: it tightened it, or notes that it was opened.
fn handled(setup: &Setup, base: Option<&Setup>, joint: &str) -> Option<(&'static str, NaiveDate)> {
    let applied = |setup: &Setup| {
        let applied = setup.torque(joint)?.applied.clone()?;
        Some((applied.read.or_else(|| setup.day())?, applied.figure.value))
    };
    let tightened = applied(setup).filter(|now| base.and_then(applied).as_ref() != Some(now));
    let is_known = |noted: &Noted| base.is_some_and(|base| opened::noted(base).any(|one| one == *noted));
    let opened = opened::noted(setup).filter(|noted| noted.joint == joint && !is_known(noted));
    let opened = opened.filter_map(|noted| Some(("opened", noted.day?)));
    tightened.map(|(day, _)| ("tightened", day)).into_iter().chain(opened).max_by_key(|(_, day)| *day)
}

/// What a torque says in figures and of its bolt, piece by piece; its texts are told by themselves.
fn figures(text: &str, torque: &Node) -> Vec<String> {
    let range = torque.arguments.get(1).zip(torque.arguments.last());
    let range = range.and_then(|(from, to)| text.get(from.span.start as usize..to.span.end as usize));
    let bolt = torque.properties.iter().map(|property| property.span.text(text));
    let inside = torque.children.iter().filter(|child| !TEXTS.contains(&&*child.name));
    let inside = inside.map(|child| child.whole.text(text));
    range.into_iter().chain(bolt).chain(inside).map(in_one_line).collect()
}
