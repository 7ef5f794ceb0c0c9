//! The text of a setup with some of its values replaced and every other character as it was.
//!
//! A value that stands in the file is replaced in its place. One that does not is put before a neighbour of the same
//! group; where there is none, the answer says so. The result is read again before anybody gets it.

use crate::catalogue::measure::Shape;
use crate::catalogue::{Catalogue, MeasureId};
use crate::metrology::unit::Unit;
use crate::setup::edit::number::quoted;
use crate::setup::model::{Setup, Value};
use crate::setup::read::read;
use crate::setup::span::Span;

use super::Refusal;
use super::change::short;

/// A replacement of a stretch of text.
struct Cut {
    span: Span,
    text: String,
}

/// `text`, which reads as `was`, with the values of `differing` as `now` has them, under another name if one is given.
pub fn splice(
    catalogue: &Catalogue,
    text: &str,
    was: &Setup,
    now: &Setup,
    differing: &[MeasureId],
    name: Option<&str>,
) -> Result<String, Refusal> {
    let mut cuts = Vec::new();
    if let Some(name) = name.filter(|name| *name != was.name.value) {
        cuts.push(Cut { span: was.name.span, text: quoted(name) });
    }
    for id in differing {
        cuts.push(cut(catalogue, was, now, id)?);
    }
    // From the end, so that the places before stay true; of two at one place the first stays in front.
    cuts.sort_by_key(|cut| cut.span.start);
    let mut spliced = text.to_owned();
    for cut in cuts.iter().rev() {
        if spliced.get(cut.span.range()).is_none() {
            return Err(Refusal::new("The text does not fit what was read from it.", "Please report this."));
        }
        spliced.replace_range(cut.span.range(), &cut.text);
    }
    prove(catalogue, &spliced, now, differing)?;
    Ok(spliced)
}

fn cut(catalogue: &Catalogue, was: &Setup, now: &Setup, id: &MeasureId) -> Result<Cut, Refusal> {
    let path = catalogue.path(id);
    let Some(value) = now.recorded(id).map(|recorded| &recorded.value) else {
        return Err(Refusal::new(format!("`{path}` has no value to write."), "Please report this."));
    };
    if let Some(recorded) = was.recorded(id) {
        let unit = was.reading(id).map(crate::metrology::reading::Reading::unit);
        let value = written(catalogue, id, value, unit);
        let measure = catalogue.measure(id.row);
        // A property's place is that of key and value together.
        let text =
            if measure.shape == Shape::Property { format!("{}={value}", measure.word()) } else { value };
        return Ok(Cut { span: recorded.span, text });
    }
    let measure = catalogue.measure(id.row);
    let value = written(catalogue, id, value, None);
    let (neighbour, text) = match measure.shape {
        Shape::Node => (neighbour(catalogue, was, id), format!("{} {value}; ", measure.word())),
        Shape::Property => (neighbour(catalogue, was, id), format!("{}={value} ", measure.word())),
    };
    let place = neighbour.ok_or_else(|| {
        Refusal::new(
            format!("`{path}` does not stand in the file, nor anything beside it."),
            format!("Write it into the file first, as {path} = {value}."),
        )
    })?;
    Ok(Cut { span: Span { start: place.start, end: place.start }, text })
}

/// The first measure of the same group and shape.
fn neighbour(catalogue: &Catalogue, was: &Setup, id: &MeasureId) -> Option<Span> {
    let path = catalogue.path(id);
    let (group, _) = path.rsplit_once('.')?;
    let shape = catalogue.measure(id.row).shape;
    let beside = was.readings.iter().filter(|(other, _)| {
        catalogue.measure(other.row).shape == shape
            && catalogue.path(other).rsplit_once('.').is_some_and(|(theirs, _)| theirs == group)
    });
    beside.map(|(_, recorded)| recorded.node).min_by_key(|node| node.start)
}

/// A value as it is written; in the unit that the file has there, so that a `tol` beside it keeps its meaning.
fn written(catalogue: &Catalogue, id: &MeasureId, value: &Value, there: Option<Unit>) -> String {
    let default = catalogue.measure(id.row).unit();
    match value {
        Value::Choice(word) => (*word).to_owned(),
        Value::Unmeasured => "unmeasured".to_owned(),
        Value::Reading(reading) => {
            let unit = there.unwrap_or(reading.unit());
            let digits = match reading.digits() {
                [typed] if unit == reading.unit() => typed.clone(),
                _ => short(reading.default_unit().convert(unit, reading.value()).unwrap_or(reading.value())),
            };
            if unit == default { digits } else { format!("({}){digits}", unit.word()) }
        }
    }
}

/// Reads the result again: nothing is handed out that does not say what it should.
fn prove(catalogue: &Catalogue, text: &str, now: &Setup, differing: &[MeasureId]) -> Result<(), Refusal> {
    let again = read(catalogue, text.as_bytes(), None);
    let same = |id: &MeasureId| match (
        again.setup.as_ref().and_then(|setup| setup.recorded(id)),
        now.recorded(id),
    ) {
        (Some(found), Some(wanted)) => match (&found.value, &wanted.value) {
            (Value::Reading(found), Value::Reading(wanted)) => {
                (found.value() - wanted.value()).abs() <= 1e-8 * wanted.value().abs().max(1.0)
            }
            (found, wanted) => found == wanted,
        },
        _ => false,
    };
    match differing.iter().find(|id| !same(id)) {
        None if !again.has_fault() => Ok(()),
        Some(id) => Err(Refusal::new(
            format!("`{}` could not be written in its place.", catalogue.path(id)),
            "Change it in the file by hand.",
        )),
        None => {
            let first =
                again.findings.iter().map(|finding| finding.message.as_str()).next().unwrap_or_default();
            Err(Refusal::new(
                format!("The file would not read without a fault: {first}"),
                "Run `clampmark check` on the setup and mend it first.",
            ))
        }
    }
}
