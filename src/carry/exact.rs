//! Why the best assembly is not exact, and which part would make it so.

use serde::Serialize;

use crate::catalogue::measure::Kind;
use crate::catalogue::table::{BAR_ROLL, STEM_ANGLE, STEM_LENGTH};
use crate::catalogue::{Catalogue, Row};
use crate::metrology::show;

use super::{Assembly, Problem};

/// What is left below this, mm, is exact.
const EXACT: f64 = 0.005;
/// What is less than this, mm, reads as nothing at the one decimal that is shown, and is not worth a word.
pub const SHOWN: f64 = 0.05;

/// The part that would leave nothing over.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct WouldBeExact {
    /// The stem that would bring the hands' middle there with the best assembly's bar and roll: its length, mm.
    pub stem_length: Option<f64>,
    /// Its angle, degrees.
    pub stem_angle: Option<f64>,
    /// The spacers below it, mm.
    pub spacers_below: Option<f64>,
    /// How much narrower (−) or wider (+) the hands would have to be, mm.
    pub span_by: Option<f64>,
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
        sentences: Vec::new(),
    };
    if best.at_roll_limit {
        let roll = turned(problem.catalogue, BAR_ROLL, best.roll, "which is not at all");
        found.sentences.push(format!("The bar is rolled as far as it may be, {roll}."));
    }
    if best.off_x.hypot(best.off_z) >= SHOWN {
        stem(problem, best, &mut found);
    }
    if best.off_span.abs() >= SHOWN {
        span(best, &mut found);
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
fn stem(problem: &Problem, best: &Assembly, found: &mut WouldBeExact) {
    let (sine, cosine) = best.stem_angle.to_radians().sin_cos();
    let (forward, up) = problem.residual(best);
    // Same angle first: the length makes good the way forward, the spacers the way up.
    let length = best.stem_length + forward / cosine;
    let spacers = best.spacers_below + up - (length - best.stem_length) * sine;
    let fits = |spacers: f64| {
        let steerer = problem.task.steerer_left;
        spacers >= 0.0 && steerer.is_none_or(|left| spacers + best.clamp_height <= left + 1e-6)
    };
    let allowed = |row: Row, value: f64| match problem.catalogue.measure(row).kind {
        Kind::Reading { low, high, .. } => (low..=high).contains(&value),
        Kind::Choice(_) => false,
    };
    if fits(spacers) && allowed(STEM_LENGTH, length) {
        (found.stem_length, found.stem_angle, found.spacers_below) =
            (Some(length), Some(best.stem_angle), Some(spacers));
        found.sentences.push(format!(
            "A stem {} mm long, {}, on {} mm of spacers would bring the hands' middle there with this bar.",
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
            "A stem {} mm long, {}, on the same spacers would bring the hands' middle there with this bar.",
            show::plain(length, 1),
            turned(problem.catalogue, STEM_ANGLE, angle, "level"),
        ));
        return;
    }
    found
        .sentences
        .push("No stem within the usual spans brings the hands' middle there with this bar.".to_owned());
}

/// An angle as the table says it: "10° rising"; `none` for one of nothing.
pub fn turned(catalogue: &Catalogue, row: Row, degrees: f64, none: &str) -> String {
    match &*show::typed(degrees.abs(), 1) {
        "0" => none.to_owned(),
        size => format!("{size}° {}", catalogue.measure(row).direction(degrees)),
    }
}

fn span(best: &Assembly, found: &mut WouldBeExact) {
    found.span_by = Some(-best.off_span);
    let by = show::plain(best.off_span.abs(), 1);
    found.sentences.push(if best.off_span > 0.0 {
        let half = best.off_span / 2.0;
        let sawn = if half >= SHOWN {
            format!(", {} mm off each end of this", show::plain(half, 1))
        } else {
            String::new()
        };
        format!("The hands come {by} mm too wide: a bar {by} mm narrower would do{sawn}.")
    } else {
        format!("The hands come {by} mm too narrow: a bar {by} mm wider would do.")
    });
}
