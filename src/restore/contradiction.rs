//! A mark and a reading of one sheet that cannot both be true: the line meets, and yet the part is read elsewhere. Or
//! two marks of one joint that tell different turns.
//!
//! Which of the two is false nobody can tell from the sheet; it is said, and both are to be looked at again.

use std::collections::{BTreeMap, BTreeSet};

use crate::catalogue::joint;
use crate::catalogue::table::{BAR_ROLL, BAR_WIDTH, FLOOR};
use crate::catalogue::{Catalogue, Gravity, MeasureId};
use crate::compare::{self, Contradiction};
use crate::geometry::state::State;
use crate::metrology::reading::Reading;
use crate::metrology::show;
use crate::metrology::verdict::{Verdict, judge};
use crate::setup::model::{Mark, MarkState, Setup};

use super::evidence::{Clash, lines_up_undrawn, loose_half, weigh};
use super::moves::Way;

/// The marks of a sheet, as it is telling, that its own readings belie, dangerous joints first.
pub fn contradictions(catalogue: &Catalogue, setup: &Setup, sheet: &Setup) -> Vec<Contradiction> {
    let recorded = State::recorded(catalogue, setup);
    let evidence = weigh(catalogue, setup, sheet);
    let found = recorded.found(sheet, Some(&evidence.turns));
    let way = Way { recorded, found: Some(found), comparison: Some(compare::as_written(recorded, found)) };
    let mut all: Vec<Contradiction> =
        sheet.marks.iter().flat_map(|mark| of_mark(catalogue, setup, sheet, mark, &way)).collect();
    all.extend(evidence.clashes.iter().filter_map(|clash| of_two(catalogue, setup, clash)));
    all.extend(lines_up_undrawn(catalogue, setup, sheet));
    all.sort_by_key(|one| one.weight);
    all
}

fn of_mark(
    catalogue: &Catalogue,
    setup: &Setup,
    sheet: &Setup,
    mark: &Mark,
    way: &Way,
) -> Vec<Contradiction> {
    // A line of a part that is gone can contradict nothing.
    let replaced = way.comparison.as_ref().and_then(|comparison| comparison.replaced.as_ref());
    if replaced.is_some_and(|replaced| replaced.marks.contains(&mark.name.value)) {
        return Vec::new();
    }
    // Nor one whose other half turned freely.
    let recorded = setup.mark(&mark.name.value);
    if recorded.is_some_and(|known| loose_half(&way.recorded, known, sheet).is_some()) {
        return Vec::new();
    }
    // What the mark alone says, before a reading wins over it.
    let alone =
        Setup { readings: BTreeMap::new(), marks: [mark.clone()].into_iter().collect(), ..sheet.clone() };
    let said = weigh(catalogue, setup, &alone);
    let Some(joint) = said.marks.iter().find(|report| report.name == mark.name.value) else {
        return Vec::new();
    };
    let Some(joint) = joint.joint.clone() else { return Vec::new() };
    let weight = joint::weight(&joint);
    // What sits in a slot of the clamp turns by itself, too.
    let is_in_a_slot = |id: &MeasureId| {
        setup.shared_controls().any(|(side, control)| MeasureId::of(control.angle, side) == *id)
    };
    // What was read on a later day than the line was seen may have moved in between.
    let is_read_since = |id: &MeasureId| {
        sheet.reading(id).is_some() && sheet.day_of(sheet.reading(id)) > sheet.day_seen(&mark.name.value)
    };
    let told = said.turns.iter().filter(|(id, _)| !is_in_a_slot(id) && !is_read_since(id));
    let belied = told.filter(|(id, turn)| {
        let apart = way.apart(id).filter(|_| sheet.reading(id).is_some());
        apart.is_some_and(|(moved, uncertainty)| {
            let together = uncertainty.hypot(turn.expanded_uncertainty());
            judge(moved - turn.value(), together) == Verdict::Moved
        })
    });
    belied
        .map(|(id, _)| Contradiction {
            mark: mark.name.value.clone(),
            other_mark: None,
            joint: joint.clone(),
            weight,
            measure: catalogue.path(id),
            title: catalogue.title(id),
            words: words(catalogue, sheet, mark, id, way),
        })
        .collect()
}

fn words(catalogue: &Catalogue, sheet: &Setup, mark: &Mark, id: &MeasureId, way: &Way) -> String {
    let stands = match mark.state.as_ref().map(|state| state.value) {
        Some(MarkState::Off(apart)) => {
            format!("stands {} mm apart", show::brief(apart.abs()))
        }
        _ => "lines up".to_owned(),
    };
    let reads = match way.moved_words(id) {
        Some(moved) if way.has_moved(id) => format!("reads {moved}"),
        _ => "reads as recorded".to_owned(),
    };
    let unless = match way_out(catalogue, sheet, id, way) {
        Some(way_out) => format!("unless {way_out}, one of the two is false"),
        None => "one of the two is false".to_owned(),
    };
    format!("Mark {} {stands}, yet {} {reads}: {unless}", mark.name.value, catalogue.title(id))
}

/// Two lines of one joint, each in its own words: "mark L1 tells that ... moved 15.5° tip down".
fn of_two(catalogue: &Catalogue, setup: &Setup, clash: &Clash) -> Option<Contradiction> {
    let [(one, told), (other, otherwise)] = &clash.lines;
    let mark = setup.mark(one)?;
    let joint = mark.on.as_ref()?.value.clone();
    let title = catalogue.title(&clash.id);
    let moved = |turn: &Reading| {
        let measure = catalogue.measure(clash.id.row);
        let far = show::plain(turn.value().abs(), 1);
        let (sign, way) = (measure.unit().sign(), measure.direction(turn.value()));
        if far == "0.0" { "did not move".to_owned() } else { format!("moved {far}{sign} {way}") }
    };
    let words = format!(
        "Mark {one} tells that the {title} {}, yet mark {other} that it {}: one of the two is false",
        moved(told),
        moved(otherwise)
    );
    Some(Contradiction {
        mark: one.clone(),
        other_mark: Some(other.clone()),
        weight: joint::weight(&joint),
        joint,
        measure: catalogue.path(&clash.id),
        title,
        words,
    })
}

/// What would let both be true, where nobody looked at it: an angle against gravity turns with the bar and the ground,
/// a line across the lever's clamp does not; a place is counted from the end of the bar, and a line stays where it is.
fn way_out(catalogue: &Catalogue, sheet: &Setup, id: &MeasureId, way: &Way) -> Option<&'static str> {
    if joint::is_control_angle(id.row) && way.is_unknown(&MeasureId::bike(BAR_ROLL)) {
        return Some("the bar rolled");
    }
    let is_nearer = || way.apart(id).is_some_and(|(moved, _)| moved < 0.0);
    if compare::is_along_the_bar(id.row) && is_nearer() && way.is_unknown(&MeasureId::bike(BAR_WIDTH)) {
        return Some("the bar was cut");
    }
    let against_gravity = catalogue.measure(id.row).gravity != Gravity::None;
    (against_gravity && sheet.reading(&MeasureId::bike(FLOOR)).is_none()).then_some("the ground slopes")
}

/// The joints at which nothing can be set or written, because one of two things the sheet says of them is false: those that
/// are belied themselves; and where that leaves open how the bar stands or what stands on it, every joint of both, for
/// an angle against gravity means nothing without the bar's roll.
pub fn unsettled(catalogue: &Catalogue, before: &Setup, belied: &[String], is_rolled: bool) -> Vec<String> {
    let bar = before.joint_of(catalogue, &MeasureId::bike(BAR_ROLL)).unwrap_or_default().to_owned();
    let mut controls: Vec<String> = Vec::new();
    for (side, control) in before.controls() {
        let joint = before.joint_of(catalogue, &MeasureId::of(control.angle, side));
        controls.extend(joint.map(str::to_owned));
    }
    let mut held = belied.to_vec();
    let is_open = belied.contains(&bar) || is_rolled && belied.iter().any(|joint| controls.contains(joint));
    if is_open {
        held.push(bar);
        held.append(&mut controls);
    }
    let mut seen = BTreeSet::new();
    held.retain(|joint| seen.insert(joint.clone()));
    held
}
