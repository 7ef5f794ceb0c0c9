//! The steps themselves: what each sets, how it is tightened, what to mind and what proves it.

use std::collections::{BTreeMap, BTreeSet};

use crate::catalogue::table::RIDER_FRONT_BRAKE;
use crate::catalogue::{MeasureId, Weight, caution, joint};
use crate::check::carbon;
use crate::compare::{Comparison, Limits, Tightness};
use crate::metrology::show;
use crate::setup::model::Mark;
use crate::setup::torque::Torque;
use crate::torque::allowed;
use crate::torque::old_part::of_today;
use crate::torque::wrench::{Wrench, settings};

use super::super::evidence::{self, MarkReport, MarkVerdict};
use super::super::holder::{FIRST, Holder, LAST, Order};
use super::super::step::{Move, Step, StepKind, StepTorque};
use super::{Blocked, Planner};

/// Common practice, no source.
const TOO_TIGHT: &str = "It was drawn too tight: loosen it all the way and look the clamped parts over first. A wrench set \
                         lower only clicks.";

/// Common practice, no source.
const WITH_ITS_LEVER: &str = "The lever was set nearer to the grip, and its bite came along: set the reach back first, then read the \
                              bite again. If it still bites nearer, do not ride: have a qualified mechanic look.";

impl Planner<'_> {
    /// The allowed range, and the settings of the file's wrench where it has just one.
    fn torque(&self, torque: &Torque) -> Option<StepTorque> {
        let torque = &of_today(torque);
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
            let set: Vec<&MeasureId> = ids.iter().filter(|id| self.is_set(holder, id)).collect();
            let here = blocked.iter().filter(|stop| stop.is_told_at(*order));
            let unknown: Vec<String> = here.map(|stop| format!("{} {}", stop.why, stop.help)).collect();
            let keeps = self.keeps(holder, ids.iter().filter(|id| !set.contains(id)));
            let mut step = self.step(holder, &set, keeps, sentence(why));
            step.cautions.extend(self.row_cautions(set.into_iter()));
            if step.moves.is_empty()
                && unknown.is_empty()
                && step.cautions.is_empty()
                && holder.joint().is_none()
            {
                continue;
            }
            step.unknown = unknown;
            let forbids = |stop: &&Blocked| stop.forbids && self.is_about(stop, holder);
            // What stops this very joint is told before what stops another.
            let is_elsewhere = |stop: &&Blocked| stop.joint.as_deref() != holder.joint();
            let stop = blocked.iter().filter(forbids).min_by_key(is_elsewhere).map(|stop| stop.why.clone());
            if let Some(why) = stop.or_else(|| self.no_target(step.moves.iter().chain(&step.keeps))) {
                self.block(&mut step, holder, why);
            } else {
                step.held_up = held_up(blocked, *order);
            }
            steps.push(step);
        }
        steps
    }

    /// Leaves of a step at which nothing may be tightened what falls out there, and how far it is from where it was.
    fn block(&self, step: &mut Step, holder: &Holder, why: String) {
        (step.blocked, step.held_up) = (true, Some(why));
        (step.torque, step.tool, step.line_up, step.keeps) = (None, None, Vec::new(), Vec::new());
        let known = holder.joint().and_then(joint::find).map(|(_, joint)| self.what_drops(holder, joint));
        step.first = known.filter(|drops| !drops.is_empty());
        // Of a reading that a mark belies there is no way back to tell, nor to what nobody is to ride with.
        step.moves
            .retain(|back| !self.is_disputed(&back.measure) && self.no_target_of(&back.measure).is_none());
    }

    /// Whether a measure got less, and that is wear or a defect and no setting.
    fn is_spoilt(&self, id: &MeasureId) -> bool {
        self.way.comparison.as_ref().is_some_and(|comparison| comparison.is_worn(id))
    }

    /// Whether a mark of the same sheet says another thing than this reading.
    fn is_disputed(&self, measure: &str) -> bool {
        let mut all = self.way.comparison.iter().flat_map(|comparison| &comparison.contradictions);
        all.any(|one| one.measure == measure)
    }

    /// Whether the sheet itself tells that a joint was opened, and not only a note in the file.
    pub(super) fn is_opened_now(&self, joint: &str) -> bool {
        self.way.comparison.as_ref().is_some_and(|comparison| comparison.opened().contains(joint))
    }

    /// What the table always says where one of these moved; a full rebuild tells of no move.
    fn row_cautions<'i>(&self, ids: impl Iterator<Item = &'i MeasureId>) -> Vec<String> {
        let moved = ids.filter(|id| self.way.has_moved(id));
        let caution = |id: &MeasureId| {
            if self.catalogue.measure(id.row).caution_of_less.is_some() && !self.is_spoilt(id) {
                return Some(WITH_ITS_LEVER)
                    .filter(|_| self.way.apart(id).is_some_and(|(delta, _)| delta < 0.0));
            }
            let delta = self.way.apart(id).map(|(delta, _)| delta);
            self.catalogue.measure(id.row).caution_at(delta)
        };
        let said: BTreeSet<&str> = moved.filter_map(caution).collect();
        said.into_iter().map(str::to_owned).collect()
    }

    /// Whether what stops the work lies under this joint's clamp: on it, or on a part that it clamps.
    fn is_about(&self, stop: &Blocked, holder: &Holder) -> bool {
        let Some(name) = holder.joint() else { return false };
        let also = stop.also.iter().any(|joint| joint == name);
        let clamps = stop.on.as_deref().is_some_and(|part| joint::clamps(self.catalogue, name, part));
        stop.joint.as_deref() == Some(name) || also || clamps
    }

    /// Whether a step sets this measure: what moved, at an opened joint what nobody looked at and can slip, and
    /// everything at a joint that comes apart for another part.
    fn is_set(&self, holder: &Holder, id: &MeasureId) -> bool {
        if self.sheet.is_none() {
            return true;
        }
        let measure = self.catalogue.measure(id.row);
        // Spacers do not slip: they are swapped where the joint comes apart, and only a sheet can tell that it did.
        let slides =
            |joint: &str| self.is_setting(id) && (!measure.comes_apart() || self.is_opened_now(joint));
        let may_slip = |joint: &str| slides(joint) && (self.way.is_unknown(id) || self.is_refitted(joint));
        self.way.has_moved(id) || holder.joint().is_some_and(may_slip)
    }

    /// What a joint that is opened lets go although it was found in its place: it is kept there, and its mark lined up.
    fn keeps<'i>(&self, holder: &Holder, left: impl Iterator<Item = &'i MeasureId>) -> Vec<Move> {
        let Some(joint) = holder.joint() else { return Vec::new() };
        let slips = |id: &&MeasureId| {
            self.setup.can_slip(self.catalogue, id)
                && !self.way.is_unknown(id)
                && self.read_before(id).is_none()
        };
        left.filter(slips).filter_map(|id| self.way.kept(id, self.usable_mark(joint, id))).collect()
    }

    /// Whether a person sets it, and it is neither what a part is nor a choice.
    fn is_setting(&self, id: &MeasureId) -> bool {
        !self.catalogue.measure(id.row).is_of_the_part() && self.setup.choice(id).is_none()
    }

    /// What the marks of these moves read, each once.
    fn to_line_up<'m>(&self, moves: impl Iterator<Item = &'m Move>) -> Vec<String> {
        let names: BTreeSet<&str> = moves.filter_map(|back| back.mark.as_deref()).collect();
        let reads = |name: &&str| {
            let mark = self.setup.mark(name)?;
            Some(match &mark.reads {
                Some(reads) => format!("{name}: {reads}"),
                None => format!("{name}: its two halves meet"),
            })
        };
        names.iter().filter_map(reads).collect()
    }

    fn step(&self, holder: &Holder, set: &[&MeasureId], keeps: Vec<Move>, why: String) -> Step {
        let mark = |id: &MeasureId| holder.joint().and_then(|joint| self.usable_mark(joint, id));
        // What must not be made up for by setting has no way back to tell: its caution says what to do.
        let settable = set.iter().filter(|id| !self.is_spoilt(id) && self.read_before(id).is_none());
        let moves: Vec<Move> = settable.filter_map(|id| self.way.back(id, mark(id))).collect();
        let aimed_at =
            |id: &&MeasureId| moves.iter().chain(&keeps).any(|back| back.measure == self.catalogue.path(id));
        let aims: Vec<&MeasureId> = self.setup.readings.keys().filter(aimed_at).collect();
        let mut cautions: Vec<String> = aims.into_iter().filter_map(|id| self.may_be_old(id)).collect();
        let known = holder.joint().and_then(joint::find).map(|(_, joint)| joint);
        let torque = holder.joint().and_then(|name| self.setup.torque(name));
        cautions.extend(self.step_cautions(holder, torque));
        Step {
            number: 0,
            kind: if known.is_some() { StepKind::Joint } else { StepKind::Adjuster },
            joint: holder.joint().map(str::to_owned),
            title: holder.title(),
            weight: holder.weight(),
            why,
            first: known.map(|joint| self.first(holder, joint)),
            fit: self.to_fit(holder),
            tool: torque.and_then(|torque| torque.tool.clone()),
            torque: torque.and_then(|torque| self.torque(torque)),
            unknown: Vec::new(),
            along: self.way.along_with_the_bar(&moves),
            line_up: self.to_line_up(moves.iter().chain(&keeps)),
            cautions,
            check: self.proof(holder, known, &moves),
            blocked: false,
            held_up: None,
            moves,
            keeps,
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
        cautions.extend(self.spacers_astray(holder));
        cautions.extend(self.to_compare(name));
        let mut found = self.way.comparison.iter().flat_map(|comparison| &comparison.tightened);
        if found.any(|found| found.joint == name && found.state == Tightness::Above) {
            cautions.push(TOO_TIGHT.to_owned());
        }
        if let Some(torque) = torque {
            cautions.extend(torque.cautions.iter().map(|caution| caution.value.clone()));
            let is_said = |caution: &String| caution.to_lowercase().contains("under braking");
            let must_hold = holder.weight() == Weight::SteeringAndBrakes;
            if torque.slips_in_a_crash.is_some() && must_hold && !cautions.iter().any(is_said) {
                cautions.push("It may turn in a crash, and never under braking.".to_owned());
            }
        }
        if torque.is_none_or(|torque| of_today(torque).range.is_none()) {
            cautions.push(self.no_torque_here(name));
        }
        // The inspection says it in full: where the file's own caution speaks of carbon, it is not said twice.
        let is_on_carbon = carbon::clamped_at(&self.way.recorded, name).is_some();
        if is_on_carbon && !torque.is_some_and(carbon::mentions) {
            cautions.push(caution::CARBON.to_owned());
        }
        let told = |mark: &&MarkReport| mark.joint.as_deref() == Some(name);
        let loose = self.loses_its_line(name);
        for mark in self.evidence.marks.iter().filter(told) {
            if let Some(half) = loose.filter(|_| mark.state != MarkVerdict::Unknown) {
                let mark = &mark.name;
                cautions.push(format!(
                    "Do not set by mark {mark} where it meets {half}, which turns freely; draw it again when the joint is set \
                     and tight."
                ));
                continue;
            }
            match mark.state {
                // Where it is told why the angle is no target, so is what the line tells.
                MarkVerdict::Stale if mark.beside_an_old_angle => {}
                MarkVerdict::Stale => {
                    let why = if mark.mend.is_some() { "no evidence" } else { "stale" };
                    cautions.push(format!("Do not line up mark {}: it is {why}.", mark.name));
                }
                MarkVerdict::Broken | MarkVerdict::Missing => {
                    cautions.push(format!("Draw mark {} again when the joint is set and tight.", mark.name));
                }
                MarkVerdict::DrawnSince => cautions.push(format!(
                    "Mark {} was drawn anew since: line up the new line, not the old one.",
                    mark.name
                )),
                MarkVerdict::Off
                | MarkVerdict::OnAnotherPart
                | MarkVerdict::Unknown
                | MarkVerdict::Aligned
                | MarkVerdict::NotLookedAt => {}
            }
        }
        cautions
    }

    /// What to do where nobody knows what a joint is tightened to; with what it has now, if the sheet tells it.
    fn no_torque_here(&self, name: &str) -> String {
        let mut unjudged = self.way.comparison.iter().flat_map(Comparison::unjudged);
        match unjudged.find(|found| found.joint == name).and_then(|found| found.applied) {
            Some(applied) => format!(
                "No torque is known: find the part maker's figure and write it in the file, `torque \"{name}\" FROM TO`. The {} \
                 N·m it has now are right only if they lie in that; else tighten it to that.",
                show::brief(applied)
            ),
            None => "No torque is known: find the part maker's figure before tightening.".to_owned(),
        }
    }

    /// Whether a joint has to come apart, or did: for another part, for what cannot be changed before, or as the sheet
    /// tells.
    pub(super) fn comes_apart(&self, joint: &str) -> bool {
        let on_the_sheet = |sheet| evidence::came_apart(&self.way.recorded, joint, sheet);
        self.is_refitted(joint) || self.is_told_open(joint) || self.sheet.is_some_and(on_the_sheet)
    }

    /// What a line across a joint was drawn to, where that turns freely because the joint comes apart.
    fn loses_its_line(&self, joint: &str) -> Option<&'static str> {
        joint::loose_half(joint).filter(|_| self.sheet.is_none() || self.comes_apart(joint))
    }

    /// The mark that shows a measure's recorded position, if there is one to trust.
    pub(super) fn usable_mark(&self, joint: &str, id: &MeasureId) -> Option<String> {
        if self.loses_its_line(joint).is_some() {
            return None;
        }
        let usable = |name: &str| {
            let verdict = self.evidence.marks.iter().find(|report| report.name == name)?.state;
            let is_lost = match verdict {
                MarkVerdict::Stale | MarkVerdict::Broken | MarkVerdict::Missing | MarkVerdict::Unknown => {
                    true
                }
                // The new line stands at the position that is recorded now; the old one comes back with its part.
                MarkVerdict::DrawnSince
                | MarkVerdict::OnAnotherPart
                | MarkVerdict::Off
                | MarkVerdict::Aligned
                | MarkVerdict::NotLookedAt => false,
            };
            let all = self.way.comparison.iter().flat_map(|comparison| &comparison.contradictions);
            let belied = all.into_iter().any(|one| one.is_of(name));
            (!belied && !is_lost).then_some(())
        };
        // Where several are, the one that the way back was told from.
        let is_beside = |mark: &&Mark| self.evidence.taken.get(id) != Some(&mark.name.value);
        self.setup
            .marks_on(joint)
            .filter(|mark| mark.drawn.iter().any(|(drawn, _)| drawn == id))
            .filter(|mark| usable(&mark.name.value).is_some())
            .min_by_key(is_beside)
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
        if self.setup.has_carbon_bar() {
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

fn standing_step(kind: StepKind, title: &str) -> Step {
    Step {
        number: 0,
        kind,
        joint: None,
        title: title.to_owned(),
        weight: Weight::SteeringAndBrakes,
        why: String::new(),
        first: None,
        fit: Vec::new(),
        tool: None,
        torque: None,
        moves: Vec::new(),
        keeps: Vec::new(),
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
