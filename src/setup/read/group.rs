//! Groups and measures: the walk along the catalogue's shelves.

use std::collections::btree_map::Entry;
use std::slice;
use std::sync::Arc;

use chrono::NaiveDate;
use smallvec::SmallVec;

use crate::catalogue::code;
use crate::catalogue::word;
use crate::catalogue::{Kind, MeasureId, Row, Shelf, Subject, Taking};
use crate::metrology::reading::Reading;
use crate::metrology::unit::{Quantity, Unit};

use super::super::model::{
    Instrument, InstrumentKind, Note, Part, Recorded, Setup, Tolerance, Value as Held, Written,
};
use super::super::span::Span;
use super::super::syntax::{Argument, Node, Value};
use super::context::Context;
use super::place::{Place, entered, found};

/// Reads one node of a group: a note, a group, or a measure.
pub fn child(context: &mut Context, setup: &mut Setup, place: &mut Place, node: &Node) {
    if let Some(annotation) = &node.annotation {
        let message = format!("A word in parentheses before `{}` means nothing here.", node.name);
        context.find(&code::UNKNOWN_WORD, annotation.span, message).help =
            "A unit goes before the number: width (mm)780.".to_owned();
    }
    if &*node.name == word::NOTE.name {
        return note(context, setup, &place.path, node);
    }
    if &*node.name == word::CONFLICT.name {
        return super::conflict::conflict(context, node);
    }
    let catalogue = context.catalogue;
    let Some(id) = found(catalogue, place.shelf, &node.name) else { return strange(context, place, node) };
    let shelf = catalogue.shelf(id);
    let Some(subject) = place.subject_of(context, node, id) else { return };
    if shelf.is_group() {
        open(context, setup, place, node, shelf, subject);
    } else {
        measure_node(context, setup, place, node, shelf, &subject);
    }
}

/// A note in a group.
pub fn note(context: &mut Context, setup: &mut Setup, on: &str, node: &Node) {
    context.properties(node, word::NOTE.properties);
    context.children(node, word::NOTE.children);
    context.at_most(node, 1);
    if let Some(text) = context.text(node, 0, "a text in quotes") {
        setup.notes.push(Note { on: on.to_owned(), text });
    }
}

fn open(
    context: &mut Context,
    setup: &mut Setup,
    place: &Place,
    node: &Node,
    shelf: &Shelf,
    subject: Subject,
) {
    let mut inside = entered(context, place, node, shelf, subject);
    if setup.has_part(&inside.path) {
        let code = if shelf.taking == Taking::Name { &code::DUPLICATE_NAME } else { &code::DUPLICATE_PART };
        context.find(code, node.span, format!("`{}` stands twice.", inside.path));
    } else {
        setup.parts.push(Part { path: inside.path.clone(), span: node.span });
    }
    for grandchild in &node.children {
        child(context, setup, &mut inside, grandchild);
    }
}

/// An unknown word: the nearest word known at this place, or where the word belongs.
fn strange(context: &mut Context, place: &Place, node: &Node) {
    let name: &str = &node.name;
    let here = if place.path.is_empty() { "a setup".to_owned() } else { format!("`{}`", place.path) };
    let mut known: Vec<&str> = Vec::new();
    for id in &place.shelf.children {
        let shelf = context.catalogue.shelf(*id);
        if shelf.taking == Taking::Side { known.extend(["left", "right"]) } else { known.push(shelf.word) }
    }
    known.push(word::NOTE.name);
    if place.path.is_empty() {
        known.extend(word::TOP.iter().map(|word| word.name));
    }
    let message = format!("`{name}` is not a word known in {here}.");
    let near = super::context::nearest(name, known.iter().copied()).map(str::to_owned);
    let elsewhere = context
        .catalogue
        .rows()
        .find(|(_, measure)| measure.word() == name && measure.path.contains('.'))
        .map(|(_, measure)| measure.path);
    let finding = context.find(&code::UNKNOWN_WORD, node.span, message);
    if let Some(help) = super::conflict::stray(name) {
        finding.help = help;
    } else if let Some(near) = near {
        finding.help = format!("Did you mean `{near}`?");
    } else if let Some(path) = elsewhere {
        let group =
            path.rsplit_once('.').map_or(path, |(group, _)| group).replace("SIDE.", "").replace(".N", "");
        finding.help = format!("`{name}` belongs in `{group}`.");
    }
}

fn measure_node(
    context: &mut Context,
    setup: &mut Setup,
    place: &Place,
    node: &Node,
    shelf: &Shelf,
    subject: &Subject,
) {
    if !node.properties.is_empty() {
        let own = shelf.properties.iter().map(|(word, _)| *word);
        let known: Vec<&str> = word::READING_PROPERTIES.iter().copied().chain(own).collect();
        context.properties(node, &known);
    }
    context.children(node, &[]);
    let common = Common::of(context, node, place.read);
    match shelf.measure {
        Some(row) => {
            let id = MeasureId { row, subject: subject.clone() };
            measure(context, setup, id, &node.arguments, node.span, &common);
        }
        None => context.at_most(node, 0),
    }
    for (word, row) in &shelf.properties {
        let Some(property) = node.property(word) else { continue };
        let as_argument = Argument {
            annotation: property.annotation.clone(),
            value: property.value.clone(),
            span: property.span,
            value_span: property.value_span,
        };
        let id = MeasureId { row: *row, subject: subject.clone() };
        measure(context, setup, id, slice::from_ref(&as_argument), property.span, &common);
    }
}

/// What a node says of all its readings.
pub struct Common {
    pub tolerance: Option<Written<Tolerance>>,
    pub instrument: Option<Instrument>,
    pub read: Option<NaiveDate>,
}

impl Common {
    pub fn of(context: &mut Context, node: &Node, inherited: Option<NaiveDate>) -> Common {
        Common {
            tolerance: context.tolerance(node),
            instrument: reading_instrument(context, node),
            read: context.date_property(node, "read").or(inherited),
        }
    }
}

/// So small a half-width that two readings which differ at all do not agree.
const AS_GOOD_AS_NONE: f64 = 1e-9;

/// An instrument of a setup that is not at hand: how well it reads is not known.
fn instrument_elsewhere(context: &Context, node: &Node) -> Option<Instrument> {
    let property = node.property("with").filter(|_| context.elsewhere)?;
    let Value::Text(name) = &property.value else { return None };
    let kind = InstrumentKind::Reads(Tolerance { half_width: AS_GOOD_AS_NONE, unit: None });
    Some(Instrument { name: Arc::from(&**name), kind, span: property.value_span })
}

/// The instrument of a `with=`; a wrench reads no measure.
fn reading_instrument(context: &mut Context, node: &Node) -> Option<Instrument> {
    let instrument = context.with(node).or_else(|| instrument_elsewhere(context, node))?;
    if instrument.wrench().is_none() {
        return Some(instrument);
    }
    let span = node.property("with").map_or(node.span, |property| property.span);
    let message = format!("`{}` is a torque wrench and reads no measure.", instrument.name);
    context.find(&code::UNFIT_INSTRUMENT, span, message);
    None
}

fn measure(
    context: &mut Context,
    setup: &mut Setup,
    id: MeasureId,
    written: &[Argument],
    node: Span,
    common: &Common,
) {
    let Some((first, last)) = written.first().zip(written.last()) else {
        let path = context.path(&id);
        let message = format!("`{path}` has no value.");
        context.find(&code::NO_VALUE, node, message).measure = Some(path);
        return;
    };
    let span = Span { start: first.span.start, end: last.span.end };
    let Some(value) = value(context, &id, written, common) else { return };
    match setup.readings.entry(id) {
        Entry::Vacant(free) => {
            free.insert(Recorded { value, span, node });
        }
        Entry::Occupied(taken) => {
            let path = context.path(taken.key());
            let message = format!("`{path}` is recorded twice.");
            context.find(&code::DUPLICATE_MEASURE, node, message).measure = Some(path);
        }
    }
}

/// Reads what is written as a measure's value; every fault is noted.
pub fn value(context: &mut Context, id: &MeasureId, written: &[Argument], common: &Common) -> Option<Held> {
    if let [only] = written
        && matches!(&only.value, Value::Text(text) if &**text == "unmeasured")
    {
        return Some(Held::Unmeasured);
    }
    let catalogue = context.catalogue;
    match catalogue.measure(id.row).kind {
        Kind::Choice(words) => choice(context, id, written, words).map(Held::Choice),
        Kind::Reading { unit, low, high, .. } => {
            reading(context, id, written, unit, (low, high), common).map(Held::Reading)
        }
    }
}

fn choice(
    context: &mut Context,
    id: &MeasureId,
    written: &[Argument],
    words: &'static [&'static str],
) -> Option<&'static str> {
    if let Some(extra) = written.get(1) {
        let path = context.path(id);
        let message = format!("`{path}` takes one word.");
        context.find(&code::TOO_MANY_VALUES, extra.span, message).measure = Some(path);
        return None;
    }
    let argument = written.first()?;
    let text = match &argument.value {
        Value::Text(text) => text.to_string(),
        _ => argument.value_span.text(context.source).to_owned(),
    };
    let found = words.iter().copied().find(|word| *word == text);
    if found.is_none() && is_left_open(&argument.value) {
        let path = context.path(id);
        let finding = context.find(&code::UNKNOWN_CHOICE, argument.span, left_open(&path));
        (finding.help, finding.measure) = (LEFT_OPEN.to_owned(), Some(path));
    } else if found.is_none() {
        let near = super::context::nearest(&text, words.iter().copied());
        let catalogue = context.catalogue;
        let finding = context.find(
            &code::UNKNOWN_CHOICE,
            argument.span,
            format!("`{text}` is not one of: {}.", words.join(", ")),
        );
        if let Some(near) = near {
            finding.help = format!("Did you mean `{near}`?");
        }
        finding.measure = Some(catalogue.path(id));
    }
    found
}

fn reading(
    context: &mut Context,
    id: &MeasureId,
    written: &[Argument],
    default: Unit,
    span: (f64, f64),
    common: &Common,
) -> Option<Reading> {
    let first = written.first()?;
    if let Some(other) = written.iter().find(|argument| argument.annotation != first.annotation) {
        let path = context.path(id);
        let message = format!("The repeated readings of `{path}` do not all carry the same unit.");
        context.find(&code::MIXED_UNITS, other.span, message).measure = Some(path);
        return None;
    }
    let Some(unit) = context.unit(first.annotation.as_deref(), default, first.span) else {
        let path = context.path(id);
        context.about(path);
        return None;
    };
    let values = written.iter().map(|argument| number(context, id, argument, unit, default, span));
    let values: SmallVec<[f64; 1]> = values.collect::<Option<_>>()?;
    let source = context.source;
    let digits = written.iter().map(|argument| argument.value_span.text(source));
    let half_width = half_width(context, id, unit, default, common)?;
    let mut reading = Reading::new(values, digits, unit, default, half_width)?;
    if let Some(instrument) = &common.instrument {
        reading = reading.with_instrument(instrument.name.clone());
    }
    if let Some(date) = common.read {
        reading = reading.read_on(date);
    }
    Some(reading)
}

/// What to do about a line of a sheet whose `//` was taken off, and whose `?` was left.
pub(super) const LEFT_OPEN: &str =
    "Put what you read in place of the ?, or the // back in front of what you did not read.";

/// Whether a value is the `?` that a sheet to fill in has.
pub(super) fn is_left_open(value: &Value) -> bool {
    matches!(value, Value::Text(text) if text == "?")
}

pub(super) fn left_open(what: &str) -> String {
    format!("`{what}` still has its ?.")
}

fn number(
    context: &mut Context,
    id: &MeasureId,
    argument: &Argument,
    unit: Unit,
    default: Unit,
    span: (f64, f64),
) -> Option<f64> {
    let number = match argument.value {
        Value::Number(number) if number.is_finite() => number,
        _ => {
            let path = context.path(id);
            let text = argument.value_span.text(context.source);
            let found = if is_left_open(&argument.value) {
                let found = context.find(&code::NOT_A_NUMBER, argument.span, left_open(&path));
                found.help = LEFT_OPEN.to_owned();
                found
            } else {
                let message = format!("`{path}` takes a number, not {text}.");
                context.find(&code::NOT_A_NUMBER, argument.span, message)
            };
            found.measure = Some(path);
            return None;
        }
    };
    let (low, high) = span;
    let plain = unit.convert(default, number)?;
    let outside = !(low..=high).contains(&plain);
    let not_whole = default.quantity() == Quantity::Count && plain.fract() != 0.0;
    if outside || not_whole {
        let path = context.path(id);
        let sign = default.sign();
        let standard = context.catalogue.measure(id.row).standard;
        let as_written = if unit == default { String::new() } else { format!(" ({plain:.1}{sign})") };
        let message = if outside {
            format!(
                "{}{}{as_written} lies outside {low} to {high}{sign}{}.",
                argument.value_span.text(context.source),
                unit.sign(),
                standard.map_or(String::new(), |standard| format!(" ({standard})")),
            )
        } else {
            "Clicks are counted in whole numbers.".to_owned()
        };
        let finding = context.find(&code::OFF_SPAN, argument.span, message);
        finding.measure = Some(path);
        return None;
    }
    Some(number)
}

/// The half-width in the default unit: the written `tol` wins over the instrument's, the table's comes last.
fn half_width(
    context: &mut Context,
    id: &MeasureId,
    unit: Unit,
    default: Unit,
    common: &Common,
) -> Option<f64> {
    let row: Row = id.row;
    let (tolerance, span) = match (&common.tolerance, &common.instrument) {
        (Some(written), _) => {
            (Tolerance { unit: written.value.unit.or(Some(unit)), ..written.value }, Some(written.span))
        }
        (None, Some(Instrument { kind: InstrumentKind::Reads(tolerance), .. })) => (*tolerance, None),
        (None, _) => return Some(context.catalogue.measure(row).tolerance()),
    };
    let from = tolerance.unit.unwrap_or(default);
    let Some(half_width) = from.convert(default, tolerance.half_width) else {
        let path = context.path(id);
        let message = format!("A tolerance in {} does not fit `{path}`.", from.word());
        let help = format!("Write it in {}, without a unit of its own.", default.word());
        let finding = context.find(&code::WRONG_UNIT, span.unwrap_or_default(), message);
        (finding.measure, finding.help) = (Some(path), help);
        return None;
    };
    if half_width == 0.0 && default.quantity() != Quantity::Count {
        let path = context.path(id);
        let message = format!("A tolerance of 0 claims that `{path}` was read without any error.");
        context.find(&code::BAD_TOLERANCE, span.unwrap_or_default(), message).measure = Some(path);
        return None;
    }
    Some(half_width)
}
