//! What comes off first for a part that is fitted, what then is not held, and in which order all of it goes back on.

use std::cmp::Ordering;

use crate::catalogue::joint::{self, CONTROLS};
use crate::catalogue::{MeasureId, Side};

use super::super::holder::{Holder, joint_order};
use super::Planner;

/// What may save the work on a bar that only seems to have rolled.
const READ_FIRST: &str = "Read the bar's roll before anything is loosened. If it reads as recorded, not the bar but what sits on \
                          it was turned: write the roll on the sheet, and ask for the steps again.";

impl Planner<'_> {
    /// What must be right before a joint is tightened; where it comes apart, what then drops, too. Where nothing may be
    /// tightened, what drops alone.
    pub(super) fn first(&self, holder: &Holder, joint: &joint::Joint) -> String {
        let drops = self.what_drops(holder, joint);
        if drops.is_empty() { joint.before.to_owned() } else { format!("{drops} {}", joint.before) }
    }

    /// What a joint lets fall where it comes apart, and in which order it does; nothing where it does not.
    pub(super) fn what_drops(&self, holder: &Holder, joint: &joint::Joint) -> String {
        let refitted = holder.joint().filter(|name| self.is_refitted(name));
        let comes_apart = holder.joint().is_some_and(|name| self.comes_apart(name));
        let mut said = Vec::new();
        if self.rolled_by_all().is_some_and(|roll| holder.joint() == Some(&*roll.joint)) {
            said.push(READ_FIRST.to_owned());
        }
        if let Some(part) = holder.joint().and_then(|name| self.came_off_for(name)) {
            said.push(format!("It is back on, loosely, since the {part} was fitted."));
        } else if let Some(apart) = joint.apart.filter(|_| comes_apart || self.sheet.is_none()) {
            said.push(apart.then.to_owned());
            said.extend(refitted.and_then(|name| self.off_first(name)));
            said.extend(comes_apart.then(|| apart.order.to_owned()));
        }
        said.join(" ")
    }

    /// The parts that go back on, each with the joint at which it is fitted.
    fn fitted(&self) -> impl Iterator<Item = (&'static str, &'static str)> {
        let replaced = self.replaced();
        let parts =
            replaced.into_iter().flat_map(|replaced| replaced.parts.iter().chain(&replaced.turned_over));
        parts.filter_map(|part| Some((*part, joint::holding(part)?.name)))
    }

    /// The part for which what this joint clamps came off at an earlier step, where nothing is fitted at this one.
    fn came_off_for(&self, name: &str) -> Option<&'static str> {
        let is_fitted_here = self.fitted().any(|(_, at)| at == name);
        let mut before = self.fitted().filter(|(part, at)| sits_on(name, part, at));
        before.next().filter(|_| !is_fitted_here && self.is_refitted(name)).map(|(part, _)| part)
    }

    /// What is clamped to the part that is fitted at this joint, and so comes off before it.
    fn off_first(&self, name: &str) -> Option<String> {
        let replaced = self.replaced()?;
        let (part, _) = self.fitted().find(|(_, at)| *at == name)?;
        let mut on: Vec<&String> =
            replaced.joints.iter().filter(|other| sits_on(other, part, name)).collect();
        on.sort_by(|one, other| self.as_slid_on(one, other));
        // What went on last comes off first.
        let titles: Vec<String> = on.iter().map(|name| joint::title(name)).collect();
        let off: Vec<&str> = titles.iter().rev().map(String::as_str).collect();
        let order = if on.len() > 1 && on.iter().all(|name| joint::squeezes_bar(name)) {
            format!(
                "It slides back on in this order, unless a clamp opens fully: {}; all of it loosely, before anything here is \
                 tightened.",
                titles.join(", ")
            )
        } else {
            "What came off goes back on, loosely, before anything here is tightened.".to_owned()
        };
        let apart = on.iter().rev().filter_map(|name| joint::find(name)?.1.apart);
        let then: String = apart.flat_map(|apart| [apart.then, " "]).collect();
        (!off.is_empty()).then(|| {
            format!("What is clamped to the {part} comes off first: {}. {then}{order}", off.join(", "))
        })
    }

    /// The order in which things slide over a bar's ends: left before right, from inboard outward.
    fn as_slid_on(&self, one: &str, other: &str) -> Ordering {
        let is_right = |name: &str| joint_order(name, 0).1;
        is_right(one).cmp(&is_right(other)).then(self.inboard(other).total_cmp(&self.inboard(one)))
    }

    /// How far from the bar's end a joint clamps; what has no place along the bar sits at its end.
    fn inboard(&self, name: &str) -> f64 {
        let control = name.split_once('.').and_then(|(side, part)| {
            let control = CONTROLS.iter().find(|control| control.name == part)?;
            self.setup.value(&MeasureId::of(control.from_tip, Side::parse(side)?))
        });
        control.unwrap_or(0.0)
    }
}

/// Whether a joint clamps something to a part that is fitted at an earlier one.
fn sits_on(name: &str, part: &str, at: &str) -> bool {
    joint::is_limited_by(name, part) && joint_order(name, 0) > joint_order(at, 0)
}
