//! What of the other bike's own parts was counted: of a kind that the box holds, those of the box alone are.

use crate::catalogue::table::{
    BAR_WIDTH, SPACERS_ABOVE, SPACERS_BELOW, STEM_ANGLE, STEM_CLAMP_HEIGHT, STEM_LENGTH,
};
use crate::catalogue::{MeasureId, Row};
use crate::compare::{Shorter, replaced};
use crate::geometry::state::State;
use crate::setup::model::Setup;

use super::parts::{Bar, Parts, Stem};
use super::{Problem, SHOWN};

/// What is on the other bike and was not counted; none if there is no such. One with the same figures as a part of the
/// box was, whichever of the two it is.
pub fn not_counted(problem: &Problem, onto: &Setup, parts: &Parts) -> Option<String> {
    let catalogue = problem.catalogue;
    let state = State::recorded(catalogue, onto);
    let value = |row: Row| state.value(&MeasureId::bike(row));
    let is_own_stem = |stem: &Stem| {
        let alike = |row, own: f64| value(row).is_some_and(|value| (value.abs() - own.abs()).abs() < SHOWN);
        let figures =
            [(STEM_LENGTH, stem.length), (STEM_ANGLE, stem.angle), (STEM_CLAMP_HEIGHT, stem.clamp_height)];
        figures.into_iter().all(|(row, own)| alike(row, own))
    };
    let is_own_bar = |bar: &Bar| {
        let mut with_it = onto.clone();
        problem.put_bar(&mut with_it, bar);
        replaced(catalogue, onto, &with_it, Shorter::Another).is_none_or(|replaced| replaced.parts.is_empty())
    };
    let stem = !parts.stems.is_empty() && value(STEM_LENGTH).is_some();
    let bar = !parts.bars.is_empty() && value(BAR_WIDTH).is_some();
    let piles = [SPACERS_BELOW, SPACERS_ABOVE].into_iter().filter_map(value);
    let kinds = [
        (stem && !parts.stems.iter().any(is_own_stem), "stem"),
        (bar && !parts.bars.iter().any(is_own_bar), "bar"),
        (!parts.spacers.is_empty() && piles.sum::<f64>() > 0.0, "spacers"),
    ];
    let own: Vec<&str> =
        kinds.into_iter().filter(|(is_left_out, _)| *is_left_out).map(|(_, kind)| kind).collect();
    let (last, first) = own.split_last()?;
    let own = if first.is_empty() { (*last).to_owned() } else { format!("{} and {last}", first.join(", ")) };
    Some(format!(
        "Of a kind that the box holds, only what is in the box was counted, and not the {own} on {}. Name in the box \
         what may stay on.",
        onto.name.value
    ))
}
