//! What goes along when the bar is rolled or twisted or a lever is moved: the controls' angles and the roll at which their
//! marks were drawn, their lowest points and where their hoses leave.
//!
//! Where a point goes is `geometry::rigid`'s to say.

use std::collections::BTreeSet;

use crate::catalogue::joint::{CONTROLS, Control};
use crate::catalogue::table::{HOSE_LEAVES_AHEAD, HOSE_LEAVES_FROM_TIP, HOSE_LEAVES_UP};
use crate::catalogue::{Catalogue, MeasureId, Side, Subject};
use crate::check::lines;
use crate::geometry::rigid::{Frame, Offsets, Slide, carry};
use crate::geometry::state::State;
use crate::setup::hoses::hoses_on;
use crate::setup::model::{Setup, Value};

use super::change::{put, worked_out};
use super::slides::{ROUNDING, Slides};

/// Takes along, in `new`, what sits on the bar and was not itself asked for. Gives the measures that changed, or
/// nothing when the bar's shape is not known.
pub fn take_along(
    catalogue: &Catalogue,
    old: &Setup,
    new: &mut Setup,
    asked: &BTreeSet<MeasureId>,
) -> Option<Vec<MeasureId>> {
    let before = State::recorded(catalogue, old);
    let after_setup = new.clone();
    let after = State::recorded(catalogue, &after_setup);
    let slides = Slides::of(&before, &after, asked);
    let mut carrying = Carrying { before: &before, slides, asked, new, moved: Vec::new() };
    let mut known = true;
    for side in Side::BOTH {
        let frames = Frame::of(&before, side).zip(Frame::of(&after, side));
        known &= frames.is_some();
        for control in CONTROLS.iter().filter(|control| old.has_part(&format!("{side}.{}", control.name))) {
            let slide = carrying.slides.slide(side, control);
            carrying.angle(side, control, slide);
            if let Some((old, new)) = frames {
                carrying.points(side, control, |read| carry((&old, &new), side, slide, read));
            }
        }
        if let Some((old_frame, new_frame)) = frames {
            for on in hoses_on(old).into_iter().filter(|on| on.side == side) {
                let slide =
                    on.control.map_or(Slide::default(), |control| carrying.slides.slide(side, control));
                carrying.hose(&on.hose, |read| carry((&old_frame, &new_frame), side, slide, read));
            }
        }
    }
    carrying.lines();
    let moved = carrying.moved;
    known.then_some(moved)
}

/// The hoses that may leave a control that was moved, and of which nobody knows: where they leave was not changed.
pub fn left_where_they_are(setup: &Setup, asked: &BTreeSet<MeasureId>) -> Option<String> {
    let is_moved = |side: Side| {
        let of_it = |control: &Control| {
            asked.contains(&MeasureId::of(control.from_tip, side))
                || asked.contains(&MeasureId::of(control.angle, side))
        };
        CONTROLS.iter().any(of_it)
    };
    let unknown = hoses_on(setup).into_iter().filter(|on| on.control.is_none() && is_moved(on.side));
    let names: Vec<String> = unknown.map(|on| format!("`{}`", on.hose)).collect();
    if names.is_empty() {
        return None;
    }
    let words: Vec<&str> = CONTROLS.iter().flat_map(|control| control.hose_words).copied().collect();
    Some(format!(
        "Which control the hose {} leaves is not known, so its end was left where it is. A hose goes along with the \
         control that its name names: {}.",
        names.join(", "),
        words.join(", ")
    ))
}

struct Carrying<'s, 'a> {
    before: &'s State<'a>,
    slides: Slides<'s, 'a>,
    asked: &'s BTreeSet<MeasureId>,
    new: &'s mut Setup,
    moved: Vec<MeasureId>,
}

impl Carrying<'_, '_> {
    fn angle(&mut self, side: Side, control: &Control, slide: Slide) {
        let id = MeasureId::of(control.angle, side);
        if let Some(was) = self.before.value(&id) {
            self.set(&id, was + slide.tipped + self.slides.rolled());
        }
    }

    /// A line between bar and clamp turns with the bar, and stands for what it stood for, once it says at which roll it was
    /// drawn.
    fn lines(&mut self) {
        if self.slides.rolled().abs() < ROUNDING {
            return;
        }
        for mark in self.new.marks.iter_mut() {
            let known = lines::with_its_roll(self.before.catalogue(), self.before.setup(), mark);
            mark.roll = known.and_then(|known| known.roll);
        }
    }

    fn points(&mut self, side: Side, control: &Control, carry: impl Fn(Offsets) -> Option<Offsets>) {
        let [from_tip, drop, ahead] = control.lowest;
        let ordinals: BTreeSet<u16> = self
            .before
            .setup()
            .readings
            .keys()
            .filter(|id| id.row == from_tip && id.subject.side == Some(side))
            .map(|id| id.subject.ordinal)
            .collect();
        for ordinal in ordinals {
            let subject = Subject::side(side).numbered(ordinal);
            let ids = [from_tip, ahead, drop].map(|row| MeasureId { row, subject: subject.clone() });
            self.point(&ids, -1.0, &carry);
        }
    }

    fn hose(&mut self, name: &str, carry: impl Fn(Offsets) -> Option<Offsets>) {
        let ids = [HOSE_LEAVES_FROM_TIP, HOSE_LEAVES_AHEAD, HOSE_LEAVES_UP]
            .map(|row| MeasureId { row, subject: Subject::named(name) });
        self.point(&ids, 1.0, &carry);
    }

    /// Carries one point; `up` is −1 where its third reading counts downwards.
    fn point(&mut self, ids: &[MeasureId; 3], up: f64, carry: &impl Fn(Offsets) -> Option<Offsets>) {
        if ids.iter().any(|id| self.asked.contains(id)) {
            return;
        }
        let [Some(from_tip), Some(ahead), Some(third)] = ids.each_ref().map(|id| self.before.value(id))
        else {
            return;
        };
        let Some(now) = carry(Offsets { from_tip, ahead, up: third * up }) else { return };
        for (id, value) in ids.iter().zip([now.from_tip, now.ahead, now.up * up]) {
            self.set(id, value);
        }
    }

    /// Sets a measure that went along; how finely it was read stays with it.
    fn set(&mut self, id: &MeasureId, value: f64) {
        let Some(was) = self.before.setup().reading(id) else { return };
        if self.asked.contains(id) || (value - was.value()).abs() < ROUNDING {
            return;
        }
        let setup = self.before.setup();
        if let Some(reading) = worked_out(self.before.catalogue(), setup, id, value, was.half_width()) {
            put(self.new, id, Value::Reading(reading));
            self.moved.push(id.clone());
        }
    }
}
