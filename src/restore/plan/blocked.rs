//! What stops the work: damage, parts that were cut or swapped, targets nobody knows, ranges that allow nothing.

use std::collections::BTreeMap;

use crate::catalogue::joint::Grasp;
use crate::catalogue::table::BAR_ROLL;
use crate::catalogue::{HeldBy, MeasureId, Weight, capital, joint};
use crate::check::not_to_ride::{self, Reads};
use crate::check::{damage, forbidden, forgotten};
use crate::compare::Comparison;
use crate::metrology::show;
use crate::metrology::verdict::Verdict;
use crate::setup::model::Value;
use crate::torque::allowed;
use crate::torque::old_part::{self, of_today};

use super::super::contradiction::unsettled;
use super::super::holder::{Holder, LAST, Order, joint_order, stops_at};
use super::super::step::Move;
use super::{Blocked, Planner, Reach};

/// How it begins what is told of a target that nobody is to ride with.
const RECORDED_SO: &str = "It is recorded so: ";
/// What ends what a note forbids.
const PUT_RIGHT: &str = "Put that right before anybody rides; then take the note out of the file.";
/// What ends a damage that a note keeps.
const TAKE_OUT: &str = " Once the part is replaced or passed, take the note out of the file; of a new part the torque, too, and \
                        draw its line anew.";

/// What brings a part back that is another.
const FIT: &str = "Fit the recorded part, or record the new one once it is known to be right.";

impl Planner<'_> {
    /// Everything that stops the work, in no particular order.
    pub(super) fn blocked(
        &self,
        work: &BTreeMap<Order, Vec<String>>,
        held: &BTreeMap<Order, (Holder, Vec<MeasureId>)>,
    ) -> Vec<Blocked> {
        let mut blocked = self.damages();
        // What the sheet finds again is told by it.
        let narrower = self.way.comparison.as_ref().and_then(|comparison| comparison.narrower.as_ref());
        let is_news = |noted: &forbidden::Noted| !narrower.is_some_and(|bar| bar.is_told_by(noted.why));
        let mut notes: Vec<forbidden::Noted> = forbidden::noted(self.present).filter(is_news).collect();
        let on_sheet = self.sheet.into_iter().flat_map(forbidden::noted);
        let is_told = |noted: &forbidden::Noted| notes.iter().any(|one| one.words() == noted.words());
        let on_sheet: Vec<_> = on_sheet.filter(|noted| !is_told(noted)).collect();
        notes.extend(on_sheet);
        blocked.extend(notes.iter().map(|noted| self.forbidden(noted)));
        blocked.extend(self.contradictory());
        blocked.extend(self.cut());
        for order in work.keys() {
            let Some((holder, ids)) = held.get(order) else { continue };
            blocked.extend(self.unknown_targets(holder, ids));
            blocked.extend(self.empty_range(holder));
        }
        blocked.extend(self.by_reading());
        blocked.extend(self.no_torque(work.keys().filter_map(|order| held.get(order)?.0.joint())));
        blocked
    }

    /// Each damage that the sheet or the file tells of, once: noted on two days it is still one.
    fn damages(&self) -> Vec<Blocked> {
        let own = self.present.damages.iter().chain(self.sheet.into_iter().flat_map(|sheet| &sheet.damages));
        let own = own.map(|damage| (damage.on.value.clone(), damage.text.value.clone(), ""));
        let on_sheet = self.sheet.into_iter().flat_map(damage::noted).map(|noted| (noted.on, noted.text, ""));
        let own = own.chain(on_sheet);
        let noted = damage::noted(self.present).map(|noted| (noted.on, noted.text, TAKE_OUT));
        let mut told: Vec<(String, String, &str)> = Vec::new();
        for (on, text, then) in own.chain(noted) {
            let is_told = |(known_on, known_text, _): &(String, String, &str)| {
                damage::is_same(self.setup, (known_on, known_text), (&on, &text))
            };
            if !told.iter().any(is_told) {
                told.push((on, text, then));
            }
        }
        told.iter().map(|(on, text, then)| self.damaged(on, text, then)).collect()
    }

    /// What nobody is to ride with: by the recorded setup itself, which can be put back so and not ridden, and as found,
    /// where no move tells of it.
    fn by_reading(&self) -> Vec<Blocked> {
        let blocked = |reads: &Reads, before: &str, in_short: String| {
            let message = without_verdict(reads);
            let in_short = Some(in_short);
            let remedy = reads.finding.code.remedy.to_owned();
            let all = Blocked::everything(None, LAST, format!("{before}{message}"), remedy);
            Blocked { holds_up: Reach::Riding, in_short, forbids: false, ..all }
        };
        let recorded = &self.no_target;
        let found = self.way.found.iter().flat_map(not_to_ride::by_reading);
        let is_told = |reads: &Reads| {
            let same = |other: &Reads| {
                other.finding.code == reads.finding.code && other.finding.measure == reads.finding.measure
            };
            let moved = |measure: &str| {
                self.way.comparison.as_ref().is_some_and(|comparison| comparison.says_dangerous(measure))
            };
            recorded.iter().any(same) || reads.finding.measure.as_deref().is_some_and(moved)
        };
        let found =
            found.filter(|reads| !is_told(reads)).map(|reads| blocked(&reads, "", reads.words.clone()));
        let target = recorded.iter().map(|reads| blocked(reads, RECORDED_SO, reads.as_recorded()));
        found.chain(target.map(|stop| Blocked { of_the_target: true, ..stop })).collect()
    }

    /// Why nothing is set or kept so, where that is what nobody is to ride with.
    pub(super) fn no_target<'m>(&self, mut moves: impl Iterator<Item = &'m Move>) -> Option<String> {
        let reads = moves.find_map(|back| self.no_target_of(&back.measure))?;
        Some(format!("{RECORDED_SO}{} Nothing is set to that.", without_verdict(reads)))
    }

    /// What is told of a measure's target, if nobody is to ride with it.
    pub(super) fn no_target_of(&self, measure: &str) -> Option<&Reads> {
        self.no_target.iter().find(|reads| reads.finding.measure.as_deref() == Some(measure))
    }

    /// Of these joints, those of steering and brakes that nobody knows how to tighten, in one: told first, it would hide
    /// what stops the work itself.
    fn no_torque<'j>(&self, joints: impl Iterator<Item = &'j str>) -> Option<Blocked> {
        let is_known =
            |name: &str| self.setup.torque(name).is_some_and(|torque| of_today(torque).range.is_some());
        let may_need_none =
            |name: &str| joint::find(name).is_some_and(|(_, joint)| joint.grasp == Grasp::MayHaveNoBolt);
        let unknown = joints.filter(|name| {
            joint::weight(name) == Weight::SteeringAndBrakes && !is_known(name) && !may_need_none(name)
        });
        let names: Vec<&str> = unknown.collect();
        let first = names.first()?;
        let titles = names.iter().map(|name| joint::title(name)).collect::<Vec<_>>().join(", ");
        let why = format!("No torque is known: {titles}.");
        let is_of_the_old = |name: &&str| {
            self.setup.torque(name).is_some_and(|torque| old_part::gone(torque).next().is_some())
        };
        let in_place = if names.iter().any(is_of_the_old) {
            " A range of the old part goes, and with it the caution that says whose it is."
        } else {
            ""
        };
        let help = format!(
            "Have the figure from each part's maker before it is tightened, and write it in the file, in N·m: `torque \
             \"{first}\" FROM TO`.{in_place}"
        );
        let all = Blocked::everything(None, LAST, why, help);
        // The sheet's own words name those that were tightened to nobody knows what.
        let unjudged: Vec<&str> = self
            .way
            .comparison
            .iter()
            .flat_map(Comparison::unjudged)
            .map(|found| found.joint.as_str())
            .collect();
        let others = names.iter().filter(|name| !unjudged.contains(name));
        let others: Vec<String> = others.map(|name| joint::title(name)).collect();
        let in_short =
            if others.is_empty() { String::new() } else { format!("no torque known: {}", others.join(", ")) };
        let in_short = Some(in_short);
        Some(Blocked { holds_up: Reach::Riding, in_short, forbids: false, ..all })
    }

    /// A mark and a reading of which one is false: which one has to be known before anything is loosened.
    fn contradictory(&self) -> Vec<Blocked> {
        let all = || self.way.comparison.iter().flat_map(|comparison| &comparison.contradictions);
        let belied: Vec<String> = all().map(|one| one.joint.clone()).collect();
        let is_rolled = self.way.verdict_as_read(&MeasureId::bike(BAR_ROLL)) == Some(Verdict::Moved);
        let also = unsettled(self.catalogue, self.setup, &belied, is_rolled);
        all()
            .map(|one| {
                let look = match &one.other_mark {
                    Some(other) => format!("marks {} and {other}", one.mark),
                    None => format!("mark {}", one.mark),
                };
                let help = format!(
                    "Look at {look} and measure again, and mend the sheet, before anything here is loosened."
                );
                let order = joint_order(&one.joint, 0);
                let all =
                    Blocked::everything(Some(one.joint.clone()), order, format!("{}.", one.words), help);
                Blocked { in_short: Some(one.in_short()), also: also.clone(), ..all }
            })
            .collect()
    }

    /// What a note forbids to ride the bike for, at the joint that holds the part.
    fn forbidden(&self, noted: &forbidden::Noted) -> Blocked {
        let (joint, order) = stops_at(self.setup, noted.on());
        let why = format!("{}.", capital(&noted.words()));
        let in_short = Some(noted.words());
        let all = Blocked::everything(joint, order, why, PUT_RIGHT.to_owned());
        Blocked { in_short, forbids: false, ..all }
    }

    fn damaged(&self, on: &str, text: &str, then: &str) -> Blocked {
        let part = damage::part_or_joint(self.setup, on).unwrap_or_else(|| on.to_owned());
        let (joint, order) = stops_at(self.setup, &part);
        let help = damage::help(self.setup, on);
        let on_what = if on.is_empty() { String::new() } else { format!("{}: ", joint::title(on)) };
        let why = format!("{on_what}{}.", text.trim_end_matches('.'));
        let torque = self.once_right(&part);
        Blocked { on: Some(part), ..Blocked::everything(joint, order, why, format!("{help}{then}{torque}")) }
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
            let part = self.catalogue.measure(id.row).part();
            let (joint, order) = stops_at(self.setup, part);
            let moved = self.way.moved_words(id)?;
            let narrower = self.way.comparison.as_ref().and_then(|comparison| comparison.narrower.as_ref());
            let (what, help) = match narrower {
                Some(narrower) if narrower.is_cut => {
                    let then = "No bolt brings that back: record it, and go on from there, or fit a bar as wide as recorded.";
                    ("it was cut", format!("{} {then}", narrower.words))
                }
                Some(narrower) => ("another part is on the bike, or it was cut", format!("{} {FIT}", narrower.words)),
                None => ("another part is on the bike", FIT.to_owned()),
            };
            let why = format!("{} is {moved} than recorded: {what}.", back.title);
            let stop = Blocked::everything(joint, order, why, help);
            // What is clamped to a part that is to go is not tightened on it.
            Some(Blocked { on: Some(part.to_owned()), of_the_target: true, ..stop })
        })
        .collect()
    }

    fn unknown_targets(&self, holder: &Holder, ids: &[MeasureId]) -> Vec<Blocked> {
        // What the sheet reads again, at a joint that it does not show to be open, is known: only to be recorded.
        let is_open = holder.joint().is_none_or(|joint| self.is_opened_now(joint));
        let is_read_again = |id: &MeasureId| {
            let noted = || forgotten::noted(self.catalogue, self.setup, id).is_some();
            !is_open && !self.way.is_unknown(id) && noted()
        };
        let is_unknown = |id: &&MeasureId| {
            let recorded = self.setup.recorded(id);
            recorded.is_some_and(|recorded| recorded.value == Value::Unmeasured) && !is_read_again(id)
        };
        let unknown = ids.iter().filter(is_unknown).map(|id| self.unknown_target(holder, id));
        let old = ids.iter().filter_map(|id| Some(self.old_target(holder, id, &self.read_before(id)?)));
        unknown.chain(old).collect()
    }

    fn unknown_target(&self, holder: &Holder, id: &MeasureId) -> Blocked {
        let title = self.catalogue.title(id);
        let noted = forgotten::noted(self.catalogue, self.setup, id);
        let why = match &noted {
            Some(noted) => format!("{title} {}.", noted.words()),
            None => format!("{title} was never measured: there is nothing to go back to."),
        };
        let in_short = noted.as_ref().map(|_| format!("{title} no longer known"));
        let mark = holder.joint().and_then(|joint| self.usable_mark(joint, id));
        let by = mark.map_or_else(String::new, |mark| format!("by mark {mark}, else "));
        let known = noted.and_then(|noted| forgotten::figure(self.catalogue, self.setup, id, &noted));
        let to = known.map_or_else(|| "by feel".to_owned(), |figure| format!("to {figure} as before"));
        let help = format!("Set it {by}{to} with someone who knows, ride slowly, and record it.");
        // A bar or a saddle that nobody knows the place of has things set on it; a control has nothing.
        let carries = holder.joint().and_then(joint::find).is_some_and(|(_, joint)| !joint.holds.is_empty());
        let holds_up = if carries { Reach::EverythingAfter } else { Reach::ItsJoint };
        let weight = self.catalogue.measure(id.row).weight;
        let joint = holder.joint().map(str::to_owned);
        let all = Blocked::everything(joint, holder.order(), why, help);
        Blocked { holds_up, weight, in_short, forbids: false, of_the_target: true, ..all }
    }

    fn empty_range(&self, holder: &Holder) -> Option<Blocked> {
        let torque = self.setup.torque(holder.joint()?)?;
        let conflict = allowed(torque)?.err()?;
        let from = torque.range.as_ref()?.value.from().newton_metres();
        let limit = conflict.ceiling.limit.value.newton_metres();
        let why = format!(
            "{}: its torque begins at {} N·m, but the {} allows only {} N·m.",
            holder.title(),
            show::brief(from),
            conflict.ceiling.part.value,
            show::brief(limit)
        );
        let help = "Do not tighten: ask both makers, or fit parts that agree.".to_owned();
        Some(Blocked::everything(holder.joint().map(str::to_owned), holder.order(), why, help))
    }
}

/// What is found, where a page says in its own words that nobody is to ride so.
fn without_verdict(reads: &Reads) -> &str {
    reads.finding.message.trim_end_matches(" Do not ride so.")
}
