//! What stops the work: damage, parts that were cut or swapped, targets nobody knows, ranges that allow nothing.

use std::collections::BTreeMap;

use crate::catalogue::{HeldBy, MeasureId, joint};
use crate::check::damage;
use crate::metrology::show;
use crate::setup::model::{Damage, Value};
use crate::torque::allowed;

use super::super::holder::{Holder, Order, joint_order, stops_at};
use super::{Blocked, Planner};

/// What ends a damage that a note keeps.
const TAKE_OUT: &str = " Once the part is replaced or passed, take the note out of the file.";

impl Planner<'_> {
    /// Everything that stops the work, in no particular order.
    pub(super) fn blocked(
        &self,
        work: &BTreeMap<Order, Vec<String>>,
        held: &BTreeMap<Order, (Holder, Vec<MeasureId>)>,
    ) -> Vec<Blocked> {
        let mut blocked: Vec<Blocked> = Vec::new();
        let found = self.setup.damages.iter().chain(self.sheet.into_iter().flat_map(|sheet| &sheet.damages));
        for damage in found {
            blocked.push(self.damaged(&damage.on.value, &damage.text.value, ""));
        }
        let said = |noted: &damage::Noted| {
            let same = |damage: &Damage| damage.on.value == noted.on && damage.text.value == noted.text;
            self.sheet.is_some_and(|sheet| sheet.damages.iter().any(same))
        };
        for noted in damage::noted(self.setup).filter(|noted| !said(noted)) {
            blocked.push(self.damaged(&noted.on, &noted.text, TAKE_OUT));
        }
        blocked.extend(self.contradictory());
        blocked.extend(self.cut());
        for order in work.keys() {
            let Some((holder, ids)) = held.get(order) else { continue };
            blocked.extend(self.unknown_targets(holder, ids));
            blocked.extend(self.empty_range(holder));
        }
        blocked
    }

    /// A mark and a reading of which one is false: which one has to be known before anything is loosened.
    fn contradictory(&self) -> Vec<Blocked> {
        let all = self.way.comparison.iter().flat_map(|comparison| &comparison.contradictions);
        all.map(|one| Blocked {
            why: format!("{}.", one.words),
            in_short: one.in_short(),
            help: format!(
                "Look at mark {} and measure again, and mend the sheet, before anything here is loosened.",
                one.mark
            ),
            order: joint_order(&one.joint, 0),
            joint: Some(one.joint.clone()),
            on: None,
            forbids: true,
        })
        .collect()
    }

    fn damaged(&self, on: &str, text: &str, then: &str) -> Blocked {
        let (joint, order) = stops_at(self.setup, on);
        let help = damage::help(self.setup, on);
        let in_short = format!("{}: {}", joint::title(on), text.trim_end_matches('.'));
        let why = format!("{in_short}.");
        let torque = self.once_right(on);
        let on = Some(on.to_owned());
        Blocked { joint, why, in_short, help: format!("{help}{then}{torque}"), order, on, forbids: true }
    }

    /// What holds for a joint once its damage is put right: a loose axle has no other step in which to say it. Nothing
    /// where the damage is on a part that is clamped: no torque makes that good.
    fn once_right(&self, on: &str) -> String {
        let Some(torque) = self.setup.torque(on).filter(|_| joint::find(on).is_some()) else {
            return String::new();
        };
        let Some(Ok(allowed)) = allowed(torque) else { return String::new() };
        let [from, to] = [allowed.range.from, allowed.range.to].map(show::brief);
        let range = format!(" Once it is put right, {from}–{to} N·m.");
        let cautions = torque.cautions.iter().map(|caution| &*caution.value);
        [&*range].into_iter().chain(cautions).collect::<Vec<_>>().join(" ")
    }

    /// Parts that were cut or swapped: no turn of a bolt brings them back.
    fn cut(&self) -> Vec<Blocked> {
        let Some(sheet) = self.sheet else { return Vec::new() };
        let cut = sheet
            .readings
            .keys()
            .filter(|id| self.catalogue.measure(id.row).held_by == HeldBy::Cutting && self.way.has_moved(id));
        cut.filter_map(|id| {
            let back = self.way.back(id, None)?;
            let (joint, order) = stops_at(self.setup, self.catalogue.measure(id.row).part());
            let in_short = format!("{} is {} than recorded", back.title, self.way.moved_words(id)?);
            Some(Blocked {
                joint,
                why: format!("{in_short}: another part is on the bike, or it was cut."),
                in_short,
                help: "Fit the recorded part, or record the new one once it is known to be right.".to_owned(),
                order,
                on: None,
                forbids: true,
            })
        })
        .collect()
    }

    fn unknown_targets(&self, holder: &Holder, ids: &[MeasureId]) -> Vec<Blocked> {
        let unknown = ids
            .iter()
            .filter(|id| self.setup.recorded(id).is_some_and(|recorded| recorded.value == Value::Unmeasured));
        unknown
            .map(|id| Blocked {
                joint: holder.joint().map(str::to_owned),
                why: format!(
                    "{} was never measured: there is nothing to go back to.",
                    self.catalogue.title(id)
                ),
                in_short: format!("{} was never measured", self.catalogue.title(id)),
                help: "Set it by feel with someone who knows, ride slowly, and record it.".to_owned(),
                order: holder.order(),
                on: None,
                forbids: false,
            })
            .collect()
    }

    fn empty_range(&self, holder: &Holder) -> Option<Blocked> {
        let torque = self.setup.torque(holder.joint()?)?;
        let conflict = allowed(torque)?.err()?;
        let from = torque.range.as_ref()?.value.from().newton_metres();
        let limit = conflict.ceiling.limit.value.newton_metres();
        Some(Blocked {
            joint: holder.joint().map(str::to_owned),
            in_short: format!("{}: its torque limits contradict one another", holder.title()),
            why: format!(
                "{}: its torque begins at {} N·m, but the {} allows only {} N·m.",
                holder.title(),
                show::brief(from),
                conflict.ceiling.part.value,
                show::brief(limit)
            ),
            help: "Do not tighten: ask both makers, or fit parts that agree.".to_owned(),
            order: holder.order(),
            on: None,
            forbids: true,
        })
    }
}
