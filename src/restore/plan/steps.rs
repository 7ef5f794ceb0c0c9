//! The steps themselves: what each sets, how it is tightened, what to mind and what proves it.

use std::collections::{BTreeMap, BTreeSet};

use crate::catalogue::table::{BAR_MATERIAL, RIDER_FRONT_BRAKE, SPACERS};
use crate::catalogue::{Catalogue, MeasureId, Row, Weight, caution, joint};
use crate::check::carbon;
use crate::compare::Limits;
use crate::setup::torque::Torque;
use crate::torque::allowed;
use crate::torque::wrench::{Wrench, settings};

use super::super::evidence::{MarkReport, MarkVerdict};
use super::super::holder::{FIRST, Holder, LAST, Order};
use super::super::step::{Move, Step, StepKind, StepTorque};
use super::{Blocked, Planner};

/// Common practice, no source.
const SPACERS_OFF: &str = "Front wheel on the floor and the fork held: with the top cap and the stem off nothing holds \
                           the fork, and it drops out. Undo the top cap, loosen the stem bolts, lift the stem off, \
                           put the spacers right, stem and top cap back on.";

impl Planner<'_> {
    /// The allowed range, and the settings of the file's wrench where it has just one.
    fn torque(&self, torque: &Torque) -> Option<StepTorque> {
        let allowed = allowed(torque)?.ok()?;
        let mut wrenches = self.setup.wrenches().map(|(name, wrench)| Wrench::of_file(name, wrench));
        let only = wrenches.next().filter(|_| wrenches.next().is_none());
        let settings = only.and_then(|wrench| wrench.has(settings(torque, &wrench, None)?));
        Some(StepTorque {
            from: allowed.range.from,
            to: allowed.range.to,
            unit: "N-m",
            settings: settings.map(|range| Limits { from: range.from, to: range.to }),
            limited_by: allowed.limited_by.map(|ceiling| ceiling.part.value.clone()),
        })
    }

    pub(super) fn steps(
        &self,
        work: &BTreeMap<Order, Vec<String>>,
        held: &BTreeMap<Order, (Holder, Vec<MeasureId>)>,
        blocked: &[Blocked],
    ) -> Vec<Step> {
        let mut steps = Vec::new();
        for (order, why) in work {
            let Some((holder, ids)) = held.get(order) else { continue };
            let moves: Vec<Move> = ids
                .iter()
                .filter(|id| self.is_set(holder, id))
                .filter_map(|id| {
                    self.way.back(id, holder.joint().and_then(|joint| self.usable_mark(joint, id)))
                })
                .collect();
            let here = blocked.iter().filter(|stop| stop.is_told_at(*order));
            let unknown: Vec<String> = here.map(|stop| format!("{} {}", stop.why, stop.help)).collect();
            if moves.is_empty() && unknown.is_empty() && holder.joint().is_none() {
                continue;
            }
            let mut step = self.step(holder, moves, sentence(why));
            step.unknown = unknown;
            step.cautions.extend(self.row_cautions(ids.iter().filter(|id| self.is_set(holder, id))));
            let forbids = |stop: &&Blocked| stop.forbids && self.is_about(stop, holder);
            if let Some(stop) = blocked.iter().find(forbids) {
                (step.blocked, step.held_up) = (true, Some(stop.why.clone()));
                (step.torque, step.line_up) = (None, Vec::new());
            } else {
                step.held_up = held_up(blocked, *order);
            }
            steps.push(step);
        }
        steps
    }

    /// What the table always says where one of these moved; a full rebuild tells of no move.
    fn row_cautions<'i>(&self, ids: impl Iterator<Item = &'i MeasureId>) -> Vec<String> {
        let moved = ids.filter(|id| self.way.has_moved(id));
        let caution = |id: &MeasureId| {
            let delta = self.way.apart(id).map(|(delta, _)| delta);
            self.catalogue.measure(id.row).caution_at(delta)
        };
        let said: BTreeSet<&str> = moved.filter_map(caution).collect();
        said.into_iter().map(str::to_owned).collect()
    }

    /// Whether what stops the work lies under this joint's clamp: on it, or on the bar that it squeezes.
    fn is_about(&self, stop: &Blocked, holder: &Holder) -> bool {
        let Some(name) = holder.joint() else { return false };
        let on_the_bar = || joint::find(name).is_some_and(|(_, joint)| joint.squeezes == Some(BAR_MATERIAL));
        let bar = self.catalogue.measure(BAR_MATERIAL).part();
        stop.joint.as_deref() == Some(name) || stop.on.as_deref() == Some(bar) && on_the_bar()
    }

    /// Whether a step sets this measure: what moved, and at an opened joint what nobody looked at and can slip.
    fn is_set(&self, holder: &Holder, id: &MeasureId) -> bool {
        if self.sheet.is_none() {
            return true;
        }
        let slides = !self.catalogue.measure(id.row).is_of_the_part() && self.setup.choice(id).is_none();
        let may_slip = holder.joint().is_some() && self.way.is_unknown(id) && slides;
        self.way.has_moved(id) || may_slip
    }

    fn step(&self, holder: &Holder, moves: Vec<Move>, why: String) -> Step {
        let known = holder.joint().and_then(joint::find).map(|(_, joint)| joint);
        let torque = holder.joint().and_then(|name| self.setup.torque(name));
        let line_up: BTreeSet<&str> = moves.iter().filter_map(|back| back.mark.as_deref()).collect();
        let reads = |name: &&str| {
            let mark = self.setup.marks.iter().find(|mark| mark.name.value == **name)?;
            Some(match &mark.reads {
                Some(reads) => format!("{name}: {reads}"),
                None => format!("{name}: its two halves meet"),
            })
        };
        Step {
            number: 0,
            kind: if known.is_some() { StepKind::Joint } else { StepKind::Adjuster },
            joint: holder.joint().map(str::to_owned),
            title: holder.title(),
            weight: holder.weight(),
            why,
            first: known.map(|joint| first(joint, &moves)),
            tool: torque.and_then(|torque| torque.tool.clone()),
            torque: torque.and_then(|torque| self.torque(torque)),
            unknown: Vec::new(),
            along: self.way.along_with_the_bar(&moves),
            line_up: line_up.iter().filter_map(reads).collect(),
            cautions: self.step_cautions(holder, torque),
            check: self.proof(holder, known, &moves),
            blocked: false,
            held_up: None,
            moves,
        }
    }

    fn proof(&self, holder: &Holder, known: Option<&joint::Joint>, moves: &[Move]) -> String {
        match known {
            Some(joint) => joint.proof.to_owned(),
            None if holder.weight() == Weight::SteeringAndBrakes => {
                let front = MeasureId::bike(RIDER_FRONT_BRAKE);
                let swapped = moves.iter().any(|back| back.measure == self.catalogue.path(&front));
                let hand = self.setup.choice(&front).filter(|_| swapped);
                let wheel =
                    hand.map(|hand| format!("The {hand} lever, and it alone, holds the front wheel. "));
                wheel.unwrap_or_default() + caution::STANDING_CHECKS[1]
            }
            None => {
                let read: Vec<&str> = moves.iter().map(|back| back.title.as_str()).collect();
                format!("Read again: {}.", read.join(", "))
            }
        }
    }

    fn step_cautions(&self, holder: &Holder, torque: Option<&Torque>) -> Vec<String> {
        let mut cautions = Vec::new();
        let Some(name) = holder.joint() else { return cautions };
        if let Some(torque) = torque {
            cautions.extend(torque.cautions.iter().map(|caution| caution.value.clone()));
            let is_said = |caution: &String| caution.to_lowercase().contains("under braking");
            let must_hold = holder.weight() == Weight::SteeringAndBrakes;
            if torque.slips_in_a_crash.is_some() && must_hold && !cautions.iter().any(is_said) {
                cautions.push("It may turn in a crash, and never under braking.".to_owned());
            }
        } else {
            cautions
                .push("No torque is recorded: find the part maker's figure before tightening.".to_owned());
        }
        let on_the_bar = joint::find(name).is_some_and(|(_, joint)| joint.squeezes == Some(BAR_MATERIAL));
        // The inspection says it in full: where the file's own caution speaks of carbon, it is not said twice.
        if on_the_bar && self.is_carbon() && !torque.is_some_and(carbon::mentions) {
            cautions.push(caution::CARBON.to_owned());
        }
        let told = |mark: &&MarkReport| mark.joint.as_deref() == Some(name);
        for mark in self.evidence.marks.iter().filter(told) {
            match mark.state {
                MarkVerdict::Stale => {
                    cautions.push(format!("Do not line up mark {}: it is stale.", mark.name));
                }
                MarkVerdict::Broken | MarkVerdict::Missing => {
                    cautions.push(format!("Draw mark {} again when the joint is set and tight.", mark.name));
                }
                MarkVerdict::DrawnSince => cautions.push(format!(
                    "Mark {} was drawn anew since: line up the new line, not the old one.",
                    mark.name
                )),
                MarkVerdict::Off | MarkVerdict::Unknown | MarkVerdict::Aligned | MarkVerdict::NotLookedAt => {
                }
            }
        }
        cautions
    }

    /// The mark that shows a measure's recorded position, if there is one to trust.
    pub(super) fn usable_mark(&self, joint: &str, id: &MeasureId) -> Option<String> {
        let usable = |name: &str| {
            let verdict = self.evidence.marks.iter().find(|report| report.name == name)?.state;
            let is_lost = match verdict {
                MarkVerdict::Stale | MarkVerdict::Broken | MarkVerdict::Missing | MarkVerdict::Unknown => {
                    true
                }
                // The new line stands at the position that is recorded now.
                MarkVerdict::DrawnSince
                | MarkVerdict::Off
                | MarkVerdict::Aligned
                | MarkVerdict::NotLookedAt => false,
            };
            let all = self.way.comparison.iter().flat_map(|comparison| &comparison.contradictions);
            let belied = all.into_iter().any(|one| one.mark == name);
            (!belied && !is_lost).then_some(())
        };
        self.setup
            .marks_on(joint)
            .filter(|mark| mark.drawn.iter().any(|(drawn, _)| drawn == id))
            .find(|mark| usable(&mark.name.value).is_some())
            .map(|mark| mark.name.value.clone())
    }

    /// The standing first and last items, where steering or brakes were touched.
    pub(super) fn standing(&self, steps: &mut Vec<Step>, blocked: &[Blocked]) {
        let opens = steps.iter().any(|step| step.kind == StepKind::Joint);
        let brakes = steps.iter().any(|step| step.weight == Weight::SteeringAndBrakes);
        if !(opens || brakes || !blocked.is_empty()) {
            return;
        }
        let mut inspection = standing_step(StepKind::Inspection, "the whole bike, bar first");
        inspection.why = "before anything is clamped".to_owned();
        inspection.check =
            "No score, crease or crack on bar, stem, steerer, levers and frame; nothing missing.".to_owned();
        if self.is_carbon() {
            inspection.cautions.push(caution::CARBON.to_owned());
        }
        inspection.held_up = held_up(blocked, FIRST);
        steps.insert(0, inspection);
        let mut checks = standing_step(StepKind::Checks, "before riding");
        checks.why = if brakes || !blocked.is_empty() {
            "after any work on steering or brakes".to_owned()
        } else {
            "after any clamp was opened".to_owned()
        };
        checks.check = caution::STANDING_CHECKS.join(" ");
        checks.held_up = held_up(blocked, LAST);
        steps.push(checks);
    }
}

/// Why a step at that place cannot make the bike safe, if something holds it up: what reaches furthest first.
fn held_up(blocked: &[Blocked], order: Order) -> Option<String> {
    blocked
        .iter()
        .filter(|stop| stop.holds_up_at(order))
        .min_by_key(|stop| stop.holds_up)
        .map(|stop| stop.why.clone())
}

/// Whether a move is of that row, which no side and no name tells apart.
fn is_of(back: &Move, row: Row) -> bool {
    back.measure == Catalogue::standard().measure(row).path
}

/// What must be right before a joint is tightened. Spacers do not come off a steerer without its top cap and stem.
fn first(joint: &joint::Joint, moves: &[Move]) -> String {
    let swapped = |back: &Move| {
        SPACERS.iter().any(|row| is_of(back, *row)) && back.delta.is_some_and(|delta| delta.abs() >= 0.05)
    };
    if !moves.iter().any(swapped) {
        return joint.before.to_owned();
    }
    format!("{SPACERS_OFF} {}", joint.before)
}

fn standing_step(kind: StepKind, title: &str) -> Step {
    Step {
        number: 0,
        kind,
        joint: None,
        title: title.to_owned(),
        weight: Weight::SteeringAndBrakes,
        why: String::new(),
        first: None,
        tool: None,
        torque: None,
        moves: Vec::new(),
        unknown: Vec::new(),
        along: Vec::new(),
        line_up: Vec::new(),
        cautions: Vec::new(),
        check: String::new(),
        blocked: false,
        held_up: None,
    }
}

fn sentence(parts: &[String]) -> String {
    parts.join("; ")
}
