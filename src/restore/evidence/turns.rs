//! What a line across a joint tells in degrees and millimetres.

use std::f64::consts::PI;

use crate::catalogue::joint::CONTROLS;
use crate::catalogue::table::{
    BAR_CLAMP_DIAMETER, BAR_GRIP_DIAMETER, BAR_OFFSET, BAR_ROLL, GRIP_HAND, STEERER_DIAMETER, STEM_TWIST,
};
use crate::catalogue::{MeasureId, Row, Side};
use crate::geometry::state::State;
use crate::metrology::reading::Reading;
use crate::metrology::show;
use crate::metrology::unit::Unit;
use crate::setup::model::{Mark, Setup};

use super::{LINE_WIDTH, MarkReport};

/// The rotation that a joint's mark tells, and the diameter its line lies on.
pub(super) fn rotation(joint: &str) -> Option<(MeasureId, MeasureId)> {
    let bike = |turn: Row, diameter: Row| (MeasureId::bike(turn), MeasureId::bike(diameter));
    match joint {
        "stem-steerer" => return Some(bike(STEM_TWIST, STEERER_DIAMETER)),
        "stem-face" => return Some(bike(BAR_ROLL, BAR_CLAMP_DIAMETER)),
        _ => {}
    }
    let (side, part) = joint.split_once('.')?;
    let side = Side::parse(side)?;
    let control = CONTROLS.iter().find(|control| control.name == part)?;
    Some((MeasureId::of(control.angle, side), MeasureId::bike(BAR_GRIP_DIAMETER)))
}

/// Whether a line across the joint shows a shift of this measure: places along the bar.
fn shows_shift(id: &MeasureId) -> bool {
    let along = [BAR_OFFSET, GRIP_HAND];
    along.contains(&id.row) || CONTROLS.iter().any(|control| control.from_tip == id.row)
}

/// Whether a line across the joint shows where this measure stands: its turn, and its shift along the bar.
pub fn shows(joint: &str, id: &MeasureId) -> bool {
    rotation(joint).is_some_and(|(angle, _)| angle == *id) || shows_shift(id)
}

/// Degrees for each millimetre on a circle of that diameter: 360/(π·D).
fn degrees_per_millimetre(diameter: f64) -> f64 {
    360.0 / (PI * diameter)
}

/// A turn of so many millimetres on a diameter that is itself a reading; the half-widths of the line and of the
/// diameter are put together in quadrature, as the rectangular distributions they stand for.
fn turn(apart: f64, width: f64, diameter: &Reading) -> Option<Reading> {
    let scale = degrees_per_millimetre(diameter.value());
    let degrees = apart * scale;
    let half_width = (width * scale).hypot(degrees * diameter.half_width() / diameter.value());
    reading(degrees, Unit::Degree, half_width)
}

fn reading(value: f64, unit: Unit, half_width: f64) -> Option<Reading> {
    Reading::new(vec![value], vec![show::plain(value, 1)], unit, unit, half_width)
}

/// The diameter as recorded, or as the table has it where absent.
fn diameter(state: &State, id: &MeasureId) -> Option<Reading> {
    if let Some(recorded) = state.setup().reading(id) {
        return Some(recorded.clone());
    }
    let measure = state.catalogue().measure(id.row);
    reading(state.value(id)?, measure.unit(), measure.tolerance())
}

pub(super) fn turns(
    state: &State,
    mark: &Mark,
    joint: &str,
    apart: f64,
    report: &mut MarkReport,
) -> Vec<(MeasureId, Reading)> {
    let width = mark.width.unwrap_or(LINE_WIDTH);
    let mut turns = Vec::new();
    let aligned = apart == 0.0;
    let turned = rotation(joint)
        .and_then(|(angle, across)| Some((angle, turn(apart, width, &diameter(state, &across)?)?)));
    if let Some((angle, turn)) = turned {
        tell(state, report, &angle, &turn);
        let is_drawn = mark.drawn.iter().any(|(id, _)| *id == angle);
        // Drawn nowhere in particular, a line still shows a turn; it cannot show that the place is the recorded one.
        if is_drawn || !aligned {
            for id in std::iter::once(angle.clone()).chain(on_the_same_clamp(state.setup(), &angle)) {
                if state.value(&id).is_some() {
                    turns.push((id, turn.clone()));
                }
            }
        }
    }
    if aligned {
        let along = mark.drawn.iter().filter(|(id, _)| shows_shift(id) && state.value(id).is_some());
        turns.extend(along.filter_map(|(id, _)| Some((id.clone(), reading(0.0, Unit::Millimetre, width)?))));
    }
    turns
}

fn tell(state: &State, report: &mut MarkReport, angle: &MeasureId, turn: &Reading) {
    let measure = state.catalogue().measure(angle.row);
    let (value, expanded) = show::with_uncertainty(turn.value().abs(), turn.expanded_uncertainty(), 1);
    let way =
        if turn.value() == 0.0 { String::new() } else { format!(" {}", measure.direction(turn.value())) };
    report.words = format!("{} That is {value} ± {expanded}°{way}.", report.words);
    report.measure = Some(state.catalogue().path(angle));
    report.turned = Some(turn.value());
    report.uncertainty = Some(turn.expanded_uncertainty());
}

/// The angles of the controls that turn with the brake lever because they share its clamp.
fn on_the_same_clamp(setup: &Setup, angle: &MeasureId) -> Vec<MeasureId> {
    let is_lever = CONTROLS.first().is_some_and(|lever| lever.angle == angle.row);
    let Some(side) = angle.subject.side.filter(|_| is_lever) else { return Vec::new() };
    let shared = setup.controls().filter(|(on, control)| *on == side && setup.is_shared(*on, control));
    shared.map(|(on, control)| MeasureId::of(control.angle, on)).collect()
}
