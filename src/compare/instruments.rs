//! What changed in the doubt of the readings alone: instruments that read otherwise than before, and measures that
//! stand as they were but are told to be read with another instrument or to another tolerance.

use serde::Serialize;

use crate::catalogue::{Catalogue, MeasureId};
use crate::geometry::state::Difference;
use crate::metrology::NEGLIGIBLE;
use crate::metrology::reading::Reading;
use crate::metrology::show;
use crate::setup::model::{Instrument, InstrumentKind, Setup, Tolerance, Value, Wrench};
use crate::setup::torque::TorqueFigure;

use super::differing::Differing;

/// An instrument that came, went, or reads otherwise than before.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct InstrumentChange {
    /// Its name.
    pub instrument: String,
    /// How well it read, in words: "±0.5".
    pub was: Option<String>,
    /// How well it reads.
    pub now: Option<String>,
}

/// A measure whose reading stands as it was, and whose tolerance or instrument is told otherwise.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct ReadOtherwise {
    /// Its written path.
    pub measure: String,
    /// In plain words.
    pub title: String,
    /// How it was read, in words: "±0.5 mm with rule".
    pub was: String,
    /// How it is read now.
    pub now: String,
}

/// The instruments that differ: those of the later setup in its order, then those that are gone.
pub fn instruments(difference: &Difference) -> Vec<InstrumentChange> {
    let (from, to) = (difference.from.setup(), difference.to.setup());
    let kept = to.instruments.iter().filter_map(|now| {
        let was = named(from, &now.name);
        (was.map(|was| &was.kind) != Some(&now.kind)).then(|| change(was, Some(now), &now.name))
    });
    let gone = from.instruments.iter().filter(|was| named(to, &was.name).is_none());
    kept.chain(gone.map(|was| change(Some(was), None, &was.name))).collect()
}

fn named<'s>(setup: &'s Setup, name: &str) -> Option<&'s Instrument> {
    setup.instruments.iter().find(|instrument| &*instrument.name == name)
}

fn change(was: Option<&Instrument>, now: Option<&Instrument>, name: &str) -> InstrumentChange {
    let words = |instrument: Option<&Instrument>| {
        instrument.map(|instrument| match &instrument.kind {
            InstrumentKind::Reads(tolerance) => reads(*tolerance),
            InstrumentKind::Wrench(wrench) => sets(wrench),
        })
    };
    InstrumentChange { instrument: name.to_owned(), was: words(was), now: words(now) }
}

fn reads(tolerance: Tolerance) -> String {
    let sign = tolerance.unit.map(crate::metrology::unit::Unit::sign).unwrap_or_default();
    format!("±{}{sign}", width(tolerance.half_width))
}

fn sets(wrench: &Wrench) -> String {
    let end = |word: &str, figure: Option<&TorqueFigure>| {
        figure.map(|figure| format!(" {word} {}{}", figure.digits, figure.unit.sign())).unwrap_or_default()
    };
    let ends = format!("{}{}", end("from", wrench.low.as_ref()), end("to", wrench.high.as_ref()));
    format!("±{} %{ends}", width(wrench.deviation * 100.0))
}

/// The measures that only are read otherwise. Where an instrument itself differs, that tells of all that is read with it.
pub fn read_otherwise(
    catalogue: &Catalogue,
    differing: &[Differing],
    instruments: &[InstrumentChange],
) -> Vec<ReadOtherwise> {
    let otherwise = |one: &Differing| {
        let (was, now) = one.both()?;
        otherwise(catalogue, one.id, was, now, instruments)
    };
    differing.iter().filter_map(otherwise).collect()
}

fn otherwise(
    catalogue: &Catalogue,
    id: &MeasureId,
    was: &Value,
    now: &Value,
    instruments: &[InstrumentChange],
) -> Option<ReadOtherwise> {
    let (Value::Reading(was), Value::Reading(now)) = (was, now) else { return None };
    let same_doubt = (was.half_width() - now.half_width()).abs() < NEGLIGIBLE;
    if same_doubt && was.instrument() == now.instrument() || (was.value() - now.value()).abs() >= NEGLIGIBLE {
        return None;
    }
    let told = |name: &str| instruments.iter().any(|change| change.instrument == name);
    if was.instrument() == now.instrument() && was.instrument().is_some_and(told) {
        return None;
    }
    Some(ReadOtherwise {
        measure: catalogue.path(id),
        title: catalogue.title(id),
        was: how(was),
        now: how(now),
    })
}

fn how(reading: &Reading) -> String {
    let with = reading.instrument().map(|name| format!(" with {name}")).unwrap_or_default();
    format!("±{}{}{with}", width(reading.half_width()), reading.default_unit().sign())
}

/// A half-width as a person would type it; the finest instruments need a third decimal.
fn width(half_width: f64) -> String {
    show::typed(half_width, 4)
}
