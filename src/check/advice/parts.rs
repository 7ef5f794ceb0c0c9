//! Bar and stem: how wide, how long.

use crate::catalogue::code;
use crate::catalogue::table::{BAR_WIDTH, RIDER_STATURE, STEM_LENGTH, STEM_SUPPLIED_LENGTH};
use crate::catalogue::{MeasureId, Row};
use crate::metrology::reading::Reading;
use crate::setup::finding::Finding;
use crate::setup::model::Setup;

use crate::check::Context;

use super::{about, is_beyond, number};

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

fn reading(setup: &Setup, row: Row) -> Option<&Reading> {
    setup.reading(&MeasureId::bike(row))
}

/// The width that goes with the rider's stature.
struct Suited {
    stature: f64,
    width: f64,
    /// What the doubt of the stature makes of it; none where the usual widths end it.
    expanded: f64,
}

impl Suited {
    fn of(setup: &Setup) -> Option<Suited> {
        let stature = reading(setup, RIDER_STATURE)?;
        let share = stature.value() * WIDTH_OF_STATURE;
        let width = share.clamp(USUAL_WIDTHS.0, USUAL_WIDTHS.1);
        let is_ended = share.total_cmp(&width).is_ne();
        let expanded = if is_ended { 0.0 } else { WIDTH_OF_STATURE * stature.expanded_uncertainty() };
        Some(Suited { stature: stature.value(), width, expanded })
    }

    /// Whether a width strays too far from it, `excess` being how much further than there is room for.
    fn is_left(&self, width: &Reading, excess: f64) -> bool {
        is_beyond(excess - WIDTH_ROOM, width.expanded_uncertainty().hypot(self.expanded))
    }
}

/// As finely as a rule of thumb deserves.
fn to_the_centimetre(millimetres: f64) -> String {
    number((millimetres / 10.0).round() * 10.0)
}

/// Wider than usual, or than goes with the stature.
pub fn wide_bar(context: &Context) -> Vec<Finding> {
    let Context { catalogue, setup, .. } = *context;
    let Some(reading) = reading(setup, BAR_WIDTH) else { return Vec::new() };
    let width = reading.value();
    let message = match Suited::of(setup) {
        Some(suited) if suited.is_left(reading, width - suited.width) => format!(
            "The bar is {} mm wide, about {} mm more than goes with a stature of {} mm (common practice, no source): a \
             short rider on a very wide bar is worse off, the arms spread and the steering slows.",
            number(width),
            to_the_centimetre(width - suited.width),
            number(suited.stature),
        ),
        _ if is_beyond(width - USUAL_WIDTHS.1, reading.expanded_uncertainty()) => format!(
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
    let Some(reading) = reading(setup, BAR_WIDTH) else { return Vec::new() };
    let width = reading.value();
    let message = match Suited::of(setup) {
        Some(suited) if suited.is_left(reading, suited.width - width) => format!(
            "The bar is {} mm wide, about {} mm less than goes with a stature of {} mm (common practice, no source): the \
             steering is quicker and takes more holding on rough ground.",
            number(width),
            to_the_centimetre(suited.width - width),
            number(suited.stature),
        ),
        _ if is_beyond(USUAL_WIDTHS.0 - width, reading.expanded_uncertainty()) => format!(
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
    let lengths = reading(setup, STEM_LENGTH).zip(reading(setup, STEM_SUPPLIED_LENGTH));
    let Some((length, supplied)) = lengths else { return Vec::new() };
    let expanded = length.expanded_uncertainty().hypot(supplied.expanded_uncertainty());
    let (length, supplied) = (length.value(), supplied.value());
    if !is_beyond(supplied - length - SHORTENING_ROOM, expanded) {
        return Vec::new();
    }
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
    let Some(reading) = reading(setup, STEM_LENGTH) else { return Vec::new() };
    let length = reading.value();
    if !is_beyond(length - LONG_STEM, reading.expanded_uncertainty()) {
        return Vec::new();
    }
    let message = format!(
        "The stem is {} mm long, {} mm more than trail stems usually run to: it puts weight on the front and \
         feels vague.",
        number(length),
        number(length - LONG_STEM),
    );
    vec![about(catalogue, setup, &code::LONG_STEM, &MeasureId::bike(STEM_LENGTH), message)]
}
