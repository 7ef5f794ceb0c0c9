//! Hands and controls carried over as measures: from the tip, and to the level.

use serde::Serialize;

use crate::catalogue::joint::CONTROLS;
use crate::catalogue::table::{FLOOR, GRIP_HAND};
use crate::catalogue::{Catalogue, Gravity, MeasureId, Row, Side};
use crate::geometry::state::State;
use crate::setup::model::{Setup, Value};
use crate::trial;

/// What becomes of one measure on the other bike.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Onto {
    /// It is set there.
    Set,
    /// The other bike has no such control.
    NotThere,
}

/// One measure carried over.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct CarriedControl {
    /// Its written path.
    pub measure: String,
    /// In plain words.
    pub title: String,
    /// Its value, angles on level ground.
    pub value: f64,
    /// Its unit.
    pub unit: &'static str,
    /// What the other bike has now, angles on level ground.
    pub now: Option<f64>,
    /// What becomes of it there.
    pub onto: Onto,
}

/// The measures that are carried over, both sides, hands first; with the control each belongs to.
fn measures() -> impl Iterator<Item = (MeasureId, Option<String>)> {
    let hands = Side::BOTH.into_iter().map(|side| (MeasureId::of(GRIP_HAND, side), None));
    let controls = CONTROLS.iter().flat_map(|control| {
        Side::BOTH.into_iter().flat_map(move |side| {
            let part = format!("{side}.{}", control.name);
            [control.from_tip, control.angle].map(|row| (MeasureId::of(row, side), Some(part.clone())))
        })
    });
    hands.chain(controls)
}

/// Whether it is the place of a control that sits on the brake lever's clamp, and so has none of its own.
fn has_the_levers_place(setup: &Setup, id: &MeasureId) -> bool {
    let control = CONTROLS.iter().find(|control| control.from_tip == id.row);
    control.zip(id.subject.side).is_some_and(|(control, side)| setup.is_shared(side, control))
}

/// Every measure that is carried over.
pub fn carried(catalogue: &Catalogue, from: &Setup, onto: &Setup) -> Vec<CarriedControl> {
    let (there, here) = (State::recorded(catalogue, from), State::recorded(catalogue, onto));
    measures()
        .filter(|(id, _)| !has_the_levers_place(from, id) && !has_the_levers_place(onto, id))
        .filter_map(|(id, part)| {
            let is_there = part.is_none_or(|part| onto.has_part(&part));
            Some(CarriedControl {
                measure: catalogue.path(&id),
                title: catalogue.title(&id),
                value: there.level_value(&id)?,
                unit: catalogue.measure(id.row).unit().word(),
                now: here.level_value(&id),
                onto: if is_there { Onto::Set } else { Onto::NotThere },
            })
        })
        .collect()
}

/// Puts the hands and controls of one bike onto another, as its own gauge would read them on its own floor.
pub fn put_onto(catalogue: &Catalogue, from: &Setup, onto: &mut Setup) {
    let state = State::recorded(catalogue, from);
    let floor = onto.value(&MeasureId::bike(FLOOR)).unwrap_or(0.0);
    for (id, part) in measures() {
        let Some(level) = state.level_value(&id) else { continue };
        let is_there = part.is_none_or(|part| onto.has_part(&part));
        if !is_there || has_the_levers_place(from, &id) || has_the_levers_place(onto, &id) {
            continue;
        }
        let read = match catalogue.measure(id.row).gravity {
            Gravity::TipDown => level - floor,
            Gravity::NoseUp => level + floor,
            Gravity::None => level,
        };
        put(catalogue, onto, &id, read);
    }
}

/// A figure in the place of a reading: as fine as the measure is usually read. One that is there already stays.
pub fn put(catalogue: &Catalogue, setup: &mut Setup, id: &MeasureId, value: f64) {
    let tolerance = catalogue.measure(id.row).tolerance();
    if let Some(reading) = trial::worked_out(catalogue, setup, id, value, tolerance) {
        // What stands there to a billionth was reckoned back to itself.
        let is_there = |was: f64| (was - value).abs() < 1e-9 || (was - reading.value()).abs() < 1e-9;
        if setup.value(id).is_some_and(is_there) {
            return;
        }
        trial::put(setup, id, Value::Reading(reading));
    }
}

/// Says that a measure is not known any more.
pub fn put_unmeasured(setup: &mut Setup, row: Row) {
    trial::put(setup, &MeasureId::bike(row), Value::Unmeasured);
}
