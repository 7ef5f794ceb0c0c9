//! Folding the readings of an as-found sheet into the setup's text.
//!
//! What moved, and what was not recorded before, is written; a reading that differs only within reading leaves the
//! old one where it is. Each written reading carries the sheet's day, so that old readings stay old. An angle against
//! gravity that was read on other ground is written as it would read on the setup's own floor (on level ground if the
//! setup has none), and its tolerance takes in that of the sheet's floor.

mod beside;
mod carried;
mod folding;
mod freed;
mod headline;
mod known_again;
mod let_go;
mod not_drawn;
mod older;
mod planned;
mod preload;
mod redraw;
mod taken;
mod unread_ground;
mod unridable;
mod written;

use std::collections::BTreeSet;

use chrono::NaiveDate;
use serde::Serialize;

use crate::catalogue::table::{BAR_CLAMP_DIAMETER, BAR_SUPPLIED_WIDTH, BAR_WIDTH, FLOOR, STEM_TWIST};
use crate::catalogue::{Catalogue, MeasureId, code, joint};
use crate::check::dates::SheetDay;
use crate::check::{self, forgotten};
use crate::compare::{
    self, Carrier, Change, CommonShift, Comparison, Contradiction, Narrower, Replaced, Tightness, UnknownRoll,
};
use crate::geometry::state::State;
use crate::metrology::verdict::Verdict;
use crate::setup::checked::Report;
use crate::setup::edit::{Edit, EditError};
use crate::setup::model::{Mark, Setup, Value};

use super::contradiction::unsettled;
use super::evidence::{self, Evidence, MarkVerdict};
use super::keep::{self, DamageKept, MarkLost, NoteKept, TorqueKept};
use super::moves::Way;
pub use beside::Remark;
pub use carried::{LineCarried, NoLongerKnown};
pub use freed::Freed;
use headline::headline;
pub use known_again::KnownAgain;
pub use not_drawn::NotDrawn;
pub use older::Older;
pub use planned::PlannedRead;
pub use preload::Preload;
pub use redraw::LeftOut;
use redraw::{Redraw, Redrawn};
use taken::Taken;
pub use unread_ground::OnUnreadGround;
pub use unridable::Unridable;
pub use written::Written;
use written::held_words;

/// A joint at which nothing was written.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct HeldBack {
    /// Its name.
    pub joint: String,
    /// In plain words.
    pub title: String,
    /// Whether the sheet contradicts itself at this very joint, and not at another that this one depends on.
    pub belied: bool,
}

/// What was recorded.
#[derive(Clone, Debug, PartialEq, Serialize, Default)]
#[serde(rename_all = "kebab-case")]
pub struct Recording {
    /// clampmark.record/1
    pub schema: &'static str,
    /// The setup's name.
    pub setup: String,
    /// One line to act on, if the bike is not to be ridden.
    pub headline: Option<String>,
    /// Whether the sheet reads nothing.
    pub blank: bool,
    /// Marks that say another thing than the readings beside them.
    pub contradictions: Vec<Contradiction>,
    /// The joints at which nothing was written, because one of two things the sheet says of them is false.
    pub held_back: Vec<HeldBack>,
    /// What is wrong with the day of the sheet, if anything is and something was written.
    pub sheet_day: Option<SheetDay>,
    /// What was not written because the file's reading is of a later day.
    pub older: Vec<Older>,
    /// The readings by which nobody is to ride, and which the file did not have before: not written unless asked for.
    pub unridable: Vec<Unridable>,
    /// What `check` says of a stem that was written out of square to the wheel, though it keeps nobody from riding.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub not_square: Option<String>,
    /// A bar that the sheet finds narrower: recorded as cut, or not before the sheet says what it is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub narrower: Option<Narrower>,
    /// The parts that were recorded in place of others, if any.
    pub replaced: Option<Replaced>,
    /// What was recorded and nobody knows any more.
    pub no_longer_known: Vec<NoLongerKnown>,
    /// What nobody knew any more and was read again: where it stands as it did, the notes that said so were taken out.
    pub known_again: Vec<KnownAgain>,
    /// Whether the bike stands as recorded again, so that no reading was to be written.
    pub put_back: bool,
    /// A shift that all angles share: the ground's, or what nobody can tell from the bar's roll.
    pub common_shift: Option<CommonShift>,
    /// That the bar's roll is open, and the angles on it that were not written for that.
    pub unknown_roll: Option<UnknownRoll>,
    /// The angles against gravity that the sheet reads without the slope of the ground.
    pub floor_not_read: Vec<String>,
    /// Those of them that were not written for that.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub on_unread_ground: Vec<OnUnreadGround>,
    /// What was planned and is read now, and what is planned still; none if nothing planned was read.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub planned: Option<PlannedRead>,
    /// The comments that stand beside readings that were written over.
    pub remarks: Vec<Remark>,
    /// Why the bearing's preload is to be set again, if it is: the pile on the steerer is another, or the stem was off it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub preload: Option<Preload>,
    /// The damage that was found, and which notes keep it.
    pub damages: Vec<DamageKept>,
    /// The marks that were found broken or gone; those that nothing stands in for first.
    pub lost: Vec<MarkLost>,
    /// The lines that meet nothing any more, because the joint was apart: struck out.
    pub freed: Vec<Freed>,
    /// The marks without a line that were to be drawn anew and were not, and why.
    pub not_drawn: Vec<NotDrawn>,
    /// What is known of the torque of joints that were opened or tightened.
    pub tightened: Vec<TorqueKept>,
    /// The notes on the sheet, and which notes keep them.
    pub notes: Vec<NoteKept>,
    /// The notes that kept what the sheet answers: taken out.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub answered: Vec<String>,
    /// What was written.
    pub changes: Vec<Written>,
    /// The marks that were drawn anew.
    pub marks: Vec<String>,
    /// What those showed and show no more: the joint was opened, and nobody knows where it now stands there.
    pub left_out: Vec<LeftOut>,
    /// The lines that read otherwise only because the bar they are on was rolled: nobody drew them.
    pub lines_carried: Vec<LineCarried>,
    /// The marks that no longer agree with what is recorded.
    pub stale: Vec<String>,
    /// The git command that makes a revision of it.
    pub command: Option<String>,
    /// What kept the file out of the history, if a fault did: it is written, and not committed.
    pub stopped: Option<Report>,
    /// Why it was not committed though that was asked for, where no fault but the sheet is the reason.
    pub not_committed: Option<&'static str>,
    /// The revision, if it was committed.
    pub revision: Option<String>,
    /// The branch it was committed to.
    pub branch: Option<String>,
    /// What a commit of the file carries besides: what it had otherwise before than the last revision has it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub carried_too: Vec<String>,
    /// What the sheet tells to have been looked over and to be good: no reading, and written nowhere.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub good: Vec<String>,
}

impl Recording {
    /// Whether the file's text was to change.
    pub fn has_written(&self) -> bool {
        !self.changes.is_empty()
            || !self.no_longer_known.is_empty()
            || !self.marks.is_empty()
            || self.damages.iter().any(|damage| damage.written)
            || self.lost.iter().any(|mark| mark.written)
            || self.freed.iter().any(|line| line.written)
            || self.tightened.iter().any(|torque| torque.written || torque.note.is_some())
            || self.notes.iter().any(|note| note.written)
            || !self.answered.is_empty()
    }

    /// Whether somebody has to act: something is damaged, a broken mark stands for a joint nobody has set, a mark is
    /// to be drawn again, a torque is out of its range, or that of an opened joint is not known.
    pub fn is_to_act_on(&self) -> bool {
        let loose = |torque: &TorqueKept| {
            let state = torque.found.state;
            state.is_outside() || state == Tightness::Unknown
        };
        self.headline.is_some()
            || !self.damages.is_empty()
            || self.blank
            || !self.contradictions.is_empty()
            || !self.no_longer_known.is_empty()
            || self.known_again.iter().any(KnownAgain::is_elsewhere)
            || self.sheet_day.is_some()
            || !self.older.is_empty()
            || !self.unridable.is_empty()
            || self.not_square.is_some()
            || self.narrower.is_some()
            || self.replaced.is_some()
            || self.preload.is_some()
            || self.stopped.is_some()
            || self.common_shift.as_ref().is_some_and(|shift| !shift.is_the_ground || shift.is_steep)
            || self.unknown_roll.is_some()
            || !self.on_unread_ground.is_empty()
            || !self.left_out.is_empty()
            || !self.stale.is_empty()
            || !self.freed.is_empty()
            || !self.not_drawn.is_empty()
            || self.tightened.iter().any(loose)
            || self.lost.iter().any(MarkLost::is_open)
    }
}

/// How to record.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Options {
    /// Also what differs only within reading.
    pub all: bool,
    /// Draw the marks anew at what is now recorded.
    pub redraw: bool,
    /// The measures that are meant even where nobody is to ride so.
    pub even_so: Vec<MeasureId>,
    /// The sheet is of a bike that was put back: what it has as recorded nobody has read so.
    pub put_back: bool,
    /// What nobody has read since the bar it sits on was put back.
    pub unread: Vec<MeasureId>,
}

/// Folds a sheet into the text being edited.
///
/// # Errors
/// If a reading cannot be written as meant; the edit then holds what was written before it and is to be dropped.
pub fn fold(
    catalogue: &Catalogue,
    edit: &mut Edit,
    sheet: &Setup,
    options: &Options,
) -> Result<Recording, EditError> {
    let written_before = edit.setup().clone();
    // What is read again is held against what was known before, and not taken for good wherever it stands.
    let before = forgotten::remembered(catalogue, &written_before, sheet);
    let no_news = evidence::no_news(&before, sheet);
    let (as_written, whole) = (sheet, &*evidence::telling(catalogue, &before, sheet));
    let recorded = State::recorded(catalogue, &before);
    let sheet = &*unread_ground::on_known_ground(&recorded, whole);
    let readings = readings(&recorded, edit, (whole, sheet), options)?;
    let Readings {
        evidence,
        comparison,
        on_unread_ground,
        held_back,
        older,
        unridable,
        taken,
        unread,
        changed,
    } = readings;
    let changed: Vec<&MeasureId> = changed.iter().collect();
    let day = day_of(sheet);
    let carried = &taken.carried;
    let no_longer_known = carried.forget(catalogue, edit, day)?;
    let known_again = known_again::all(catalogue, edit, (&written_before, &before), &comparison, &changed)?;
    let lines_carried = carried.shift_marks(catalogue, &before, edit)?;
    let meeting = still_meeting(&before, &evidence, &comparison);
    for (name, id) in meeting.iter().filter(|(_, id)| compare::is_along_the_bar(id.row)) {
        redraw::where_it_reads(edit, name, id)?;
    }
    let is_joint_held = |joint: &str| {
        held_back.iter().any(|held| held.joint == joint) || older::is_at(catalogue, &before, &older, joint)
    };
    let is_bar_open = comparison.narrower.as_ref().is_some_and(|narrower| !narrower.is_cut);
    // The line stands where the joint was found, and that is not what the file says.
    let is_left_out = |joint: &str| {
        unridable::is_out_at(catalogue, &before, &unridable, joint) || is_bar_open && compare::slides(joint)
    };
    let opened = &comparison.opened();
    let redraw = Redraw {
        catalogue,
        before: &before,
        sheet,
        as_written,
        evidence: &evidence,
        is_held: &|joint| is_joint_held(joint) || is_left_out(joint),
        along: &carried.along,
        meeting: &meeting,
        replaced: comparison.replaced.as_ref(),
        opened,
        day,
    };
    let Redrawn { marks, left_out } =
        if options.redraw { redraw.all(edit, &changed)? } else { Redrawn::default() };
    let replaced = comparison.replaced.clone().filter(|replaced| replaced.has_one_of(&changed));
    if let Some(replaced) = &replaced {
        keep::replaced(edit, replaced, day, &marks, &is_joint_held)?;
    }
    keep::clamped(edit, &comparison, changed.contains(&&MeasureId::bike(BAR_CLAMP_DIAMETER)), day)?;
    let lost = keep::marks(
        catalogue,
        edit,
        sheet,
        &evidence.marks,
        &keep::Drawing {
            drawn: &marks,
            redraw: options.redraw,
            is_held: &is_joint_held,
            is_written: &|path| changed.iter().any(|id| catalogue.path(id) == path),
        },
    )?;
    let freed = freed::strike(&recorded, edit, sheet, &marks, &is_joint_held)?;
    let not_drawn = not_drawn::told(&redraw, edit, &lost, no_news, options);
    let damages = keep::damages(edit, sheet, day)?;
    let tightened = keep::torques(edit, sheet, (comparison.tightened.clone(), opened), day, &is_joint_held)?;
    keep::open_unseen(catalogue, edit, sheet, day, &is_joint_held)?;
    let told = keep::told(catalogue, edit, sheet, &comparison, &changed, day)?;
    let planned = planned::read(catalogue, edit, &unread, &changed)?;
    let notes = keep::notes(edit, sheet, day)?.into_iter().chain(told.kept).collect();
    let changes =
        written::all(catalogue, &written_before, &before, (edit.setup(), sheet), &known_again, &changed);
    let recording = Recording {
        schema: "clampmark.record/1",
        setup: before.name.value.clone(),
        blank: whole.is_blank(),
        contradictions: comparison.contradictions.clone(),
        held_back,
        older,
        unridable,
        not_square: not_square(catalogue, edit.setup(), &changed),
        narrower: comparison.narrower.clone(),
        replaced,
        no_longer_known,
        known_again,
        common_shift: comparison.common_shift.clone(),
        unknown_roll: comparison.unknown_roll.clone(),
        floor_not_read: comparison.floor_not_read.clone(),
        on_unread_ground,
        planned,
        remarks: beside::remarks(catalogue, edit, &before, &changed),
        preload: Preload::of(catalogue, &comparison),
        damages,
        lost,
        freed,
        not_drawn,
        tightened,
        notes,
        answered: told.answered,
        changes,
        lines_carried: carried::undrawn(lines_carried, edit.setup(), &marks),
        marks,
        left_out,
        stale: stale(catalogue, edit.setup()),
        ..Recording::default()
    };
    Ok(headed(recording, &recorded.found(sheet, Some(&evidence.turns)), edit.setup(), &comparison))
}

/// What is to be said of a stem that was written out of square, beyond reading: nobody wants the bike to go back to that.
fn not_square(catalogue: &Catalogue, after: &Setup, changed: &[&MeasureId]) -> Option<String> {
    changed.iter().find(|id| id.row == STEM_TWIST)?;
    let found = check::found_of(catalogue, after, |code| code.name == code::STEM_NOT_SQUARE.name);
    found.into_iter().next().map(|finding| finding.message)
}

/// The same with the line to act on, of a bike as `found` and the setup `after` what was written.
fn headed(recording: Recording, found: &State, after: &Setup, comparison: &Comparison) -> Recording {
    let mut unread = compare::opened_and_not_read(comparison, found);
    unread.extend(compare::roll_not_known(comparison, found));
    let told = found.sheet().map(|sheet| headline(found.catalogue(), after, sheet, &recording, unread));
    Recording { headline: told.flatten(), ..recording }
}

fn day_of(sheet: &Setup) -> Option<NaiveDate> {
    sheet.measured.as_ref().map(|measured| measured.date)
}

/// What of a sheet's readings was written, and why the rest was not.
struct Readings {
    evidence: Evidence,
    comparison: Comparison,
    on_unread_ground: Vec<OnUnreadGround>,
    held_back: Vec<HeldBack>,
    older: Vec<Older>,
    unridable: Vec<Unridable>,
    taken: Taken,
    /// What was planned before, and not read.
    unread: BTreeSet<MeasureId>,
    /// What the text now has otherwise.
    changed: Vec<MeasureId>,
}

/// What a sheet tells, weighed.
fn weighed(recorded: &State, sheet: &Setup) -> (Evidence, Comparison) {
    let evidence = evidence::weigh(recorded.catalogue(), recorded.setup(), sheet);
    let found = recorded.found(sheet, Some(&evidence.turns));
    let comparison = evidence.settled(compare::compare(*recorded, found), &found);
    (evidence, comparison)
}

/// Writes the readings of a sheet, as far as they were read on known ground; what is told of the `whole` sheet stays told.
fn readings(
    recorded: &State,
    edit: &mut Edit,
    (whole, sheet): (&Setup, &Setup),
    options: &Options,
) -> Result<Readings, EditError> {
    let (catalogue, before) = (recorded.catalogue(), recorded.setup());
    let written = edit.setup().clone();
    let unread =
        if options.put_back { BTreeSet::new() } else { check::planned::unread(catalogue, edit.setup()) };
    let (mut evidence, mut comparison) = weighed(recorded, sheet);
    let mut on_unread_ground = Vec::new();
    if whole.readings.len() > sheet.readings.len() {
        let (as_told, told) = weighed(recorded, whole);
        let found = Some(recorded.found(whole, Some(&as_told.turns)));
        let way = Way { recorded: *recorded, found, comparison: Some(told.clone()) };
        let is_due = |id: &MeasureId| {
            !sheet.readings.contains_key(id) && wanted(&way, &written, whole, id, (&unread, options))
        };
        on_unread_ground = unread_ground::held_back(catalogue, before, whole, &told, is_due);
        let Comparison { contradictions, common_shift, unknown_roll, floor_not_read, .. } = told;
        comparison = Comparison { contradictions, common_shift, unknown_roll, floor_not_read, ..comparison };
    }
    // Who has the marks drawn anew says that the line is another than the one that was struck out that day.
    if options.redraw {
        let undrawn = evidence::lines_up_undrawn(catalogue, before, sheet);
        comparison.contradictions.retain(|one| !undrawn.contains(one));
    }
    let held_back = held_back(catalogue, before, sheet, &evidence, &comparison);
    let is_held = |id: &MeasureId| {
        before.joint_of(catalogue, id).is_some_and(|on| held_back.iter().any(|held| held.joint == on))
    };
    evidence.turns.retain(|id, _| !is_held(id));
    // A line on a bar that stands nobody knows how tells no angle to the level.
    if compare::is_let_go(&recorded.found(sheet, Some(&evidence.turns))) {
        evidence.turns.retain(|id, _| !joint::is_control_angle(id.row));
    }
    let found = recorded.found(sheet, Some(&evidence.turns));
    let way = Way { recorded: *recorded, found: Some(found), comparison: Some(comparison.clone()) };
    let mut all = to_write(edit, &way, sheet, &evidence, (&unread, options));
    // What stands as it was planned took nothing along.
    let is_as_planned = |id: &&MeasureId| {
        unread.contains(*id) && way.verdict_as_read(id).is_some_and(|verdict| verdict != Verdict::Moved)
    };
    let as_planned: Vec<MeasureId> = all.iter().filter(is_as_planned).cloned().collect();
    all.retain(|id| !is_held(id));
    // Beside a width that is not written, a place counted from the end of another would be a false one.
    if comparison.narrower.as_ref().is_some_and(|narrower| !narrower.is_cut) {
        let width = [BAR_WIDTH, BAR_SUPPLIED_WIDTH];
        all.retain(|id| !width.contains(&id.row) && !compare::is_from_the_end(id.row));
        evidence.turns.retain(|id, _| !compare::is_from_the_end(id.row));
    }
    let older = older::older(catalogue, &written, sheet, &all);
    all.retain(|id| !older.iter().any(|one| one.id == *id));
    evidence.turns.retain(|id, _| !older.iter().any(|one| one.id == *id));
    let worn: Vec<MeasureId> = all.iter().filter(|id| comparison.is_worn(id)).cloned().collect();
    let all = (&*all, &*as_planned);
    let whole = Taken::of(recorded, sheet, &evidence.turns, all, &[]);
    let unridable = unridable::unridable(edit, &whole.folding(recorded, sheet), &options.even_so, &worn)?;
    let mut taken = Taken::of(recorded, sheet, &evidence.turns, all, &unridable);
    let is_joint_held = |joint: &str| {
        held_back.iter().any(|held| held.joint == joint) || older::is_at(catalogue, before, &older, joint)
    };
    let found = recorded.found(sheet, Some(&evidence.turns));
    taken.forget(let_go::unknown(&found, &evidence, is_joint_held));
    taken.forget(older::not_read_since(before, sheet, &options.unread));
    let changed = taken.folding(recorded, sheet).write_all(edit)?.into_iter().cloned().collect();
    Ok(Readings {
        evidence,
        comparison,
        on_unread_ground,
        held_back,
        older,
        unridable,
        taken,
        unread,
        changed,
    })
}

/// The lines that were found to meet at angles that were read as the bar's roll carried them, and at places counted from
/// an end that was cut off, by mark and measure.
fn still_meeting(before: &Setup, evidence: &Evidence, comparison: &Comparison) -> Vec<(String, MeasureId)> {
    let is_along = |change: &&Change| matches!(change.carried, Some(Carrier::Bar | Carrier::Saw));
    let along = comparison.changes.iter().filter(is_along);
    let meets = |mark: &&Mark| {
        let mut reports = evidence.marks.iter().filter(|report| report.name == mark.name.value);
        reports.any(|report| report.state == MarkVerdict::Aligned)
    };
    let of = |id: &MeasureId| {
        let shows = |mark: &&Mark| mark.drawn.iter().any(|(drawn, _)| drawn == id);
        let marks = before.marks.iter().filter(meets).filter(shows);
        marks.map(|mark| (mark.name.value.clone(), id.clone())).collect::<Vec<_>>()
    };
    along.flat_map(|change| of(&change.id)).collect()
}

/// The marks that no longer agree with what is recorded.
fn stale(catalogue: &Catalogue, after: &Setup) -> Vec<String> {
    let marks = evidence::recorded(catalogue, after).into_iter();
    marks.filter(|mark| mark.state == MarkVerdict::Stale).map(|mark| mark.name).collect()
}

/// The joints at which nothing is written.
fn held_back(
    catalogue: &Catalogue,
    before: &Setup,
    sheet: &Setup,
    evidence: &Evidence,
    comparison: &Comparison,
) -> Vec<HeldBack> {
    let belied: Vec<String> = comparison.contradictions.iter().map(|one| one.joint.clone()).collect();
    let recorded = State::recorded(catalogue, before);
    let found = Some(recorded.found(sheet, Some(&evidence.turns)));
    let way = Way { recorded, found, comparison: Some(comparison.clone()) };
    let is_rolled = way.verdict_as_read(&carried::roll()) == Some(Verdict::Moved);
    let held = unsettled(catalogue, before, &belied, is_rolled);
    held.into_iter()
        .map(|joint| HeldBack {
            title: crate::catalogue::joint::title(&joint),
            belied: belied.contains(&joint),
            joint,
        })
        .collect()
}

/// What is written: what is wanted, and where the sheet reads all that stands on one node, all of it.
fn to_write(
    edit: &Edit,
    way: &Way,
    sheet: &Setup,
    evidence: &Evidence,
    (unread, options): (&BTreeSet<MeasureId>, &Options),
) -> Vec<MeasureId> {
    let turned = way.found.iter().flat_map(State::turned);
    let mut ids: Vec<&MeasureId> = sheet.readings.keys().chain(turned).filter(|id| id.row != FLOOR).collect();
    ids.dedup();
    let read: Vec<MeasureId> = sheet.readings.keys().cloned().collect();
    let drawn_from = drawn_from(&way.recorded, sheet, evidence, options);
    let is_wanted = |id: &MeasureId| {
        let from_reading = Options { all: options.all || drawn_from.contains(id), ..options.clone() };
        wanted(way, edit.setup(), sheet, id, (unread, &from_reading))
    };
    let wanted: Vec<&MeasureId> = ids.iter().copied().filter(|id| is_wanted(id)).collect();
    let goes_along = |id: &MeasureId| {
        let beside = wanted.iter().any(|other| *other != id && edit.is_beside(id, other));
        beside && read.contains(id) && edit.stands_alone(id, &read)
    };
    ids.into_iter().filter(|id| wanted.contains(id) || goes_along(id)).cloned().collect()
}

/// What lines are drawn anew from, whose joints were found to have moved: where the part was set again is its place from now
/// on, also within reading, and tells the sheet it was read on from any other of that day.
fn drawn_from(
    recorded: &State,
    sheet: &Setup,
    evidence: &Evidence,
    options: &Options,
) -> BTreeSet<MeasureId> {
    let reports = evidence.marks.iter().filter(|report| options.redraw && report.overruled);
    let lost = reports.filter(|report| {
        matches!(report.state, MarkVerdict::Broken | MarkVerdict::Missing | MarkVerdict::Off)
    });
    let marks = lost.filter_map(|report| recorded.setup().mark(&report.name));
    let shown = marks.map(|mark| evidence::shown(recorded.catalogue(), recorded.setup(), mark));
    shown.filter(|shown| shown.iter().all(|id| sheet.readings.contains_key(id))).flatten().collect()
}

/// Whether what was found of a measure is to be written.
fn wanted(
    way: &Way,
    before: &Setup,
    sheet: &Setup,
    id: &MeasureId,
    (unread, options): (&BTreeSet<MeasureId>, &Options),
) -> bool {
    let is_read = sheet.readings.contains_key(id);
    match before.recorded(id).map(|recorded| &recorded.value) {
        None | Some(Value::Unmeasured) if is_read => true,
        _ => match way.verdict_as_read(id) {
            Some(Verdict::Moved) => true,
            // A planned figure is no reading, whatever a reading of it comes to.
            Some(Verdict::WithinReading | Verdict::Same) if is_read && unread.contains(id) => true,
            Some(Verdict::WithinReading) => options.all && is_read,
            _ => false,
        },
    }
}
