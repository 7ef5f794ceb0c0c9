//! A plain number counts in the unit that the table has. Where a measure is recorded in another one, a plain number may have been
//! read in that and its unit forgotten: nobody is to guess which.

use crate::catalogue::{Catalogue, MeasureId};
use crate::metrology::reading::Reading;
use crate::setup::model::{Setup, Value};

/// How far a figure may lie from the recorded one and still look like it.
const ALIKE: f64 = 0.1;

/// Whether a plain number is to be asked about: it does not look like the recorded figure as plain numbers count.
pub fn is_to_be_asked(recorded: &Reading, typed: f64) -> bool {
    let (Some(as_recorded), plain) = figures(recorded) else { return false };
    let is_alike = |was: f64| (typed - was).abs() <= ALIKE * was.abs();
    recorded.unit() != recorded.default_unit() && (!is_alike(plain) || is_alike(as_recorded))
}

/// The measures of which a sheet reads a plain number that looks rather like the recorded figure in the recorded unit than
/// like it as plain numbers count; `text` is the sheet's.
pub fn doubtful<'s>(setup: &'s Setup, sheet: &'s Setup, text: &str) -> Vec<(&'s MeasureId, &'s Reading)> {
    let is_doubtful = |id: &MeasureId, recorded: &Reading| {
        let Some(read) = sheet.recorded(id) else { return false };
        let Value::Reading(reading) = &read.value else { return false };
        let is_plain = reading.unit() == recorded.default_unit() && !read.span.text(text).contains('(');
        let as_plain = recorded.unit() != recorded.default_unit() && is_plain;
        as_plain && is_nearer_as_recorded(recorded, reading.value())
    };
    let read = sheet.readings.keys().filter_map(|id| Some((id, setup.reading(id)?)));
    read.filter(|(id, recorded)| is_doubtful(id, recorded)).collect()
}

/// By how many times it is more or less, not by how much: a tyre at half its pressure is nearer to it than one at a tenth.
fn is_nearer_as_recorded(recorded: &Reading, typed: f64) -> bool {
    let (Some(as_recorded), plain) = figures(recorded) else { return false };
    let times = |was: f64| (typed / was).abs().ln().abs();
    typed * as_recorded > 0.0 && times(as_recorded) < times(plain)
}

/// The recorded figure in its own unit, and as a plain number.
fn figures(recorded: &Reading) -> (Option<f64>, f64) {
    let plain = recorded.value();
    (recorded.default_unit().convert(recorded.unit(), plain), plain)
}

/// "`tyres.front` reads a plain 1.7, which is psi, and it was recorded as 1.6 bar".
pub fn said(catalogue: &Catalogue, sheet: &Setup, (id, recorded): (&MeasureId, &Reading)) -> String {
    let digits = sheet.reading(id).map(|reading| reading.digits().join(" ")).unwrap_or_default();
    format!(
        "`{}` reads a plain {digits}, which is {}, and it was recorded as {}.",
        catalogue.path(id),
        recorded.default_unit().word(),
        recorded.in_words()
    )
}
