//! What cannot stand beside what else the merged file says: angles of another floor, a sheet's word that the other saw again
//! since, a place of its own on another's clamp; and the groups that are one thing, however many lines they have.

use crate::catalogue::joint::is_control_angle;
use crate::check::lines;
use crate::merge::session::{Choice, Side, Three};
use crate::merge::tree::{is_same_but_its_day, is_same_head};
use crate::metrology::NEGLIGIBLE;
use crate::metrology::verdict::{Verdict, judge};
use crate::setup::syntax::Node;

use super::{Trio, Walk};

/// What tells together on whose clamp a control sits, and where that is.
pub const PLACING: [&str; 2] = ["mount", "from-tip"];

impl<'a> Walk<'a> {
    /// Whether a node's angles against gravity were read on another floor than the merged file will have.
    pub(super) fn is_off_floor(&self, side: Side, node: &Node) -> bool {
        !self.is_one_floor()
            && self.around.floor != Some(side)
            && self.three.version(side).has_gravity(self.three.catalogue, node)
    }

    /// Whether a node's angles of controls were read on the bar before it was rolled as the merged file will have it.
    pub(super) fn is_off_roll(&self, side: Side, node: &Node) -> bool {
        let version = self.three.version(side);
        !self.is_one_roll()
            && !self.around.is_rolled_before(version, node)
            && version.measures(node).any(|(id, _)| is_control_angle(id.row))
    }

    /// Whether both sides have the bar rolled alike, as far as it was read.
    fn is_one_roll(&self) -> bool {
        let rolls = [self.three.ours, self.three.theirs].map(|version| version.setup.reading(&lines::roll()));
        let [Some(ours), Some(theirs)] = rolls else { return true };
        let doubt = ours.expanded_uncertainty().hypot(theirs.expanded_uncertainty());
        judge(theirs.value() - ours.value(), doubt) != Verdict::Moved
    }

    /// The side that alone changed what was there before, or put there what was not.
    pub(super) fn changed_alone(&self, trio: &Trio<'a>) -> Option<Side> {
        let ours_is_base = self.three.ours_is_base(trio.base, trio.ours);
        let theirs_is_base = self.three.theirs_is_base(trio.base, trio.theirs);
        match (ours_is_base, theirs_is_base) {
            (true, false) => Some(Side::Theirs),
            (false, true) => Some(Side::Ours),
            (true, true) if !self.three.is_agreed(trio.ours, trio.theirs) => {
                self.three.dated_alone(trio.base, trio.ours?, trio.theirs?)
            }
            _ => None,
        }
    }

    /// Whether a sheet's word of how something was found is of another day than the merged sheet.
    pub(super) fn is_of_another_day(&self, side: Side, node: &Node) -> bool {
        let version = self.three.version(side);
        let day = version.day_of(node);
        version.is_word_of_a_sheet(node) && day.is_some() && self.around.day != day
    }

    /// Whether one side alone changed a sheet's word of how something was found, and the other has it of a later session as it
    /// was: between the two the line may have been drawn anew, or the joint opened again.
    pub(super) fn is_seen_since(&self, trio: &Trio<'a>, ours: &Node, theirs: &Node) -> bool {
        let Some(side) = self.changed_alone(trio) else { return false };
        let (changed, left) = if side == Side::Ours { (ours, theirs) } else { (theirs, ours) };
        let version = self.three.version(side);
        version.is_word_of_a_sheet(changed)
            && self.three.is_newer_session(side.other(), left, version.day_of(changed))
    }

    /// Whether what a side of a sheet left as it was, and the other took out, was seen again on a later day than the other's.
    pub(super) fn is_still_seen(&self, side: Side, left: &Node) -> bool {
        let version = self.three.version(side);
        (is_damage(left) || version.is_word_of_a_sheet(left))
            && self.three.is_newer_session(side, left, self.three.version(side.other()).day())
    }

    /// One thing that both sides of a sheet saw, each on its day. If one of them alone gave it another day than it had, that is
    /// it; else damage was there from the earlier day on, and whatever else was found so is so on the later. False if it is no
    /// such thing.
    pub(super) fn is_seen_by_both(&mut self, trio: &Trio<'a>, ours: &'a Node, theirs: &'a Node) -> bool {
        let is_damage = is_damage(ours);
        let is_found_so = self.three.ours.is_word_of_a_sheet(ours)
            && is_same_but_its_day(ours, theirs)
            && !self.three.is_agreed(Some(ours), Some(theirs));
        if !is_damage && !is_found_so {
            return false;
        }
        let (mine, yours) = (self.three.ours.day_of(ours), self.three.theirs.day_of(theirs));
        let is_theirs = if is_damage { yours < mine } else { yours > mine };
        let by_day = if is_theirs { Side::Theirs } else { Side::Ours };
        let side = self.three.dated_alone(trio.base, ours, theirs).unwrap_or(by_day);
        self.say_seen(trio, side, ours, theirs);
        match side {
            Side::Ours => self.keep(ours),
            Side::Theirs => self.take(trio, ours, theirs),
        }
        true
    }

    /// Whether what one side alone has may stand in the merged file.
    pub(super) fn stands_alone(&self, side: Side, node: &Node) -> bool {
        let is_under_others = &*node.name == "floor" && self.three.is_floor_under_others(side);
        !is_under_others && !self.is_off_floor(side, node) && !self.is_off_roll(side, node)
    }

    /// Whether both sides stood on a floor of the same slope, however well it was read: an angle moves with no more.
    pub(super) fn is_one_floor(&self) -> bool {
        match (self.three.ours.floor(), self.three.theirs.floor()) {
            (Some(ours), Some(theirs)) => (ours.value() - theirs.value()).abs() <= NEGLIGIBLE,
            (None, None) => true,
            _ => false,
        }
    }
}

fn is_damage(node: &Node) -> bool {
    &*node.name == "damage"
}

/// Whether of a control's clamp and its place one is decided and the other not, though both differ: a control that sits on
/// another's clamp has no place of its own. The groups of base, ours and theirs.
pub(super) fn is_placed_apart(three: &Three, groups: [Option<&Node>; 3]) -> bool {
    let of = |word: &str| groups.map(|group| group?.child(word));
    let differs = |word: &str| {
        let [_, ours, theirs] = of(word);
        !three.is_agreed(ours, theirs)
    };
    let is_apart = |word: &str| match of(word) {
        [base, Some(ours), Some(theirs)] => three.choose(base, ours, theirs) == Choice::Apart,
        [base @ Some(_), Some(ours), None] => !three.ours_is_base(base, Some(ours)),
        [base @ Some(_), None, Some(theirs)] => !three.theirs_is_base(base, Some(theirs)),
        _ => false,
    };
    PLACING.into_iter().all(differs) && PLACING.into_iter().any(is_apart)
}

/// Whether both sides may have changed this group in different places: a mark is one drawing, and the figures of a
/// torque belong together.
pub(super) fn holds_apart(word: &str, ours: &Node, theirs: &Node) -> bool {
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
