//! A bar of the box put on the other bike: its shape, and what it is made of.

use super::{controls, put};
use crate::carry::parts::Bar;
use crate::catalogue::table::{
    BAR_BACK_SWEEP, BAR_BEND, BAR_CLAMP_DIAMETER, BAR_MATERIAL, BAR_RISE, BAR_SETBACK, BAR_SUPPLIED_WIDTH,
    BAR_UP_SWEEP, BAR_WIDTH,
};
use crate::catalogue::{Catalogue, MeasureId};
use crate::compare::{Shorter, replaced};
use crate::setup::model::{Setup, Value};
use crate::trial;

/// Puts it on.
pub fn put_bar(catalogue: &Catalogue, setup: &mut Setup, bar: &Bar) {
    let before = setup.clone();
    put_shape(catalogue, setup, bar);
    // The same figures throughout are the same bar, of which the file knows more than the box; unless the box says that
    // it is of something else.
    let replaced = replaced(catalogue, &before, setup, Shorter::Another);
    if replaced.is_some_and(|replaced| !replaced.parts.is_empty()) || is_of_something_else(&before, bar) {
        put_substance(catalogue, setup, bar);
    }
}

/// Whether a bar of the same shape is of another material or thickness than is recorded.
fn is_of_something_else(onto: &Setup, bar: &Bar) -> bool {
    let material = bar.material.zip(onto.choice(&MeasureId::bike(BAR_MATERIAL)));
    let across = bar.clamp_diameter.zip(onto.reading(&MeasureId::bike(BAR_CLAMP_DIAMETER)));
    material.is_some_and(|(in_box, recorded)| in_box != recorded)
        || across.is_some_and(|(in_box, read)| (in_box - read.value()).abs() > read.expanded_uncertainty())
}

/// What the bar is made of and where it is clamped: as the box says, else not known, for it was the old one's.
fn put_substance(catalogue: &Catalogue, setup: &mut Setup, bar: &Bar) {
    let is_there = |setup: &Setup, row| setup.recorded(&MeasureId::bike(row)).is_some();
    match bar.material {
        Some(word) => trial::put(setup, &MeasureId::bike(BAR_MATERIAL), Value::Choice(word)),
        None if is_there(setup, BAR_MATERIAL) => controls::put_unmeasured(setup, BAR_MATERIAL),
        None => {}
    }
    match bar.clamp_diameter {
        Some(diameter) => put(catalogue, setup, BAR_CLAMP_DIAMETER, diameter),
        None if is_there(setup, BAR_CLAMP_DIAMETER) => controls::put_unmeasured(setup, BAR_CLAMP_DIAMETER),
        None => {}
    }
}

fn put_shape(catalogue: &Catalogue, setup: &mut Setup, bar: &Bar) {
    for (row, value) in [
        (BAR_WIDTH, bar.width),
        (BAR_RISE, bar.rise),
        (BAR_BACK_SWEEP, bar.back_sweep),
        (BAR_UP_SWEEP, bar.up_sweep),
    ] {
        put(catalogue, setup, row, value);
    }
    let is_there = |setup: &Setup, row| setup.recorded(&MeasureId::bike(row)).is_some();
    // Rise and setback are those before the saw; a bar that was not cut is as wide as it was supplied.
    let supplied = bar.supplied_width.unwrap_or(bar.width);
    if bar.supplied_width.is_some() || is_there(setup, BAR_SUPPLIED_WIDTH) {
        put(catalogue, setup, BAR_SUPPLIED_WIDTH, supplied);
    }
    if let Some(bend) = bar.bend {
        put(catalogue, setup, BAR_BEND, bend);
    } else if is_there(setup, BAR_BEND) {
        // Where the old bar began to bend is not where this one does.
        controls::put_unmeasured(setup, BAR_BEND);
    }
    let by_bend = bar.bend.map(|bend| (supplied / 2.0 - bend) * bar.back_sweep.to_radians().tan());
    if let Some(setback) =
        bar.setback.or(by_bend).filter(|_| bar.setback.is_some() || is_there(setup, BAR_SETBACK))
    {
        put(catalogue, setup, BAR_SETBACK, setback);
    }
}
