//! The second door: changing a setup file's text in place, without losing a character that was not meant.
//!
//! Works on byte spans from the same tree that reading uses, and splices. The rejected alternative was the `kdl`
//! crate's format-preserving document: it overflows the stack on deep nesting, fails a few valid texts and rewrites
//! the line it touches; spans leave every untouched byte where it is by construction. `kdl` bears witness in the
//! tests. Every step is read again before it counts: if anything but the touched measure would read differently,
//! the step is refused and the text stays as it was.
//!
//! Refuses to know files, and which readings deserve to be written.

mod beside;
pub mod insert;
mod line;
mod looks;
mod marks;
mod notes;
pub mod number;
mod place;
mod planned;
mod remark;
mod torques;
mod verify;

use std::fmt;

use chrono::NaiveDate;

use crate::catalogue::{Catalogue, MeasureId, Shape};
use crate::metrology::reading::Reading;
use crate::metrology::show;
use crate::metrology::unit::Unit;

use super::model::{Setup, Value};
use super::read::read;
use super::span::Span;
use super::syntax::{self, Document};
use place::Found;
pub use remark::Remark;
use verify::Touched;

/// Why an edit was refused; the text is as it was.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum EditError {
    /// The text has faults of its own, which come first.
    Faulty(String),
    /// The file has no such mark.
    NoSuchMark(String),
    /// The file has no torque of that joint.
    NoSuchTorque(String),
    /// The measure has no value here that could be taken away.
    NotThere(String),
    /// The changed text would not read as intended.
    WouldNotRead(String),
}

impl fmt::Display for EditError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            EditError::Faulty(why) => write!(f, "The file has a fault of its own: {why}"),
            EditError::NoSuchMark(name) => write!(f, "The file has no mark \"{name}\"."),
            EditError::NoSuchTorque(joint) => write!(f, "The file has no torque of `{joint}`."),
            EditError::NotThere(path) => write!(f, "The file does not record `{path}`."),
            EditError::WouldNotRead(why) => {
                write!(f, "The change would not read as meant, so it was not made: {why}")
            }
        }
    }
}

impl std::error::Error for EditError {}

/// What to do with a property of the touched line.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Entry<T> {
    /// Leave it as it is, or absent.
    #[default]
    Keep,
    /// Take it away if it is there.
    Remove,
    /// Write it, over the old one if there is one.
    Set(T),
}

/// A reading to write.
#[derive(Clone, Debug, PartialEq)]
pub struct NewReading {
    /// The numbers as typed.
    pub digits: Vec<String>,
    /// The unit they are in. A line that exists keeps its own unit: the numbers are converted to it.
    pub unit: Unit,
    /// Half-width in the measure's default unit: a converted number gets no fewer places than this needs.
    pub half_width: f64,
    /// `tol=`, as typed, with its annotation if it has one: `0.5`, `(mm)0.5`.
    pub tolerance: Entry<String>,
    /// `with=`.
    pub instrument: Entry<String>,
    /// `read=`.
    pub read: Entry<NaiveDate>,
}

impl NewReading {
    /// One number in a unit; everything else on the line stays.
    pub fn number(digits: impl Into<String>, unit: Unit, half_width: f64) -> NewReading {
        NewReading {
            digits: vec![digits.into()],
            unit,
            half_width,
            tolerance: Entry::Keep,
            instrument: Entry::Keep,
            read: Entry::Keep,
        }
    }

    /// A recorded reading as one number: of repeats their mean.
    pub fn as_recorded(reading: &Reading) -> NewReading {
        if let [only] = reading.digits() {
            NewReading::number(only.as_str(), reading.unit(), reading.half_width())
        } else {
            let digits = show::plain(reading.value(), reading.decimals().max(1));
            NewReading::number(digits, reading.default_unit(), reading.half_width())
        }
    }
}

/// What stands for a value that nobody knows.
const UNMEASURED: &str = "unmeasured";

/// A replacement of a stretch of the text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Splice {
    /// Offset of the first byte replaced.
    pub start: usize,
    /// Offset just after the last byte replaced.
    pub end: usize,
    /// What stands there instead.
    pub text: String,
}

impl Splice {
    /// Text put in at a place.
    pub fn at(place: usize, text: impl Into<String>) -> Splice {
        Splice { start: place, end: place, text: text.into() }
    }
}

/// A text being edited.
#[derive(Clone, Debug)]
pub struct Edit<'a> {
    catalogue: &'a Catalogue,
    base: Option<&'a Setup>,
    text: String,
    setup: Setup,
}

impl<'a> Edit<'a> {
    /// Opens a setup's or a sheet's text; `base` is the setup a sheet belongs to.
    ///
    /// # Errors
    /// [`EditError::Faulty`] if reading the text finds any fault, nesting beyond the reader's limit included.
    pub fn new(catalogue: &'a Catalogue, text: &str, base: Option<&'a Setup>) -> Result<Self, EditError> {
        let setup = sound(catalogue, text, base).map_err(EditError::Faulty)?;
        Ok(Edit { catalogue, base, text: text.to_owned(), setup })
    }

    /// The text as it stands.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// What the text says.
    pub fn setup(&self) -> &Setup {
        &self.setup
    }

    /// Writes a reading: over the old one, or on a new line where a person would put it.
    pub fn set_reading(&mut self, id: &MeasureId, new: &NewReading) -> Result<(), EditError> {
        let values = self.rendered_values(id, new);
        let properties = [
            ("with", rendered(&new.instrument, |name| number::word(name))),
            ("tol", rendered(&new.tolerance, Clone::clone)),
            ("read", rendered(&new.read, |day| format!("\"{day}\""))),
        ];
        self.set(id, &values, &properties)
    }

    /// Writes a choice, looked at on `day` if that is known. What stood there told how the old word was looked at, and
    /// goes; but not where it stands on the node of another measure.
    pub fn set_choice(
        &mut self,
        id: &MeasureId,
        word: &str,
        day: Option<NaiveDate>,
    ) -> Result<(), EditError> {
        let read = day.map_or(Entry::Remove, |day| Entry::Set(format!("\"{day}\"")));
        let own: &[(&str, Entry<String>)] = match self.catalogue.measure(id.row).shape {
            Shape::Node => &[("with", Entry::Remove), ("read", read)],
            Shape::Property => &[],
        };
        self.set(id, &[number::word(word)], own)
    }

    /// Writes of a measure that it is not known. What told how its number was read goes with the number.
    ///
    /// # Errors
    /// [`EditError::WouldNotRead`] as for every edit.
    pub fn set_unmeasured(&mut self, id: &MeasureId) -> Result<(), EditError> {
        let own: &[(&str, Entry<String>)] = match self.catalogue.measure(id.row).shape {
            Shape::Node => &[("with", Entry::Remove), ("tol", Entry::Remove), ("read", Entry::Remove)],
            Shape::Property => &[],
        };
        self.set(id, &[UNMEASURED.to_owned()], own)
    }

    /// Takes a measure's node, or its property, out of the text.
    pub fn remove(&mut self, id: &MeasureId) -> Result<(), EditError> {
        let (document, address) = (self.document(), place::address(self.catalogue, id));
        let not_there = || EditError::NotThere(self.catalogue.path(id));
        let Found::Node(node) = place::find(&document, &address).ok_or_else(not_there)? else {
            return Err(not_there());
        };
        let splice = match address.property {
            None => insert::without_node(&self.text, node),
            Some(key) => {
                let property = node.property(key).ok_or_else(not_there)?;
                insert::without_entry(&self.text, property.span)
            }
        };
        self.settle(vec![splice], Touched { measures: &[id], ..Touched::default() })
    }

    fn document(&self) -> Document {
        syntax::parse(self.text.as_bytes()).0
    }

    /// The values as they will stand in the text, in the unit of the line that is there.
    fn rendered_values(&self, id: &MeasureId, new: &NewReading) -> Vec<String> {
        let old = match self.setup.recorded(id).map(|recorded| &recorded.value) {
            Some(Value::Reading(reading)) => Some((reading.unit(), reading.decimals())),
            _ => None,
        };
        let default = self.catalogue.measure(id.row).unit();
        (0..new.digits.len()).map(|index| number::one(new, index, old, default)).collect()
    }

    fn set(
        &mut self,
        id: &MeasureId,
        values: &[String],
        properties: &[(&str, Entry<String>)],
    ) -> Result<(), EditError> {
        let document = self.document();
        let address = place::address(self.catalogue, id);
        let Some(found) = place::find(&document, &address) else {
            return Err(EditError::WouldNotRead("the file holds no setup".to_owned()));
        };
        let splices = match found {
            Found::Node(node) => self.line_splices(node, &address, values, properties),
            Found::Group { root, group, depth } => {
                let line = place::written(&address, depth, values, properties);
                let after = place::predecessor(self.catalogue, &address, group, depth);
                vec![insert::node(&self.text, root, group, after, &line)]
            }
        };
        self.settle(splices, Touched { measures: &[id], ..Touched::default() })
    }

    /// Makes the change, if it reads as meant.
    fn settle(&mut self, splices: Vec<Splice>, meant: Touched) -> Result<(), EditError> {
        let text = apply(&self.text, splices).ok_or_else(|| {
            EditError::WouldNotRead("two changes fall on the same place of the text".to_owned())
        })?;
        let setup = sound(self.catalogue, &text, self.base).map_err(EditError::WouldNotRead)?;
        verify::only_touched(self.catalogue, &self.setup, &setup, meant).map_err(EditError::WouldNotRead)?;
        self.text = text;
        self.setup = setup;
        Ok(())
    }
}

fn rendered<T>(entry: &Entry<T>, write: impl Fn(&T) -> String) -> Entry<String> {
    match entry {
        Entry::Keep => Entry::Keep,
        Entry::Remove => Entry::Remove,
        Entry::Set(value) => Entry::Set(write(value)),
    }
}

/// A value without the annotation before it.
fn bare(value: &str) -> &str {
    match value.strip_prefix('(').and_then(|rest| rest.split_once(')')) {
        Some((_, bare)) => bare,
        None => value,
    }
}

/// The annotation before a value.
fn annotation(value: &str) -> Option<&str> {
    Some(value.strip_prefix('(')?.split_once(')')?.0)
}

fn over(span: Span, text: &str) -> Splice {
    Splice { start: span.start as usize, end: span.end as usize, text: text.to_owned() }
}

/// The text with the splices made; none if two of them overlap.
pub fn apply(text: &str, mut splices: Vec<Splice>) -> Option<String> {
    splices.sort_by_key(|splice| splice.start);
    let mut changed = String::with_capacity(text.len() + 64);
    let mut at = 0;
    for splice in splices {
        changed.push_str(text.get(at..splice.start)?);
        changed.push_str(&splice.text);
        at = splice.end;
    }
    changed.push_str(text.get(at..)?);
    Some(changed)
}

/// What a text without faults says; else the first fault.
fn sound(catalogue: &Catalogue, text: &str, base: Option<&Setup>) -> Result<Setup, String> {
    let result = read(catalogue, text.as_bytes(), base);
    if result.has_fault() {
        let fault =
            result.findings.iter().find(|found| found.severity == crate::catalogue::code::Severity::Fault);
        return Err(fault.map(|fault| fault.message.clone()).unwrap_or_default());
    }
    result.setup.ok_or_else(|| "It holds no setup.".to_owned())
}
