//! What somebody wants to try: `stem.length=40`, `steerer.spacers-below=+5`, and how it lands in a setup.
//!
//! A bare sign makes a change relative: `=+5` adds 5, `=-2` takes 2 away. `:=` is always the value itself, for the
//! measures that go below nothing: `bar.roll:=-2`. A unit goes before the number: `stem.length=(in)1.5`.

use crate::catalogue::measure::Kind;
use crate::catalogue::table::{BAR_SUPPLIED_WIDTH, BAR_WIDTH};
use crate::catalogue::{Catalogue, MeasureId, Shape, Subject, sides_written_out};
use crate::geometry::state::State;
use crate::metrology::reading::Reading;
use crate::metrology::show;
use crate::metrology::unit::Unit;
use crate::setup::model::{Recorded, Setup, Value};
use crate::setup::span::Span;

use super::Refusal;
use super::number::number;

/// What a measure is to become.
#[derive(Clone, Debug, PartialEq)]
pub enum To {
    /// This number.
    Value {
        /// The number in its unit.
        number: f64,
        /// As typed.
        digits: String,
        /// Its unit.
        unit: Unit,
    },
    /// So much more or less, in the measure's default unit.
    By(f64),
    /// This word.
    Word(&'static str),
}

/// One change.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// Of which measure.
    pub id: MeasureId,
    /// What it is to become.
    pub to: To,
}

impl Asked {
    /// Reads every change as typed, and looks at each as far as it can be judged alone; what is wrong with any of them.
    pub fn parse_all(
        catalogue: &Catalogue,
        setup: &Setup,
        typed: &[String],
    ) -> Result<Vec<Asked>, Vec<Refusal>> {
        let mut refusals = Vec::new();
        let mut found: Vec<Asked> = Vec::new();
        for typed in typed {
            let judged = Asked::parse(catalogue, typed).and_then(|asked| {
                is_there(catalogue, setup, &asked.id)?;
                if found.iter().any(|earlier| earlier.id == asked.id) {
                    let path = catalogue.path(&asked.id);
                    return Err(Refusal::new(format!("`{path}` is changed twice."), "Say it once."));
                }
                apply(catalogue, &mut setup.clone(), &asked).map(|()| asked)
            });
            match judged {
                Ok(asked) => found.push(asked),
                Err(refusal) => refusals.push(refusal),
            }
        }
        if refusals.is_empty() { Ok(found) } else { Err(refusals) }
    }

    /// Reads one change as typed.
    pub fn parse(catalogue: &Catalogue, typed: &str) -> Result<Asked, Refusal> {
        let Some((path, value)) = typed.rsplit_once('=') else {
            return Err(Refusal::new(
                format!("`{typed}` is not a change."),
                "Write a measure and what it becomes: stem.length=40, steerer.spacers-below=+5, bar.roll:=-2.",
            ));
        };
        let (path, always_value) = match path.strip_suffix(':') {
            Some(path) => (path, true),
            None => (path, false),
        };
        let id = measure(catalogue, path.trim())?;
        let value = value.trim();
        let to = match catalogue.measure(id.row).kind {
            Kind::Choice(words) => choice(path, words, value)?,
            Kind::Reading { unit, .. } => number(path, value, unit, always_value)?,
        };
        Ok(Asked { id, to })
    }
}

/// The measure of a written path, or a refusal that names the nearest.
pub fn measure(catalogue: &Catalogue, path: &str) -> Result<MeasureId, Refusal> {
    catalogue.find(path).ok_or_else(|| {
        let paths: Vec<String> = catalogue.rows().flat_map(|(_, row)| sides_written_out(row.path)).collect();
        let known = groups(catalogue);
        let help = format!("A measure is a group and a name: stem.length. Groups: {}.", known.join(", "));
        Refusal::unknown(format!("`{path}` is not a measure."), path, paths.iter().map(String::as_str), help)
    })
}

/// A hose that the setup does not have cannot be tried.
pub fn is_there(catalogue: &Catalogue, setup: &Setup, id: &MeasureId) -> Result<(), Refusal> {
    let Some(name) = id.subject.name.as_deref().filter(|name| setup.hoses().all(|hose| hose != *name)) else {
        return Ok(());
    };
    let there: Vec<String> = setup.hoses().map(|hose| format!("`{hose}`")).collect();
    let help = match there[..] {
        [] => "The setup has no hose; record it first.".to_owned(),
        _ => format!("Its hoses: {}.", there.join(", ")),
    };
    let paths: Vec<String> = setup
        .hoses()
        .map(|hose| {
            let subject = Subject { name: Some(hose.into()), ..id.subject.clone() };
            catalogue.path(&MeasureId { row: id.row, subject })
        })
        .collect();
    let (message, path) = (format!("The setup has no hose `{name}`."), catalogue.path(id));
    Err(Refusal::unknown(message, &path, paths.iter().map(String::as_str), help))
}

/// What measures are grouped under, in the table's order.
fn groups(catalogue: &Catalogue) -> Vec<&'static str> {
    let mut groups: Vec<&str> = Vec::new();
    for (_, row) in catalogue.rows() {
        let group = row.path.rsplit_once('.').map_or(row.path, |(group, _)| group);
        let group = group.split('.').next().filter(|first| *first != "SIDE").unwrap_or("left, right");
        if !groups.contains(&group) {
            groups.push(group);
        }
    }
    groups
}

fn choice(path: &str, words: &'static [&'static str], value: &str) -> Result<To, Refusal> {
    words.iter().find(|word| **word == value).map(|word| To::Word(word)).ok_or_else(|| {
        Refusal::new(
            format!("`{path}` cannot become `{value}`."),
            format!("It takes one of: {}.", words.join(", ")),
        )
    })
}

/// Puts a change into a setup. The new value is exact.
pub fn apply(catalogue: &Catalogue, setup: &mut Setup, asked: &Asked) -> Result<(), Refusal> {
    let path = catalogue.path(&asked.id);
    let default = catalogue.measure(asked.id.row).unit();
    let value = match &asked.to {
        To::Word(word) => Value::Choice(word),
        To::Value { number, digits, unit } => {
            let typed = Reading::new([*number], [digits], *unit, default, 0.0);
            let typed = within_its_span(catalogue, &asked.id, typed, *number)
                .map_err(|refusal| in_the_files_unit(catalogue, setup, asked, refusal))?;
            // A property shares its node's `tol`, and so its unit.
            let converted = match (catalogue.measure(asked.id.row).shape, setup.reading(&asked.id)) {
                (Shape::Property, Some(line)) if line.unit() != *unit => {
                    worked_out(catalogue, setup, &asked.id, typed.value(), 0.0)
                }
                _ => None,
            };
            Value::Reading(converted.unwrap_or(typed))
        }
        To::By(step) => {
            let was = State::recorded(catalogue, setup).value(&asked.id).ok_or_else(|| {
                Refusal::new(
                    format!("`{path}` is not recorded, so nothing can be added to it."),
                    format!("Say what it becomes: {path}=…."),
                )
            })?;
            let now = worked_out(catalogue, setup, &asked.id, was + step, 0.0);
            Value::Reading(within_its_span(catalogue, &asked.id, now, was + step)?)
        }
    };
    change_to(setup, &asked.id, value);
    Ok(())
}

/// Gives a measure another value, and does what the part itself makes of that.
pub fn change_to(setup: &mut Setup, id: &MeasureId, value: Value) {
    if *id == MeasureId::bike(BAR_WIDTH)
        && let Value::Reading(reading) = &value
    {
        keep_the_supplied_width(setup, reading.value());
    }
    put(setup, id, value);
}

/// A step down of a measure that goes below nothing, said as a sum: a sign there is easily meant as the value's own.
pub fn step_in_words(catalogue: &Catalogue, setup: &Setup, asked: &Asked) -> Option<String> {
    let measure = catalogue.measure(asked.id.row);
    let (To::By(step), Kind::Reading { low, unit, .. }) = (&asked.to, measure.kind) else { return None };
    let was = State::recorded(catalogue, setup).value(&asked.id)?;
    let (sign, path) = (unit.sign(), catalogue.path(&asked.id));
    let [was, less, now] = [was, -step, was + step].map(show::brief);
    (*step < 0.0 && low < 0.0).then(|| {
        format!("{path}=-{less} is a step: {was}{sign} less {less}{sign} is {now}{sign}. The value itself is {path}:=-{less}.")
    })
}

/// A value that was worked out, in the measure's default unit, as it will be written: rounded, in the unit of the line
/// that is there. What is tried is thus what is written, to the last digit.
pub fn worked_out(
    catalogue: &Catalogue,
    setup: &Setup,
    id: &MeasureId,
    value: f64,
    half_width: f64,
) -> Option<Reading> {
    let measure = catalogue.measure(id.row);
    let default = measure.unit();
    let unit = setup.reading(id).map_or(default, Reading::unit);
    Reading::worked_out(value, unit, default, measure.tolerance(), half_width)
}

/// Puts a value in the place of another, or where none was.
pub fn put(setup: &mut Setup, id: &MeasureId, value: Value) {
    if let Some(recorded) = setup.readings.get_mut(id) {
        recorded.value = value;
        return;
    }
    let (span, node) = (Span::default(), Span::default());
    setup.readings.insert(id.clone(), Recorded { value, span, node });
}

/// Rise and setback belong to the width before the saw; a wider bar is another bar, which nobody has sawn.
fn keep_the_supplied_width(setup: &mut Setup, new: f64) {
    let supplied = MeasureId::bike(BAR_SUPPLIED_WIDTH);
    if setup.reading(&supplied).is_none()
        && let Some(width) = setup.reading(&MeasureId::bike(BAR_WIDTH)).cloned()
        && new < width.value()
    {
        put(setup, &supplied, Value::Reading(width));
    }
}

/// A number that would do in the unit in which the file has the measure was probably meant in that.
fn in_the_files_unit(catalogue: &Catalogue, setup: &Setup, asked: &Asked, refusal: Refusal) -> Refusal {
    let measure = catalogue.measure(asked.id.row);
    let (To::Value { number, digits, unit }, Kind::Reading { low, high, .. }) = (&asked.to, measure.kind)
    else {
        return refusal;
    };
    let written = setup.reading(&asked.id).map(Reading::unit).filter(|written| written != unit);
    let Some(written) = written.filter(|_| *unit == measure.unit()) else { return refusal };
    let would_do = written.convert(*unit, *number).is_some_and(|value| (low..=high).contains(&value));
    if !would_do {
        return refusal;
    }
    let (path, word) = (catalogue.path(&asked.id), written.word());
    Refusal::new(refusal.message, format!("The file has it in {word}: did you mean {path}=({word}){digits}?"))
}

/// A number in a message: as it is, but without its hundred places where it is beyond all reason.
fn in_a_message(number: f64) -> String {
    if number.abs() < 1e7 { show::brief(number) } else { format!("{number:e}") }
}

fn within_its_span(
    catalogue: &Catalogue,
    id: &MeasureId,
    reading: Option<Reading>,
    number: f64,
) -> Result<Reading, Refusal> {
    let path = catalogue.path(id);
    let measure = catalogue.measure(id.row);
    let reading = reading.ok_or_else(|| {
        let message = format!("`{path}` cannot become {}.", in_a_message(number));
        Refusal::new(message, "Check the number and its unit.")
    })?;
    let Kind::Reading { low, high, .. } = measure.kind else { return Ok(reading) };
    if (low..=high).contains(&reading.value()) {
        return Ok(reading);
    }
    let sign = measure.unit().sign();
    Err(Refusal::new(
        format!(
            "`{path}` cannot become {}{sign}: it lies between {low} and {high}.",
            in_a_message(reading.value())
        ),
        "Check the number, its sign and its unit.",
    ))
}
