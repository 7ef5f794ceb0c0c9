//! A bar that is cut: a line on it, which stays where it is, comes nearer to its ends, and so does all that is not slid
//! along.
//!
//! A planned cut slides everything, to stand as far from the new ends as from the old. A bar that a sheet finds narrower
//! may be the recorded one, cut, or another; which of both it is the sheet tells by the width that the bar was supplied
//! with, or by what still stands on it where it stood.

use std::borrow::Cow;

use serde::Serialize;

use crate::catalogue::joint::{self, CONTROLS, JOINTS};
use crate::catalogue::table::{BAR_SUPPLIED_WIDTH, BAR_WIDTH, GRIP_HAND, HOSE_LEAVES_FROM_TIP};
use crate::catalogue::{Catalogue, MeasureId, Row};
use crate::geometry::state::{Consequences, Difference, Layer, Level, Lookup, State};
use crate::metrology::propagate::Number;
use crate::metrology::reading::Reading;
use crate::metrology::show;
use crate::metrology::verdict::{Verdict, judge};
use crate::setup::model::{Mark, MarkState, Recorded, Setup, Value};
use crate::setup::span::Span;

use super::anew::is_read_again;
use super::floor::LeftOver;
use super::measures::{self, Carrier, Change};
use super::{Replaced, found_replaced};

/// What is to be minded where a carbon bar is cut.
pub const CUT_CARBON: &str = "A carbon bar is cut only where its maker allows, no narrower than the maker's least width and in \
                              the maker's way (common practice, no source).";

/// What a saw moves.
#[derive(Clone, Debug, PartialEq)]
pub struct Sawn {
    /// What is cut off each end, mm.
    pub half: f64,
    /// The joints of all that has to be slid, in working order.
    pub slid: Vec<String>,
}

impl Sawn {
    /// None if the bar is no narrower than it was, or is another one.
    pub fn of(was: &Setup, now: &Setup, replaced: Option<&Replaced>) -> Option<Sawn> {
        let width = |setup: &Setup| setup.value(&MeasureId::bike(BAR_WIDTH));
        let half = (width(was)? - width(now)?) / 2.0;
        if half <= 0.0 || replaced.is_some_and(|replaced| replaced.parts.contains(&"bar")) {
            return None;
        }
        let is_slid = |name: &&String| slides(name) && now.has_joint(name);
        Some(Sawn { half, slid: joint::names().iter().filter(is_slid).cloned().collect() })
    }

    /// Counts the lines on the bar from its new ends: where what they cross still stands on them, it was not slid.
    pub fn shift_lines(&self, catalogue: &Catalogue, setup: &mut Setup) {
        let drawn = setup.marks.iter_mut().flat_map(|mark| &mut mark.drawn);
        for (id, recorded) in drawn.filter(|(id, _)| is_along_the_bar(id.row)) {
            let Value::Reading(was) = &recorded.value else { continue };
            let measure = catalogue.measure(id.row);
            let (now, fine) = (was.value() - self.half, measure.tolerance());
            if let Some(now) = Reading::worked_out(now, was.unit(), measure.unit(), fine, was.half_width()) {
                recorded.value = Value::Reading(now);
            }
        }
    }
}

/// Whether what a joint holds can be slid along the bar.
pub fn slides(name: &str) -> bool {
    let found = joint::find(name).map(|(_, joint)| joint);
    found.is_some_and(|joint| joint.name.starts_with("SIDE.") && !joint.shows.shifts.is_empty())
}

/// A grip comes off for the saw, and goes back on at the new end.
fn comes_off_for_a_saw(name: &str) -> bool {
    joint::find(name).is_some_and(|(_, joint)| joint.shows.shifts.contains(&GRIP_HAND))
}

/// Whether a line is drawn at that measure, counted from the end of the bar.
pub fn is_along_the_bar(row: Row) -> bool {
    JOINTS.iter().any(|joint| joint.name.starts_with("SIDE.") && joint.shows.shifts.contains(&row))
}

/// Whether a measure is counted from the end of the bar, so that it means another place on a bar that was cut.
pub fn is_from_the_end(row: Row) -> bool {
    let is_lowest = CONTROLS.iter().any(|control| control.lowest.first() == Some(&row));
    is_along_the_bar(row) || is_lowest || row == GRIP_HAND || row == HOSE_LEAVES_FROM_TIP
}

/// A place along the bar, counted from the bar's middle: a saw leaves that as it is.
pub struct FromTheMiddle<'i>(pub &'i MeasureId);

impl Consequences for FromTheMiddle<'_> {
    fn of<N: Number>(&self, numbers: &dyn Lookup<N>) -> Vec<Option<N>> {
        let width = numbers.get(&MeasureId::bike(BAR_WIDTH));
        vec![numbers.get(self.0).zip(width).map(|(from_tip, width)| from_tip - width * 0.5)]
    }
}

/// How a place along a bar that was cut differs from the bar's middle.
fn on_the_bar(difference: &Difference, id: &MeasureId) -> Option<LeftOver> {
    let (propagated, _) = difference.propagate(&FromTheMiddle(id));
    let output = propagated.output(0)?;
    Some(LeftOver { delta: output.value, uncertainty: output.expanded_uncertainty() })
}

fn is_moved(left: LeftOver) -> bool {
    judge(left.delta, left.uncertainty) == Verdict::Moved
}

/// By how much the bar is narrower beyond reading, mm, if it is.
pub(super) fn narrowed(difference: &Difference) -> Option<f64> {
    let width = MeasureId::bike(BAR_WIDTH);
    let (was, now) = difference.from.number(&width).zip(difference.to.number(&width))?;
    if was.is_same_reading(now) || now.value() >= was.value() {
        return None;
    }
    let (propagated, _) = difference.propagate(&Level(&width));
    let output = propagated.output(0)?;
    let left = LeftOver { delta: output.value, uncertainty: output.expanded_uncertainty() };
    is_moved(left).then_some(-left.delta)
}

/// The reading of how wide a bar was before any saw: what is not recorded as cut was not.
fn as_supplied<'a>(state: &State<'a>) -> Option<&'a Reading> {
    let number = |row| state.number(&MeasureId::bike(row));
    number(BAR_SUPPLIED_WIDTH).or_else(|| number(BAR_WIDTH))
}

/// How the width that the later state says its bar was supplied with compares with the earlier bar's; none where it says
/// nothing. What a sheet does not say of a narrower bar, the file cannot say for it.
pub(super) fn supplied(difference: &Difference) -> Option<Verdict> {
    let id = MeasureId::bike(BAR_SUPPLIED_WIDTH);
    let is_said = difference.to.sheet().is_none() || difference.to.layer(&id) == Layer::Found;
    let (was, now) = as_supplied(&difference.from).zip(difference.to.number(&id).filter(|_| is_said))?;
    let doubt = was.expanded_uncertainty().hypot(now.expanded_uncertainty());
    Some(judge(now.value() - was.value(), doubt))
}

/// What was cut off each end of the bar between two states of one setup, mm; none unless the later one tells that it is
/// the same bar.
pub fn cut_off(difference: &Difference) -> Option<f64> {
    let one_setup = difference.from.setup().name.value == difference.to.setup().name.value;
    let is_alike = || supplied(difference).is_some_and(|verdict| verdict != Verdict::Moved);
    let by = narrowed(difference).filter(|_| one_setup && is_alike())?;
    let is_another = |sheet| {
        let replaced = found_replaced(&difference.from, sheet);
        replaced.is_some_and(|replaced| replaced.parts.contains(&"bar"))
    };
    (!difference.to.sheet().is_some_and(is_another)).then_some(by / 2.0)
}

/// A bar that a sheet finds narrower than recorded.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Narrower {
    /// By how much, mm.
    pub by: f64,
    /// Whether it is known to be the recorded one, cut. Nobody says so otherwise, nor that it is another.
    pub is_cut: bool,
    /// How wide the recorded one was supplied, mm.
    pub supplied: f64,
    /// The joints that were opened for the saw, as far as a torque of theirs is recorded.
    #[serde(skip)]
    pub opened: Vec<String>,
    /// All of it, in sentences.
    pub words: String,
}

impl Narrower {
    /// Whether these words tell the very same, as a note on the bar keeps it.
    pub fn is_told_by(&self, words: &str) -> bool {
        !self.is_cut && words.ends_with(&self.noted())
    }

    /// The same as the note on the bar keeps it: "found 20 mm narrower: cut, or another one, nobody says".
    pub fn noted(&self) -> String {
        format!("{FOUND_NARROWER}{} mm narrower: cut, or another one, nobody says", show::brief(self.by))
    }

    /// The same as a sentence of its own begins.
    pub fn headline(&self) -> String {
        self.in_short().replacen("bar", "Bar", 1)
    }

    /// "bar 20 mm narrower: cut, or another one, the sheet does not say".
    pub fn in_short(&self) -> String {
        let by = show::brief(self.by);
        if self.is_cut {
            format!("bar {by} mm narrower: it was cut")
        } else {
            format!("bar {by} mm narrower: cut, or another one, the sheet does not say")
        }
    }
}

/// How the note begins on a bar found narrower of which nobody says what it is.
pub const FOUND_NARROWER: &str = "found ";

/// What a sheet tells of a bar that it finds narrower; none where it shows another one.
pub fn narrower(recorded: &State, sheet: &Setup) -> Option<Narrower> {
    let difference = Difference { from: *recorded, to: recorded.found(sheet, None) };
    let by = narrowed(&difference)?;
    if found_replaced(recorded, sheet).is_some_and(|replaced| replaced.parts.contains(&"bar")) {
        return None;
    }
    let supplied = as_supplied(recorded)?.value();
    let is_cut = cut_off(&difference).is_some();
    let half = show::brief(by / 2.0);
    let words = if is_cut {
        cut_words(recorded, by)
    } else {
        format!(
            "The bar is {} mm narrower than recorded: was it cut, or is it another bar? The sheet does not say, and levers \
             that nobody touched then stand {half} mm nearer to the ends, or elsewhere. If it was cut, write that on the \
             sheet: `bar {{ supplied-width {} }}`. If it is another, the width that one was supplied with, and its rise, \
             sweeps and clamp diameter.",
            show::brief(by),
            show::brief(supplied)
        )
    };
    let opened = recorded.setup().torques.iter().map(|torque| &torque.joint.value);
    let opened = opened.filter(|joint| is_cut && comes_off_for_a_saw(joint)).cloned().collect();
    Some(Narrower { by, is_cut, supplied, opened, words })
}

/// What is to be said of a bar that was cut between two revisions of one setup.
pub(super) fn cut_since(difference: &Difference) -> Option<Narrower> {
    let by = 2.0 * cut_off(difference)?;
    let supplied = as_supplied(&difference.from)?.value();
    let words = cut_words(&difference.from, by);
    Some(Narrower { by, is_cut: true, supplied, opened: Vec::new(), words })
}

fn cut_words(recorded: &State, by: f64) -> String {
    let carbon = if recorded.setup().has_carbon_bar() { format!(" {CUT_CARBON}") } else { String::new() };
    let half = show::brief(by / 2.0);
    format!(
        "The bar was cut, {half} mm off each end. What was not slid along it stands {half} mm nearer to the new ends, and so \
         do the lines on it.{carbon}"
    )
}

/// Whether a sheet finds the bar narrower and does not tell whether it was cut.
pub(super) fn is_open(difference: &Difference) -> bool {
    let narrower = || narrower(&difference.from, difference.to.sheet()?);
    narrower().is_some_and(|narrower| !narrower.is_cut)
}

/// Places that are counted from the end of a bar of which nobody knows what it is: what they read tells of no clamp
/// whether it was opened.
pub(super) fn from_an_unknown_end(difference: &Difference, changes: &mut [Change]) {
    let measure = |change: &Change| difference.from.catalogue().measure(change.id.row);
    let is_place = |change: &&mut Change| is_along_the_bar(change.id.row) && change.verdict == Verdict::Moved;
    for change in changes.iter_mut().filter(is_place) {
        change.carried = Some(Carrier::Saw);
        let both = change.delta.zip(change.uncertainty);
        change.moved = both.map(|both| {
            let far = measures::size(difference, &change.id, both);
            format!("{far} {}, from the narrower bar's end", measure(change).direction(both.0))
        });
        change.put_back = Some("nothing before it is known whether the bar was cut".to_owned());
    }
}

/// The sheet with what its own places and lines tell of a bar found narrower: where they stand on the bar as they stood,
/// it is the recorded bar, cut, though nobody says how wide it was supplied.
pub fn as_told<'s>(recorded: &State, sheet: &'s Setup) -> Cow<'s, Setup> {
    let id = MeasureId::bike(BAR_SUPPLIED_WIDTH);
    let is_open = narrower(recorded, sheet).is_some_and(|narrower| !narrower.is_cut);
    if sheet.recorded(&id).is_some() || !is_open || !stands_as_it_stood(recorded, sheet) {
        return Cow::Borrowed(sheet);
    }
    let mut told = sheet.clone();
    told.readings.extend(as_supplied(recorded).map(|supplied| {
        let value = Value::Reading(supplied.clone());
        (id, Recorded { value, span: Span::default(), node: Span::default() })
    }));
    Cow::Owned(told)
}

/// Whether what a sheet reads of places along a narrower bar stands where it stood on the recorded one, and two of them
/// would not otherwise: one alone may stand there by chance. A line that still meets the clamp across it is on the very same
/// bar, and one that is gone may be on another. What was slid by itself on a bar that was cut stands elsewhere, and does not
/// outvote more places that do not, nor one whose own line meets.
fn stands_as_it_stood(recorded: &State, sheet: &Setup) -> bool {
    let difference = Difference { from: *recorded, to: recorded.found(sheet, None) };
    let setup = recorded.setup();
    let is_on_the_bar =
        |mark: &Mark| mark.on.as_ref().is_some_and(|on| joint::is_limited_by(&on.value, "bar"));
    let is_gone = |mark: &Mark| sheet.seen(&mark.name.value) == Some(MarkState::Missing);
    if setup.marks.iter().any(|mark| is_on_the_bar(mark) && is_gone(mark)) {
        return false;
    }
    let Some((stood, slid)) = places_on_the_bar(&difference, sheet) else { return false };
    let mut meeting = setup.marks.iter().filter(|mark| {
        let slides_on =
            mark.on.as_ref().is_some_and(|on| slides(&on.value) && !comes_off_for_a_saw(&on.value));
        let is_older =
            mark.drawn_on.zip(sheet.day_seen(&mark.name.value)).is_none_or(|(drawn, found)| drawn <= found);
        let meets = sheet.seen(&mark.name.value) == Some(MarkState::Aligned);
        slides_on && !mark.drawn.is_empty() && is_older && meets
    });
    if slid.is_empty() {
        return stood.len() > 1 || meeting.next().is_some();
    }
    let shows_one_that_stood = |mark: &Mark| mark.drawn.iter().any(|(id, _)| stood.contains(&id));
    stood.len() > slid.len() && stood.len() > 1 || meeting.any(shows_one_that_stood)
}

/// The places of controls that a sheet reads on a narrower bar: those that stand where they stood and would read otherwise on
/// another, and those that do not; none where one of them cannot be told.
fn places_on_the_bar<'a>(
    difference: &Difference<'a>,
    sheet: &Setup,
) -> Option<(Vec<&'a MeasureId>, Vec<&'a MeasureId>)> {
    // A grip comes off for the saw, and goes back on at the new end.
    let is_control = |row: Row| CONTROLS.iter().any(|control| control.from_tip == row);
    let setup = difference.from.setup();
    let (mut stood, mut slid) = (Vec::new(), Vec::new());
    for id in setup.readings.keys().filter(|id| is_control(id.row) && sheet.reading(id).is_some()) {
        if is_moved(on_the_bar(difference, id)?) {
            slid.push(id);
            continue;
        }
        let (as_read, _) = difference.propagate(&Level(id));
        let output = as_read.output(0);
        if output.is_some_and(|output| judge(output.value, output.expanded_uncertainty()) == Verdict::Moved) {
            stood.push(id);
        }
    }
    Some((stood, slid))
}

/// Whether it is a place along the bar that was read anew on one that was cut, or told by its line there.
pub(super) fn is_told_anew(difference: &Difference, id: &MeasureId) -> bool {
    is_along_the_bar(id.row)
        && match difference.to.layer(id) {
            Layer::Found | Layer::Turn => true,
            Layer::Recorded => is_read_again(difference, id, &MeasureId::bike(BAR_WIDTH)),
        }
}

/// Judges a place along a bar that was cut: what stayed on the bar reads otherwise from its new end and did not move,
/// and what reads as before was slid.
pub fn judged(difference: &Difference, half: f64, id: &MeasureId, change: Option<Change>) -> Option<Change> {
    if !is_told_anew(difference, id) {
        return change;
    }
    let Some(left) = on_the_bar(difference, id) else { return change };
    let mut change = change.unwrap_or_else(|| measures::judged_as_read(difference, id));
    let measure = difference.from.catalogue().measure(id.row);
    let way = |delta: f64| measure.direction(delta);
    if is_moved(left) {
        change.verdict = Verdict::Moved;
        let far = measures::size(difference, id, (left.delta, left.uncertainty));
        change.moved = Some(format!("{far} {} on the bar", way(left.delta)));
        change.put_back = difference.from.value(id).map(|was| {
            let goal = show::brief(was - half);
            format!("{far} {} on the bar, to {goal} mm from the new end", way(-left.delta))
        });
        change.on_bar = Some(left);
    } else if change.verdict == Verdict::Moved {
        change.carried = Some(Carrier::Saw);
        change.on_bar = Some(left);
        change.moved = Some(format!("{} mm nearer to the new end", show::brief(half)));
        change.put_back = Some("nothing: it stands on the bar where it stood".to_owned());
    }
    (change.verdict != Verdict::Same).then_some(change)
}
