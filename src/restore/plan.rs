//! The way back: the ordered steps from a bike as found to the recorded setup, or from the box to it.
//!
//! The order is the list of joints'. What is *same* or *within reading* is not touched; a joint is opened only where
//! something moved, or where a mark says that it did. What blocks stands at the top, and nothing after it pretends
//! to be safe.

mod blocked;
mod fitted;
mod old_angle;
mod read_again;
mod spacers;
mod steps;
mod stop;
mod to_fit;

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;
use serde::Serialize;

use crate::catalogue::caution;
use crate::catalogue::{Catalogue, HeldBy, MeasureId, joint};
use crate::check::dates::{SheetDay, of_sheet};
use crate::check::not_to_ride::Reads;
use crate::check::{forgotten, not_decided, not_to_ride, opened, planned};
use crate::compare::{
    self, Carrier, Change, CommonShift, Comparison, NotLookedAt, Replaced, RollOpen, Tightness, UnknownRoll,
    UnreadGround, WasReadBefore,
};
use crate::geometry::state::State;
use crate::metrology::verdict::Verdict;
use crate::setup::checked::NewerSheet;
use crate::setup::model::Setup;

pub use stop::{Blocked, Reach};

use super::evidence::{self, Evidence, MarkReport, MarkVerdict};
use super::holder::{Holder, Order, joint_order};
use super::moves::Way;
use super::step::{Step, StepKind};

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
    /// Whether values of the setup are planned, not measured.
    pub planned: bool,
    /// Whether it is a full rebuild, without a sheet.
    pub rebuild: bool,
    /// What is wrong with the day of the sheet, if anything is.
    pub sheet_day: Option<SheetDay>,
    /// One line to act on, if anything is dangerous.
    pub headline: Option<String>,
    /// The reasons of that line.
    #[serde(skip)]
    pub(super) said: Vec<String>,
    /// Those that are in what it goes back to, and not in the bike as it stands.
    #[serde(skip)]
    pub(super) stops: Vec<String>,
    /// What stops the work, the first in working order first.
    pub blocked: Vec<Blocked>,
    /// The steps in order.
    pub steps: Vec<Step>,
    /// What could have moved and nobody looked at, and no step sets anyway; dangerous first.
    pub not_looked_at: Vec<NotLookedAt>,
    /// How many readings, lines and torques of the sheet tell whether something moved.
    pub looked_at: usize,
    /// Whether the sheet says nothing of the bike yet.
    pub blank: bool,
    /// What the sheet tells to have been looked over and to be good, in words.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub good: Vec<String>,
    /// Every mark and what it says.
    pub marks: Vec<MarkReport>,
    /// A shift that all angles share: the ground.
    pub common_shift: Option<CommonShift>,
    /// That the bar's roll is open, and the angles on it that tell nothing of their clamps for that.
    pub unknown_roll: Option<UnknownRoll>,
    /// The points that read otherwise although their control stands in its place, by their titles.
    pub read_otherwise: Vec<String>,
    /// What a plan took over from the part that goes, and the sheet reads on the one that is fitted: a sentence each.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub of_the_part: Vec<String>,
    /// The angles against gravity whose ground the sheet or its file does not tell.
    #[serde(flatten)]
    pub unread_ground: UnreadGround,
    /// What the sheet reads of angles that are older than the bar's roll in the file: whether these moved, nobody knows.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub was_read_before_the_roll: Vec<WasReadBefore>,
    /// The standing cautions.
    pub cautions: Vec<&'static str>,
    /// A sheet newer than what the file tells and the sheet at hand, that was neither written in nor put back.
    #[serde(rename = "newer-sheet", skip_serializing_if = "Option::is_none")]
    pub newer_sheet: Option<NewerSheet>,
    /// The command that records that the bike stands so again, where the sheet is on the setup it goes back to.
    pub then: Option<String>,
}

impl Plan {
    /// Whether there is nothing to do and nothing to look at first.
    pub fn is_empty(&self) -> bool {
        self.steps.is_empty() && self.blocked.is_empty() && self.headline.is_none()
    }

    /// Whether the sheet cannot tell how the bike stands now.
    pub fn is_of_no_day_to_trust(&self) -> bool {
        self.sheet_day.is_some()
    }

    /// Whether nothing on the sheet tells whether anything moved, so that an empty plan means nothing.
    pub fn tells_nothing(&self) -> bool {
        !self.rebuild
            && (self.looked_at == 0
                || self.ground_in_doubt().is_some()
                || !self.was_read_before_the_roll.is_empty())
    }

    /// In place of a word that nothing moved, where that hangs on a slope of the ground that nobody read.
    pub fn ground_in_doubt(&self) -> Option<&'static str> {
        compare::ground_in_doubt(self.common_shift.as_ref(), &self.unread_ground)
    }
}

/// The way back to `setup` from what `sheet` found, or the full rebuild. The file `present` is that setup's own, as it is
/// now: what it keeps against riding holds for any way back.
pub fn plan(
    catalogue: &Catalogue,
    setup: &Setup,
    sheet: Option<&Setup>,
    present: &Setup,
    revision: &str,
    today: NaiveDate,
) -> Plan {
    let known = sheet.map(|sheet| forgotten::remembered(catalogue, setup, sheet));
    let setup = known.as_deref().unwrap_or(setup);
    let as_planned = setup;
    let known = sheet.map(|sheet| planned::as_the_part_has_it(catalogue, setup, sheet));
    let setup = known.as_deref().unwrap_or(setup);
    let recorded = State::recorded(catalogue, setup);
    let telling = sheet.map(|sheet| evidence::telling(catalogue, setup, sheet));
    let sheet = telling.as_deref();
    let evidence = match sheet {
        Some(sheet) => evidence::weigh(catalogue, setup, sheet),
        None => Evidence { marks: evidence::recorded(catalogue, setup), ..Evidence::default() },
    };
    let found = sheet.map(|sheet| recorded.found(sheet, Some(&evidence.turns)));
    let comparison = found.map(|found| evidence.settled(compare::compare(recorded, found), &found));
    let way = Way { recorded, found, comparison };
    let no_target = not_to_ride::by_reading(&recorded);
    let planner = Planner { catalogue, setup, present, sheet, evidence: &evidence, way, no_target };
    let of_the_part = planner.of_the_part(as_planned);
    Plan { of_the_part, ..planner.plan(revision, today) }
}

struct Planner<'a> {
    catalogue: &'a Catalogue,
    /// What it goes back to.
    setup: &'a Setup,
    /// The file as it is now, which keeps what is wrong with the bike, whatever it goes back to.
    present: &'a Setup,
    sheet: Option<&'a Setup>,
    evidence: &'a Evidence,
    way: Way<'a>,
    /// What it goes back to that nobody is to ride with.
    no_target: Vec<Reads>,
}

impl Planner<'_> {
    fn plan(self, revision: &str, today: NaiveDate) -> Plan {
        let held = self.held();
        let work = self.work(&held);
        let mut blocked = self.blocked(&work, &held);
        blocked.sort_by_key(|stop| stop.order);
        let mut steps = self.steps(&work, &held, &blocked);
        self.to_read_again(&mut steps);
        self.standing(&mut steps, &blocked);
        for (index, step) in steps.iter_mut().enumerate() {
            step.number = index + 1;
        }
        brakes_last(&mut steps);
        squared_by(&mut steps);
        let set: BTreeSet<&str> =
            steps.iter().flat_map(|step| &step.moves).map(|back| back.measure.as_str()).collect();
        let said = self.said(&blocked);
        let comparison = self.way.comparison.as_ref();
        let left = comparison.map(|comparison| comparison.not_looked_at.clone()).unwrap_or_default();
        Plan {
            schema: "clampmark.restore/1",
            setup: self.setup.name.value.clone(),
            revision: revision.to_owned(),
            planned: self.setup.is_planned(),
            rebuild: self.sheet.is_none(),
            sheet_day: self.sheet.and_then(|sheet| of_sheet(self.catalogue, self.present, sheet, today)),
            headline: not_to_ride::verdict(&said),
            stops: of_the_target(&blocked),
            said,
            not_looked_at: left.into_iter().filter(|one| !set.contains(one.measure.as_str())).collect(),
            looked_at: comparison.map_or(0, |comparison| comparison.looked_at),
            blank: self.sheet.is_some_and(Setup::is_blank),
            good: Vec::new(),
            marks: self.evidence.marks.clone(),
            common_shift: comparison.and_then(|comparison| comparison.common_shift.clone()),
            unknown_roll: comparison.and_then(|comparison| comparison.unknown_roll.clone()),
            read_otherwise: comparison.map(read_otherwise).unwrap_or_default(),
            of_the_part: Vec::new(),
            unread_ground: comparison.map(|told| told.unread_ground.clone()).unwrap_or_default(),
            was_read_before_the_roll: comparison
                .map(|told| told.was_read_before_the_roll.clone())
                .unwrap_or_default(),
            cautions: vec![caution::MAKER, caution::LOWER_LIMIT, caution::MECHANIC],
            blocked,
            steps,
            newer_sheet: None,
            then: None,
        }
    }

    /// Everything that can be put back, by what has to be loosened for it, in working order.
    fn held(&self) -> BTreeMap<Order, (Holder, Vec<MeasureId>)> {
        let mut held: BTreeMap<Order, (Holder, Vec<MeasureId>)> = BTreeMap::new();
        let sheet = self.sheet.into_iter().flat_map(|sheet| sheet.readings.keys());
        let ids: BTreeSet<&MeasureId> = self.setup.readings.keys().chain(sheet).collect();
        // Nobody sets what goes along with a part, nor what a part is; where such a figure is found to be another, the
        // part was moved, or is another.
        let set = |id: &&MeasureId| {
            let measure = self.catalogue.measure(id.row);
            let is_set = !measure.goes_along() && measure.held_by != HeldBy::Nothing;
            is_set || self.way.has_moved(id)
        };
        for id in ids.into_iter().filter(set) {
            if let Some(holder) = Holder::of(self.catalogue, self.setup, id) {
                held.entry(holder.order()).or_insert_with(|| (holder, Vec::new())).1.push(id.clone());
            }
        }
        let sheets = self.sheet.into_iter().flat_map(|sheet| &sheet.torques);
        let torques = self.setup.torques.iter().chain(sheets).map(|torque| &torque.joint.value);
        let marked = self.evidence.marks.iter().filter_map(|mark| mark.joint.as_ref());
        let refitted = self.replaced().into_iter().flat_map(|replaced| &replaced.joints);
        let noted = opened::open(self.present).map(|noted| noted.joint.to_owned()).collect::<Vec<_>>();
        let told = self.way.comparison.iter().flat_map(|comparison| &comparison.opened);
        let told = told.chain(self.rolled_by_all().map(|roll| &roll.joint));
        for name in torques
            .chain(marked)
            .chain(refitted)
            .chain(&noted)
            .filter(|name| self.setup.has_joint(name))
            .chain(told)
        {
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
                    // A spacer does not move: there are more of them, or fewer.
                    let moved = if self.catalogue.measure(id.row).comes_apart() { "" } else { " moved" };
                    Some(format!("{}{moved} {}", self.catalogue.title(id), self.way.moved_words(id)?))
                })
                .collect();
            let told = |mark: &&MarkReport| mark.tells_a_move() && mark.joint.as_deref() == holder.joint();
            let marks = self.evidence.marks.iter().filter(|_| holder.joint().is_some()).filter(told);
            why.extend(marks.map(|mark| match mark.state {
                MarkVerdict::Broken => format!("mark {} is broken", mark.name),
                MarkVerdict::Missing => format!("mark {} is gone", mark.name),
                MarkVerdict::Off
                | MarkVerdict::Stale
                | MarkVerdict::OnAnotherPart
                | MarkVerdict::Unknown
                | MarkVerdict::DrawnSince
                | MarkVerdict::Aligned
                | MarkVerdict::NotLookedAt => format!("the halves of mark {} stand apart", mark.name),
            }));
            if holder.joint().is_some_and(|joint| self.is_refitted(joint)) && why.is_empty() {
                why.extend(self.replaced().map(Replaced::found));
            }
            if holder.joint().is_some_and(|joint| self.is_told_open(joint) && !self.is_together(joint, ids)) {
                why.push("apart or opened, as the sheet tells".to_owned());
            }
            why.extend(holder.joint().and_then(|joint| self.opened_before(joint)));
            why.extend(self.unknown_since(ids));
            let rolled = self.rolled_by_all().filter(|roll| holder.joint() == Some(&*roll.joint));
            why.extend(rolled.map(|roll| roll.why.clone()));
            let torques = self.way.comparison.iter().flat_map(Comparison::badly_tightened);
            // What nobody can say to be right is tightened to the figure that has to be found.
            let unjudged = self.way.comparison.iter().flat_map(Comparison::unjudged);
            let here = torques.chain(unjudged).filter(|found| holder.joint() == Some(&*found.joint));
            why.extend(here.map(|found| found.words.clone()));
            if !why.is_empty() {
                work.insert(*order, why);
            }
        }
        work
    }

    /// The parts that the sheet shows to be others than recorded.
    fn replaced(&self) -> Option<&Replaced> {
        self.way.comparison.as_ref()?.replaced.as_ref()
    }

    /// That all angles on the bar tell alike that it rolled, where nothing but they does.
    fn rolled_by_all(&self) -> Option<&UnknownRoll> {
        let roll = self.way.comparison.as_ref()?.unknown_roll.as_ref();
        // Where the bar's own line meets, the stem is not opened on the word of the gauge.
        roll.filter(|roll| roll.because == RollOpen::AllAlike && roll.line_that_meets.is_none())
    }

    /// Whether a joint comes apart because the recorded part goes back there.
    fn is_refitted(&self, joint: &str) -> bool {
        self.replaced().is_some_and(|replaced| replaced.joints.iter().any(|name| name == joint))
    }

    /// Whether the sheet tells in words that a joint is apart or was opened.
    fn is_told_open(&self, joint: &str) -> bool {
        self.way
            .comparison
            .as_ref()
            .is_some_and(|comparison| comparison.opened.iter().any(|told| told == joint))
    }

    /// Whether the sheet tells that a joint was tightened again as it should be, and reads all that could have slipped in it.
    fn is_together(&self, joint: &str, ids: &[MeasureId]) -> bool {
        let mut tightened = self.way.comparison.iter().flat_map(|comparison| &comparison.tightened);
        let is_tight = tightened.any(|found| found.joint == joint && found.state == Tightness::Within);
        let slips = |id: &&MeasureId| self.setup.can_slip(self.catalogue, id);
        is_tight && ids.iter().filter(slips).all(|id| !self.way.is_unknown(id))
    }

    /// Whether the sheet itself tells what is known of a joint's torque on that day or later.
    fn is_torque_told(&self, joint: &str, day: Option<NaiveDate>) -> bool {
        self.way.comparison.as_ref().is_some_and(|comparison| comparison.tells_torque_of(joint, day))
    }

    /// That a joint was opened before this sheet, as a note in the setup keeps, and nobody has said since how it was
    /// tightened.
    fn opened_before(&self, joint: &str) -> Option<String> {
        let open = opened::open(self.present)
            .filter(|noted| noted.joint == joint && !self.is_torque_told(joint, noted.day));
        let last = open.max_by_key(|noted| noted.day)?;
        Some(format!("{}, torque not read since", last.how()))
    }

    /// Since when nobody knows how something stands, as the file of today tells, and the sheet does not read it either.
    fn unknown_since(&self, ids: &[MeasureId]) -> Option<String> {
        let unread = ids.iter().filter(|id| self.way.is_unknown(id));
        let mut noted = unread.filter_map(|id| forgotten::noted(self.catalogue, self.present, id));
        let noted = noted.next()?;
        Some(format!("nobody knows how it stands{}: {}", noted.since_words(), noted.because))
    }

    /// For a tired person: everything that blocks, then what moved on steering and brakes.
    fn said(&self, blocked: &[Blocked]) -> Vec<String> {
        let in_short = |of_the_ride: bool| {
            let stops = blocked.iter().filter(|stop| stop.makes_unsafe());
            stops.filter(move |stop| (stop.holds_up == Reach::Riding) == of_the_ride).map(Blocked::in_short)
        };
        let mut said: Vec<String> = in_short(false).collect();
        if let (Some(comparison), Some(found)) = (self.way.comparison.as_ref(), self.way.found) {
            said.extend(compare::dangerous_moves_but_damage(comparison, &found));
            // An angle on ground that nobody read does not tell what was not known.
            let is_known = |id: &MeasureId| !found.is_on_unread_ground(id);
            said.extend(not_to_ride::no_longer_known(self.catalogue, self.present, is_known));
            // A full rebuild tightens all of them.
            said.extend(not_to_ride::left_open(self.present, |joint, day| self.is_torque_told(joint, day)));
        }
        said.extend(not_to_ride::badly_tightened(self.present, |joint, day| self.is_torque_told(joint, day)));
        said.extend(self.not_decided());
        // What the sheet tells to be tightened without a figure is named by that already.
        said.extend(in_short(true).filter(|words| !words.is_empty()));
        said
    }

    /// What a merge left undecided in the file as it is now.
    fn not_decided(&self) -> Vec<String> {
        let present = State::recorded(self.catalogue, self.present);
        let state = self.sheet.map_or(present, |sheet| present.found(sheet, Some(&self.evidence.turns)));
        let comparison = self.way.comparison.as_ref();
        let said = |measure: &str| comparison.is_some_and(|comparison| comparison.says_dangerous(measure));
        not_decided::reasons(&state, said, |joint, day| self.is_torque_told(joint, day))
    }
}

/// What stops the work or the ride for what it goes back to.
fn of_the_target(blocked: &[Blocked]) -> Vec<String> {
    let stops = blocked.iter().filter(|stop| stop.of_the_target && stop.makes_unsafe());
    stops.map(Blocked::in_short).collect()
}

/// The points that nobody moved and that read otherwise.
fn read_otherwise(comparison: &Comparison) -> Vec<String> {
    let of_a_control =
        |change: &&Change| change.carried == Some(Carrier::Control) && change.verdict == Verdict::ReRead;
    comparison.changes.iter().filter(of_a_control).map(|change| change.title.clone()).collect()
}

/// Says of what is squared by a wheel that the wheel goes in before.
fn squared_by(steps: &mut [Step]) {
    let numbers: BTreeMap<String, usize> =
        steps.iter().filter_map(|step| Some((step.joint.clone()?, step.number))).collect();
    for step in steps.iter_mut().filter(|step| !step.blocked) {
        let by = step.joint.as_deref().and_then(joint::find).and_then(|(_, joint)| joint.squared_by);
        let later = |by: &str| numbers.get(by).filter(|number| **number > step.number);
        let Some((by, number)) = by.and_then(|by| Some((by, later(by)?))) else { continue };
        let before = step.first.take().unwrap_or_default();
        let words = format!(
            "The wheel at the {} goes in first, as step {number} says: this is squared by it. {before}",
            joint::title(by)
        );
        step.first = Some(words.trim_end().to_owned());
    }
}

/// Says at the top which steps must be done before a brake lever is pulled, where wheels, rotors or brakes come later.
fn brakes_last(steps: &mut [Step]) {
    let carries = |step: &&Step| {
        let known = step.joint.as_deref().and_then(joint::find);
        known.is_some_and(|(_, joint)| joint.carries_braking)
    };
    let Some(last) = steps.iter().filter(carries).map(|step| step.number).max() else { return };
    if let Some(first) = steps.iter_mut().find(|step| step.kind == StepKind::Inspection) {
        first.cautions.push(format!(
            "Pull no brake lever while a wheel, rotor or brake is out: the pads close up on nothing. What a step proves by \
             braking is proved once step {last} is done."
        ));
    }
}
