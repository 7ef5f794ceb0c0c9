//! What a setup keeps of the torque of joints that a sheet tells were opened or tightened.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use crate::catalogue::{Catalogue, Weight};
use crate::check::opened;
use crate::compare::{Tightness, TorqueFound};
use crate::metrology::show::brief;
use crate::setup::edit::{Edit, EditError};
use crate::setup::model::Setup;
use crate::setup::torque::Applied;

use super::super::evidence;
use super::accepted_below::below_what_was_accepted;
use super::{OpenedNote, TorqueKept, Trace, add_note};

/// Writes the torques that a sheet says were applied; a wrench that only the sheet knows is left out.
pub fn torques(
    edit: &mut Edit,
    sheet: &Setup,
    (found, opened): (Vec<TorqueFound>, &BTreeSet<&str>),
    day: Option<NaiveDate>,
    is_held: &dyn Fn(&str) -> bool,
) -> Result<Vec<TorqueKept>, EditError> {
    let before = edit.setup().clone();
    let mut kept = Vec::new();
    for found in found.into_iter().filter(|found| !is_held(&found.joint)) {
        // One that was applied before the joint was opened again tells nothing.
        let applied = sheet.torque(&found.joint).and_then(|torque| torque.applied.as_ref());
        let applied = applied.filter(|_| found.applied.is_some());
        let opened_on = found.day.filter(|_| applied.is_none()).or(day);
        let ours = edit.setup().torque(&found.joint).map(|torque| torque.applied.clone());
        let (mut written, mut dropped, mut newer) = (false, false, None);
        match (applied, &ours) {
            (Some(applied), Some(known)) => {
                let day = applied.read.or(day);
                newer = known.as_ref().and_then(|known| applied_later(edit, known, day));
                let same = |known: &Applied| known.figure.value == applied.figure.value && known.read == day;
                written = newer.is_none() && !known.as_ref().is_some_and(same);
                if written && edit.set_applied(&found.joint, applied, day).is_err() {
                    let bare = Applied { with: None, ..applied.clone() };
                    edit.set_applied(&found.joint, &bare, day)?;
                }
            }
            (None, Some(Some(known))) if found.state == Tightness::Unknown => {
                dropped = drop_applied(edit, &found.joint, known, opened_on)?;
            }
            _ => {}
        }
        if written {
            below_what_was_accepted(
                edit,
                &before,
                &found.joint,
                applied.and_then(|applied| applied.read).or(day),
            )?;
        }
        let is_later = ours
            .as_ref()
            .and_then(Option::as_ref)
            .is_some_and(|known| is_applied_later(edit, known, opened_on));
        let is_open = found.state == Tightness::Unknown && !is_later;
        let is_noted = dropped || is_open && say_open(edit, &found.joint, opened_on)?;
        let answered = match applied {
            Some(_) if newer.is_none() => close(edit, &found.joint)?,
            _ => Answered::default(),
        };
        let is_unjudged = found.state == Tightness::NoRange
            && found.weight == Weight::SteeringAndBrakes
            && ours.is_none()
            && opened.contains(&*found.joint)
            && !is_said_open(edit, &found.joint, day);
        if let Some(applied) = applied.filter(|_| is_unjudged) {
            say_unjudged(edit, &found.joint, applied, day)?;
        }
        let tightened = applied.and_then(|applied| applied.read.or(day));
        let same_day = tightened.filter(|day| answered.days.contains(&Some(*day)));
        let note = match (is_noted, !answered.days.is_empty()) {
            (true, _) => Some(OpenedNote::Written),
            (false, true) => Some(OpenedNote::TakenOut),
            (false, false) => None,
        };
        let trace = (found.state == Tightness::Unknown).then_some(Trace::Kept);
        kept.push(TorqueKept {
            found,
            written,
            in_file: ours.is_some(),
            newer,
            dropped,
            note,
            same_day,
            left: answered.left,
            trace,
        });
    }
    Ok(kept)
}

/// Keeps of a joint that it was opened where its line tells so only now: a stale one that was struck out, or whose angle
/// nobody knows any more, is stale no longer.
pub fn open_unseen(
    catalogue: &Catalogue,
    edit: &mut Edit,
    sheet: &Setup,
    is_held: &dyn Fn(&str) -> bool,
) -> Result<(), EditError> {
    let marks = evidence::weigh(catalogue, edit.setup(), sheet).marks;
    let telling = marks.iter().filter(|mark| mark.tells_a_move());
    let on_joints = telling.filter_map(|mark| Some((mark.joint.as_deref()?, sheet.day_seen(&mark.name))));
    for (joint, day) in on_joints.filter(|(joint, _)| !is_held(joint)) {
        let applied = sheet.torque(joint).and_then(|torque| torque.applied.as_ref());
        if applied.is_some_and(|applied| applied.read.or_else(|| sheet.day()) >= day) {
            continue;
        }
        match edit.setup().torque(joint).and_then(|torque| torque.applied.clone()) {
            Some(known) if is_applied_later(edit, &known, day) => {}
            Some(known) => drop_applied(edit, joint, &known, day).map(drop)?,
            None => say_open(edit, joint, day).map(drop)?,
        }
    }
    Ok(())
}

/// The day on which a joint was tightened, if that was after the sheet was read: then nothing the sheet tells of it holds.
fn applied_later(edit: &Edit, known: &Applied, day: Option<NaiveDate>) -> Option<NaiveDate> {
    let measured = edit.setup().day();
    known.read.or(measured).filter(|applied| day.is_some_and(|found| *applied > found))
}

fn is_applied_later(edit: &Edit, known: &Applied, day: Option<NaiveDate>) -> bool {
    applied_later(edit, known, day).is_some()
}

/// A figure applied before the joint was opened holds no more; one applied after the sheet's day does.
fn drop_applied(
    edit: &mut Edit,
    joint: &str,
    known: &Applied,
    day: Option<NaiveDate>,
) -> Result<bool, EditError> {
    if is_said_open(edit, joint, day) || is_applied_later(edit, known, day) {
        return Ok(false);
    }
    let note = opened::note(joint, &opened::place(edit.setup(), joint), day);
    edit.drop_applied(joint, &note).map(|()| true)
}

/// Leaves a note that a joint was opened and nobody read its torque, unless one is there.
fn say_open(edit: &mut Edit, joint: &str, day: Option<NaiveDate>) -> Result<bool, EditError> {
    if is_said_open(edit, joint, day) {
        return Ok(false);
    }
    let place = opened::place(edit.setup(), joint);
    add_note(edit, &place, &opened::note(joint, &place, day))
}

/// The file has no torque of the joint to hold the figure, and nothing tells whether it is right: it counts as not known
/// until a range stands in the file.
fn say_unjudged(
    edit: &mut Edit,
    joint: &str,
    applied: &Applied,
    day: Option<NaiveDate>,
) -> Result<bool, EditError> {
    let place = opened::place(edit.setup(), joint);
    let note = opened::note(joint, &place, day);
    let figure = brief(applied.figure.value.newton_metres());
    add_note(edit, &place, &format!("{note} by a range: {figure} N·m on the sheet, and none is recorded"))
}

fn is_said_open(edit: &Edit, joint: &str, day: Option<NaiveDate>) -> bool {
    opened::noted(edit.setup()).any(|noted| noted.joint == joint && noted.day == day)
}

/// The notes that what was applied since answers.
#[derive(Default)]
struct Answered {
    /// Their days.
    days: Vec<Option<NaiveDate>>,
    /// What somebody wrote behind them, as it stays.
    left: Vec<String>,
}

/// Takes out the notes that what was applied since answers, but for what somebody wrote behind them.
fn close(edit: &mut Edit, joint: &str) -> Result<Answered, EditError> {
    let setup = edit.setup().clone();
    let mut answered = Answered::default();
    for noted in opened::noted(&setup).filter(|noted| noted.joint == joint) {
        if opened::open(&setup).any(|open| open == noted) {
            continue;
        }
        let (on, text) = (&noted.note.on, &noted.note.text.value);
        answered.days.push(noted.day);
        match noted.left() {
            Some(left) => {
                edit.rewrite_note(on, text, &left)?;
                answered.left.push(left);
            }
            None => edit.remove_note(on, text)?,
        }
    }
    Ok(answered)
}
