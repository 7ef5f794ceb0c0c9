//! Values that nobody has measured yet, written where readings stood: what is tried on paper, or carried over from
//! another bike.
//!
//! Honest is what says no more than is known. A planned value stands bare: the `tol`, `with` and `read` of the reading
//! it replaces told how and when that was taken, and go. So it counts with the table's own tolerance, as what a person
//! sets it to will. Where several values share a node (a lowest point's three), what stands on the node stays unless
//! all of them are replaced, for it tells of the others, too. The file's `measured` date stays: it is that of every
//! other reading. That the new values were not taken that day no property can say; a note says it.
//!
//! Refuses to know what plans them.

use crate::catalogue::MeasureId;
use crate::metrology::reading::Reading;
use crate::metrology::show;

use super::super::model::{Setup, Value};
use super::verify::Touched;
use super::{Edit, EditError, Entry, NewReading, number};

/// Two values that are nearer than this share of their size (or than this) are one: what nine decimals lose.
const ROUNDING: f64 = 1e-8;

impl Edit<'_> {
    /// Writes the values of `differing` as `planned` has them, without where a reading came from.
    ///
    /// # Errors
    /// [`EditError::NotThere`] if `planned` holds no value for one of them, [`EditError::WouldNotRead`] if the text
    /// would not say what was planned. What was written before the error stays: the caller throws the text away.
    pub fn plan(&mut self, planned: &Setup, differing: &[MeasureId]) -> Result<(), EditError> {
        for id in differing {
            let path = || self.catalogue.path(id);
            let value =
                planned.recorded(id).map(|one| &one.value).ok_or_else(|| EditError::NotThere(path()))?;
            match value {
                Value::Choice(word) => self.set_choice(id, word)?,
                Value::Unmeasured => {
                    let bare = ["with", "tol", "read"].map(|key| (key, Entry::Remove));
                    self.set(id, &["unmeasured".to_owned()], &bare)?;
                }
                Value::Reading(reading) => {
                    let alone = self.stands_alone(id, differing);
                    self.set_reading(id, &self.bare(id, reading, alone))?;
                }
            }
        }
        let astray = differing.iter().find(|id| !is_alike(&self.setup, planned, id));
        match astray {
            Some(id) => Err(EditError::WouldNotRead(format!("`{}`", self.catalogue.path(id)))),
            None => Ok(()),
        }
    }

    /// Gives the setup another name.
    ///
    /// # Errors
    /// [`EditError::WouldNotRead`].
    pub fn rename(&mut self, name: &str) -> Result<(), EditError> {
        let splice = super::over(self.setup.name.span, &number::quoted(name));
        self.settle(vec![splice], Touched { name: Some(name), ..Touched::default() })
    }

    /// A number in the unit that the line has, to nine decimals; with an instrument and a day only if it was read.
    fn bare(&self, id: &MeasureId, reading: &Reading, alone: bool) -> NewReading {
        let unit = self.setup.reading(id).map_or(reading.unit(), Reading::unit);
        let digits = match reading.digits() {
            [typed] if unit == reading.unit() => typed.clone(),
            _ => {
                let value = reading.default_unit().convert(unit, reading.value());
                show::typed(value.unwrap_or(reading.value()))
            }
        };
        NewReading {
            tolerance: if alone { Entry::Remove } else { Entry::Keep },
            instrument: provenance(reading.instrument().map(str::to_owned), alone),
            read: provenance(reading.read(), alone),
            ..NewReading::number(digits, unit, 0.0)
        }
    }
}

fn provenance<T>(told: Option<T>, alone: bool) -> Entry<T> {
    match told {
        _ if !alone => Entry::Keep,
        Some(told) => Entry::Set(told),
        None => Entry::Remove,
    }
}

fn is_alike(written: &Setup, planned: &Setup, id: &MeasureId) -> bool {
    let held = |setup: &Setup| setup.recorded(id).map(|recorded| recorded.value.clone());
    match (held(written), held(planned)) {
        (Some(Value::Reading(is)), Some(Value::Reading(wanted))) => {
            (is.value() - wanted.value()).abs() <= ROUNDING * wanted.value().abs().max(1.0)
        }
        (is, wanted) => is == wanted,
    }
}
