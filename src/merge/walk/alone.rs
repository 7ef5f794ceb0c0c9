//! What stands in one of the two versions alone: it is new there, or the other side took it out.

use crate::merge::Because;
use crate::merge::comments::is_disabled;
use crate::merge::session::Side;
use crate::setup::edit::Splice;
use crate::setup::syntax::Node;

use super::{Trio, Walk};

impl<'a> Walk<'a> {
    /// Something that they have not. False if it is taken out.
    pub(super) fn ours_alone(&mut self, trio: &Trio<'a>, ours: &'a Node) -> bool {
        let is_new = trio.base.is_none() && self.stands_alone(Side::Ours, ours);
        let is_left = self.three.ours_is_base(trio.base, Some(ours));
        let is_still_seen = is_left && self.is_still_seen(Side::Ours, ours);
        let is_out = is_left && !is_still_seen;
        let decided = if is_new { Some(Side::Ours) } else { is_out.then_some(Side::Theirs) };
        match decided.and_then(|side| self.taken(trio).side(side)) {
            Some(Side::Ours) => self.keep(ours),
            Some(Side::Theirs) => return self.taken_out(trio, ours),
            None => self.conflict_over(trio, ours, is_still_seen.then_some(Because::LaterSession)),
        }
        true
    }

    /// They took out what we left as it was. What they only disabled is disabled here too, so that nothing is lost.
    /// True if it stays in the text.
    fn taken_out(&mut self, trio: &Trio<'a>, ours: &'a Node) -> bool {
        self.say_older_without(trio, Side::Theirs, ours);
        let as_theirs = self.labels.as_has(Side::Theirs);
        let disabled = is_disabled(ours.whole.text(&self.three.ours.text), &self.three.theirs.text);
        if disabled {
            self.splices.push(Splice::at(ours.span.start as usize, "/-".to_owned()));
            self.said.push(format!("`{}` is disabled with `/-`, {as_theirs}.", trio.path));
        } else {
            self.say_comments(trio, ours, None);
            self.gone.push(ours);
        }
        self.say_torque(trio, &format!("is no longer recorded, {as_theirs}"));
        disabled
    }

    /// Something that we have not.
    pub(super) fn theirs_alone(
        &mut self,
        trio: &Trio<'a>,
        theirs: &'a Node,
        parent: &'a Node,
        last: Option<&'a Node>,
    ) {
        let is_left = trio.base.is_some() && self.three.theirs_is_base(trio.base, Some(theirs));
        let is_still_seen = is_left && self.is_still_seen(Side::Theirs, theirs);
        let is_out = is_left && !is_still_seen;
        let is_new = trio.base.is_none() && !trio.is_apart && self.stands_alone(Side::Theirs, theirs);
        let decided = if is_out { Some(Side::Ours) } else { is_new.then_some(Side::Theirs) };
        let stays = decided.and_then(|side| self.taken(trio).side(side));
        if stays == Some(Side::Ours) {
            return self.say_older_without(trio, Side::Ours, theirs);
        }
        if stays.is_none() {
            let indent = last
                .map_or_else(|| format!("{}    ", self.indent(parent)), |last| self.indent(last).to_owned());
            let text = self.conflict(trio, &indent, is_still_seen.then_some(Because::LaterSession));
            self.put(parent, last, &text);
            return;
        }
        let text = self.three.theirs.node_text(theirs, &self.around, self.line_end);
        self.put(parent, last, &text);
        self.say_torque(trio, &format!("is new, {}", self.labels.as_has(Side::Theirs)));
    }
}
