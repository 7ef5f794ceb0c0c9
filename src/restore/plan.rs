//! The way back: the ordered steps from a bike as found to the recorded setup, or from the box to it.
//!
//! The order is the list of joints'. What is *same* or *within reading* is not touched; a joint is opened only where
//! something moved, or where a mark says that it did. What blocks stands at the top, and nothing after it pretends
//! to be safe.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use crate::catalogue::caution;
use crate::catalogue::joint;
use crate::catalogue::table::BAR_MATERIAL;
use crate::catalogue::{Catalogue, HeldBy, MeasureId, Weight};
use crate::check::marks::has_joint;
use crate::compare::{self, CommonShift, Limits, NotLookedAt};
use crate::geometry::state::State;
use crate::setup::model::{Setup, Value};
use crate::setup::torque::Torque;
use crate::torque::allowed;
use crate::torque::wrench::{Wrench, settings};

use super::evidence::{self, Evidence, MarkReport, MarkVerdict};
use super::holder::{FIRST, Holder, LAST, Order, joint_order, stops_at};
use super::moves::Way;
use super::step::{Move, Step, StepKind, StepTorque};

/// Something that stops the work.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Blocked {
    /// The joint at which it stops; none where it stops everything.
    pub joint: Option<String>,
    /// What, in one sentence.
    pub why: String,
    /// What to do about it.
    pub help: String,
    #[serde(skip)]
    order: Order,
}

/// The way back.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Plan {
    /// clampmark.restore/1
    pub schema: &'static str,
    /// The setup's name.
    pub setup: String,
    /// The revision it goes back to, as the user named it.
    pub revision: String,
    /// Whether it is a full rebuild, without a sheet.
    pub rebuild: bool,
    /// One line to act on, if anything is dangerous.
    pub headline: Option<String>,
    /// What stops the work, the first in working order first.
    pub blocked: Vec<Blocked>,
    /// The steps in order.
    pub steps: Vec<Step>,
    /// What could have moved and nobody looked at, and no step sets anyway; dangerous first.
    pub not_looked_at: Vec<NotLookedAt>,
    /// How many readings and marks the sheet gives.
    pub looked_at: usize,
    /// Every mark and what it says.
    pub marks: Vec<MarkReport>,
    /// A shift that all angles share: the ground.
    pub common_shift: Option<CommonShift>,
    /// The standing cautions.
    pub cautions: Vec<&'static str>,
}

impl Plan {
    /// Whether there is nothing to do.
    pub fn is_empty(&self) -> bool {
        self.steps.is_empty() && self.blocked.is_empty()
    }

    /// Whether the sheet says nothing yet, so that an empty plan means nothing.
    pub fn is_blank(&self) -> bool {
        !self.rebuild && self.looked_at == 0
    }
}

/// The way back to `setup` from what `sheet` found, or the full rebuild.
pub fn plan(catalogue: &Catalogue, setup: &Setup, sheet: Option<&Setup>, revision: &str) -> Plan {
    let evidence = match sheet {
        Some(sheet) => evidence::weigh(catalogue, setup, sheet),
        None => Evidence { marks: evidence::recorded(catalogue, setup), ..Evidence::default() },
    };
    let recorded = State::recorded(catalogue, setup);
    let found = sheet.map(|sheet| recorded.found(sheet, Some(&evidence.turns)));
    let comparison = found.map(|found| {
        let mut comparison = compare::compare(recorded, found);
        evidence.settle(&mut comparison.marks);
        comparison
    });
    let way = Way { recorded, found, comparison };
    Planner { catalogue, setup, sheet, evidence: &evidence, way }.plan(revision)
}

struct Planner<'a> {
    catalogue: &'a Catalogue,
    setup: &'a Setup,
    sheet: Option<&'a Setup>,
    evidence: &'a Evidence,
    way: Way<'a>,
}

impl Planner<'_> {
    fn plan(self, revision: &str) -> Plan {
        let held = self.held();
        let work = self.work(&held);
        let mut blocked = self.blocked(&work, &held);
        blocked.sort_by_key(|stop| stop.order);
        let mut steps = self.steps(&work, &held, &blocked);
        self.standing(&mut steps, &blocked);
        for (index, step) in steps.iter_mut().enumerate() {
            step.number = index + 1;
        }
        let set: BTreeSet<&str> =
            steps.iter().flat_map(|step| &step.moves).map(|back| back.measure.as_str()).collect();
        let comparison = self.way.comparison.as_ref();
        let left = comparison.map(|comparison| comparison.not_looked_at.clone()).unwrap_or_default();
        let marks_seen = self.sheet.map_or(0, |sheet| sheet.marks.len());
        Plan {
            schema: "clampmark.restore/1",
            setup: self.setup.name.value.clone(),
            revision: revision.to_owned(),
            rebuild: self.sheet.is_none(),
            headline: self.headline(&blocked),
            not_looked_at: left.into_iter().filter(|one| !set.contains(one.measure.as_str())).collect(),
            looked_at: self.sheet.map_or(0, |sheet| sheet.readings.len()) + marks_seen,
            marks: self.evidence.marks.clone(),
            common_shift: comparison.and_then(|comparison| comparison.common_shift.clone()),
            cautions: vec![caution::MAKER, caution::LOWER_LIMIT, caution::MECHANIC],
            blocked,
            steps,
        }
    }

    /// Everything that can be put back, by what has to be loosened for it, in working order.
    fn held(&self) -> BTreeMap<Order, (Holder, Vec<MeasureId>)> {
        let mut held: BTreeMap<Order, (Holder, Vec<MeasureId>)> = BTreeMap::new();
        let sheet = self.sheet.into_iter().flat_map(|sheet| sheet.readings.keys());
        let ids: BTreeSet<&MeasureId> = self.setup.readings.keys().chain(sheet).collect();
        // Nobody sets what goes along with a part; where it alone is found elsewhere, the part was moved.
        let set = |id: &&MeasureId| !self.catalogue.measure(id.row).goes_along() || self.way.has_moved(id);
        for id in ids.into_iter().filter(set) {
            if let Some(holder) = Holder::of(self.catalogue, self.setup, id) {
                held.entry(holder.order()).or_insert_with(|| (holder, Vec::new())).1.push(id.clone());
            }
        }
        let torques = self.setup.torques.iter().map(|torque| &torque.joint.value);
        let marked = self.evidence.marks.iter().filter_map(|mark| mark.joint.as_ref());
        for name in torques.chain(marked).filter(|name| has_joint(self.setup, name)) {
            held.entry(joint_order(name, 0)).or_insert_with(|| (Holder::Joint(name.clone()), Vec::new()));
        }
        held
    }

    /// What has to be worked on, each with its reasons.
    fn work(&self, held: &BTreeMap<Order, (Holder, Vec<MeasureId>)>) -> BTreeMap<Order, Vec<String>> {
        let mut work = BTreeMap::new();
        for (order, (holder, ids)) in held {
            if self.sheet.is_none() {
                work.insert(*order, vec!["full rebuild".to_owned()]);
                continue;
            }
            let moved = |id: &&MeasureId| self.way.has_moved(id);
            let mut why: Vec<String> = ids
                .iter()
                .filter(moved)
                .filter_map(|id| {
                    Some(format!("{} moved {}", self.catalogue.title(id), self.way.moved_words(id)?))
                })
                .collect();
            let told = |mark: &&MarkReport| mark.tells_a_move() && mark.joint.as_deref() == holder.joint();
            let marks = self.evidence.marks.iter().filter(|_| holder.joint().is_some()).filter(told);
            why.extend(marks.map(|mark| match mark.state {
                MarkVerdict::Broken => format!("mark {} is broken", mark.name),
                MarkVerdict::Missing => format!("mark {} is gone", mark.name),
                _ => format!("the halves of mark {} stand apart", mark.name),
            }));
            if !why.is_empty() {
                work.insert(*order, why);
            }
        }
        work
    }

    fn blocked(
        &self,
        work: &BTreeMap<Order, Vec<String>>,
        held: &BTreeMap<Order, (Holder, Vec<MeasureId>)>,
    ) -> Vec<Blocked> {
        let mut blocked: Vec<Blocked> = Vec::new();
        let damages =
            self.setup.damages.iter().chain(self.sheet.into_iter().flat_map(|sheet| &sheet.damages));
        for damage in damages {
            let (joint, order) = stops_at(self.setup, &damage.on.value);
            let why = format!("{}: {}.", damage.on.value, damage.text.value.trim_end_matches('.'));
            let carbon = damage.on.value == "bar" && self.is_carbon();
            let help = if carbon { caution::CARBON } else { caution::MECHANIC }.to_owned();
            blocked.push(Blocked { joint, why, help, order });
        }
        blocked.extend(self.cut());
        for order in work.keys() {
            let Some((holder, ids)) = held.get(order) else { continue };
            blocked.extend(self.unknown_targets(holder, ids));
            blocked.extend(self.empty_range(holder));
        }
        blocked
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
            let (joint, order) = stops_at(self.setup, back.measure.split('.').next().unwrap_or_default());
            let moved = self.way.moved_words(id)?;
            Some(Blocked {
                joint,
                why: format!(
                    "{} is {moved} than recorded: another part is on the bike, or it was cut.",
                    back.title
                ),
                help: "Fit the recorded part, or record the new one once it is known to be right.".to_owned(),
                order,
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
                help: "Set it by feel with someone who knows, ride slowly, and record it.".to_owned(),
                order: holder.order(),
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
            why: format!(
                "{}: its torque begins at {} N·m, but the {} allows only {} N·m.",
                holder.title(),
                crate::metrology::show::brief(from),
                conflict.ceiling.part.value,
                crate::metrology::show::brief(limit)
            ),
            help: "Do not tighten: ask both makers, or fit parts that agree.".to_owned(),
            order: holder.order(),
        })
    }

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

    fn steps(
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
            if moves.is_empty() && holder.joint().is_none() {
                continue;
            }
            let mut step = self.step(holder, moves, sentence(why));
            step.held_up = blocked.iter().find(|stop| stop.order <= *order).map(|stop| stop.why.clone());
            steps.push(step);
        }
        steps
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
            first: known.map(|joint| joint.before.to_owned()),
            tool: torque.and_then(|torque| torque.tool.clone()),
            torque: torque.and_then(|torque| self.torque(torque)),
            line_up: line_up.iter().filter_map(reads).collect(),
            cautions: self.step_cautions(holder, torque),
            check: Self::proof(holder, known, &moves),
            held_up: None,
            moves,
        }
    }

    fn proof(holder: &Holder, known: Option<&joint::Joint>, moves: &[Move]) -> String {
        match known {
            Some(joint) => joint.proof.to_owned(),
            None if holder.weight() == Weight::SteeringAndBrakes => caution::STANDING_CHECKS[1].to_owned(),
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
            if torque.slips_in_a_crash.is_some() {
                cautions.push("It may turn in a crash, and never under braking.".to_owned());
            }
        } else {
            cautions
                .push("No torque is recorded: find the part maker's figure before tightening.".to_owned());
        }
        let on_the_bar = name == "stem-face" || name.contains('.') && !name.ends_with("pedal");
        if on_the_bar && self.is_carbon() {
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
                _ => {}
            }
        }
        cautions
    }

    /// The mark that shows a measure's recorded position, if there is one to trust.
    fn usable_mark(&self, joint: &str, id: &MeasureId) -> Option<String> {
        let usable = |name: &str| {
            let verdict = self.evidence.marks.iter().find(|report| report.name == name)?.state;
            let lost = [MarkVerdict::Stale, MarkVerdict::Broken, MarkVerdict::Missing, MarkVerdict::Unknown];
            (!lost.contains(&verdict)).then_some(())
        };
        self.setup
            .marks_on(joint)
            .filter(|mark| mark.drawn.iter().any(|(drawn, _)| drawn == id))
            .find(|mark| usable(&mark.name.value).is_some())
            .map(|mark| mark.name.value.clone())
    }

    /// The standing first and last items, where steering or brakes were touched.
    fn standing(&self, steps: &mut Vec<Step>, blocked: &[Blocked]) {
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
        inspection.held_up = blocked.iter().find(|stop| stop.order == FIRST).map(|stop| stop.why.clone());
        steps.insert(0, inspection);
        let mut checks = standing_step(StepKind::Checks, "before riding");
        checks.why = "after any work on steering or brakes".to_owned();
        checks.check = caution::STANDING_CHECKS.join(" ");
        checks.held_up = blocked.iter().find(|stop| stop.order <= LAST).map(|stop| stop.why.clone());
        steps.push(checks);
    }

    fn is_carbon(&self) -> bool {
        self.way.recorded.choice(&MeasureId::bike(BAR_MATERIAL)) == Some("carbon")
    }

    /// One line for a tired person: what blocks, else what moved on steering and brakes.
    fn headline(&self, blocked: &[Blocked]) -> Option<String> {
        if let Some(stop) = blocked.first() {
            return Some(format!("Do not ride: {}", stop.why));
        }
        let (comparison, found) = (self.way.comparison.as_ref()?, self.way.found?);
        let moves = compare::dangerous_moves(comparison, &found)?;
        Some(format!("Do not ride: {moves}."))
    }
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
        line_up: Vec::new(),
        cautions: Vec::new(),
        check: String::new(),
        held_up: None,
    }
}

fn sentence(parts: &[String]) -> String {
    parts.join("; ")
}
