//! Hands and controls carried over as measures: from the tip, and to the level.

use serde::Serialize;

use crate::catalogue::joint::{CONTROLS, Control};
use crate::catalogue::table::{FLOOR, GRIP_HAND};
use crate::catalogue::{Catalogue, Gravity, MeasureId, Row, Side};
use crate::geometry::state::State;
use crate::setup::model::{Part, Setup, Value};
use crate::setup::span::Span;
use crate::trial;

/// What becomes of one measure on the other bike.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Onto {
    /// It is set there.
    Set,
    /// The other bike's file has no such control and the bike has: it is written as carried, and is no reading.
    Added,
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

impl CarriedControl {
    /// Whether it is where a hand holds the bar.
    pub fn is_a_hand(&self) -> bool {
        Catalogue::standard().find(&self.measure).is_some_and(|id| id.row == GRIP_HAND)
    }
}

/// A control on a side.
type OnSide = (Side, &'static Control);

/// The measures that are carried over, both sides, hands first; with the control each belongs to.
fn measures() -> impl Iterator<Item = (MeasureId, Option<OnSide>)> {
    let hands = Side::BOTH.into_iter().map(|side| (MeasureId::of(GRIP_HAND, side), None));
    let controls = CONTROLS.iter().flat_map(|control| {
        Side::BOTH.into_iter().flat_map(move |side| {
            [control.from_tip, control.angle].map(|row| (MeasureId::of(row, side), Some((side, control))))
        })
    });
    hands.chain(controls)
}

/// Whether it is the place of a control that sits on the brake lever's clamp, and so has none of its own.
fn has_the_levers_place(setup: &Setup, id: &MeasureId) -> bool {
    let control = CONTROLS.iter().find(|control| control.from_tip == id.row);
    control.zip(id.subject.side).is_some_and(|(control, side)| setup.is_shared(side, control))
}

fn part((side, control): OnSide) -> String {
    format!("{side}.{}", control.name)
}

/// What becomes of a control. Brake levers every bike has, written or not; of the others a file that tells of none is
/// taken not to have got so far, and one that tells of some to tell of all.
fn becomes(onto: &Setup, on_side: Option<OnSide>) -> Onto {
    let Some((side, control)) = on_side else { return Onto::Set };
    let brakes = |(_, control): OnSide| control.mount.is_none();
    if onto.has_part(&part((side, control))) {
        Onto::Set
    } else if brakes((side, control)) || onto.controls().next().is_none() {
        Onto::Added
    } else {
        Onto::NotThere
    }
}

/// Every measure that is carried over.
pub fn carried(catalogue: &Catalogue, from: &Setup, onto: &Setup) -> Vec<CarriedControl> {
    let (there, here) = (State::recorded(catalogue, from), State::recorded(catalogue, onto));
    measures()
        .filter(|(id, _)| !has_the_levers_place(from, id) && !has_the_levers_place(onto, id))
        .filter_map(|(id, on_side)| {
            Some(CarriedControl {
                measure: catalogue.path(&id),
                title: catalogue.title(&id),
                value: there.level_value(&id)?,
                unit: catalogue.measure(id.row).unit().word(),
                now: here.level_value(&id),
                onto: becomes(onto, on_side),
            })
        })
        .collect()
}

/// Puts the hands and controls of one bike onto another, as its own gauge would read them on its own floor.
pub fn put_onto(catalogue: &Catalogue, from: &Setup, onto: &mut Setup) {
    let state = State::recorded(catalogue, from);
    let as_it_is = onto.clone();
    let floor = onto.value(&MeasureId::bike(FLOOR)).unwrap_or(0.0);
    for (id, on_side) in measures() {
        let Some(level) = state.level_value(&id) else { continue };
        match (becomes(&as_it_is, on_side), on_side) {
            (Onto::NotThere, _) => continue,
            (Onto::Added, Some(on_side)) => add(from, onto, on_side),
            _ => {}
        }
        if has_the_levers_place(from, &id) || has_the_levers_place(onto, &id) {
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

/// Gives a bike a control of the first as one that is there, on a clamp of its own or on the lever's as there.
fn add(from: &Setup, onto: &mut Setup, (side, control): OnSide) {
    let path = part((side, control));
    if onto.has_part(&path) {
        return;
    }
    onto.parts.push(Part { path, span: Span::default() });
    for row in [control.mount, control.slot].into_iter().flatten() {
        let id = MeasureId::of(row, side);
        if let Some(word) = from.choice(&id) {
            trial::put(onto, &id, Value::Choice(word));
        }
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
