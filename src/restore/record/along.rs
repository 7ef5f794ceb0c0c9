//! The points that go along with a control that was turned or slid, or with the bar under it, and that nobody read again: its
//! lowest points, and where its hoses leave.
//!
//! It is the rule by which `try` takes them along (`geometry::rigid`), asked of what was found in place of what is wished.
//! Each point is worked out of the turn that was found, and so as uncertain as that. A stem found out of square is left out: it
//! is to be squared, a few degrees of it hardly change what a ruler reads of a point, and each would be as uncertain.

use std::collections::BTreeSet;

use crate::catalogue::joint::{CONTROLS, Control};
use crate::catalogue::table::{BAR_ROLL, HOSE_LEAVES_AHEAD, HOSE_LEAVES_FROM_TIP, HOSE_LEAVES_UP};
use crate::catalogue::{MeasureId, Side, Subject};
use crate::compare;
use crate::geometry::Number;
use crate::geometry::rigid::{Frame, Offsets, Slide, carry};
use crate::geometry::state::{Layer, State, Turns};
use crate::metrology::NEGLIGIBLE;
use crate::metrology::propagate::{Input, Inputs, Model, propagate};
use crate::metrology::reading::Reading;
use crate::metrology::show;
use crate::metrology::unit::Unit;
use crate::setup::hoses::hoses_on;
use crate::setup::model::{Setup, Value};
use crate::trial;

use super::carried::difference;

/// By how much the points of what was found to have `moved` read otherwise than recorded. `found` tells every angle against
/// gravity, also where the bar took the control along. On a bar that was cut the saw tells the places along it.
pub(super) fn points(found: &State, moved: &[MeasureId], is_cut: bool) -> Turns {
    let recorded = State::recorded(found.catalogue(), found.setup());
    let is_rolled = moved.contains(&MeasureId::bike(BAR_ROLL));
    let along = Along { found, recorded, moved, is_rolled };
    let after = if is_rolled { rolled(found) } else { None };
    let mut turns = Turns::new();
    for side in Side::BOTH {
        let Some(old) = Frame::of(&recorded, side) else { continue };
        let new = after.as_ref().and_then(|bar| Frame::of(&State::recorded(found.catalogue(), bar), side));
        let new = new.unwrap_or(old);
        let mut take = |ids: [MeasureId; 3], up: f64, slid: Slid| {
            let course = Course { frames: (&old, &new), side, up };
            turns.extend(along.point(&course, &ids, slid).into_iter().flatten());
        };
        for (_, control) in found.setup().controls().filter(|(on, _)| *on == side) {
            let Some(slid) = along.slid(side, control) else { continue };
            for ids in lowest(found, side, control) {
                take(ids, -1.0, slid);
            }
        }
        for on in hoses_on(found.setup()).into_iter().filter(|on| on.side == side) {
            let slid = match on.control {
                Some(control) => along.slid(side, control),
                None => is_rolled.then(Slid::default),
            };
            let Some(slid) = slid else { continue };
            let rows = [HOSE_LEAVES_FROM_TIP, HOSE_LEAVES_AHEAD, HOSE_LEAVES_UP];
            take(rows.map(|row| MeasureId { row, subject: Subject::named(&on.hose) }), 1.0, slid);
        }
    }
    if is_cut {
        turns.retain(|id, _| !compare::is_from_the_end(id.row));
    }
    turns
}

/// The setup with its bar rolled as found, and nothing else of it moved.
fn rolled(found: &State) -> Option<Setup> {
    let roll = MeasureId::bike(BAR_ROLL);
    let mut setup = found.setup().clone();
    let reading = trial::worked_out(found.catalogue(), &setup, &roll, found.value(&roll)?, 0.0)?;
    trial::put(&mut setup, &roll, Value::Reading(reading));
    Some(setup)
}

/// How a control was found to have moved on the bar, and the half-width of both.
#[derive(Clone, Copy, Default)]
struct Slid {
    by: Slide,
    doubt: Slide,
}

struct Along<'s, 'a> {
    found: &'s State<'a>,
    recorded: State<'a>,
    moved: &'s [MeasureId],
    is_rolled: bool,
}

impl Along<'_, '_> {
    /// None where a control stands as recorded, or nobody knows how.
    fn slid(&self, side: Side, control: &Control) -> Option<Slid> {
        let lever = CONTROLS.first().filter(|_| self.found.setup().is_shared(side, control));
        let [place, angle] = [control.from_tip, control.angle].map(|row| {
            let own = MeasureId::of(row, side);
            let of_lever = |lever: &Control| if row == control.angle { lever.angle } else { lever.from_tip };
            let with_lever = lever.map(|lever| MeasureId::of(of_lever(lever), side));
            if self.is_told(&own) { Some(own) } else { with_lever.filter(|id| self.is_told(id)) }
        });
        // Nobody knows how a control that was not looked at stands on a bar that was rolled.
        if angle.is_none() && (self.is_rolled || place.is_none()) {
            return None;
        }
        let of = |id: Option<MeasureId>| id.map_or(Some((0.0, 0.0)), |id| told(self.found, &id));
        let ((inboard, inboard_doubt), (turned, tipped_doubt)) = (of(place)?, of(angle)?);
        let rolled = if self.is_rolled { told(self.found, &MeasureId::bike(BAR_ROLL))?.0 } else { 0.0 };
        Some(Slid {
            by: Slide { inboard, tipped: turned - rolled },
            doubt: Slide { inboard: inboard_doubt, tipped: tipped_doubt },
        })
    }

    fn is_told(&self, id: &MeasureId) -> bool {
        self.moved.contains(id) || self.is_rolled && self.found.layer(id) == Layer::Turn
    }

    /// What one point reads otherwise; none of one that somebody read, or of which the file does not know all.
    fn point(&self, course: &Course, ids: &[MeasureId; 3], slid: Slid) -> Option<[(MeasureId, Reading); 3]> {
        if ids.iter().any(|id| self.found.layer(id) == Layer::Found) {
            return None;
        }
        let read = ids.each_ref().map(|id| self.recorded.number(id));
        let [Some(from_tip), Some(ahead), Some(third)] = read else { return None };
        let exactly = [from_tip, ahead, third].map(|reading| (reading.value(), reading.half_width()));
        let slides = [(slid.by.tipped, slid.doubt.tipped), (slid.by.inboard, slid.doubt.inboard)];
        let inputs = exactly.into_iter().chain(slides);
        let inputs = inputs.map(|(value, half_width)| Input::rectangular(value, half_width)).collect();
        let carried = propagate(course, &Inputs::independent(inputs));
        let outputs = [carried.output(0)?, carried.output(1)?, carried.output(2)?];
        if outputs.iter().all(|output| output.value.abs() < NEGLIGIBLE) {
            return None;
        }
        // They stand on one node, whose tolerance holds for all three.
        let widest = outputs.iter().map(|output| output.standard_uncertainty).fold(0.0, f64::max);
        let by = |output: f64| {
            let digits = show::plain(output, 3);
            Reading::new([output], [digits], Unit::Millimetre, Unit::Millimetre, widest * 3f64.sqrt())
        };
        let [one, two, three] = outputs.map(|output| by(output.value));
        let [first, second, last] = ids.clone();
        Some([(first, one?), (second, two?), (last, three?)])
    }
}

/// By how much a measure differs, and the half-width of that.
fn told(found: &State, id: &MeasureId) -> Option<(f64, f64)> {
    difference(found, id).map(|turn| (turn.degrees, turn.half_width))
}

/// Where a point goes, and so by how much each of its three figures changes: of its figures, the turn and the slide.
struct Course<'f> {
    frames: (&'f Frame, &'f Frame),
    side: Side,
    /// −1 where the third figure counts downwards.
    up: f64,
}

impl Model for Course<'_> {
    fn evaluate<N: Number>(&self, inputs: &[N]) -> Vec<Option<N>> {
        let &[from_tip, ahead, third, tipped, inboard] = inputs else { return vec![None; 3] };
        let read = Offsets { from_tip, ahead, up: third * self.up };
        match carry(self.frames, self.side, Slide { inboard, tipped }, read) {
            Some(now) => {
                [now.from_tip - from_tip, now.ahead - ahead, now.up * self.up - third].map(Some).to_vec()
            }
            None => vec![None; 3],
        }
    }
}

/// The lowest points of a control: along the bar, ahead of it, below it.
fn lowest(found: &State, side: Side, control: &Control) -> Vec<[MeasureId; 3]> {
    let [from_tip, drop, ahead] = control.lowest;
    let is_here = |id: &&MeasureId| id.row == from_tip && id.subject.side == Some(side);
    let readings = found.setup().readings.keys().filter(is_here);
    let ordinals: BTreeSet<u16> = readings.map(|id| id.subject.ordinal).collect();
    let ids = |ordinal| {
        let subject = Subject::side(side).numbered(ordinal);
        [from_tip, ahead, drop].map(|row| MeasureId { row, subject: subject.clone() })
    };
    ordinals.into_iter().map(ids).collect()
}
