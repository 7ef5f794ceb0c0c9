//! Folding the readings of an as-found sheet into the setup's text.
//!
//! What moved, and what was not recorded before, is written; a reading that differs only within reading leaves the
//! old one where it is. Each written reading carries the sheet's day, so that old readings stay old. An angle against
//! gravity that was read on other ground is written as it would read on the setup's own floor (on level ground if the
//! setup has none), and its tolerance takes in that of the sheet's floor.

use chrono::NaiveDate;
use serde::Serialize;

use crate::catalogue::joint::CONTROLS;
use crate::catalogue::table::FLOOR;
use crate::catalogue::{Catalogue, Gravity, MeasureId, Shape};
use crate::compare;
use crate::geometry::state::{Layer, State};
use crate::metrology::reading::Reading;
use crate::metrology::show;
use crate::metrology::unit::{Quantity, Unit};
use crate::metrology::verdict::Verdict;
use crate::setup::edit::{Edit, EditError, Entry, NewReading};
use crate::setup::model::{Mark, Setup, Value};

use super::evidence::{self, MarkVerdict};
use super::keep::{self, DamageKept, MarkLost};
use super::moves::Way;

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
    /// The damage that was found, and which notes keep it.
    pub damages: Vec<DamageKept>,
    /// The marks that were found broken or gone; those that nothing stands in for first.
    pub lost: Vec<MarkLost>,
    /// What was written.
    pub changes: Vec<Written>,
    /// The marks that were drawn anew.
    pub marks: Vec<String>,
    /// The marks that no longer agree with what is recorded.
    pub stale: Vec<String>,
    /// The git command that makes a revision of it.
    pub command: Option<String>,
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
    }

    /// Whether somebody has to act: something is damaged, or a broken mark stands for a joint nobody has set.
    pub fn is_to_act_on(&self) -> bool {
        !self.damages.is_empty() || self.lost.iter().any(MarkLost::is_open)
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
    let comparison = Some(compare::compare(recorded, found));
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
    let stale = evidence::recorded(catalogue, edit.setup());
    Ok(Recording {
        schema: "clampmark.record/1",
        setup: before.name.value.clone(),
        headline: headline(&damages),
        damages,
        lost,
        changes: changed.iter().map(|id| written(catalogue, &before, edit.setup(), id)).collect(),
        marks,
        stale: stale
            .into_iter()
            .filter(|mark| mark.state == MarkVerdict::Stale)
            .map(|mark| mark.name)
            .collect(),
        command: None,
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

struct Folding<'a> {
    catalogue: &'a Catalogue,
    before: &'a Setup,
    found: State<'a>,
    day: Option<NaiveDate>,
}

impl Folding<'_> {
    /// Writes what was found; false if there is nothing that could be written.
    fn write(&self, edit: &mut Edit, id: &MeasureId) -> Result<bool, EditError> {
        if let (Layer::Found, Some(Value::Choice(word))) = (self.found.layer(id), self.found.held(id)) {
            edit.set_choice(id, word)?;
            Self::drop_slot(edit, id, word)?;
            return Ok(true);
        }
        let Some((mut new, reading)) = self.reading(id) else { return Ok(false) };
        if self.catalogue.measure(id.row).shape == Shape::Property {
            // Its node's other numbers keep their tolerance and their day.
            (new.tolerance, new.instrument, new.read) = (Entry::Keep, Entry::Keep, Entry::Keep);
            edit.set_reading(id, &new)?;
            return Ok(true);
        }
        self.write_reading(edit, id, new, &reading)?;
        Ok(true)
    }

    /// With the sheet's instrument where the setup has it and it says enough, else with a tolerance of its own.
    fn write_reading(
        &self,
        edit: &mut Edit,
        id: &MeasureId,
        mut new: NewReading,
        reading: &Reading,
    ) -> Result<(), EditError> {
        let says_enough = |edit: &Edit| {
            let now = edit.setup().reading(id).map(Reading::half_width);
            now.is_some_and(|now| (now - reading.half_width()).abs() < 1e-9)
        };
        let mut attempt = edit.clone();
        let with_instrument = attempt.set_reading(id, &new);
        if with_instrument.is_ok() && says_enough(&attempt) {
            *edit = attempt;
            return Ok(());
        }
        if with_instrument.is_err() {
            new.instrument = Entry::Remove;
        }
        if reading.default_unit().quantity() != Quantity::Count {
            new.tolerance = Entry::Set(self.tolerance(id, reading));
        }
        edit.set_reading(id, &new)
    }

    /// `0.5`, or with its unit where the line's unit is another: the plain number would be taken in that.
    fn tolerance(&self, id: &MeasureId, reading: &Reading) -> String {
        let line = self.before.reading(id).map_or(reading.unit(), Reading::unit);
        let digits = trimmed(reading.half_width());
        let default = reading.default_unit();
        if line == default { digits } else { format!("({}){digits}", default.word()) }
    }

    /// A shared clamp's slot means nothing on an own clamp.
    fn drop_slot(edit: &mut Edit, id: &MeasureId, word: &str) -> Result<(), EditError> {
        let slot =
            CONTROLS.iter().find(|control| control.mount == Some(id.row)).and_then(|control| control.slot);
        let Some(row) = slot.filter(|_| word == "own") else { return Ok(()) };
        let slot = MeasureId { row, subject: id.subject.clone() };
        if edit.setup().recorded(&slot).is_some() { edit.remove(&slot) } else { Ok(()) }
    }

    /// The reading to write: as typed, or turned by a mark, or taken over to the setup's floor.
    fn reading(&self, id: &MeasureId) -> Option<(NewReading, Reading)> {
        let stored = self.stored(id)?;
        let typed = self.found.number(id).filter(|_| self.found.layer(id) == Layer::Found);
        let as_read = typed.filter(|typed| (typed.value() - stored).abs() < 1e-9);
        let reading = match as_read {
            Some(reading) => reading.clone(),
            None => self.worked_out(id, stored, typed)?,
        };
        let new = NewReading {
            digits: reading.digits().to_vec(),
            unit: reading.unit(),
            half_width: reading.half_width(),
            tolerance: Entry::Remove,
            instrument: as_read
                .and_then(Reading::instrument)
                .map_or(Entry::Remove, |name| Entry::Set(name.to_owned())),
            read: self.day.map_or(Entry::Remove, Entry::Set),
        };
        Some((new, reading))
    }

    /// What the measure reads on the setup's own floor.
    fn stored(&self, id: &MeasureId) -> Option<f64> {
        let level = self.found.level_value(id)?;
        let floor = self.before.value(&MeasureId::bike(FLOOR)).unwrap_or(0.0);
        Some(match self.catalogue.measure(id.row).gravity {
            Gravity::None => level,
            Gravity::TipDown => level - floor,
            Gravity::NoseUp => level + floor,
        })
    }

    /// A number nobody read as such, with everything that makes it uncertain.
    fn worked_out(&self, id: &MeasureId, stored: f64, typed: Option<&Reading>) -> Option<Reading> {
        let unit = self.catalogue.measure(id.row).unit();
        let parts: [Option<f64>; 2] = if let Some(typed) = typed {
            [Some(typed.half_width()), self.found.floor().map(Reading::half_width)]
        } else {
            let turn = crate::geometry::state::InputId { layer: Layer::Turn, measure: id.clone() };
            let old = self.before.reading(id).map(Reading::half_width);
            [self.found.reading(&turn).map(Reading::half_width), old]
        };
        let half_width = parts.into_iter().flatten().fold(0.0, f64::hypot);
        let places = typed.map_or(1, |typed| if typed.unit() == unit { typed.decimals().max(1) } else { 1 });
        let digits = show::plain(stored, places);
        let value = digits.parse().ok()?;
        Reading::new(vec![value], vec![digits], unit, unit, rounded_up(half_width))
    }
}

/// A half-width to two places, never smaller than it is.
fn rounded_up(half_width: f64) -> f64 {
    (half_width * 100.0 - 1e-9).ceil() / 100.0
}

fn trimmed(value: f64) -> String {
    let text = show::plain(value, 4);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Draws the marks of what changed, and of what was lost, at what is now recorded.
fn redraw(
    catalogue: &Catalogue,
    edit: &mut Edit,
    changed: &[&MeasureId],
    lost: &[&str],
    day: Option<NaiveDate>,
) -> Result<Vec<String>, EditError> {
    let now = edit.setup().clone();
    let mut drawn = Vec::new();
    for mark in &now.marks {
        let moved = mark.drawn.iter().any(|(id, _)| changed.contains(&id));
        if !moved && !lost.contains(&mark.name.value.as_str()) {
            continue;
        }
        let positions: Vec<(MeasureId, NewReading)> = positions(catalogue, &now, mark)
            .into_iter()
            .filter_map(|id| Some((id.clone(), as_recorded(now.reading(id)?))))
            .collect();
        if !positions.is_empty() {
            edit.set_mark_drawn(&mark.name.value, &positions, day)?;
            drawn.push(mark.name.value.clone());
        }
    }
    Ok(drawn)
}

/// The measures at which a mark was drawn; of one that was struck out, those that a line across its joint shows.
fn positions<'s>(catalogue: &Catalogue, setup: &'s Setup, mark: &'s Mark) -> Vec<&'s MeasureId> {
    let Some(on) = mark.on.as_ref().filter(|_| mark.drawn.is_empty()) else {
        return mark.drawn.iter().map(|(id, _)| id).collect();
    };
    let held = |id: &&MeasureId| setup.joint_of(catalogue, id).as_ref() == Some(&on.value);
    let own = |id: &&MeasureId| catalogue.path(id).starts_with(&on.value) || id.subject.side.is_none();
    let shown = |id: &&MeasureId| evidence::shows(&on.value, id);
    setup.readings.keys().filter(held).filter(own).filter(shown).collect()
}

/// A recorded reading as one number: of repeats their mean.
fn as_recorded(reading: &Reading) -> NewReading {
    if let [only] = reading.digits() {
        NewReading::number(only.clone(), reading.unit(), reading.half_width())
    } else {
        let places = reading.decimals().max(1);
        let unit: Unit = reading.default_unit();
        NewReading::number(show::plain(reading.value(), places), unit, reading.half_width())
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
