//! Values that nobody has measured yet, written where readings stood: what is tried on paper, or carried over from
//! another bike.
//!
//! Honest is what says no more than is known. A planned value stands bare: the `tol`, `with` and `read` of the reading
//! it replaces told how and when that was taken, and go. So it counts with the table's own tolerance, as what a person
//! sets it to will. Where several values share a node (a lowest point's three), what stands on the node stays unless
//! all of them are replaced, for it tells of the others, too. A day that a group gives all its readings goes down to
//! those that are not replaced. The file's `measured` date stays: it is that of every other reading. That the new values
//! were not taken that day no property can say; a note says it.
//!
//! Refuses to know what plans them.

use std::collections::BTreeSet;

use crate::catalogue::{MeasureId, word};
use crate::metrology::reading::Reading;

use super::super::model::{Setup, Value};
use super::super::syntax::Node;
use super::place::{self, Address};
use super::verify::{self, Touched};
use super::{Edit, EditError, Entry, NewReading, Splice, apply, insert, number, sound};

impl Edit<'_> {
    /// Writes the values of `differing` as `planned` has them, without where a reading came from.
    ///
    /// # Errors
    /// [`EditError::NotThere`] if `planned` holds no value for one of them, [`EditError::WouldNotRead`] if the text
    /// would not say what was planned. What was written before the error stays: the caller throws the text away.
    pub fn plan(&mut self, planned: &Setup, differing: &[MeasureId]) -> Result<(), EditError> {
        self.hand_days_down(differing)?;
        for id in differing {
            let path = || self.catalogue.path(id);
            let value =
                planned.recorded(id).map(|one| &one.value).ok_or_else(|| EditError::NotThere(path()))?;
            match value {
                Value::Choice(word) => self.set_choice(id, word, None)?,
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

    /// Writes where the lines are drawn as `planned` has it: what sits on a bar that is rolled goes along with it, and
    /// the line across its clamp as well, once it says at which roll it was drawn. The day on which it was drawn stays.
    ///
    /// # Errors
    /// [`EditError::NoSuchMark`], [`EditError::WouldNotRead`].
    pub fn plan_lines(&mut self, planned: &Setup) -> Result<(), EditError> {
        for mark in &planned.marks {
            let name = &mark.name.value;
            let now = self.setup.mark(name);
            let is_there = |id: &MeasureId, value: &Value| {
                let was = now.and_then(|now| now.drawn.iter().find(|(drawn, _)| drawn == id));
                was.is_some_and(|(_, recorded)| recorded.value == *value)
            };
            let otherwise = mark.drawn.iter().filter(|(id, recorded)| !is_there(id, &recorded.value));
            let positions: Vec<(MeasureId, NewReading)> = otherwise
                .filter_map(|(id, recorded)| match &recorded.value {
                    Value::Reading(reading) => Some((id.clone(), as_typed(reading))),
                    Value::Choice(_) | Value::Unmeasured => None,
                })
                .collect();
            let says_its_roll = now.is_some_and(|now| now.roll.is_some());
            if !positions.is_empty() {
                self.set_mark_drawn(name, &positions, &[], None)?;
            }
            match mark.roll.as_ref().map(|roll| &roll.value) {
                Some(Value::Reading(roll)) if !says_its_roll => {
                    self.set_mark_roll(name, &NewReading::as_recorded(roll))?;
                }
                _ => {}
            }
        }
        Ok(())
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
        let new = as_typed(reading);
        let value = |index| match number::one(&new, index, None, new.unit) {
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

    /// Puts a caution of its own at the end of a joint's torque: what is planned may void what stands there.
    ///
    /// # Errors
    /// [`EditError::NoSuchTorque`], [`EditError::WouldNotRead`].
    pub fn add_caution(&mut self, joint: &str, words: &str) -> Result<(), EditError> {
        let document = self.document();
        let no_such = || EditError::NoSuchTorque(joint.to_owned());
        let root = place::root(&document).ok_or_else(no_such)?;
        let torques = root.children.iter();
        let node = torques.clone().find(|node| place::is_named(node, "torque", joint)).ok_or_else(no_such)?;
        let line = format!("caution {}", number::quoted(words));
        let splice = insert::node(&self.text, root, node, node.children.last(), &line);
        let text = apply(&self.text, vec![splice]).ok_or_else(no_such)?;
        let setup = sound(self.catalogue, &text, self.base).map_err(EditError::WouldNotRead)?;
        // But for the caution, all has to read as it did.
        let mut without = setup.clone();
        let torque = without.torques.iter_mut().find(|torque| torque.joint.value == joint);
        let added = torque.and_then(|torque| torque.cautions.pop());
        if added.is_none_or(|added| added.value != words) {
            return Err(EditError::WouldNotRead("the caution would not read as meant.".to_owned()));
        }
        verify::only_touched(self.catalogue, &self.setup, &without, Touched::default())
            .map_err(EditError::WouldNotRead)?;
        (self.text, self.setup) = (text, setup);
        Ok(())
    }

    /// Where a group's `read` would date a planned value, puts the day on each of the group's other lines instead.
    fn hand_days_down(&mut self, planned: &[MeasureId]) -> Result<(), EditError> {
        let document = self.document();
        let Some(root) = place::root(&document) else { return Ok(()) };
        let mut ways = Ways::default();
        for id in planned {
            ways.lead_to(root, &place::address(self.catalogue, id), self.stands_alone(id, planned));
        }
        let mut splices = Vec::new();
        for group in &root.children {
            self.hand_down(group, None, &ways, &mut splices);
        }
        let touched: Vec<&MeasureId> = planned.iter().collect();
        self.settle(splices, Touched { measures: &touched, ..Touched::default() })
    }

    fn hand_down(&self, node: &Node, day: Option<&str>, ways: &Ways, splices: &mut Vec<Splice>) {
        let own = node.property("read");
        if ways.ends.contains(&node.span.start) {
            return;
        }
        if !ways.groups.contains(&node.span.start) {
            if let Some(day) = day.filter(|_| own.is_none() && &*node.name != word::NOTE.name) {
                splices.push(Splice::at(insert::entries_end(node), format!(" read={day}")));
            }
            return;
        }
        splices.extend(own.map(|own| insert::without_entry(&self.text, own.span)));
        let day = own.map(|own| own.value_span.text(&self.text)).or(day);
        for child in &node.children {
            self.hand_down(child, day, ways, splices);
        }
    }
}

/// A reading's very digits in its own unit.
fn as_typed(reading: &Reading) -> NewReading {
    NewReading {
        digits: reading.digits().iter().map(ToString::to_string).collect(),
        ..NewReading::number("", reading.unit(), 0.0)
    }
}

/// The groups on the way to what is planned, and the lines that are replaced, by where they start.
#[derive(Default)]
struct Ways {
    groups: BTreeSet<u32>,
    ends: BTreeSet<u32>,
}

impl Ways {
    /// Adds the way to one address, whose line is replaced as a whole if it stands `alone`.
    fn lead_to(&mut self, root: &Node, address: &Address, alone: bool) {
        let mut at = root;
        for (depth, step) in address.steps.iter().enumerate() {
            let Some(next) = place::child(at, step) else { return };
            let is_line = depth + 1 == address.steps.len();
            match (is_line, alone) {
                (false, _) => self.groups.insert(next.span.start),
                (true, true) => self.ends.insert(next.span.start),
                // It keeps the day that it has.
                (true, false) => false,
            };
            at = next;
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
            is.values() == wanted.values() && is.unit() == wanted.unit()
        }
        (is, wanted) => is == wanted,
    }
}
