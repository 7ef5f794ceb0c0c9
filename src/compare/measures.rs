//! The measures that differ, each with its verdict and the way back.

use std::collections::BTreeSet;

use serde::Serialize;

use crate::catalogue::joint::{self, CONTROLS};
use crate::catalogue::table::FLOOR;
use crate::catalogue::{Gravity, MeasureId, Weight};
use crate::geometry::state::{Difference, Layer, State};
use crate::metrology::reading::Reading;
use crate::metrology::show;
use crate::metrology::unit::Unit;
use crate::metrology::verdict::{Verdict, judge};
use crate::setup::model::Value;
use crate::setup::undecided::Undecided;

use super::differing::{Differing, held as held_by_either};
use super::floor::{CommonShift, LeftOver};
use super::off_the_rest::{is_told_by, off_the_rest};
use super::{on_bar, sawn, shared_clamp};

/// What stands in place of a figure that nobody read of a point that goes along.
const GONE_ALONG: &str = "gone along";

/// A value as one state has it.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Held {
    /// A number in the default unit, angles against gravity as read.
    Number(f64),
    /// A chosen word, or `unmeasured`.
    Word(&'static str),
}

/// What carries a measure along, so that it need not have moved itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Carrier {
    /// The control that other measures set: its lowest points and hose ends.
    Control,
    /// The bar: an angle differs only because the bar below the control has rolled.
    Bar,
    /// The brake lever whose clamp the control shares, and which was turned.
    Lever,
    /// The saw: a place differs only because the end that it is counted from was cut off.
    Saw,
}

/// One measure that differs.
#[expect(clippy::struct_excessive_bools, reason = "each says another thing of it")]
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Change {
    /// Which measure.
    #[serde(skip)]
    pub id: MeasureId,
    /// Its written path.
    pub measure: String,
    /// In plain words: "left brake lever angle".
    pub title: String,
    /// What it was.
    pub was: Option<Held>,
    /// What it is.
    pub now: Option<Held>,
    /// What either version of a conflict in the later text holds, as typed: "ours 30, theirs 25"; of what a sheet reads, of
    /// the conflict in the setup that it is compared with.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub undecided: Option<String>,
    /// What it was, as typed, with its unit.
    pub was_written: Option<String>,
    /// What it is, as typed, with its unit.
    pub now_written: Option<String>,
    /// Now minus was, angles taken to level ground.
    pub delta: Option<f64>,
    /// Its expanded uncertainty.
    #[serde(rename = "U")]
    pub uncertainty: Option<f64>,
    /// The unit of the numbers.
    pub unit: &'static str,
    /// What the common shift of the ground leaves of it, where one was taken out: the verdict rests on this.
    pub left_over: Option<LeftOver>,
    /// How a control's angle differs on the bar, where the bar was rolled, or its place, where the bar was cut: the verdict
    /// rests on this as well.
    pub on_bar: Option<LeftOver>,
    /// The verdict.
    pub verdict: Verdict,
    /// How much it matters.
    pub weight: Weight,
    /// The joint that holds it.
    pub joint: Option<String>,
    /// The change in words of the trade: "4.0° tip up".
    pub moved: Option<String>,
    /// The way back, in the same words: "4.0° tip down, to 32.0°".
    pub put_back: Option<String>,
    /// Whether the later value is a turn read from a witness mark.
    pub from_mark: bool,
    /// Whether nobody read the later value: the point was taken along with its control, or with the bar.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub turned_along: bool,
    /// What carries it along, if something does.
    pub carried: Option<Carrier>,
    /// Whether a control turned in its slot on the lever's clamp, which itself was turned.
    pub in_its_slot: bool,
    /// What is always said where it moves.
    #[serde(skip)]
    pub caution: Option<&'static str>,
    /// Whether the uncertainty rests on two or three repeats of a reading and so promises too much.
    pub optimistic: bool,
}

/// All measures that differ: moved first, of those the dangerous first and brakes before steering, then in the table's
/// order.
pub fn changes<'a>(
    difference: &Difference<'a>,
    differing: &[Differing<'a>],
    common: Option<&CommonShift>,
) -> Vec<Change> {
    let mut ids: BTreeSet<&MeasureId> = recorded_otherwise(difference, differing).into_iter().collect();
    for state in [&difference.from, &difference.to] {
        ids.extend(state.sheet().into_iter().flat_map(|sheet| sheet.readings.keys()));
        ids.extend(state.turned());
    }
    let rolled = on_bar::is_rolled(difference);
    let cut_off = sawn::cut_off(difference);
    // What reads as before on a bar that does not stand as before was moved on it.
    let recorded = || difference.to.setup().readings.keys();
    ids.extend(recorded().filter(|id| rolled && on_bar::is_told_anew(difference, id)));
    ids.extend(recorded().filter(|id| cut_off.is_some() && sawn::is_told_anew(difference, id)));
    let layers = [Some(difference.to.setup()), difference.to.sheet()].into_iter().flatten();
    let in_conflict = layers.flat_map(|setup| setup.undecided.keys());
    ids.extend(in_conflict.filter(|id| undecided(difference, id).is_some()));
    let told = ids.into_iter().filter_map(|id| {
        let change = change(difference, id, common, rolled);
        match cut_off {
            Some(half) => sawn::judged(difference, half, id, change),
            None => change,
        }
    });
    let mut changes: Vec<Change> = told.collect();
    if sawn::is_open(difference) {
        sawn::from_an_unknown_end(difference, &mut changes);
    }
    let along = shared_clamp::along(difference, &mut changes);
    changes.extend(along);
    if on_bar::is_let_go(&difference.to) {
        only_on_the_bar(difference, &mut changes);
    }
    read_otherwise(difference, &mut changes);
    changes.sort_by(|one, other| one.id.cmp(&other.id));
    let brakes = |change: &Change| difference.from.catalogue().measure(change.id.row).brakes;
    changes.sort_by_key(|change| (rank(change.verdict), change.weight, !brakes(change)));
    changes
}

/// What the lines, or the rest that sits there, tell of controls on a bar that stands nobody knows how.
fn only_on_the_bar(difference: &Difference, changes: &mut [Change]) {
    let off = off_the_rest(difference);
    let told = |change: &&mut Change| change.from_mark && joint::is_control_angle(change.id.row);
    for change in changes.iter_mut().filter(told).filter(|change| !change.in_its_slot) {
        let by_the_rest = off.get(&change.id).is_some_and(|left| is_told_by(difference, &change.id, left));
        change.from_mark = !by_the_rest;
        if by_the_rest {
            change.now_written = Some("by the rest there".to_owned());
        }
        let on_what = if by_the_rest { " off the rest on the bar" } else { " on the bar" };
        change.moved.iter_mut().for_each(|words| words.push_str(on_what));
        change.put_back.iter_mut().for_each(|words| words.push_str(" on the bar"));
    }
}

/// Of a sheet: a lowest point that reads otherwise though its control was found in its place did not move; one of the two
/// was misread, or the control is another.
fn read_otherwise(difference: &Difference, changes: &mut [Change]) {
    let moved: Vec<MeasureId> = changes
        .iter()
        .filter(|change| change.verdict == Verdict::Moved)
        .map(|change| change.id.clone())
        .collect();
    let in_place = |id: &MeasureId| difference.to.layer(id) != Layer::Recorded && !moved.contains(id);
    for change in changes.iter_mut().filter(|change| change.carried == Some(Carrier::Control)) {
        let Some(side) = change.id.subject.side.filter(|_| difference.to.sheet().is_some()) else { continue };
        let control = CONTROLS.iter().find(|control| control.lowest.contains(&change.id.row));
        let stands = control.is_some_and(|control| {
            [control.from_tip, control.angle].into_iter().all(|row| in_place(&MeasureId::of(row, side)))
        });
        if stands && change.verdict == Verdict::Moved {
            change.verdict = Verdict::ReRead;
        }
    }
}

/// The measures of the two setups at the bottom, without those that both hold in the very same words on the same
/// ground: neighbours in a history share nearly all.
fn recorded_otherwise<'a>(difference: &Difference<'a>, differing: &[Differing<'a>]) -> Vec<&'a MeasureId> {
    let (was, now) = (&difference.from.setup().readings, &difference.to.setup().readings);
    let floor = MeasureId::bike(FLOOR);
    let same_ground = match (was.get(&floor), now.get(&floor)) {
        (Some(was), Some(now)) => was.value.is_written_like(&now.value),
        (was, now) => was.is_none() && now.is_none(),
    };
    if !same_ground {
        return held_by_either(was, now).map(|held| held.id).collect();
    }
    let is_alike = |one: &&Differing| one.both().is_some_and(|(was, now)| was.is_written_like(now));
    differing.iter().filter(|one| !is_alike(one)).map(|one| one.id).collect()
}

fn rank(verdict: Verdict) -> u8 {
    match verdict {
        Verdict::Moved => 0,
        Verdict::Recorded | Verdict::NotRecorded => 1,
        Verdict::ReRead | Verdict::Corrected => 2,
        Verdict::WithinReading => 3,
        Verdict::Same | Verdict::NotLookedAt => 4,
    }
}

pub(super) fn change(
    difference: &Difference,
    id: &MeasureId,
    common: Option<&CommonShift>,
    rolled: bool,
) -> Option<Change> {
    let (from, to) = (&difference.from, &difference.to);
    let (was, now) = (known(from, id), known(to, id));
    let along = rolled && on_bar::is_told_anew(difference, id);
    let is_undecided = undecided(difference, id).is_some();
    if was.is_none() && now.is_none() && !is_undecided || written_alike(difference, id) && !along {
        return None;
    }
    let mut change = unjudged(difference, id);
    match (was, now) {
        // What a mark tells differs from the earlier state even where that one only counts as its natural value.
        _ if change.from_mark => judge_numbers(difference, id, common, &mut change),
        // On the bike in the hand what counts as its natural value stands there or elsewhere.
        (None, Some(Known::Number)) if to.sheet().is_some() && from.is_assumed(id) => {
            judge_numbers(difference, id, common, &mut change);
        }
        // Read where nobody decided what it is compared with: known now, and not judged.
        (None, Some(_)) => change.verdict = Verdict::Recorded,
        (_, None) => change.verdict = Verdict::NotRecorded,
        (Some(Known::Word(was)), Some(Known::Word(now))) => {
            change.verdict = if was == now { Verdict::Same } else { Verdict::Moved };
            change.moved = Some(format!("now {now}, was {was}"));
            change.put_back = Some(format!("back to {was}"));
        }
        _ => judge_numbers(difference, id, common, &mut change),
    }
    if along && change.delta.is_some() {
        judge_on_bar(difference, id, &mut change);
    }
    (change.verdict != Verdict::Same).then_some(change)
}

/// What a state knows of a measure.
#[derive(Clone, Copy, PartialEq)]
enum Known {
    Number,
    Word(&'static str),
}

/// None where it is absent or `unmeasured`. What a mark tells is known even where the rest counts as its natural value.
fn known(state: &State, id: &MeasureId) -> Option<Known> {
    match state.held(id) {
        Some(Value::Choice(word)) => Some(Known::Word(word)),
        Some(Value::Reading(_)) => Some(Known::Number),
        Some(Value::Unmeasured) => None,
        None => (state.layer(id) == Layer::Turn).then_some(Known::Number),
    }
}

/// What the versions of a conflict hold of a measure that the earlier state knew or another conflict was about; of one that
/// a sheet reads, the versions of what it is compared with.
fn undecided(difference: &Difference, id: &MeasureId) -> Option<String> {
    let (was, now) = (difference.from.undecided(id), difference.to.undecided(id));
    let is_on_sheet = difference.to.layer(id) == Layer::Found;
    now.filter(|_| was != now || is_on_sheet).or(was.filter(|_| is_on_sheet)).map(Undecided::in_words)
}

pub(super) fn unjudged(difference: &Difference, id: &MeasureId) -> Change {
    let (from, to) = (&difference.from, &difference.to);
    let catalogue = from.catalogue();
    let measure = catalogue.measure(id.row);
    let optimistic = |state: &State| state.number(id).is_some_and(Reading::is_optimistic);
    let joint = to.setup().joint_of(catalogue, id).or_else(|| from.setup().joint_of(catalogue, id));
    // No line tells of a point: it is worked out of what its control was found to do.
    let is_turned = to.layer(id) == Layer::Turn;
    Change {
        id: id.clone(),
        measure: catalogue.path(id),
        title: catalogue.title(id),
        was_written: written(from, id),
        now_written: written(to, id),
        was: held(from, id),
        now: held(to, id),
        undecided: undecided(difference, id),
        delta: None,
        uncertainty: None,
        left_over: None,
        on_bar: None,
        unit: measure.unit().word(),
        verdict: Verdict::Same,
        weight: measure.weight,
        joint: joint.map(str::to_owned),
        moved: None,
        put_back: None,
        from_mark: is_turned && !measure.goes_along(),
        turned_along: is_turned && measure.goes_along(),
        carried: measure.goes_along().then_some(Carrier::Control),
        in_its_slot: false,
        caution: measure.caution_at(None),
        optimistic: optimistic(from) || optimistic(to),
    }
}

/// How a number differs by what is read alone.
pub(super) fn judged_as_read(difference: &Difference, id: &MeasureId) -> Change {
    let mut change = unjudged(difference, id);
    judge_numbers(difference, id, None, &mut change);
    change
}

/// Whether a measure can stand otherwise than before, and not only be read better: what can move; and on a sheet, which
/// shows a bike in the hand, the figure of a part that somebody may have swapped.
pub(super) fn can_differ(difference: &Difference, id: &MeasureId) -> bool {
    let measure = difference.from.catalogue().measure(id.row);
    measure.can_move() || difference.to.sheet().is_some() && measure.is_of_the_part()
}

fn judge_numbers(difference: &Difference, id: &MeasureId, common: Option<&CommonShift>, change: &mut Change) {
    let Some((mut delta, mut uncertainty)) = difference.level(id) else { return };
    let measure = difference.from.catalogue().measure(id.row);
    change.delta = Some(delta);
    change.uncertainty = Some(uncertainty);
    if let Some(left) = common.and_then(|common| common.left_over(id)) {
        (delta, uncertainty) = (left.delta, left.uncertainty);
        change.left_over = Some(left);
    }
    change.verdict = judge(delta, uncertainty);
    change.caution = measure.caution_at(Some(delta));
    // What only ever can be read again did not move, whatever its weight.
    let can_differ = can_differ(difference, id);
    if change.verdict == Verdict::Moved && !can_differ {
        change.verdict = Verdict::ReRead;
    }
    let size = size(difference, id, (delta, uncertainty));
    change.moved = Some(format!("{size} {}", measure.direction(delta)));
    let back = goal(difference, id).filter(|_| can_differ);
    change.put_back = back.map(|goal| format!("{size} {}, to {goal}", measure.direction(-delta)));
}

/// Judges the angle of a control on a bar that was rolled: what went along did not move there, and what was turned back
/// against the bar did, whatever it reads.
fn judge_on_bar(difference: &Difference, id: &MeasureId, change: &mut Change) {
    let Some(both) = on_bar::both_ways(difference, id, change.left_over) else { return };
    let measure = difference.from.catalogue().measure(id.row);
    let goal = goal(difference, id);
    change.on_bar = Some(both.on_bar);
    change.delta = Some(both.as_read.delta);
    change.uncertainty = Some(both.as_read.uncertainty);
    // A mark tells where the control stands on the bar; a gauge would read the roll along with it.
    if let Some(Held::Number(now)) = change.now.as_mut().filter(|_| change.from_mark) {
        *now += both.as_read.delta - both.on_bar.delta;
    }
    let said = |of: LeftOver| {
        format!("{} {}", size(difference, id, (of.delta, of.uncertainty)), measure.direction(of.delta))
    };
    if both.moved_on_bar() {
        change.verdict = Verdict::Moved;
        let on_bar = format!("{} on the bar", said(both.on_bar));
        // Of a control that its mark tells, nobody read the sum of both.
        let is_read = both.reads_moved() && !change.from_mark;
        change.moved = Some(if is_read { format!("{} ({on_bar})", said(both.as_read)) } else { on_bar });
        let back = LeftOver { delta: -both.on_bar.delta, ..both.on_bar };
        change.put_back =
            goal.map(|goal| format!("{} on the bar, to {goal} once the bar is rolled back", said(back)));
    } else if both.went_along() {
        change.verdict = Verdict::Moved;
        change.carried = Some(Carrier::Bar);
        change.moved = Some(said(both.as_read));
        change.put_back =
            goal.map(|goal| format!("nothing of its own: the bar's roll back brings it to {goal}"));
    }
}

/// How far, with its unit: the difference is known no finer than both readings together.
pub(super) fn size(difference: &Difference, id: &MeasureId, (delta, uncertainty): (f64, f64)) -> String {
    let measure = difference.from.catalogue().measure(id.row);
    let single = measure.unit() == Unit::Click && (delta.abs() - 1.0).abs() < crate::metrology::NEGLIGIBLE;
    let sign = if single { " click" } else { measure.unit().sign() };
    let places = show::places_within(uncertainty, decimals(difference, id));
    format!("{}{sign}", show::plain(delta.abs(), places))
}

/// The value to come back to: as it was read, or on level ground where a floor was recorded.
pub(super) fn goal(difference: &Difference, id: &MeasureId) -> Option<String> {
    let places = decimals(difference, id);
    let measure = difference.from.catalogue().measure(id.row);
    let levelled = measure.gravity != Gravity::None && difference.from.floor().is_some();
    let value = if levelled { difference.from.level_value(id)? } else { difference.from.value(id)? };
    let ground = if levelled { " on level ground" } else { "" };
    Some(format!("{}{}{ground}", show::plain(value, places), measure.unit().sign()))
}

/// The places that both readings were read to; at least those of the coarser default unit.
fn decimals(difference: &Difference, id: &MeasureId) -> usize {
    let places = |state: &State| {
        let reading = state.number(id)?;
        Some(if reading.unit() == reading.default_unit() { reading.decimals() } else { 1 })
    };
    let finest = places(&difference.from).max(places(&difference.to)).unwrap_or(1);
    let count = difference.from.catalogue().measure(id.row).unit() == Unit::Click;
    if count { 0 } else { finest.clamp(1, 3) }
}

/// Both sides rest on the very same reading, choice or word.
fn written_alike(difference: &Difference, id: &MeasureId) -> bool {
    let (from, to) = (&difference.from, &difference.to);
    if to.layer(id) == Layer::Turn || from.layer(id) == Layer::Turn {
        return false;
    }
    let (Some(was), Some(now)) = (from.held(id), to.held(id)) else { return false };
    let by_gravity =
        matches!(was, Value::Reading(_)) && from.catalogue().measure(id.row).gravity != Gravity::None;
    was.is_written_like(now) && (!by_gravity || same_ground(difference, id))
}

/// Whether an angle with the same written number stands at the same angle to the bike, as far as anybody knows. A
/// floor that only one of two setups records may have been noted later for the same reading: it moves nothing.
fn same_ground(difference: &Difference, id: &MeasureId) -> bool {
    match (difference.from.floor(), difference.to.floor()) {
        (Some(was), Some(now)) => was.is_same_reading(now),
        (None, None) => true,
        _ => difference.from.layer(id) == difference.to.layer(id),
    }
}

fn held(state: &State, id: &MeasureId) -> Option<Held> {
    match state.held(id) {
        Some(Value::Choice(word)) => Some(Held::Word(word)),
        Some(Value::Unmeasured) => Some(Held::Word("unmeasured")),
        Some(Value::Reading(_)) => state.value(id).map(Held::Number),
        None if state.layer(id) == Layer::Turn => state.value(id).map(Held::Number),
        None => None,
    }
}

fn written(state: &State, id: &MeasureId) -> Option<String> {
    match state.held(id) {
        _ if state.layer(id) == Layer::Turn && state.catalogue().measure(id.row).goes_along() => {
            Some(GONE_ALONG.to_owned())
        }
        _ if state.layer(id) == Layer::Turn => Some("by its mark".to_owned()),
        Some(Value::Reading(reading)) => Some(typed(reading)),
        Some(Value::Choice(word)) => Some((*word).to_owned()),
        Some(Value::Unmeasured) => Some("unmeasured".to_owned()),
        None => None,
    }
}

/// A reading as typed, with its unit; of repeats the mean, to the places they were read to.
pub fn typed(reading: &Reading) -> String {
    reading.in_words()
}
