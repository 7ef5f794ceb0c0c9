//! Hands and controls carried over as measures: from the tip, and to the level.

use std::collections::BTreeSet;

use serde::Serialize;

use crate::catalogue::joint::{self, CONTROLS, Control};
use crate::catalogue::table::{FLOOR, GRIP_HAND};
use crate::catalogue::{Catalogue, Gravity, MeasureId, Row, Side};
use crate::compare::without_ground;
use crate::geometry::state::State;
use crate::metrology::show;
use crate::setup::model::{Part, Setup, Value};
use crate::setup::span::Span;
use crate::trial::{self, Slides};

use super::SHOWN;

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
    /// The first bike tells nothing of it: it stays on the other where it sits on the bar, and turns with that.
    Kept,
}

/// What becomes of a control that is on the other bike, before anybody sets it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Meanwhile {
    /// It stays where it is.
    #[default]
    Stays,
    /// It turns with the bar that it sits on.
    Turns,
    /// It turns with the brake lever whose clamp it shares, once that is set.
    TurnsWithTheLever,
    /// The bar that it sits on goes, and it comes off with that.
    ComesOff,
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
    /// What building the assembly does to it before anybody sets it.
    pub meanwhile: Meanwhile,
    /// What it then reads, angles on level ground; none where that is not known, or it comes off.
    pub then: Option<f64>,
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

/// The places and angles of controls that are set on the other bike so assembled: those that are carried, and on another
/// bar all, for whatever sits on the old one comes off. What is left goes along with the bar.
pub fn to_set(
    catalogue: &Catalogue,
    from: &Setup,
    onto: &Setup,
    is_another_bar: bool,
) -> BTreeSet<MeasureId> {
    let there = State::recorded(catalogue, from);
    let is_set = |(id, on_side): &(MeasureId, Option<OnSide>)| {
        let is_carried = there.level_value(id).is_some()
            && becomes(onto, *on_side) != Onto::NotThere
            && !has_the_levers_place(from, id)
            && !has_the_levers_place(onto, id);
        is_carried || is_another_bar
    };
    measures().filter(is_set).map(|(id, _)| id).collect()
}

/// One bike, the other, and that as it would be assembled.
#[derive(Clone, Copy)]
pub struct Between<'a> {
    /// The table.
    pub catalogue: &'a Catalogue,
    /// The bike whose hands are wanted.
    pub from: &'a Setup,
    /// The other as it is.
    pub onto: &'a Setup,
    /// The other assembled.
    pub then: &'a Setup,
    /// Whether it is then on another bar.
    pub is_another_bar: bool,
}

impl Between<'_> {
    /// Every measure that is carried over, and every one of the other bike's own that goes along or comes off.
    pub fn carried(&self) -> Vec<CarriedControl> {
        let state = |setup| State::recorded(self.catalogue, setup);
        let (there, before, after) = (state(self.from), state(self.onto), state(self.then));
        let set = to_set(self.catalogue, self.from, self.onto, self.is_another_bar);
        let slides = Slides::of(&before, &after, &set);
        let in_place =
            |id: &MeasureId| has_the_levers_place(self.from, id) || has_the_levers_place(self.onto, id);
        measures()
            .filter(|(id, _)| !in_place(id))
            .filter_map(|(id, on_side)| {
                let now = before.level_value(&id);
                let (meanwhile, along) = self.meanwhile(&id, on_side, &slides);
                let carried = there.level_value(&id).map(|value| (value, becomes(self.onto, on_side)));
                let kept = || Some((after.level_value(&id)?, Onto::Kept));
                let (value, onto) = carried.or_else(|| kept().filter(|_| meanwhile != Meanwhile::Stays))?;
                Some(CarriedControl {
                    measure: self.catalogue.path(&id),
                    title: self.catalogue.title(&id),
                    value,
                    unit: self.catalogue.measure(id.row).unit().word(),
                    now,
                    onto,
                    meanwhile,
                    then: now.zip(along).map(|(now, along)| now + along),
                })
            })
            .collect()
    }

    /// What building does to it, and by how much; by how much is not known of what comes off.
    fn meanwhile(
        &self,
        id: &MeasureId,
        on_side: Option<OnSide>,
        slides: &Slides,
    ) -> (Meanwhile, Option<f64>) {
        let stays = (Meanwhile::Stays, Some(0.0));
        let Some((side, control)) = on_side.filter(|on_side| self.onto.has_part(&part(*on_side))) else {
            return stays;
        };
        if self.is_another_bar {
            return (Meanwhile::ComesOff, None);
        }
        if id.row != control.angle {
            return stays;
        }
        let along = slides.turns_along(side, control);
        let turns =
            if self.onto.is_shared(side, control) { Meanwhile::TurnsWithTheLever } else { Meanwhile::Turns };
        if along.is_some_and(|along| along.abs() < SHOWN) { stays } else { (turns, along) }
    }
}

/// The places of controls that are not carried, for on one of the bikes the control sits on the brake lever's clamp and has
/// none of its own; none if there are no such.
pub fn places_not_carried(catalogue: &Catalogue, from: &Setup, onto: &Setup) -> Option<String> {
    let (there, here) = (State::recorded(catalogue, from), State::recorded(catalogue, onto));
    let each = measures().filter_map(|(id, on_side)| {
        let (side, control) = on_side.filter(|on_side| onto.has_part(&part(*on_side)))?;
        if id.row != control.from_tip || from.is_shared(side, control) == onto.is_shared(side, control) {
            return None;
        }
        let title = catalogue.title(&id);
        let place = |state: &State| state.value(&id).map(|value| format!("{} mm", show::brief(value)));
        if onto.is_shared(side, control) {
            let was = place(&there)?;
            return Some(format!(
                "{title} ({was} on {}, on the lever's clamp on {})",
                from.name.value, onto.name.value
            ));
        }
        let is = place(&here)?;
        from.has_part(&part((side, control))).then(|| {
            format!("{title} (on the lever's clamp on {}, {is} on {})", from.name.value, onto.name.value)
        })
    });
    let each: Vec<String> = each.collect();
    (!each.is_empty()).then(|| {
        format!(
            "Not carried, for there is no such place on both bikes: {}. Each goes where its clamp lets it.",
            each.join("; ")
        )
    })
}

/// The angles against gravity of either bike that rest on a slope of the ground which its file does not tell, by their
/// titles: to the level they are only where that is level.
pub fn floor_not_read(
    catalogue: &Catalogue,
    from: &Setup,
    onto: &Setup,
    controls: &[CarriedControl],
) -> Vec<String> {
    let of = |setup: &Setup| {
        let angles = controls.iter().filter_map(|control| catalogue.find(&control.measure));
        let read = without_ground(&State::recorded(catalogue, setup), angles);
        let of = |id: &MeasureId| format!("{} of {}", catalogue.title(id), setup.name.value);
        read.iter().map(of).collect::<Vec<_>>()
    };
    let is_one = from.name.value == onto.name.value;
    of(from).into_iter().chain(if is_one { Vec::new() } else { of(onto) }).collect()
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

/// Says that the angles of controls which go along with a bar are not known any more, for nobody knows from where that is
/// rolled.
pub fn put_turned_unmeasured(setup: &mut Setup, set: &BTreeSet<MeasureId>) {
    let along: Vec<MeasureId> = measures().map(|(id, _)| id).filter(|id| !set.contains(id)).collect();
    let is_angle = |id: &&MeasureId| joint::is_control_angle(id.row) && setup.reading(id).is_some();
    let angles: Vec<MeasureId> = along.iter().filter(is_angle).cloned().collect();
    for id in angles {
        trial::put(setup, &id, Value::Unmeasured);
    }
}
