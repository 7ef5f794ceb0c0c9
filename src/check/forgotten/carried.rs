//! What a bar took along that was rolled or cut: how a note says by how much, and what an old figure then reads on it.
//!
//! Who touched no clamp finds a control where the bar brought it: the figure of before and the bar's own move together. That
//! holds as long as the bar was not moved again.

use chrono::NaiveDate;

use crate::catalogue::joint::CONTROLS;
use crate::catalogue::table::{BAR_ROLL, BAR_WIDTH};
use crate::catalogue::{Catalogue, MeasureId, joint};
use crate::metrology::NEGLIGIBLE;
use crate::metrology::reading::Reading;
use crate::metrology::show;
use crate::setup::model::Setup;

/// What became of the angles on a bar that was rolled.
pub const ROLLED: &str = "the bar was rolled";
/// What became of the places on a bar that was cut.
pub const CUT: &str = "the bar was cut";

const OFF_EACH_END: &str = " mm off each end";
const FORWARD: &str = "forward";
const BACKWARD: &str = "backward";

/// "the bar was rolled 4.5° forward", + = forward, degrees.
pub fn rolled(degrees: f64) -> String {
    let way = if degrees < 0.0 { BACKWARD } else { FORWARD };
    format!("{ROLLED} {}° {way}", show::plain(degrees.abs(), 1))
}

/// "the bar was cut 10 mm off each end".
pub fn cut(half: f64) -> String {
    format!("{CUT} {}{OFF_EACH_END}", show::brief(half))
}

/// Whether that is what became of a measure, with or without by how much.
pub fn is_by_the_bar(because: &str) -> bool {
    because.starts_with(ROLLED) || because.starts_with(CUT)
}

/// What an old figure of a measure reads on the bar as it stands since that day, where nobody touched its clamp. None where the
/// note does not say how far the bar moved, or the bar moved again.
pub fn along(
    catalogue: &Catalogue,
    setup: &Setup,
    id: &MeasureId,
    (because, since): (&str, Option<NaiveDate>),
    old: &Reading,
) -> Option<Reading> {
    let by_roll = because.strip_prefix(ROLLED).and_then(degrees).filter(|_| joint::is_control_angle(id.row));
    let is_place = CONTROLS.iter().any(|control| control.from_tip == id.row);
    let by_saw = because.strip_prefix(CUT).and_then(millimetres).filter(|_| is_place);
    let (by, row) = by_roll.map(|by| (by, BAR_ROLL)).or_else(|| by_saw.map(|half| (-half, BAR_WIDTH)))?;
    let bar = setup.reading(&MeasureId::bike(row))?;
    let read = setup.day_of(Some(bar));
    if read != since {
        return None;
    }
    // The bar's own move is a difference of two readings; of a width half of it counts at each end.
    let share = if row == BAR_WIDTH { 0.5 } else { 1.0 };
    let doubt = bar.half_width() * std::f64::consts::SQRT_2 * share;
    let measure = catalogue.measure(id.row);
    let half_width = old.half_width().hypot(doubt);
    Reading::worked_out(old.value() + by, measure.unit(), measure.unit(), measure.tolerance(), half_width)
}

/// What an old figure of a control's angle reads on a bar that stands at another roll now than it did then: where nobody
/// touched its clamp, the bar took it along.
pub fn at_roll(
    catalogue: &Catalogue,
    id: &MeasureId,
    old: &Reading,
    then: &Reading,
    now: &Reading,
) -> Option<Reading> {
    let by = now.value() - then.value();
    let is_as_it_was = by.abs() < NEGLIGIBLE && now.read().is_none();
    if is_as_it_was {
        return Some(old.clone());
    }
    let measure = catalogue.measure(id.row);
    let doubt = now.half_width().hypot(then.half_width());
    let half_width = old.half_width().hypot(doubt);
    Reading::worked_out(old.value() + by, measure.unit(), measure.unit(), measure.tolerance(), half_width)
}

fn degrees(words: &str) -> Option<f64> {
    let (size, way) = words.trim_start().split_once("° ")?;
    let size: f64 = size.parse().ok()?;
    match way {
        FORWARD => Some(size),
        BACKWARD => Some(-size),
        _ => None,
    }
}

fn millimetres(words: &str) -> Option<f64> {
    words.trim_start().strip_suffix(OFF_EACH_END)?.parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_is_read_again() {
        assert_eq!(rolled(4.5), "the bar was rolled 4.5° forward");
        assert_eq!(rolled(-3.0), "the bar was rolled 3.0° backward");
        assert_eq!(degrees(" 3.0° backward"), Some(-3.0));
        assert_eq!(cut(10.0), "the bar was cut 10 mm off each end");
        assert_eq!(millimetres(" 10 mm off each end"), Some(10.0));
        // As older notes have it.
        assert_eq!((degrees(""), millimetres("")), (None, None));
        assert!(is_by_the_bar("the bar was rolled") && !is_by_the_bar("mark B1 was found broken"));
    }
}
