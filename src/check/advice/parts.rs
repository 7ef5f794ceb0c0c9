//! Bar and stem: how wide, how long.

use crate::catalogue::MeasureId;
use crate::catalogue::code;
use crate::catalogue::table::{BAR_WIDTH, RIDER_STATURE, STEM_LENGTH, STEM_SUPPLIED_LENGTH};
use crate::setup::finding::Finding;
use crate::setup::model::Setup;

use crate::check::Context;

use super::{about, number};

/// The usual bars, mm, end to end: common practice, no source.
const USUAL_WIDTHS: (f64, f64) = (720.0, 800.0);
/// Width that goes with a stature, as a share of it, within the usual widths: common practice, no source.
const WIDTH_OF_STATURE: f64 = 0.44;
/// How far a width may stray from that before it is worth a word, mm.
const WIDTH_ROOM: f64 = 30.0;
/// How much shorter than supplied a stem may be before the handling usually suffers, mm: common practice, no source.
const SHORTENING_ROOM: f64 = 20.0;
/// Stems on trail bikes are not usually longer, mm: common practice, no source.
const LONG_STEM: f64 = 70.0;

fn value(setup: &Setup, row: crate::catalogue::Row) -> Option<f64> {
    setup.value(&MeasureId::bike(row))
}

/// The width that goes with the rider's stature.
fn suited_width(setup: &Setup) -> Option<(f64, f64)> {
    let stature = value(setup, RIDER_STATURE)?;
    Some((stature, (stature * WIDTH_OF_STATURE).clamp(USUAL_WIDTHS.0, USUAL_WIDTHS.1)))
}

/// Wider than usual, or than goes with the stature.
pub fn wide_bar(context: &Context) -> Vec<Finding> {
    let Context { catalogue, setup, .. } = *context;
    let Some(width) = value(setup, BAR_WIDTH) else { return Vec::new() };
    let message = match suited_width(setup) {
        Some((stature, suited)) if width - suited > WIDTH_ROOM => format!(
            "The bar is {} mm wide, {} mm more than goes with a stature of {} mm: a short rider on a very wide \
             bar is worse off, the arms spread and the steering slows.",
            number(width),
            number(width - suited),
            number(stature),
        ),
        _ if width > USUAL_WIDTHS.1 => format!(
            "The bar is {} mm wide; {} is the usual full width: it steers slower and meets trees sooner.",
            number(width),
            number(USUAL_WIDTHS.1),
        ),
        _ => return Vec::new(),
    };
    vec![about(catalogue, setup, &code::WIDE_BAR, &MeasureId::bike(BAR_WIDTH), message)]
}

/// Narrower than usual, or than goes with the stature.
pub fn narrow_bar(context: &Context) -> Vec<Finding> {
    let Context { catalogue, setup, .. } = *context;
    let Some(width) = value(setup, BAR_WIDTH) else { return Vec::new() };
    let message = match suited_width(setup) {
        Some((stature, suited)) if suited - width > WIDTH_ROOM => format!(
            "The bar is {} mm wide, {} mm less than goes with a stature of {} mm: the steering is quicker and \
             takes more holding on rough ground.",
            number(width),
            number(suited - width),
            number(stature),
        ),
        _ if width < USUAL_WIDTHS.0 => format!(
            "The bar is {} mm wide; bars run from about {} mm: the steering is quicker and takes more holding \
             on rough ground.",
            number(width),
            number(USUAL_WIDTHS.0),
        ),
        _ => return Vec::new(),
    };
    vec![about(catalogue, setup, &code::NARROW_BAR, &MeasureId::bike(BAR_WIDTH), message)]
}

/// Much shorter than the stem the bike was sold with.
pub fn short_stem(context: &Context) -> Vec<Finding> {
    let Context { catalogue, setup, .. } = *context;
    let lengths = value(setup, STEM_LENGTH).zip(value(setup, STEM_SUPPLIED_LENGTH));
    let Some((length, supplied)) = lengths.filter(|(length, supplied)| supplied - length > SHORTENING_ROOM)
    else {
        return Vec::new();
    };
    let message = format!(
        "The stem is {} mm shorter than supplied ({} → {} mm): the front wheel goes light on climbs and the \
         knees come near the bar out of the saddle.",
        number(supplied - length),
        number(supplied),
        number(length),
    );
    vec![about(catalogue, setup, &code::SHORT_STEM, &MeasureId::bike(STEM_LENGTH), message)]
}

/// Longer than is usual.
pub fn long_stem(context: &Context) -> Vec<Finding> {
    let Context { catalogue, setup, .. } = *context;
    let Some(length) = value(setup, STEM_LENGTH).filter(|length| *length > LONG_STEM) else {
        return Vec::new();
    };
    let message = format!(
        "The stem is {} mm long, {} mm more than trail stems usually run to: it puts weight on the front and \
         feels vague.",
        number(length),
        number(length - LONG_STEM),
    );
    vec![about(catalogue, setup, &code::LONG_STEM, &MeasureId::bike(STEM_LENGTH), message)]
}
