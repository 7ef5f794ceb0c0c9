//! What nobody knows any more because its clamp was let go: its line was found broken, gone or apart from nobody knows
//! where, or the sheet tells or shows that it was open, and neither a reading nor another line tells how it stands.
//!
//! How tight the clamp is again says nothing of where it was tightened: as long as the recorded figures stood, every
//! later page would take them for true.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use crate::catalogue::table::{BAR_OFFSET, BAR_ROLL, STEM_TWIST};
use crate::catalogue::{MeasureId, joint};
use crate::check::opened;
use crate::compare::{self, Comparison};
use crate::geometry::state::{Layer, State};
use crate::setup::model::{MarkState, Opened, Setup};

use super::super::evidence::{self, Evidence, MarkReport, MarkVerdict};
use super::carried::Unknown;
use super::older;
use super::taken::lever_under;

/// What let a clamp go.
struct Cause {
    words: String,
    /// The day on which it was found so.
    day: Option<NaiveDate>,
    /// Whether the file tells already that this sheet found it so: what was read that day was read since.
    is_recorded: bool,
}

/// Each with what became of it, and when that was seen: "mark R1 was found broken".
pub(super) fn unknown(
    found: &State,
    (evidence, comparison): (&Evidence, &Comparison),
    is_held: impl Fn(&str) -> bool,
) -> Vec<Unknown> {
    let (Some(sheet), setup) = (found.sheet(), found.setup()) else { return Vec::new() };
    let mut unknown: BTreeMap<MeasureId, Cause> = BTreeMap::new();
    let slips = |id: &&MeasureId| {
        let goes_along = found.catalogue().measure(id.row).goes_along();
        setup.can_slip(found.catalogue(), id) && !goes_along && setup.reading(id).is_some()
    };
    let at = |joint: &str| -> Vec<&MeasureId> {
        let here = |id: &&MeasureId| setup.joint_of(found.catalogue(), id) == Some(joint);
        setup.readings.keys().filter(here).filter(slips).collect()
    };
    for report in evidence.marks.iter().filter(|report| report.tells_a_move()) {
        let Some(joint) = report.joint.as_deref().filter(|joint| !is_held(joint)) else { continue };
        // Halves that stand apart tell of a turn alone; and how far, where the line was drawn at one.
        let is_off = report.state == MarkVerdict::Off;
        let turned =
            |id: &&MeasureId| !is_off || is_turned_by(found, report, id) && !is_told_by(found, report);
        for id in at(joint).into_iter().filter(turned) {
            add(&mut unknown, id, by_its_mark(setup, sheet, report));
        }
    }
    for told in &sheet.opened {
        let joint = setup.clamp_of(&told.joint.value);
        for id in at(&joint).into_iter().filter(|_| !is_held(&joint)) {
            add(&mut unknown, id, as_told(setup, sheet, told, &joint));
        }
    }
    for (joint, words, day) in
        apart(found, sheet, comparison).into_iter().filter(|(joint, ..)| !is_held(joint))
    {
        for id in at(&joint) {
            add(&mut unknown, id, Cause { words: words.clone(), day, is_recorded: false });
        }
    }
    let is_told = |id: &MeasureId| found.layer(id) != Layer::Recorded || is_with_its_lever(found, id);
    unknown.retain(|id, cause| !is_told(id) && !is_known_since(found, id, cause));
    unknown.extend(on_the_bar(found, &unknown));
    unknown.into_iter().map(|(id, Cause { words, day, .. })| Unknown { id, because: words, day }).collect()
}

/// Of two causes the later one tells since when nobody knows it; of one day the first.
fn add(unknown: &mut BTreeMap<MeasureId, Cause>, id: &MeasureId, cause: Cause) {
    match unknown.get(id) {
        Some(known) if known.day >= cause.day => {}
        _ => drop(unknown.insert(id.clone(), cause)),
    }
}

/// The clamps that the sheet's own figures show to have been open, each with what shows it, and when that was read: another part
/// came into them, something they hold stands elsewhere, or was changed that cannot be before they are apart. Recorded,
/// those figures show it no more.
fn apart(found: &State, sheet: &Setup, comparison: &Comparison) -> Vec<(String, String, Option<NaiveDate>)> {
    let (catalogue, setup) = (found.catalogue(), found.setup());
    let recorded = State::recorded(catalogue, setup);
    let joint_of = |row| setup.joint_of(catalogue, &MeasureId::bike(row)).map(str::to_owned);
    let mut apart = Vec::new();
    if let Some(replaced) = compare::found_replaced(&recorded, sheet) {
        let ours = [BAR_ROLL, STEM_TWIST].into_iter().filter_map(joint_of);
        let ours = ours.filter(|joint| replaced.joints.contains(joint));
        let day = compare::replaced_on(sheet, &replaced.figures);
        apart.extend(ours.map(|joint| (joint, replaced.came_off(), day)));
    }
    let offset = MeasureId::bike(BAR_OFFSET);
    if compare::found_moved(&recorded, sheet, &offset) {
        let (words, day) = ("the bar was shifted in the stem", sheet.day_of(sheet.reading(&offset)));
        apart.extend(joint_of(BAR_OFFSET).map(|joint| (joint, words.to_owned(), day)));
    }
    let is_let_go = |id: &MeasureId| {
        let measure = catalogue.measure(id.row);
        let slips = setup.can_slip(catalogue, id) && !measure.goes_along();
        sheet.reading(id).is_some() && !comparison.is_first_read(id) && (slips || measure.comes_apart())
    };
    let moved = comparison.moved_at_their_joint().filter(|change| is_let_go(&change.id));
    apart.extend(moved.filter_map(|change| {
        let joint = change.joint.clone()?;
        Some((joint.clone(), was_opened(&joint), sheet.day_of(sheet.reading(&change.id))))
    }));
    apart
}

/// The angles of the controls on a bar that stands nobody knows how: they are read against gravity.
fn on_the_bar(found: &State, unknown: &BTreeMap<MeasureId, Cause>) -> Vec<(MeasureId, Cause)> {
    let Some(cause) = unknown.get(&MeasureId::bike(BAR_ROLL)) else { return Vec::new() };
    let angles = found.setup().readings.keys().filter(|id| joint::is_control_angle(id.row));
    let is_open = |id: &&MeasureId| {
        let is_recorded = found.layer(id) != Layer::Found && found.setup().reading(id).is_some();
        is_recorded
            && !is_with_its_lever(found, id)
            && !unknown.contains_key(*id)
            && !is_known_since(found, id, cause)
    };
    let cause = || Cause { words: cause.words.clone(), ..*cause };
    angles.filter(is_open).map(|id| (id.clone(), cause())).collect()
}

/// Whether a control stands where the lever does whose clamp it shares, and that one was looked at.
fn is_with_its_lever(found: &State, id: &MeasureId) -> bool {
    let lever = lever_under(found.setup(), id);
    lever.is_some_and(|lever| found.layer(&lever) != Layer::Recorded)
}

/// Whether a line that stands apart shows the turn of this measure, or of what sits on the same clamp.
fn is_turned_by(found: &State, report: &MarkReport, id: &MeasureId) -> bool {
    let is_its_own = report.measure.as_deref() == Some(&*found.catalogue().path(id));
    is_its_own || report.joint.is_some() && joint::is_control_angle(id.row)
}

/// Whether the file says from where the line turned: then it tells how its part stands, on the bar at least.
fn is_told_by(found: &State, report: &MarkReport) -> bool {
    let is_its_turn = |id: &MeasureId| report.measure.as_deref() == Some(&*found.catalogue().path(id));
    let mark = found.setup().mark(&report.name);
    mark.is_some_and(|mark| mark.drawn.iter().any(|(drawn, _)| is_its_turn(drawn)))
}

fn by_its_mark(setup: &Setup, sheet: &Setup, report: &MarkReport) -> Cause {
    let name = &report.name;
    let words = match report.state {
        MarkVerdict::Broken => format!("mark {name} was found broken"),
        MarkVerdict::Missing => format!("mark {name} was found gone"),
        _ => format!("mark {name} was found apart"),
    };
    let seen: Option<MarkState> = sheet.seen(name);
    let is_recorded =
        seen.zip(setup.mark(name)).is_some_and(|(seen, mark)| evidence::is_noted(setup, mark, sheet, seen));
    Cause { words, day: sheet.day_seen(name), is_recorded }
}

/// Whether the file has what this sheet told of a line of the joint, and so was written from it.
fn is_recorded_by_its_line(setup: &Setup, sheet: &Setup, joint: &str) -> bool {
    setup
        .marks
        .iter()
        .filter(|mark| mark.on.as_ref().is_some_and(|on| setup.clamp_of(&on.value) == joint))
        .any(|mark| {
            let seen = sheet.seen(&mark.name.value).filter(|seen| matches!(seen, MarkState::Off(_)));
            seen.is_some_and(|seen| evidence::is_noted(setup, mark, sheet, seen))
        })
}

fn as_told(setup: &Setup, sheet: &Setup, told: &Opened, joint: &str) -> Cause {
    let day = told.read.or_else(|| sheet.day());
    let mut found = opened::noted(setup).filter(|noted| !noted.is_planned);
    let is_noted = found.any(|noted| noted.joint == joint && noted.day == day);
    let is_recorded = is_noted || is_recorded_by_its_line(setup, sheet, joint);
    Cause { words: was_opened(joint), day, is_recorded }
}

/// What became of what a joint holds that was opened, as its note has it.
fn was_opened(joint: &str) -> String {
    format!("the {} was opened", joint::title(joint))
}

/// Whether the file's figure is from after the clamp was let go: read or drawn on a later day, or on that very day by
/// another sheet than the one that told of the clamp.
fn is_known_since(found: &State, id: &MeasureId, cause: &Cause) -> bool {
    let let_go = cause.day;
    let known = older::known_on(found.setup(), id);
    known.zip(let_go).is_some_and(|(known, let_go)| known > let_go || known == let_go && cause.is_recorded)
}
