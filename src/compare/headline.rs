//! One line that a tired person can act on.

use std::collections::BTreeSet;

use crate::catalogue::table::{BAR_OFFSET, BAR_ROLL, RIDER_FRONT_BRAKE};
use crate::catalogue::{MeasureId, Side, Weight, joint};
use crate::geometry::state::{Layer, State};
use crate::metrology::show::with_uncertainty;
use crate::metrology::verdict::Verdict;

use super::{
    Carrier, Change, Comparison, Contradiction, DamageFound, Fate, MarkChange, Narrower, NotLookedAt,
    RecordUndecided, SpacersShift, Tightness, TorqueFound, UnknownRoll,
};
use super::{as_either, as_written};

/// What moved on steering and brakes, the front brake named as such, and what marks and damage say; none if nothing did.
pub fn dangerous_moves(comparison: &Comparison, state: &State) -> Option<String> {
    let mut said: Vec<String> = Vec::new();
    for damage in comparison.damages.iter().map(damaged) {
        // Two of one part are told as one.
        if !said.contains(&damage) {
            said.push(damage);
        }
    }
    let contradictions = comparison.contradictions.iter();
    let dangerous = contradictions.filter(|one| one.weight == Weight::SteeringAndBrakes);
    said.extend(dangerous.map(Contradiction::in_short));
    said.extend(comparison.narrower.as_ref().and_then(cut_or_another));
    said.extend(dangerous_moves_but_damage(comparison, state));
    (!said.is_empty()).then(|| said.join("; "))
}

/// What a sheet reads moved on steering and brakes and how joints were tightened on it that is dangerous, each with the
/// written path of the measure or the torque.
pub fn each_dangerous(comparison: &Comparison, state: &State) -> Vec<(String, String)> {
    let moved = comparison.dangerous();
    let moved = moved.map(|change| (change.measure.clone(), say(change, comparison, state)));
    let tight = comparison
        .badly_tightened()
        .filter_map(|found| Some((format!("torque.{}", found.joint), too_tight_or_loose(found, state)?)));
    moved.chain(tight).collect()
}

/// A measure in conflict: "stem twist not decided, ours 0, theirs 3".
fn not_decided(change: &Change, state: &State) -> String {
    let versions = change.undecided.as_deref().unwrap_or_default();
    let title = brake_named(&change.title, state);
    match &change.now_written {
        Some(found) => format!("{title} found {found}, recorded is not decided, {versions}"),
        None => format!("{title} not decided, {versions}"),
    }
}

/// A mark or a torque in conflict: "mark L1 across rear brake lever (left) not decided, ours broken, theirs aligned".
fn record_not_decided(record: &RecordUndecided, state: &State) -> String {
    let title = record.title.as_deref().map(|title| brake_named(title, state));
    format!("{} not decided, {}", record.named(title.as_deref()), record.versions)
}

/// A narrower bar of which nobody says what it is.
fn cut_or_another(narrower: &Narrower) -> Option<String> {
    (!narrower.is_cut).then(|| narrower.in_short())
}

/// The same without damage, contradictions and a narrower bar, for those who tell of them in their own words.
pub fn dangerous_moves_but_damage(comparison: &Comparison, state: &State) -> Option<String> {
    let said = moves(comparison, state);
    (!said.is_empty()).then(|| said.join("; "))
}

/// What is dangerous between two versions of a setup, each with what it is about; what is not decided is left to its conflict.
pub fn each_said(from: State, to: State) -> Vec<(String, String)> {
    let comparison = as_written(from, to).without_undecided();
    let damages = comparison.damages.iter().map(|damage| (format!("damage.{}", damage.on), damaged(damage)));
    let mut said: Vec<(String, String)> = damages.collect();
    let narrower = comparison.narrower.as_ref().and_then(cut_or_another);
    said.extend(narrower.map(|words| ("bar.width".to_owned(), words)));
    said.extend(each_dangerous(&comparison, &to));
    let past = comparison.spacers.as_ref().and_then(past_the_steerer);
    said.extend(past.map(|words| ("steerer".to_owned(), words)));
    said
}

fn moves(comparison: &Comparison, state: &State) -> Vec<String> {
    let mut said = Vec::new();
    said.extend(comparison.dangerous().map(|change| say(change, comparison, state)));
    let open = comparison.undecided().filter(|change| change.weight == Weight::SteeringAndBrakes);
    said.extend(open.map(|change| not_decided(change, state)));
    let records = comparison.not_decided.iter().filter(|record| record.weight == Weight::SteeringAndBrakes);
    said.extend(records.map(|record| record_not_decided(record, state)));
    said.extend(as_either::dangerous(comparison, state));
    said.extend(comparison.badly_tightened().filter_map(|found| too_tight_or_loose(found, state)));
    // A joint whose move was measured is not named again for its mark.
    let measured = |joint: &Option<String>| comparison.dangerous().any(|change| change.joint == *joint);
    let by_mark = comparison.dangerous_marks().filter(|mark| !measured(&mark.joint));
    said.extend(by_mark.map(|mark| by_its_mark(mark, state)));
    // Nor one whose mark is said to have moved.
    let by_mark = |joint: &str| comparison.dangerous_marks().any(|mark| mark.joint.as_deref() == Some(joint));
    let is_new = |found: &&TorqueFound| !measured(&Some(found.joint.clone())) && !by_mark(&found.joint);
    let open = comparison.left_open().filter(is_new).map(|found| brake_named(&found.title, state));
    let open: Vec<String> = open.collect();
    if !open.is_empty() {
        said.push(format!("opened, torque unknown: {}", open.join(", ")));
    }
    said.extend(comparison.may_not_clamp());
    said.extend(opened_and_not_read(comparison, state));
    said.extend(roll_not_known(comparison, state));
    let unjudged: Vec<String> = comparison.unjudged().map(|found| brake_named(&found.title, state)).collect();
    if !unjudged.is_empty() {
        said.push(format!(
            "tightened for another part, its maker's figure not known: {}",
            unjudged.join(", ")
        ));
    }
    let in_doubt = comparison.marks.iter().filter(|mark| mark.fate == Fate::OldOrNew);
    let in_doubt = in_doubt.filter(|mark| mark.weight == Weight::SteeringAndBrakes);
    said.extend(in_doubt.map(|mark| old_or_new(mark, state)));
    said.extend(comparison.spacers.as_ref().and_then(past_the_steerer));
    // Of a bike as it was found that alone is enough; of what was written as meant it is no more than beside the rest.
    if !said.is_empty() || state.sheet().is_some() {
        said.extend(along_with_the_bar(comparison, state));
    }
    said
}

/// What differs on steering and brakes between two setups; none if nothing does.
pub fn dangerous_differences(
    comparison: &Comparison,
    from: (&State, &str),
    to: (&State, &str),
) -> Option<String> {
    let front = MeasureId::bike(RIDER_FRONT_BRAKE);
    let hand = |state: &State| state.choice(&front);
    // Which brake is the front one can be told only where both agree.
    let named = |title: &str| {
        if hand(from.0) == hand(to.0) { brake_named(title, to.0) } else { title.to_owned() }
    };
    let said = comparison.dangerous().map(|change| match (&change.moved, change.delta) {
        _ if change.id == front => {
            let at =
                |(state, name): (&State, &str)| format!("{} on {name}", hand(state).unwrap_or("unknown"));
            format!("hand on the front brake {}, {}", at(from), at(to))
        }
        (Some(moved), Some(_)) => format!("{} {moved}", named(&change.title)),
        _ => {
            let word = |written: &Option<String>| written.clone().unwrap_or_else(|| "unknown".to_owned());
            let (was, now) = (word(&change.was_written), word(&change.now_written));
            format!("{} {now}, not {was}", named(&change.title))
        }
    });
    let said: Vec<String> = said.collect();
    (!said.is_empty()).then(|| said.join("; "))
}

/// What turned along with the bar on steering and brakes: nothing to loosen there, but the hands find it elsewhere, however
/// tight the bar is again.
pub fn along_with_the_bar(comparison: &Comparison, state: &State) -> Vec<String> {
    let moved = |change: &&Change| change.verdict == Verdict::Moved;
    let mut all = comparison.changes.iter().filter(moved);
    if !all.any(|change| change.id == MeasureId::bike(BAR_ROLL)) {
        return Vec::new();
    }
    let along =
        comparison.changes.iter().filter(moved).filter(|change| {
            change.carried == Some(Carrier::Bar) && change.weight == Weight::SteeringAndBrakes
        });
    let along: Vec<String> = along.map(|change| brake_named(&change.title, state)).collect();
    let unread = comparison
        .not_looked_at
        .iter()
        .filter(|one| joint::is_control_angle(one.id.row) && one.weight == Weight::SteeringAndBrakes);
    let unread: Vec<String> = unread.map(|one| brake_named(&one.title, state)).collect();
    let said = |words: &str, titles: Vec<String>| {
        (!titles.is_empty()).then(|| format!("{words}: {}", titles.join(", ")))
    };
    let along = said("turned along with the bar", along);
    let unread = said("turned along with the bar unless turned since, nobody looked", unread);
    along.into_iter().chain(unread).collect()
}

/// The joints of steering and brakes that the sheet tells were opened and tightened again, or whose line is gone, and nobody
/// read what stands in them: "bar in stem opened, and not read since: bar roll".
pub fn opened_and_not_read(comparison: &Comparison, state: &State) -> Vec<String> {
    let is_tight = |joint: &str| !comparison.left_open().any(|found| found.joint == joint);
    // Spacers are swapped on no stem that stays on.
    let came_apart = comparison.changes.iter().filter(|change| {
        // A bar that was shifted in its stem turned freely.
        let lets_go = state.catalogue().measure(change.id.row).comes_apart() || change.id.row == BAR_OFFSET;
        change.verdict == Verdict::Moved && lets_go
    });
    let came_apart = came_apart.filter_map(|change| change.joint.as_ref());
    // What came off with a part that is another now is no more in its place.
    let by_part = comparison.replaced.iter().flat_map(|replaced| &replaced.joints);
    // Whoever drew over or wiped off a line may have opened the joint.
    let gone = comparison.marks.iter().filter(|mark| mark.fate == Fate::Missing);
    let gone = gone.filter_map(|mark| mark.joint.as_ref());
    let all: BTreeSet<&String> =
        comparison.opened.iter().chain(came_apart).chain(by_part).chain(gone).collect();
    let opened = all.into_iter().filter(|name| joint::weight(name) == Weight::SteeringAndBrakes);
    let words = opened.filter(|name| is_tight(name)).filter_map(|name| {
        let slips = |one: &&NotLookedAt| {
            one.joint.as_ref() == Some(name) && state.setup().can_slip(state.catalogue(), &one.id)
        };
        let unread = comparison.not_looked_at.iter().filter(slips).map(|one| one.title.clone());
        let unread: Vec<String> = unread.chain(on_unread_ground(name, state)).collect();
        let title = brake_named(&joint::title(name), state);
        (!unread.is_empty()).then(|| format!("{title} opened, and not read since: {}", unread.join(", ")))
    });
    words.collect()
}

/// What a joint holds that the sheet reads against gravity, and not the ground: "right brake lever angle (floor not read)".
fn on_unread_ground(joint: &str, state: &State) -> Vec<String> {
    let read = state.sheet().into_iter().flat_map(|sheet| sheet.readings.keys());
    let held = read.filter(|id| {
        state.is_on_unread_ground(id) && state.setup().joint_of(state.catalogue(), id) == Some(joint)
    });
    held.map(|id| format!("{} (floor not read)", state.catalogue().title(id))).collect()
}

/// What on steering and brakes only a line tells to have moved at its own joint: nobody read it, and nobody set it so.
pub fn worked_out_moved(comparison: &Comparison, state: &State) -> Vec<String> {
    let told = comparison.dangerous().filter(|change| state.layer(&change.id) == Layer::Turn);
    told.map(|change| say(change, comparison, state)).collect()
}

/// The brake levers whose angle tells nothing, because the bar's roll is open and was not read.
pub fn roll_not_known(comparison: &Comparison, state: &State) -> Option<String> {
    let titles = comparison.unknown_roll.iter().flat_map(UnknownRoll::dangerous);
    let titles: Vec<String> = titles.map(|title| brake_named(title, state)).collect();
    (!titles.is_empty()).then(|| format!("bar roll not read, and so not known: {}", titles.join(", ")))
}

fn by_its_mark(mark: &MarkChange, state: &State) -> String {
    let joint = mark.title.as_deref().unwrap_or("bike");
    let says = if mark.fate == Fate::Broken { "is broken" } else { "stands apart" };
    format!("mark {} on the {} {says}", mark.mark, brake_named(joint, state))
}

/// A slack joint is dangerous where it holds the steering, a brake or a hand; one drawn too tight may have hurt its
/// parts, whatever it holds.
fn too_tight_or_loose(found: &TorqueFound, state: &State) -> Option<String> {
    let said = format!("{} {}", brake_named(&found.title, state), found.words);
    match (found.state, found.weight) {
        (Tightness::Below, Weight::SteeringAndBrakes) => Some(format!("{said}{}", found.if_slack())),
        (_, Weight::SteeringAndBrakes) => Some(said),
        (Tightness::Above, _) => Some(format!("{said} (look its parts over for damage)")),
        _ => None,
    }
}

/// The sheet and the file cannot both be right about the days, or the sheet tells of a line that is no more; of one day
/// nobody can tell which it was.
fn old_or_new(mark: &MarkChange, state: &State) -> String {
    let joint = brake_named(mark.title.as_deref().unwrap_or("bike"), state);
    if mark.same_day {
        return format!(
            "mark {} on the {joint} was not found in line on the day on which it was drawn anew: look whether it is the new \
             line that fails",
            mark.mark
        );
    }
    format!(
        "the sheet that did not find mark {} on the {joint} in line is older than the line: look whether it is the new \
         one that fails",
        mark.mark
    )
}

/// A stem that clamps where no steerer is.
fn past_the_steerer(spacers: &SpacersShift) -> Option<String> {
    let (value, expanded) = with_uncertainty(spacers.past_the_steerer?, spacers.uncertainty, 1);
    Some(format!(
        "the stem's clamp ends {value} ± {expanded} mm above where everything on the steerer ended, and no steerer \
         grows: part of the clamp may hold nothing"
    ))
}

/// A part that is seen to be damaged; at a joint what was seen, for it may be loose and whole.
fn damaged(damage: &DamageFound) -> String {
    let title = joint::title(&damage.on);
    match joint::find(&damage.on) {
        Some(_) => format!("{title}: {}", damage.text.trim_end_matches('.')),
        None => format!("{title} damaged"),
    }
}

fn say(change: &Change, comparison: &Comparison, state: &State) -> String {
    let front = MeasureId::bike(RIDER_FRONT_BRAKE);
    if change.id == front {
        let hand = state.choice(&front).unwrap_or("other");
        return format!("the front brake is on the {hand} hand now");
    }
    let title = brake_named(&change.title, state);
    match &change.moved {
        Some(moved) if change.delta.is_some() => {
            let broken = |mark: &MarkChange| mark.fate == Fate::Broken && mark.joint == change.joint;
            let mark = if comparison.marks.iter().any(broken) { " and its mark is broken" } else { "" };
            format!("{title} moved {moved}{mark}")
        }
        Some(moved) => format!("{title} is {moved}"),
        None => format!("{title} changed"),
    }
}

/// "left brake lever angle" → "front brake lever angle", where it is known which hand pulls the front brake.
fn brake_named(title: &str, state: &State) -> String {
    let front = state.choice(&MeasureId::bike(RIDER_FRONT_BRAKE)).and_then(Side::parse);
    let Some(front) = front else { return title.to_owned() };
    for side in Side::BOTH {
        if let Some(rest) = title.strip_prefix(side.word()).filter(|rest| rest.contains("brake")) {
            let wheel = if side == front { "front" } else { "rear" };
            return format!("{wheel}{rest} ({side})");
        }
    }
    title.to_owned()
}
