//! A bar of which both is given: where it bends and how far back its end lies.

use crate::catalogue::table::{BAR_BACK_SWEEP, BAR_BEND, BAR_SETBACK, BAR_SUPPLIED_WIDTH, BAR_WIDTH};
use crate::catalogue::{MeasureId, code};
use crate::geometry::cockpit::{bike, radians};
use crate::geometry::state::{Consequences, Lookup, State};
use crate::metrology::propagate::Number;
use crate::metrology::show::{brief, plain};
use crate::setup::finding::Finding;

use super::Context;
use super::advice::is_beyond;

/// How far back the end of an uncut bar lies that bends so far from its middle: mm, of mm, mm and degrees.
pub fn setback_by_bend<N: Number>(width: N, bend: N, back_sweep: N) -> N {
    (width * 0.5 - bend) * radians(back_sweep).tan()
}

/// How far back the end of the uncut bar lies by its bend, and how much further by its setback.
struct Setbacks;

impl Consequences for Setbacks {
    fn of<N: Number>(&self, numbers: &dyn Lookup<N>) -> Vec<Option<N>> {
        let by_bend = || {
            let width = bike(numbers, BAR_SUPPLIED_WIDTH).or_else(|| bike(numbers, BAR_WIDTH))?;
            Some(setback_by_bend(width, bike(numbers, BAR_BEND)?, bike(numbers, BAR_BACK_SWEEP)?))
        };
        let by_bend = by_bend();
        let over = bike(numbers, BAR_SETBACK).zip(by_bend).map(|(setback, by_bend)| setback - by_bend);
        vec![by_bend, over]
    }
}

/// Whether both tell of one bar. The setback is that before the saw.
pub fn bend_against_setback(context: &Context) -> Vec<Finding> {
    let [bend, setback] = [BAR_BEND, BAR_SETBACK].map(MeasureId::bike);
    let Some(recorded) = context.setup.recorded(&setback) else { return Vec::new() };
    let state = State::recorded(context.catalogue, context.setup);
    let given = context.setup.value(&bend).zip(context.setup.value(&setback));
    let Some((from_middle, back)) = given else { return Vec::new() };
    let [Some(by_bend), Some(over)] = state.values(&Setbacks)[..] else { return Vec::new() };
    let Some(expanded) = state.expanded_uncertainties(&Setbacks)[1] else { return Vec::new() };
    if !is_beyond(over.abs(), expanded) {
        return Vec::new();
    }
    let message = contradiction(from_middle, by_bend, back);
    let finding = Finding::new(&code::BEND_AGAINST_SETBACK, message).at(recorded.span);
    vec![finding.about(context.catalogue.path(&setback))]
}

/// Both, in words: where the bar bends, how far back that puts its end, and how far back it lies by its setback.
pub fn contradiction(bend: f64, by_bend: f64, setback: f64) -> String {
    format!(
        "A bar that bends {} mm from its middle ends {} mm back by its sweep, and its setback says {} mm.",
        brief(bend),
        plain(by_bend, 1),
        brief(setback)
    )
}
