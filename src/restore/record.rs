//! Folding the readings of an as-found sheet into the setup's text.
//!
//! What moved, and what was not recorded before, is written; a reading that differs only within reading leaves the
//! old one where it is. Each written reading carries the sheet's day, so that old readings stay old. An angle against
//! gravity that was read on other ground is written as it would read on the setup's own floor (on level ground if the
//! setup has none), and its tolerance takes in that of the sheet's floor.

mod folding;
mod redraw;

use serde::Serialize;

use crate::catalogue::table::FLOOR;
use crate::catalogue::{Catalogue, MeasureId};
use crate::compare::{self, Contradiction};
use crate::geometry::state::{Layer, State};
use crate::metrology::reading::Reading;
use crate::metrology::verdict::Verdict;
use crate::setup::checked::Report;
use crate::setup::edit::{Edit, EditError};
use crate::setup::model::{Setup, Value};

use super::evidence::{self, MarkVerdict};
use super::keep::{self, DamageKept, MarkLost, TorqueKept};
use super::moves::Way;
use folding::Folding;
use redraw::redraw;

/// One measure that was written.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Written {
    /// Its written path.
    pub measure: String,
    /// In plain words.
    pub title: String,
    /// As it stood, with its unit; none if it is new.
    pub was: Option<String>,
    /// As it stands, with its unit.
    pub now: String,
}

/// What was recorded.
#[derive(Clone, Debug, PartialEq, Serialize)]
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
    /// The damage that was found, and which notes keep it.
    pub damages: Vec<DamageKept>,
    /// The marks that were found broken or gone; those that nothing stands in for first.
    pub lost: Vec<MarkLost>,
    /// What is known of the torque of joints that were opened or tightened.
    pub tightened: Vec<TorqueKept>,
    /// What was written.
    pub changes: Vec<Written>,
    /// The marks that were drawn anew.
    pub marks: Vec<String>,
    /// The marks that no longer agree with what is recorded.
    pub stale: Vec<String>,
    /// The git command that makes a revision of it.
    pub command: Option<String>,
    /// What kept the file out of the history, if a fault did: it is written, and not committed.
    pub stopped: Option<Report>,
    /// The revision, if it was committed.
    pub revision: Option<String>,
}

impl Recording {
    /// Whether the file's text was to change.
    pub fn has_written(&self) -> bool {
        !self.changes.is_empty()
            || !self.marks.is_empty()
            || self.damages.iter().any(|damage| damage.written)
            || self.lost.iter().any(|mark| mark.written)
            || self.tightened.iter().any(|torque| torque.written)
    }

    /// Whether somebody has to act: something is damaged, or a broken mark stands for a joint nobody has set.
    pub fn is_to_act_on(&self) -> bool {
        let outside = |torque: &TorqueKept| torque.found.state.is_outside();
        !self.damages.is_empty()
            || self.blank
            || !self.contradictions.is_empty()
            || self.stopped.is_some()
            || self.tightened.iter().any(outside)
            || self.lost.iter().any(MarkLost::is_open)
    }
}

/// How to record.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Options {
    /// Also what differs only within reading.
    pub all: bool,
    /// Draw the marks anew at what is now recorded.
    pub redraw: bool,
}

/// Folds a sheet into the text being edited.
///
/// # Errors
/// If a reading cannot be written as meant; the edit then holds what was written before it and is to be dropped.
pub fn fold(
    catalogue: &Catalogue,
    edit: &mut Edit,
    sheet: &Setup,
    options: Options,
) -> Result<Recording, EditError> {
    let before = edit.setup().clone();
    let evidence = evidence::weigh(catalogue, &before, sheet);
    let recorded = State::recorded(catalogue, &before);
    let found = recorded.found(sheet, Some(&evidence.turns));
    let mut comparison = compare::compare(recorded, found);
    evidence.settle(&mut comparison, &found);
    let torques = comparison.tightened.clone();
    let contradictions = comparison.contradictions.clone();
    let comparison = Some(comparison);
    let way = Way { recorded, found: Some(found), comparison };
    let day = sheet.measured.as_ref().map(|measured| measured.date);
    let folding = Folding { catalogue, before: &before, found, day };
    let ids = sheet.readings.keys().chain(evidence.turns.keys()).filter(|id| id.row != FLOOR);
    let mut changed: Vec<&MeasureId> = Vec::new();
    // A turn that was folded in before, from this day's sheet, is not turned again.
    let folded = |id: &MeasureId| {
        let read = before.reading(id).and_then(Reading::read);
        found.layer(id) == Layer::Turn && read.is_some() && read == day
    };
    for id in ids.filter(|id| !folded(id) && wanted(&way, &before, sheet, id, options)) {
        if folding.write(edit, id)? {
            changed.push(id);
        }
    }
    // Where a broken mark's joint now stands, the sheet must have read: else there is nothing to draw it at.
    let known = |mark: &&evidence::MarkReport| match mark.state {
        MarkVerdict::Broken | MarkVerdict::Missing => mark.overruled,
        MarkVerdict::Off | MarkVerdict::Stale => true,
        // A mark that was struck out and stands on the bike again.
        MarkVerdict::Aligned => mark.overruled && is_struck(&before, &mark.name),
        _ => false,
    };
    let lost: Vec<&str> = evidence.marks.iter().filter(known).map(|mark| mark.name.as_str()).collect();
    let marks = if options.redraw { redraw(catalogue, edit, &changed, &lost, day)? } else { Vec::new() };
    let lost = keep::marks(edit, sheet, &marks, day)?;
    let damages = keep::damages(edit, sheet, day)?;
    let tightened = keep::torques(edit, sheet, torques, day)?;
    let stale = evidence::recorded(catalogue, edit.setup());
    Ok(Recording {
        schema: "clampmark.record/1",
        setup: before.name.value.clone(),
        headline: headline(&damages),
        blank: sheet.is_blank(),
        contradictions,
        damages,
        lost,
        tightened,
        changes: changed.iter().map(|id| written(catalogue, &before, edit.setup(), id)).collect(),
        marks,
        stale: stale
            .into_iter()
            .filter(|mark| mark.state == MarkVerdict::Stale)
            .map(|mark| mark.name)
            .collect(),
        command: None,
        stopped: None,
        revision: None,
    })
}

fn headline(damages: &[DamageKept]) -> Option<String> {
    let what: Vec<String> =
        damages.iter().map(|damage| format!("{}: {}", damage.title, damage.text)).collect();
    let until = "Do not ride on it until it is replaced or a qualified mechanic has passed it:";
    (!what.is_empty()).then(|| format!("{until} {}.", what.join("; ")))
}

/// Whether the file does not say where a mark was drawn.
fn is_struck(setup: &Setup, name: &str) -> bool {
    setup.marks.iter().any(|mark| mark.name.value == name && mark.drawn.is_empty())
}

/// Whether what was found of a measure is to be written.
fn wanted(way: &Way, before: &Setup, sheet: &Setup, id: &MeasureId, options: Options) -> bool {
    if sheet.recorded(id).is_some_and(|recorded| recorded.value == Value::Unmeasured) {
        return false;
    }
    let is_read = sheet.readings.contains_key(id);
    match before.recorded(id).map(|recorded| &recorded.value) {
        None | Some(Value::Unmeasured) if is_read => true,
        _ => match way.verdict(id) {
            Some(Verdict::Moved) => true,
            Some(Verdict::WithinReading) => options.all && is_read,
            _ => false,
        },
    }
}

fn written(catalogue: &Catalogue, before: &Setup, after: &Setup, id: &MeasureId) -> Written {
    let words = |setup: &Setup| match setup.recorded(id).map(|recorded| &recorded.value) {
        Some(Value::Reading(reading)) => Some(compare::typed(reading)),
        Some(Value::Choice(word)) => Some((*word).to_owned()),
        Some(Value::Unmeasured) => Some("unmeasured".to_owned()),
        None => None,
    };
    Written {
        measure: catalogue.path(id),
        title: catalogue.title(id),
        was: words(before),
        now: words(after).unwrap_or_default(),
    }
}
