//! One reading on its way into the text: as typed where it can stay so, else worked out, with a tolerance that says
//! enough.

use chrono::NaiveDate;

use crate::catalogue::joint::CONTROLS;
use crate::catalogue::table::{OWN, SHARED};
use crate::catalogue::{Catalogue, MeasureId};
use crate::geometry::state::{InputId, Layer, State};
use crate::metrology::reading::Reading;
use crate::metrology::show;
use crate::metrology::unit::Quantity;
use crate::setup::edit::{Edit, EditError, Entry, NewReading};
use crate::setup::model::{Setup, Value};

/// What the readings of one sheet are written with.
pub(super) struct Folding<'a> {
    pub(super) catalogue: &'a Catalogue,
    pub(super) before: &'a Setup,
    pub(super) found: State<'a>,
    pub(super) day: Option<NaiveDate>,
    /// Everything that is written.
    pub(super) all: &'a [MeasureId],
}

impl<'a> Folding<'a> {
    /// Writes everything; gives what the text then had otherwise.
    pub(super) fn write_all(&self, edit: &mut Edit) -> Result<Vec<&'a MeasureId>, EditError> {
        let mut changed = Vec::new();
        for id in self.all {
            let was = edit.text().to_owned();
            if self.write(edit, id)? && edit.text() != was {
                changed.push(id);
            }
        }
        Ok(changed)
    }

    /// Writes what was found; false if there is nothing that could be written.
    fn write(&self, edit: &mut Edit, id: &MeasureId) -> Result<bool, EditError> {
        if let (Layer::Found, Some(Value::Choice(word))) = (self.found.layer(id), self.found.held(id)) {
            edit.set_choice(id, word, self.day)?;
            Self::drop_other_place(edit, id, word)?;
            return Ok(true);
        }
        let Some((mut new, reading)) = self.reading(id) else { return Ok(false) };
        if !edit.stands_alone(id, self.all) {
            // Its node's other numbers keep their tolerance and their day.
            (new.tolerance, new.instrument, new.read) = (Entry::Keep, Entry::Keep, Entry::Keep);
            edit.set_reading(id, &new)?;
            return Ok(true);
        }
        Self::write_reading(edit, id, new, &reading)?;
        Ok(true)
    }

    /// With the sheet's instrument where the setup has it and it says enough, else with a tolerance of its own.
    fn write_reading(
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
            new.tolerance = Entry::Set(tolerance(edit.setup(), id, reading));
        }
        edit.set_reading(id, &new)
    }

    /// A shared clamp's slot means nothing on an own clamp, and a place along the bar nothing on a shared one.
    fn drop_other_place(edit: &mut Edit, id: &MeasureId, word: &str) -> Result<(), EditError> {
        let control = CONTROLS.iter().find(|control| control.mount == Some(id.row));
        let row = control.and_then(|control| match word {
            OWN => control.slot,
            SHARED => Some(control.from_tip),
            _ => None,
        });
        let Some(other) = row.map(|row| MeasureId { row, subject: id.subject.clone() }) else {
            return Ok(());
        };
        if edit.setup().recorded(&other).is_some() { edit.remove(&other) } else { Ok(()) }
    }

    /// The reading to write: as typed, or turned by a mark, or taken over to the setup's floor.
    fn reading(&self, id: &MeasureId) -> Option<(NewReading, Reading)> {
        let stored = self.found.value_on_recorded_ground(id)?;
        let typed = self.found.number(id).filter(|_| self.found.layer(id) == Layer::Found);
        let as_read = typed.filter(|typed| (typed.value() - stored).abs() < 1e-9);
        let reading = match as_read {
            Some(reading) => reading.clone(),
            None => self.worked_out(id, stored, typed)?,
        };
        let new = NewReading {
            digits: reading.digits().iter().map(ToString::to_string).collect(),
            unit: reading.unit(),
            half_width: reading.half_width(),
            tolerance: Entry::Remove,
            instrument: typed
                .and_then(Reading::instrument)
                .map_or(Entry::Remove, |name| Entry::Set(name.to_owned())),
            read: self.day_of(id).map_or(Entry::Remove, Entry::Set),
        };
        Some((new, reading))
    }

    /// The day on which the sheet read it, or saw the line that tells it.
    fn day_of(&self, id: &MeasureId) -> Option<NaiveDate> {
        let turn = || self.found.reading(&InputId { layer: Layer::Turn, measure: id.clone() });
        let read = self.found.sheet().and_then(|sheet| sheet.reading(id));
        read.or_else(turn).and_then(Reading::read).or(self.day)
    }

    /// A number nobody read as such, with everything that makes it uncertain.
    fn worked_out(&self, id: &MeasureId, stored: f64, typed: Option<&Reading>) -> Option<Reading> {
        let unit = self.catalogue.measure(id.row).unit();
        let parts: [Option<f64>; 2] = if let Some(typed) = typed {
            [Some(typed.half_width()), self.found.floor().map(Reading::half_width)]
        } else {
            let turn = InputId { layer: Layer::Turn, measure: id.clone() };
            let old = self.before.reading(id).map(Reading::half_width);
            [self.found.reading(&turn).map(Reading::half_width), old]
        };
        let half_width = parts.into_iter().flatten().fold(0.0, f64::hypot);
        let places = typed.map_or(1, |typed| if typed.unit() == unit { typed.decimals().max(1) } else { 1 });
        let digits = show::plain(stored, places);
        let value = digits.parse().ok()?;
        Reading::new([value], [digits], unit, unit, show::rounded_up(half_width))
    }
}

/// `0.5`, or with its unit where the line's unit is another: the plain number would be taken in that.
fn tolerance(now: &Setup, id: &MeasureId, reading: &Reading) -> String {
    let line = now.reading(id).map_or(reading.unit(), Reading::unit);
    let digits = trimmed(reading.half_width());
    let default = reading.default_unit();
    if line == default { digits } else { format!("({}){digits}", default.word()) }
}

fn trimmed(value: f64) -> String {
    let text = show::plain(value, 4);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
