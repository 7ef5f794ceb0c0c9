//! Witness marks as evidence: what the lines across the joints say of a bike as it was found.
//!
//! A mark carries where it was drawn. Found *aligned*, it is a reading of zero turn with the line's width as
//! half-width; found *off*, the millimetres between its halves are a turn on a known diameter; *broken* or
//! *missing*, it says that the joint moved, not how far. A mark whose drawn position no longer agrees with the
//! recorded one (`E_n` > 1) is stale and says nothing. A drawn angle against gravity is taken to stand on the
//! setup's own floor, as the angles beside it do: the floor cancels between the two.
//!
//! What a mark tells is told from where it was drawn: a turn that was written into the setup since is not told again.
//! A mark without a written place tells no turn at all, and of a line that was drawn after the sheet was read, or when
//! it was recorded, the sheet cannot speak.
//!
//! A measure that was read on the sheet wins over its mark; that is decided here, not by those who use the turns. So is
//! what several lines of one joint tell together.

mod before_open;
mod fused;
mod report;
mod shown;
mod struck;
mod telling;
mod told;
mod turns;

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

use crate::catalogue::joint::{self, rotation};
use crate::catalogue::{Catalogue, MeasureId, Weight};
use crate::check::forgotten;
use crate::check::marks::staleness;
use crate::compare::{self, Comparison, Fate, NotLookedAt};
use crate::geometry::state::{Difference, State, Turns};
use crate::metrology::COVERAGE_FACTOR;
use crate::metrology::reading::Reading;
use crate::metrology::show;
use crate::metrology::unit::Unit;
use crate::metrology::verdict::Verdict;
use crate::setup::model::{Mark, MarkState, Setup, Written};

use super::contradiction::contradictions;

pub use before_open::read_before_open;
pub use fused::Clash;
use fused::{Fused, Told, fuse};
pub use report::{MarkReport, MarkVerdict};
use shown::overruled;
pub use shown::shown;
pub use struck::{NoNews, UNTIL_DRAWN, lines_up_undrawn, no_news};
pub use telling::telling;
pub use told::{TAKEN_AS_TOLD, found_words, is_noted};
use told::{is_doubtful, is_drawn_later, is_drawn_since, is_written_from};
pub use turns::plus;
use turns::{is_beyond_its_width, read_apart, shows, turns};

/// A line's width in millimetres where the mark does not say: common practice, no source.
pub const LINE_WIDTH: f64 = 0.5;

/// What all marks together say.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Evidence {
    /// The turns they tell, for measures that were not read on the sheet.
    pub turns: Turns,
    /// The mark that each of these was taken from.
    pub taken: BTreeMap<MeasureId, String>,
    /// The lines whose turn is the file's own figure already, worked out of it when this sheet was recorded.
    pub written: BTreeSet<String>,
    /// The lines that contradict one another, and so tell nothing.
    pub clashes: Vec<Clash>,
    /// Each mark, dangerous joints first.
    pub marks: Vec<MarkReport>,
}

impl Evidence {
    /// A comparison with what it says settled of the marks that a sheet found: a stale one tells nothing, and one that
    /// stands apart by less than its own line's width has not moved. What that leaves of the torques follows.
    pub fn settled(&self, mut comparison: Comparison, now: &State) -> Comparison {
        for change in comparison.marks.iter_mut().filter(|change| change.fate.is_found()) {
            let Some(report) = self.marks.iter().find(|report| report.name == change.mark) else { continue };
            match report.state {
                MarkVerdict::Stale if report.beside_an_old_angle => {
                    (change.fate, change.verdict) = (Fate::AngleReadBefore, Verdict::NotLookedAt);
                }
                MarkVerdict::Stale if report.mend.is_some() => {
                    (change.fate, change.verdict) = (Fate::RollUnknown, Verdict::NotLookedAt);
                }
                MarkVerdict::Stale => (change.fate, change.verdict) = (Fate::Stale, Verdict::NotLookedAt),
                MarkVerdict::OnAnotherPart => {
                    (change.fate, change.verdict) = (Fate::OnAnotherPart, Verdict::NotLookedAt);
                }
                MarkVerdict::DrawnSince if report.doubtful => {
                    (change.fate, change.verdict) = (Fate::OldOrNew, Verdict::NotLookedAt);
                    change.same_day = !report.older_sheet;
                }
                MarkVerdict::DrawnSince => (change.fate, change.verdict) = (Fate::DrawnAnew, Verdict::ReRead),
                // It meets no more where the file has its part.
                MarkVerdict::Off if self.written.contains(&report.name) => {
                    (change.fate, change.verdict) = (Fate::Stale, Verdict::NotLookedAt);
                }
                MarkVerdict::Off if !report.overruled && !report.tells_a_move() => {
                    change.verdict = Verdict::WithinReading;
                }
                MarkVerdict::Off
                | MarkVerdict::Broken
                | MarkVerdict::Missing
                | MarkVerdict::Unknown
                | MarkVerdict::Aligned
                | MarkVerdict::NotLookedAt => {}
            }
        }
        // A line that is no evidence tells nothing, whether it meets or not.
        let told = |report: &&MarkReport| {
            let state = now.sheet().and_then(|sheet| sheet.seen(&report.name));
            let is_no_evidence = !matches!(report.state, MarkVerdict::Aligned | MarkVerdict::Off);
            is_no_evidence && matches!(state, Some(MarkState::Aligned | MarkState::Off(_)))
        };
        comparison.looked_at = comparison.looked_at.saturating_sub(self.marks.iter().filter(told).count());
        if let Some(sheet) = now.sheet() {
            comparison.contradictions = contradictions(now.catalogue(), now.setup(), sheet);
        }
        comparison.review_torques(now);
        comparison
    }
}

/// What a sheet leaves open: what can have moved and was neither read nor told by a mark or by what it turned along with.
pub fn not_looked_at(catalogue: &Catalogue, setup: &Setup, sheet: &Setup) -> Vec<NotLookedAt> {
    let sheet = telling(catalogue, setup, sheet);
    let evidence = weigh(catalogue, setup, &sheet);
    let recorded = State::recorded(catalogue, setup);
    compare::as_written(recorded, recorded.found(&sheet, Some(&evidence.turns))).not_looked_at
}

/// What an as-found sheet says against its setup, but for what has to be computed from it, and what is told of that.
pub fn told_of<T>(
    catalogue: &Catalogue,
    setup: &Setup,
    sheet: &Setup,
    tell: impl FnOnce(&Comparison, &State) -> T,
) -> (Comparison, T) {
    let setup = &*forgotten::remembered(catalogue, setup, sheet);
    let sheet = telling(catalogue, setup, sheet);
    let evidence = weigh(catalogue, setup, &sheet);
    let was = State::recorded(catalogue, setup);
    let now = was.found(&sheet, Some(&evidence.turns));
    let comparison = evidence.settled(compare::as_written(was, now), &now);
    let told = tell(&comparison, &now);
    (comparison, told)
}

/// Weighs the marks of a setup as a sheet found them.
pub fn weigh(catalogue: &Catalogue, setup: &Setup, sheet: &Setup) -> Evidence {
    let state = State::recorded(catalogue, setup);
    let mut evidence = Evidence::default();
    let mut all_told = Vec::new();
    let replaced = compare::found_replaced(&state, sheet);
    let cut_off = compare::cut_off(&Difference { from: state, to: state.found(sheet, None) });
    let replaced_under =
        |mark: &Mark| replaced.as_ref().filter(|replaced| replaced.marks.contains(&mark.name.value));
    for mark in &setup.marks {
        let seen = sheet.seen(&mark.name.value);
        if let Some(seen) = seen.filter(|seen| is_drawn_since(&state, mark, sheet, *seen)) {
            let older_sheet = is_drawn_later(mark, sheet);
            let report = drawn_since(&state, mark);
            let is_new_line = report.state == MarkVerdict::DrawnSince;
            let doubtful = is_new_line && is_doubtful(&state, mark, sheet, seen);
            evidence.marks.push(MarkReport { older_sheet, doubtful, ..report });
            continue;
        }
        if let Some(replaced) = replaced_under(mark) {
            let why = format!("was drawn before: {}", replaced.found());
            evidence.marks.push(on_another_part(&state, mark, seen, &why));
            continue;
        }
        let is_lost = matches!(seen, Some(MarkState::Broken | MarkState::Missing));
        if let Some(half) = loose_half(&state, mark, sheet).filter(|_| !is_lost) {
            let why = format!("meets a line on {half}, which turns freely once the joint is apart");
            evidence.marks.push(on_another_part(&state, mark, seen, &why));
            continue;
        }
        let is_written = is_written_from(&state, mark, sheet, seen);
        let (mut report, turns) = if is_written { told(&state, mark, seen) } else { one(&state, mark, seen) };
        report.overruled = overruled(catalogue, setup, mark, seen, sheet);
        if is_written {
            evidence.written.insert(report.name.clone());
        }
        evidence.marks.push(report);
        // A turn that was read on the sheet is not told by the mark, nor to what shares the clamp.
        let turn = mark.on.as_ref().and_then(|on| rotation(&on.value)).map(|(angle, _)| angle);
        let is_read = turn.is_some_and(|angle| sheet.readings.contains_key(&angle));
        for (id, turn) in turns {
            let is_turn_read = is_read && turn.unit() == Unit::Degree;
            if !sheet.readings.contains_key(&id) && !is_turn_read {
                let turn = cut_off.and_then(|half| turns::from_the_new_end(&id, &turn, half)).unwrap_or(turn);
                let is_own = mark.on.as_ref().is_some_and(|on| shows(&on.value, &id));
                all_told.push(Told { mark: mark.name.value.clone(), id, turn, is_own });
            }
        }
    }
    let Fused { mut turns, taken, clashes } = fuse(&all_told);
    for (id, turn) in &mut turns {
        let seen_on = taken.get(id).and_then(|mark| sheet.mark(mark)?.seen_on);
        *turn = seen_on.map_or_else(|| turn.clone(), |day| turn.clone().read_on(day));
    }
    (evidence.turns, evidence.taken, evidence.clashes) = (turns, taken, clashes);
    by_the_rest(&state, sheet, &mut evidence.turns);
    for clash in &evidence.clashes {
        let [one, other] = clash.lines.each_ref().map(|(mark, _)| mark);
        for (mark, against) in [(one, other), (other, one)] {
            let Some(report) = evidence.marks.iter_mut().find(|report| report.name == *mark) else {
                continue;
            };
            let _ = write!(report.words, " Mark {against} contradicts it: neither is evidence.");
        }
    }
    let known = |name: &str| setup.marks.iter().any(|mark| mark.name.value == name);
    for mark in sheet.marks.iter().filter(|mark| !known(&mark.name.value)) {
        evidence.marks.push(stranger(&state, mark, sheet));
    }
    for report in &mut evidence.marks {
        report.read = sheet.mark(&report.name).and_then(|mark| mark.seen_on);
        if let Some(day) = report.read {
            let _ = write!(report.words, " That was seen on {day}.");
        }
    }
    evidence.marks.sort_by_key(|report| (!report.tells_a_move(), report.weight, report.state as u8));
    evidence
}

/// What the rest on a bar of unknown roll tells of a control that does not read as the rest does and has no line of its own.
fn by_the_rest(state: &State, sheet: &Setup, turns: &mut Turns) {
    if sheet.aside.is_empty() {
        return;
    }
    for (id, left) in compare::off_the_rest(&Difference { from: *state, to: state.found(sheet, None) }) {
        // U = 2·a/√3 of a half-width a.
        let half_width = left.uncertainty * 3.0_f64.sqrt() / COVERAGE_FACTOR;
        let digits = show::plain(left.delta, 1);
        let turn = Reading::new([left.delta], [digits], Unit::Degree, Unit::Degree, half_width);
        if let Some(turn) = turn.filter(|_| !turns.contains_key(&id)) {
            turns.insert(id, turn);
        }
    }
}

/// A line drawn since may have been left behind by what was recorded after it: then it is stale as any other.
fn drawn_since(state: &State, mark: &Mark) -> MarkReport {
    let (mut report, _) = one(state, mark, None);
    if report.state == MarkVerdict::Stale {
        return report;
    }
    report.state = MarkVerdict::DrawnSince;
    report.words = format!("The sheet tells of mark {}.{TAKEN_AS_TOLD}", report.name);
    report
}

/// A line that does not meet what it was drawn to says nothing of how anything stands, whatever it is found to do.
fn on_another_part(state: &State, mark: &Mark, seen: Option<MarkState>, why: &str) -> MarkReport {
    let (mut report, _) = one(state, mark, None);
    if report.state == MarkVerdict::Stale || seen.is_none() {
        return report;
    }
    report.state = MarkVerdict::OnAnotherPart;
    report.words = format!("Mark {} {why}. It is no evidence.", report.name);
    report
}

/// What carries the other half of a mark's line and turned freely, where the sheet shows that the joint was apart.
pub(super) fn loose_half(state: &State, mark: &Mark, sheet: &Setup) -> Option<&'static str> {
    let on = &mark.on.as_ref()?.value;
    joint::loose_half(on).filter(|_| came_apart(state, on, sheet))
}

/// Whether a sheet shows that a joint was apart: it says so, or reads otherwise what cannot be changed before.
pub(super) fn came_apart(state: &State, joint: &str, sheet: &Setup) -> bool {
    let catalogue = state.catalogue();
    let was_off = |id: &MeasureId| {
        let is_here = state.setup().joint_of(catalogue, id) == Some(joint);
        is_here && catalogue.measure(id.row).comes_apart() && compare::found_moved(state, sheet, id)
    };
    sheet.tells_open(joint) || sheet.readings.keys().any(was_off)
}

/// The marks as a setup alone has them: stale ones are known without a sheet.
pub fn recorded(catalogue: &Catalogue, setup: &Setup) -> Vec<MarkReport> {
    let state = State::recorded(catalogue, setup);
    setup.marks.iter().map(|mark| one(&state, mark, None).0).collect()
}

fn one(state: &State, mark: &Mark, seen: Option<MarkState>) -> (MarkReport, Vec<(MeasureId, Reading)>) {
    let mut report = on_its_clamp(state, mark);
    // That a line broke tells of its joint, wherever the line was drawn.
    let is_lost = matches!(seen, Some(MarkState::Broken | MarkState::Missing));
    if let Some(stale) = staleness(state.catalogue(), state.setup(), mark).filter(|_| !is_lost) {
        report.state = MarkVerdict::Stale;
        let then = stale.mend.as_deref().unwrap_or("It is no evidence.");
        report.words = format!("{}. {then}", stale.words);
        (report.mend, report.beside_an_old_angle) = (stale.mend, stale.beside_an_old_angle);
        return (report, Vec::new());
    }
    told(state, mark, seen)
}

/// What a mark tells that is evidence.
fn told(state: &State, mark: &Mark, seen: Option<MarkState>) -> (MarkReport, Vec<(MeasureId, Reading)>) {
    let mut report = on_its_clamp(state, mark);
    let joint = report.joint.clone().unwrap_or_default();
    let place = report.title.clone().unwrap_or_else(|| "its joint".to_owned());
    let name = report.name.clone();
    let (verdict, words) = match seen {
        None => (MarkVerdict::NotLookedAt, format!("Mark {name} on the {place} was not looked at.")),
        Some(MarkState::Broken) => (
            MarkVerdict::Broken,
            format!("Mark {name} is broken: the {place} moved, nobody measured how far."),
        ),
        Some(MarkState::Missing) => (
            MarkVerdict::Missing,
            format!("Mark {name} is gone: it cannot tell whether the {place} held; take it for opened."),
        ),
        Some(MarkState::Aligned) => (MarkVerdict::Aligned, format!("Mark {name} is aligned.")),
        Some(MarkState::Off(apart)) => {
            (MarkVerdict::Off, format!("Mark {name} stands {} mm apart.", show::plain(apart.abs(), 1)))
        }
    };
    (report.state, report.words) = (verdict, words);
    let apart = match seen {
        Some(MarkState::Aligned) => 0.0,
        Some(MarkState::Off(apart)) => apart,
        _ => return (report, Vec::new()),
    };
    report.apart = read_apart(mark, apart);
    let turns = turns(state, mark, &joint, apart, &mut report);
    if verdict == MarkVerdict::Off && rotation(&joint).is_none() && !joint.is_empty() {
        let says = if report.apart.as_ref().is_none_or(is_beyond_its_width) {
            "moved by as much"
        } else {
            "did not move: that is within the line's width"
        };
        let _ = write!(report.words, " The {place} {says}; it tells no angle.");
    }
    (report, turns)
}

/// What is said of a mark before it says anything, at the clamp that holds its joint.
fn on_its_clamp(state: &State, mark: &Mark) -> MarkReport {
    let mut report = blank(mark);
    report.joint = report.joint.map(|on| state.setup().clamp_of(&on).into_owned());
    report
}

fn blank(mark: &Mark) -> MarkReport {
    let joint = mark.on.as_ref().map(|Written { value, .. }| value.clone());
    let weight = joint.as_deref().map_or(Weight::Record, joint::weight);
    MarkReport {
        name: mark.name.value.clone(),
        title: joint.as_deref().map(joint::title),
        joint,
        weight,
        state: MarkVerdict::NotLookedAt,
        measure: None,
        turned: None,
        uncertainty: None,
        apart: None,
        reads: mark.reads.clone(),
        overruled: false,
        read: None,
        older_sheet: false,
        doubtful: false,
        mend: None,
        beside_an_old_angle: false,
        words: String::new(),
    }
}

/// A mark that only the sheet has. Where its line was drawn nobody knows, so that it tells no place; but that its halves
/// met once, and stand apart, tells that the joint turned.
fn stranger(state: &State, mark: &Mark, sheet: &Setup) -> MarkReport {
    let mut report = blank(mark);
    let seen = mark.state.as_ref().map(|state| state.value);
    if matches!(seen, Some(MarkState::Off(_))) && report.joint.is_some() {
        let (mut report, _) = one(state, mark, seen);
        report.overruled = overruled(state.catalogue(), state.setup(), mark, seen, sheet);
        return report;
    }
    report.words = match seen {
        state @ Some(MarkState::Broken | MarkState::Missing) if report.joint.is_some() => {
            report.state =
                if state == Some(MarkState::Broken) { MarkVerdict::Broken } else { MarkVerdict::Missing };
            let place = report.title.clone().unwrap_or_default();
            format!("Mark {} is broken or gone: take the {place} for opened.", report.name)
        }
        _ => {
            report.state = MarkVerdict::Unknown;
            format!("Mark {} is not one of this setup: it is no evidence.", report.name)
        }
    };
    report
}

#[cfg(test)]
mod tests;
