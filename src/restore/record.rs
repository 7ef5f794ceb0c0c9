//! Folding the readings of an as-found sheet into the setup's text.
//!
//! What moved, and what was not recorded before, is written; a reading that differs only within reading leaves the
//! old one where it is, unless it was read on a bar that moved below it. Each written reading carries the sheet's day, so
//! that old readings stay old. An angle against gravity that was read on other ground is written as it would read on the
//! setup's own floor (on level ground if the setup has none), and its tolerance takes in that of the sheet's floor.

mod along;
mod before_open;
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
mod readings;
mod recording;
mod redraw;
mod set_back;
mod taken;
mod unread_ground;
mod unridable;
mod written;

use crate::catalogue::table::{BAR_CLAMP_DIAMETER, STEM_TWIST};
use crate::catalogue::{Catalogue, MeasureId, code};
use crate::check::{self, forgotten};
use crate::compare::{self, Carrier, Change, Comparison};
use crate::geometry::state::State;
use crate::setup::edit::{Edit, EditError};
use crate::setup::model::{Mark, Setup};

use super::evidence::{self, Evidence, MarkVerdict};
use super::keep::{self, DamageKept, MarkLost, NoteKept, TorqueKept};
use super::put_back::Untold;
pub use beside::Remark;
use carried::Carried;
pub use carried::{LineCarried, NoLongerKnown, points_along};
pub use freed::Freed;
use headline::headline;
pub use known_again::KnownAgain;
pub use not_drawn::NotDrawn;
pub use older::Older;
pub use planned::PlannedRead;
pub use preload::Preload;
pub use readings::HeldBack;
use readings::Readings;
pub use recording::Recording;
pub use redraw::LeftOut;
use redraw::{Redraw, Redrawn};
pub use unread_ground::OnUnreadGround;
pub use unridable::Unridable;
pub use written::Written;
use written::held_words;

/// How to record.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Options {
    /// Everything the sheet reads, also what differs only within reading or not at all.
    pub all: bool,
    /// Draw the marks anew at what is now recorded.
    pub redraw: bool,
    /// The measures that are meant even where nobody is to ride so.
    pub even_so: Vec<MeasureId>,
    /// The sheet is of a bike that was put back: what it has as recorded nobody has read so.
    pub put_back: bool,
    /// What nobody has read since the bar it sits on was put back.
    pub unread: Vec<MeasureId>,
    /// What it reads otherwise, where nothing but another reading tells that it was put back.
    pub untold: Vec<Untold>,
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
    let readings = readings::write(&recorded, edit, (whole, sheet), options)?;
    let Readings { evidence, comparison, held_back, older, unridable, taken, unread, changed, .. } =
        &readings;
    let changed: Vec<&MeasureId> = changed.iter().collect();
    let day = sheet.day();
    let carried = &taken.carried;
    let no_longer_known = carried.forget(catalogue, &written_before, edit, day)?;
    let read_before_open = before_open::kept(catalogue, edit, (&before, as_written), &no_longer_known)?;
    let (known_again, over) =
        known_again::all(catalogue, edit, (&written_before, &before), comparison, (sheet, &changed))?;
    let lines_carried = carried.shift_marks(catalogue, &before, edit)?;
    let meeting = still_meeting(&before, evidence, comparison);
    show_where_they_read(edit, &meeting)?;
    let is_joint_held = |joint: &str| {
        held_back.iter().any(|held| held.joint == joint) || older::is_at(catalogue, &before, older, joint)
    };
    let is_bar_open = comparison.narrower.as_ref().is_some_and(|narrower| !narrower.is_cut);
    // The line stands where the joint was found, and that is not what the file says.
    let is_left_out = |joint: &str| {
        unridable::is_out_at(catalogue, &before, unridable, joint) || is_bar_open && compare::slides(joint)
    };
    let opened = &comparison.opened();
    let along = on_the_bar(carried, comparison);
    let redraw = Redraw {
        catalogue,
        before: &before,
        sheet,
        as_written,
        evidence,
        is_held: &|joint| is_joint_held(joint) || is_left_out(joint),
        along: &along,
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
    keep::clamped(edit, comparison, changed.contains(&&MeasureId::bike(BAR_CLAMP_DIAMETER)), day)?;
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
    keep::open_unseen(catalogue, edit, sheet, &is_joint_held)?;
    let read_again = keep::along(catalogue, edit, (sheet, comparison), &changed, day)?;
    let told = keep::told(catalogue, edit, sheet, comparison, &changed, day)?;
    let planned = planned::told(catalogue, edit, (unread, &changed), options)?;
    let notes = keep::notes(edit, sheet, day)?;
    let changes =
        written::all(&recorded, &written_before, (edit.setup(), sheet), (&known_again, comparison), &changed);
    let found = recorded.found(sheet, Some(&evidence.turns));
    let recording = Recording {
        blank: whole.is_blank(),
        not_square: not_square(catalogue, edit.setup(), &changed),
        replaced,
        no_longer_known,
        read_before_open,
        known_again,
        planned,
        remarks: beside::remarks(catalogue, edit, &before, &changed),
        preload: Preload::of(catalogue, comparison),
        not_told_back: options.untold.clone(),
        damages,
        lost,
        freed,
        not_drawn,
        tightened,
        notes: notes.into_iter().chain(told.kept).collect(),
        answered: over.into_iter().chain(read_again).chain(told.answered).collect(),
        changes,
        lines_carried: carried::undrawn(lines_carried, edit.setup(), &marks),
        marks,
        left_out,
        stale: stale(catalogue, edit.setup()),
        went_stale: went_stale(catalogue, &written_before, edit.setup(), options),
        ..readings.recording(&before)
    };
    Ok(headed(recording, &found, edit.setup(), comparison, options))
}

/// What is to be said of a stem that was written out of square, beyond reading: nobody wants the bike to go back to that.
fn not_square(catalogue: &Catalogue, after: &Setup, changed: &[&MeasureId]) -> Option<String> {
    changed.iter().find(|id| id.row == STEM_TWIST)?;
    let found = check::found_of(catalogue, after, |code| code.name == code::STEM_NOT_SQUARE.name);
    found.into_iter().next().map(|finding| finding.message)
}

/// The same with the line to act on, of a bike as `found` and the setup `after` what was written.
fn headed(
    recording: Recording,
    found: &State,
    after: &Setup,
    comparison: &Comparison,
    options: &Options,
) -> Recording {
    // What is no longer known is told with its cause.
    let is_told = |path: &str| recording.no_longer_known.iter().any(|gone| gone.measure == path);
    let mut left = comparison.clone();
    left.not_looked_at.retain(|one| !is_told(&one.measure));
    let mut unread = compare::opened_and_not_read(&left, found);
    unread.extend(compare::roll_not_known(comparison, found));
    // Who has the lines drawn anew there says that it is to stand so.
    if !options.redraw {
        unread.extend(compare::worked_out_moved(&left, found));
        unread.extend(compare::along_with_the_bar(&left, found));
    }
    let told = found.sheet().map(|sheet| headline(found.catalogue(), after, sheet, &recording, unread));
    Recording { headline: told.flatten(), ..recording }
}

/// What stands on the bar as recorded, whatever it reads now.
fn on_the_bar(carried: &Carried, comparison: &Comparison) -> Vec<MeasureId> {
    let along = carried.along.iter().chain(along_with_the_bar(comparison).map(|change| &change.id));
    along.cloned().collect()
}

/// What reads otherwise only because the bar took it along or was cut.
fn along_with_the_bar(comparison: &Comparison) -> impl Iterator<Item = &Change> {
    let is_along = |change: &&Change| matches!(change.carried, Some(Carrier::Bar | Carrier::Saw));
    comparison.changes.iter().filter(is_along)
}

/// The lines that were found to meet at angles that were read as the bar's roll carried them, and at places counted from
/// an end that was cut off, by mark and measure.
fn still_meeting(before: &Setup, evidence: &Evidence, comparison: &Comparison) -> Vec<(String, MeasureId)> {
    let meets = |mark: &&Mark| {
        let mut reports = evidence.marks.iter().filter(|report| report.name == mark.name.value);
        reports.any(|report| report.state == MarkVerdict::Aligned)
    };
    let of = |id: &MeasureId| {
        let shows = |mark: &&Mark| mark.drawn.iter().any(|(drawn, _)| drawn == id);
        let marks = before.marks.iter().filter(meets).filter(shows);
        marks.map(|mark| (mark.name.value.clone(), id.clone())).collect::<Vec<_>>()
    };
    along_with_the_bar(comparison).flat_map(|change| of(&change.id)).collect()
}

/// Has the lines that meet along the bar show in the file where their measures read now.
fn show_where_they_read(edit: &mut Edit, meeting: &[(String, MeasureId)]) -> Result<(), EditError> {
    for (name, id) in meeting.iter().filter(|(_, id)| compare::is_along_the_bar(id.row)) {
        redraw::where_it_reads(edit, name, id)?;
    }
    Ok(())
}

/// Of the stale marks those that were not so `before`, or were to be drawn anew.
fn went_stale(catalogue: &Catalogue, before: &Setup, now: &Setup, options: &Options) -> Vec<String> {
    let before = if options.redraw { Vec::new() } else { stale(catalogue, before) };
    stale(catalogue, now).into_iter().filter(|mark| !before.contains(mark)).collect()
}

/// The marks that do not agree with what is recorded.
fn stale(catalogue: &Catalogue, after: &Setup) -> Vec<String> {
    let marks = evidence::recorded(catalogue, after).into_iter();
    marks.filter(|mark| mark.state == MarkVerdict::Stale).map(|mark| mark.name).collect()
}
