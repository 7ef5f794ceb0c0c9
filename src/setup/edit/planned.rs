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

use crate::catalogue::{Catalogue, MeasureId, Shape};
use crate::metrology::reading::Reading;

use super::super::model::{Setup, Value};
use super::verify::{self, Touched};
use super::{Edit, EditError, Entry, NewReading, number};

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
                    self.set_planned(id, reading, alone)?;
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

    /// Writes a reading's very digits in its own unit, whatever unit stood there; with an instrument and a day only if
    /// it was read.
    fn set_planned(&mut self, id: &MeasureId, reading: &Reading, alone: bool) -> Result<(), EditError> {
        let is_other = self.setup.reading(id).is_some_and(|line| line.unit() != reading.unit());
        let new = NewReading {
            digits: reading.digits().to_vec(),
            ..NewReading::number("", reading.unit(), 0.0)
        };
        let value = |index| match number::one(&new, index, None) {
            bare if is_other && !bare.starts_with('(') => format!("({}){bare}", reading.unit().word()),
            value => value,
        };
        let values: Vec<String> = (0..new.digits.len()).map(value).collect();
        let day = reading.read().map(|day| format!("\"{day}\""));
        let properties = [
            ("with", provenance(reading.instrument().map(number::word), alone)),
            ("tol", if alone { Entry::Remove } else { Entry::Keep }),
            ("read", provenance(day, alone)),
        ];
        self.set(id, &values, &properties)
    }

    /// Whether all that stands on the measure's node is replaced.
    fn stands_alone(&self, id: &MeasureId, differing: &[MeasureId]) -> bool {
        let catalogue: &Catalogue = self.catalogue;
        if catalogue.measure(id.row).shape == Shape::Node {
            return true;
        }
        let beside = |other: &&MeasureId| {
            other.subject == id.subject && verify::node(catalogue, other) == verify::node(catalogue, id)
        };
        self.setup.readings.keys().filter(beside).all(|other| differing.contains(other))
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
            is.values() == wanted.values() && is.unit() == wanted.unit()
        }
        (is, wanted) => is == wanted,
    }
}
