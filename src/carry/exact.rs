//! Why the best assembly is not exact, and which part would make it so.

use serde::Serialize;

use crate::catalogue::measure::Kind;
use crate::catalogue::table::{
    BAR_BACK_SWEEP, BAR_BEND, BAR_MATERIAL, BAR_RISE, BAR_ROLL, BAR_SETBACK, BAR_SUPPLIED_WIDTH,
    BAR_UP_SWEEP, BAR_WIDTH, STEM_ANGLE, STEM_LENGTH,
};
use crate::catalogue::{Catalogue, MeasureId, Row, caution};
use crate::metrology::show;
use crate::setup::model::Setup;
use crate::trial;

use super::parts::Bar;
use super::{Assembly, Problem};

/// What is left below this, mm, is exact.
const EXACT: f64 = 0.005;
/// What is less than this, mm, reads as nothing at the one decimal that is shown, and is not worth a word.
pub const SHOWN: f64 = 0.05;

/// Less than this, mm, nobody saws off an end.
const SAWN: f64 = 1.0;

/// The parts that would leave nothing over, together.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct WouldBeExact {
    /// The stem that would bring the hands' middle there with the best assembly's roll, and its bar or the one that is
    /// named: its length, mm.
    pub stem_length: Option<f64>,
    /// Its angle, degrees.
    pub stem_angle: Option<f64>,
    /// The spacers below it, mm.
    pub spacers_below: Option<f64>,
    /// How much narrower (−) or wider (+) the hands would have to be, mm.
    pub span_by: Option<f64>,
    /// The width that the bar would have, all its other figures the same, mm.
    pub bar_width: Option<f64>,
    /// The width from which it would be cut to that, mm: its rise and setback are those before the saw. None if it would
    /// not be cut.
    pub bar_supplied_width: Option<f64>,
    /// In sentences.
    pub sentences: Vec<String>,
}

/// What would make the best assembly exact; none if it is.
pub fn would_be_exact(problem: &Problem, best: &Assembly) -> Option<WouldBeExact> {
    if best.distance < EXACT {
        return None;
    }
    let mut found = WouldBeExact {
        stem_length: None,
        stem_angle: None,
        spacers_below: None,
        span_by: None,
        bar_width: None,
        bar_supplied_width: None,
        sentences: Vec::new(),
    };
    if best.at_roll_limit {
        let roll = turned(problem.catalogue, BAR_ROLL, best.roll, "which is not at all");
        found.sentences.push(format!("The bar is rolled as far as it may be, {roll}."));
    }
    // Another width moves the hands forward or back, too: the stem is the one that goes with it.
    let barred = if best.off_span.abs() >= SHOWN { span(problem, best, &mut found) } else { None };
    let (is_named, setup) = barred.as_ref().map_or((false, &best.setup), |setup| (true, setup));
    if let Some(left) = problem.residual(setup).filter(|(forward, up)| forward.hypot(*up) >= SHOWN) {
        stem(problem, best, left, if is_named { "that bar" } else { "this bar" }, &mut found);
    }
    let middle = best.off_x.hypot(best.off_z).hypot(best.off_span / 2.0);
    if best.distance - middle > 0.1 {
        found.sentences.push(format!(
            "{} mm of it is the two hands standing differently on this bar: set each hand's place anew.",
            show::plain(best.distance - middle, 1)
        ));
    }
    Some(found)
}

/// The stem, or spacers, that the way left over asks for, in the frame's own n and u.
fn stem(problem: &Problem, best: &Assembly, (forward, up): (f64, f64), bar: &str, found: &mut WouldBeExact) {
    let (sine, cosine) = best.stem_angle.to_radians().sin_cos();
    // Same angle first: the length makes good the way forward, the spacers the way up.
    let length = best.stem_length + forward / cosine;
    let spacers = best.spacers_below + up - (length - best.stem_length) * sine;
    let fits = |spacers: f64| {
        let steerer = problem.task.steerer_left;
        spacers >= 0.0 && steerer.is_none_or(|left| spacers + best.clamp_height <= left + 1e-6)
    };
    let allowed = |row: Row, value: f64| is_allowed(problem.catalogue, row, value);
    if fits(spacers) && allowed(STEM_LENGTH, length) {
        (found.stem_length, found.stem_angle, found.spacers_below) =
            (Some(length), Some(best.stem_angle), Some(spacers));
        found.sentences.push(format!(
            "A stem {} mm long, {}, on {} mm of spacers would bring the hands' middle there with {bar}.",
            show::plain(length, 1),
            turned(problem.catalogue, STEM_ANGLE, best.stem_angle, "level"),
            show::plain(spacers, 1),
        ));
        return;
    }
    // No such pile fits: the piles there are stay, and the stem takes another angle.
    let spacers = best.spacers_below;
    let forward = best.stem_length * cosine + forward;
    let up = best.stem_length * sine + up;
    let (length, angle) = (forward.hypot(up), up.atan2(forward).to_degrees());
    if allowed(STEM_LENGTH, length) && allowed(STEM_ANGLE, angle) {
        (found.stem_length, found.stem_angle, found.spacers_below) =
            (Some(length), Some(angle), Some(spacers));
        found.sentences.push(format!(
            "A stem {} mm long, {}, on the same spacers would bring the hands' middle there with {bar}.",
            show::plain(length, 1),
            turned(problem.catalogue, STEM_ANGLE, angle, "level"),
        ));
        return;
    }
    found
        .sentences
        .push(format!("No stem within the usual spans brings the hands' middle there with {bar}."));
}

/// An angle as the table says it: "10° rising"; `none` for one of nothing.
pub fn turned(catalogue: &Catalogue, row: Row, degrees: f64, none: &str) -> String {
    match &*show::typed(degrees.abs(), 1) {
        "0" => none.to_owned(),
        size => format!("{size}° {}", catalogue.measure(row).direction(degrees)),
    }
}

/// The bar that the span asks for, and the other bike with it on; none if no bar is so wide or so narrow.
fn span(problem: &Problem, best: &Assembly, found: &mut WouldBeExact) -> Option<Setup> {
    found.span_by = Some(-best.off_span);
    let barred = with_width(problem, best);
    let supplied = best.setup.value(&MeasureId::bike(BAR_SUPPLIED_WIDTH));
    let by = show::plain(best.off_span.abs(), 1);
    let (come, other) = if best.off_span > 0.0 { ("wide", "narrower") } else { ("narrow", "wider") };
    let come = format!("The hands come {by} mm too {come}");
    let Some((bar, setup)) = barred else {
        found.sentences.push(format!("{come}: no bar of the usual widths is {by} mm {other} than this."));
        return None;
    };
    (found.bar_width, found.bar_supplied_width) = (Some(bar.width), bar.supplied_width);
    let half = best.off_span / 2.0;
    let width = show::plain(bar.width, 1);
    let would = format!("{come}: a bar {by} mm {other} would do, {width} mm");
    found.sentences.push(if half >= SAWN {
        let sawn = show::plain(half, 1);
        format!("{would}, {sawn} mm off each end of this.{}", minded(&best.setup))
    } else if half >= SHOWN {
        format!(
            "{would}; less than {SAWN} mm off each end is nothing for a saw (common practice, no source)."
        )
    } else {
        let cut = match (bar.supplied_width, supplied) {
            (Some(supplied), _) => format!(", cut from {} mm", show::brief(supplied)),
            // What was cut is no measure of what is not.
            (None, Some(_)) => ", not cut".to_owned(),
            (None, None) => String::new(),
        };
        format!("{would}{cut}, all its other figures the same.")
    });
    Some(setup)
}

/// What is to be minded of the bar before it is cut, unless it is known to be of no carbon.
fn minded(setup: &Setup) -> String {
    let is_of_another = setup.choice(&MeasureId::bike(BAR_MATERIAL)).is_some() && !setup.has_carbon_bar();
    if is_of_another { String::new() } else { format!(" {} {}", trial::CUT_CARBON, caution::CARBON) }
}

/// The best assembly with its bar cut, or with a wider one that has all its other figures: cut, too, where the bar was
/// supplied as wide as that.
fn with_width(problem: &Problem, best: &Assembly) -> Option<(Bar, Setup)> {
    let value = |row| best.setup.value(&MeasureId::bike(row));
    let was = value(BAR_WIDTH)?;
    let width = was - best.off_span;
    let supplied = value(BAR_SUPPLIED_WIDTH).unwrap_or(was);
    // Where both are recorded the setback wins.
    let bend = value(BAR_BEND);
    if !is_allowed(problem.catalogue, BAR_WIDTH, width) || bend.is_some_and(|bend| bend > width / 2.0) {
        return None;
    }
    let bar = Bar {
        name: best.bar.clone(),
        width,
        supplied_width: (width < supplied).then_some(supplied),
        rise: value(BAR_RISE)?,
        back_sweep: value(BAR_BACK_SWEEP)?,
        up_sweep: value(BAR_UP_SWEEP)?,
        setback: value(BAR_SETBACK),
        bend,
        roll: (best.roll, best.roll),
        material: None,
        clamp_diameter: None,
    };
    let mut setup = best.setup.clone();
    problem.put_bar(&mut setup, &bar);
    Some((bar, setup))
}

fn is_allowed(catalogue: &Catalogue, row: Row, value: f64) -> bool {
    match catalogue.measure(row).kind {
        Kind::Reading { low, high, .. } => (low..=high).contains(&value),
        Kind::Choice(_) => false,
    }
}
