//! What a line across a joint tells in degrees and millimetres.

use std::f64::consts::PI;

use crate::catalogue::joint::{CONTROLS, rotation, shows_shift};
use crate::catalogue::{Catalogue, MeasureId};
use crate::check::lines::{self, Rolled};
use crate::compare;
use crate::geometry::state::State;
use crate::metrology::NEGLIGIBLE;
use crate::metrology::reading::Reading;
use crate::metrology::show;
use crate::metrology::unit::Unit;
use crate::metrology::verdict::{Verdict, judge};
use crate::setup::model::{Mark, Setup, Value};

use super::{LINE_WIDTH, MarkReport};

/// Whether a line across the joint shows where this measure stands: its turn, and its shift along the bar.
pub(super) fn shows(joint: &str, id: &MeasureId) -> bool {
    rotation(joint).is_some_and(|(angle, _)| angle == *id) || shows_shift(id.row)
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
    Reading::new([value], [show::plain(value, 1)], unit, unit, half_width)
}

/// The diameter as recorded, or as the table has it where absent.
fn diameter(state: &State, id: &MeasureId) -> Option<Reading> {
    if let Some(recorded) = state.setup().reading(id) {
        return Some(recorded.clone());
    }
    let measure = state.catalogue().measure(id.row);
    reading(state.value(id)?, measure.unit(), measure.tolerance())
}

/// How far the halves of a line stand apart, in mm, with its width as half-width.
pub(super) fn read_apart(mark: &Mark, apart: f64) -> Option<Reading> {
    reading(apart, Unit::Millimetre, mark.width.unwrap_or(LINE_WIDTH))
}

/// Whether halves stand further apart than the line's width explains.
pub(super) fn is_beyond_its_width(apart: &Reading) -> bool {
    judge(apart.value(), apart.expanded_uncertainty()) == Verdict::Moved
}

pub(super) fn turns(
    state: &State,
    mark: &Mark,
    joint: &str,
    apart: f64,
    report: &mut MarkReport,
) -> Vec<(MeasureId, Reading)> {
    let mut turns = Vec::new();
    let aligned = apart == 0.0;
    if let Some((angle, since_drawn)) = since_drawn(state, mark, joint, apart) {
        // Drawn nowhere that is written, a line shows that the part turned, but not from where.
        let from_recorded =
            drawn_at(mark, &angle).and_then(|at| since(state, mark, &angle, at, &since_drawn));
        tell(state, report, &angle, &since_drawn, from_recorded.as_ref());
        if let Some(turn) = from_recorded {
            // That the clamp did not turn does not tell that nothing turned in its slots.
            let along = on_the_same_clamp(state.setup(), &angle).into_iter().filter(|_| !aligned);
            for id in std::iter::once(angle.clone()).chain(along) {
                if state.value(&id).is_some() {
                    turns.push((id, turn.clone()));
                }
            }
        }
    }
    if aligned {
        let still = read_apart(mark, 0.0);
        for (id, at) in mark.drawn.iter().filter(|(id, _)| shows_shift(id.row)) {
            if let (Value::Reading(at), Some(still)) = (&at.value, &still) {
                turns.extend(since(state, mark, id, at, still).map(|shift| (id.clone(), shift)));
            }
        }
    }
    turns
}

/// How far the part of a line's joint is turned from where the setup now says it stood, by halves that stand so far apart.
pub(super) fn turned(state: &State, mark: &Mark, joint: &str, apart: f64) -> Option<Reading> {
    let (angle, since_drawn) = since_drawn(state, mark, joint, apart)?;
    since(state, mark, &angle, drawn_at(mark, &angle)?, &since_drawn)
}

/// How far that part is turned from where the line was drawn, and of which angle that tells.
fn since_drawn(state: &State, mark: &Mark, joint: &str, apart: f64) -> Option<(MeasureId, Reading)> {
    let (angle, across) = rotation(joint)?;
    let turned = turn(apart, mark.width.unwrap_or(LINE_WIDTH), &diameter(state, &across)?)?;
    Some((angle, turned))
}

fn drawn_at<'m>(mark: &'m Mark, id: &MeasureId) -> Option<&'m Reading> {
    let (_, recorded) = mark.drawn.iter().find(|(drawn, _)| drawn == id)?;
    match &recorded.value {
        Value::Reading(reading) => Some(reading),
        Value::Choice(_) | Value::Unmeasured => None,
    }
}

/// What a mark tells, taken from where it was drawn to where the setup now says the part stood. Where the two are
/// one number, that number is one reading and adds nothing; else both are readings of their own (GUM 5.1.2). So it is
/// with the roll of the bar that the line lies on.
fn since(state: &State, mark: &Mark, id: &MeasureId, drawn_at: &Reading, told: &Reading) -> Option<Reading> {
    let rolled = lines::rolled(state.catalogue(), state.setup(), mark, id);
    let apart = drawn_at.value() + rolled.degrees - state.value(id)?;
    if apart.abs() < NEGLIGIBLE && rolled == Rolled::default() {
        return Some(told.clone());
    }
    let recorded = state.number(id).map_or(0.0, Reading::half_width);
    let half_width = told.half_width().hypot(drawn_at.half_width()).hypot(recorded).hypot(rolled.half_width);
    reading(apart + told.value(), told.unit(), half_width)
}

/// What a line tells of a place along a bar of which so much was cut off each end: on the bar it is where the line tells,
/// and it is counted from the new end.
pub(super) fn from_the_new_end(id: &MeasureId, told: &Reading, half: f64) -> Option<Reading> {
    let is_along = compare::is_along_the_bar(id.row);
    is_along.then(|| reading(told.value() - half, told.unit(), told.half_width())).flatten()
}

fn tell(
    state: &State,
    report: &mut MarkReport,
    angle: &MeasureId,
    since_drawn: &Reading,
    from_recorded: Option<&Reading>,
) {
    let measure = state.catalogue().measure(angle.row);
    let told = since_drawn.value();
    let (value, expanded) = show::with_uncertainty(told.abs(), since_drawn.expanded_uncertainty(), 1);
    let way = if told == 0.0 { String::new() } else { format!(" {}", measure.direction(told)) };
    report.words = format!("{} That is {value} ± {expanded}°{way}.", report.words);
    let turn = from_recorded.unwrap_or(since_drawn);
    if (turn.value() - told).abs() > NEGLIGIBLE {
        report.words.push_str(" It is told from where the mark was drawn, not from what is recorded now.");
    }
    report.measure = Some(state.catalogue().path(angle));
    report.turned = Some(turn.value());
    report.uncertainty = Some(turn.expanded_uncertainty());
}

/// The turn that counts as plus on a joint's mark, in words: "tip down"; none where a mark shows no turn.
pub fn plus(catalogue: &Catalogue, joint: &str) -> Option<&'static str> {
    let (angle, _) = rotation(joint)?;
    Some(catalogue.measure(angle.row).direction(1.0))
}

/// The angles of the controls that turn with the brake lever because they share its clamp.
fn on_the_same_clamp(setup: &Setup, angle: &MeasureId) -> Vec<MeasureId> {
    let is_lever = CONTROLS.first().is_some_and(|lever| lever.angle == angle.row);
    let Some(side) = angle.subject.side.filter(|_| is_lever) else { return Vec::new() };
    let shared = setup.shared_controls().filter(|(on, _)| *on == side);
    shared.map(|(on, control)| MeasureId::of(control.angle, on)).collect()
}
