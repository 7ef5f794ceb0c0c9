//! Answers that can be read and were hardly meant: what they would do is said, and it is asked again.

use crate::catalogue::table::FLOOR;
use crate::catalogue::{Catalogue, Gravity, Measure, MeasureId};
use crate::check::{plain_number, repeats};
use crate::metrology::{NEGLIGIBLE, show};
use crate::restore::sheet::{Asked, Question};
use crate::setup::model::Setup;

use super::{Answer, Figures, typed};

/// Why a number that can be read is asked again: it was hardly meant for this question. What it would do is said.
pub fn doubt(catalogue: &Catalogue, setup: &Setup, question: &Question, answer: &Answer) -> Option<String> {
    if let (Asked::Look(_), Answer::Seen(seen)) = (&question.asked, answer) {
        return typed::may_be_a_slip(seen).then(|| {
            format!(
                "`{seen}` would be kept as damage of the {}. If that is what you see, type it again; else say it in \
                 other words, or `good` if it is.",
                question.title
            )
        });
    }
    let (Asked::Measure(id), Answer::Number(figures)) = (&question.asked, answer) else {
        return None;
    };
    let measure = catalogue.measure(id.row);
    if figures.unit.is_none()
        && let Some(meant) = in_the_recorded_unit(setup, id, figures)
    {
        return Some(meant);
    }
    let unit = figures.unit.unwrap_or(measure.unit());
    let values = figures.readings.iter().map(|typed| unit.convert(measure.unit(), typed.parse().ok()?));
    let values: Vec<f64> = values.collect::<Option<_>>()?;
    if let Some(apart) = far_apart(measure, &values) {
        return Some(apart);
    }
    let furthest = measure.doubted_beyond?;
    let value = values.into_iter().max_by(|one, other| one.abs().total_cmp(&other.abs()))?;
    if value.abs() <= furthest {
        return None;
    }
    let size = |number: f64| format!("{}{}", show::brief(number), measure.unit().sign());
    let does = if id.row == FLOOR { levelled(catalogue, setup, value) } else { String::new() };
    Some(format!(
        "{} is a lot for the {}: hardly one is beyond {}.{does} If it is so, type it again; else what you meant, or \
         `skip`.",
        size(value),
        measure.title,
        size(furthest)
    ))
}

/// Which unit a plain number is in, where the recorded one is in another than plain numbers are: that is not guessed, unless it
/// looks like the recorded one as plain numbers count.
fn in_the_recorded_unit(setup: &Setup, id: &MeasureId, figures: &Figures) -> Option<String> {
    let recorded = setup.reading(id)?;
    let (unit, default) = (recorded.unit(), recorded.default_unit());
    let first = figures.readings.first()?.parse::<f64>().ok()?;
    if !plain_number::is_to_be_asked(recorded, first) {
        return None;
    }
    let typed = figures.readings.join(", ");
    Some(format!(
        "A plain number is in {}, and it was recorded as {}. Type {typed} {} if that is the unit; if it is {}, type \
         {typed} again.",
        default.word(),
        crate::compare::typed(recorded),
        unit.word(),
        default.word(),
    ))
}

/// Readings that cannot be of one thing: their mean would hide a slip, and their scatter a part that moved.
fn far_apart(measure: &Measure, values: &[f64]) -> Option<String> {
    let lowest = values.iter().copied().fold(f64::INFINITY, f64::min);
    let highest = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let (apart, explained) = (highest - lowest, repeats::explained(measure, 0.0));
    if values.len() < 2 || apart <= explained + NEGLIGIBLE {
        return None;
    }
    let sign = measure.unit().sign();
    Some(format!(
        "These readings lie {}{sign} apart, and reading explains {}{sign} at most. If each was read so, type it again; \
         else what you meant, or `skip`.",
        show::brief(apart),
        show::brief(explained)
    ))
}

/// Up to how many times as wide as a measure is usually read a second number is taken for a half-width. A plain rule in
/// place of a good one, or a saddle's edge that gives way, doubles or trebles it. What a person types for another
/// reason is seldom so small: a second reading is about as large as the first, and the tenths behind a point that was
/// left out are whole millimetres or degrees.
const WIDEST: f64 = 3.0;

/// Why two plain numbers are not taken for a number and its half-width: so wide, it would hide a part that moved.
/// How finely the instrument can be read does not count: a person reads no finer than the table has it, and a coarse
/// instrument is not named to say how coarsely this was read.
pub fn too_wide(catalogue: &Catalogue, question: &Question, answer: &Answer) -> Option<String> {
    let (Asked::Measure(id), Answer::Number(figures)) = (&question.asked, answer) else {
        return None;
    };
    let half = figures.half_width.as_ref().filter(|half| !half.is_named)?;
    let first = figures.readings.first()?;
    let measure = catalogue.measure(id.row);
    let (default, usual) = (measure.unit(), measure.tolerance());
    let unit = figures.unit.unwrap_or(default);
    let size = |digits: &str| unit.convert(default, digits.parse().ok()?);
    let (value, width) = (size(first)?, size(&half.digits)?);
    let is_wide = width > WIDEST * usual + NEGLIGIBLE;
    // Close to nought a second reading is no larger than that.
    let is_like_a_reading = width > usual + NEGLIGIBLE && (width - value).abs() <= WIDEST * usual;
    if !is_wide && !is_like_a_reading {
        return None;
    }
    let sign = unit.sign();
    let beside = figures.unit.map(|unit| format!(" {}", unit.word())).unwrap_or_default();
    let by = figures.instrument.as_ref().map(|name| format!(" {name}")).unwrap_or_default();
    let (half, behind) = (&half.digits, format!("{beside}{by}"));
    let is_whole = |digits: &str| digits.chars().all(|digit| digit.is_ascii_digit());
    let pointed = if is_whole(half) && is_whole(first.trim_start_matches(['+', '-'])) {
        format!("`{first}.{half}{behind}` with its point, ")
    } else {
        String::new()
    };
    Some(format!(
        "{first}{sign} ± {half}{sign}? It is usually read to ± {}{}. Type {pointed}`{first}, {half}{behind}` for two \
         readings, or `{first} ±{half}{behind}` or `{first} tol={half}{behind}` if it is that wide.",
        show::brief(usual),
        default.sign()
    ))
}

/// What a slope of the floor does to an angle that still reads as recorded.
fn levelled(catalogue: &Catalogue, setup: &Setup, slope: f64) -> String {
    let tips = |id: &&MeasureId| catalogue.measure(id.row).gravity == Gravity::TipDown;
    let told = setup.readings.keys().filter(tips).find_map(|id| Some((id, setup.value(id)?)));
    let Some((id, angle)) = told else { return String::new() };
    let floor = setup.value(&MeasureId::bike(FLOOR)).unwrap_or(0.0);
    format!(
        " Every angle against gravity would be levelled with it: a {} that reads {}° as recorded would count as moved \
         by {}°.",
        catalogue.title(id),
        show::brief(angle),
        show::brief((slope - floor).abs())
    )
}
