//! What the walk carries along, and the small questions every step asks of a node.

use std::collections::BTreeMap;
use std::sync::Arc;

use chrono::NaiveDate;

use crate::catalogue::code::{self, Code};
use crate::catalogue::word;
use crate::catalogue::{Catalogue, MeasureId};
use crate::metrology::unit::{Quantity, Unit};

use super::super::finding::Finding;
use super::super::model::{Instrument, Note, Setup, Tolerance, Written};
use super::super::span::Span;
use super::super::syntax::{Argument, Node, SyntaxFault, SyntaxFaultKind, Text, Value};
use super::super::undecided::{InConflict, Undecided};

/// The state of one reading.
pub struct Context<'a> {
    pub catalogue: &'a Catalogue,
    pub source: &'a str,
    pub base: Option<&'a Setup>,
    pub instruments: Vec<Instrument>,
    /// The notes in a conflict by which nobody is to ride, or of what is not known any more: until it is decided they count as
    /// if they stood.
    pub notes_in_conflict: Vec<Note>,
    /// The measures that stand in a conflict, with what either version holds.
    pub measures_in_conflict: BTreeMap<MeasureId, Undecided>,
    /// The marks and torques that stand in a conflict.
    pub records_in_conflict: Vec<InConflict>,
    /// The instruments that stand in a conflict: they are not unknown, only undecided.
    pub undecided: Vec<Text>,
    pub findings: Vec<Finding>,
    /// Whether the instruments of a sheet may stand elsewhere, in a setup that is not at hand.
    pub elsewhere: bool,
    /// Whether the text has a fault of grammar, which may be why something is missing.
    pub garbled: bool,
}

impl<'a> Context<'a> {
    pub fn new(catalogue: &'a Catalogue, source: &'a str, base: Option<&'a Setup>) -> Self {
        Context {
            catalogue,
            source,
            base,
            instruments: Vec::new(),
            notes_in_conflict: Vec::new(),
            measures_in_conflict: BTreeMap::new(),
            records_in_conflict: Vec::new(),
            undecided: Vec::new(),
            findings: Vec::new(),
            elsewhere: false,
            garbled: false,
        }
    }

    /// Notes a finding at a place.
    pub fn find(&mut self, code: &'static Code, span: Span, message: impl Into<String>) -> &mut Finding {
        let at = self.findings.len();
        self.findings.push(Finding::new(code, message).at(span));
        &mut self.findings[at]
    }

    /// Says of the last finding which measure it is about.
    pub fn about(&mut self, path: String) {
        if let Some(last) = self.findings.last_mut() {
            last.measure = Some(path);
        }
    }

    /// An unknown word, with the nearest known one.
    pub fn unknown<'w>(
        &mut self,
        span: Span,
        message: String,
        word: &str,
        known: impl Iterator<Item = &'w str>,
    ) {
        let finding = self.find(&code::UNKNOWN_WORD, span, message);
        if let Some(near) = nearest(word, known) {
            finding.help = format!("Did you mean `{near}`?");
        }
    }

    /// Says so of every property that stands twice or is not among the known ones.
    pub fn properties(&mut self, node: &Node, known: &[&str]) {
        for (index, property) in node.properties.iter().enumerate() {
            let key: &str = &property.key;
            if !known.contains(&key) {
                let message = format!("`{}` takes no property `{key}`.", node.name);
                self.unknown(property.span, message, key, known.iter().copied());
            } else if node.properties[..index].iter().any(|earlier| earlier.key == property.key) {
                self.find(
                    &code::DUPLICATE_PROPERTY,
                    property.span,
                    format!("`{key}` stands twice on `{}`.", node.name),
                );
            }
        }
    }

    /// Says so of every node inside that the word does not take.
    pub fn children<'n>(&mut self, node: &'n Node, known: &[&str]) -> Vec<&'n Node> {
        let (fine, strange): (Vec<_>, Vec<_>) =
            node.children.iter().partition(|child| known.contains(&&*child.name));
        for child in strange {
            if &*child.name == word::CONFLICT.name && !known.is_empty() {
                super::conflict::conflict(self, child);
                continue;
            }
            let message = if known.is_empty() {
                format!("`{}` takes nothing in braces, so `{}` cannot stand here.", node.name, child.name)
            } else {
                format!("`{}` cannot stand in `{}`.", child.name, node.name)
            };
            let name: &str = &child.name;
            self.unknown(child.span, message, name, known.iter().copied());
            if let Some(help) = [name, &node.name].into_iter().find_map(super::conflict::stray)
                && let Some(last) = self.findings.last_mut()
            {
                last.help = help;
            }
        }
        fine
    }

    /// Says so of every value from the `most`-th on.
    pub fn at_most(&mut self, node: &Node, most: usize) {
        if let Some(extra) = node.arguments.get(most) {
            let message = match most {
                0 => format!("`{}` takes no value.", node.name),
                1 => format!("`{}` takes one value.", node.name),
                _ => format!("`{}` takes {most} values at most.", node.name),
            };
            self.find(&code::TOO_MANY_VALUES, extra.span, message);
        }
    }

    /// The n-th value as a text.
    pub fn text(&mut self, node: &Node, index: usize, what: &str) -> Option<Written<String>> {
        let Some(argument) = node.arguments.get(index) else {
            let message = format!("`{}` needs {what}.", node.name);
            let finding = self.find(&code::NOT_A_TEXT, node.span, message);
            finding.help = format!("Write it after the word: {} \"…\".", node.name);
            return None;
        };
        self.text_of(argument, what)
    }

    /// The n-th value as a text that says something.
    pub fn filled(&mut self, node: &Node, index: usize, what: &str) -> Option<Written<String>> {
        let written = self.text(node, index, what)?;
        if written.value.trim().is_empty() {
            let message = format!("`{}` needs {what}: between these there is nothing.", node.name);
            self.find(&code::EMPTY_TEXT, written.span, message);
            return None;
        }
        if is_blank(&written.value) {
            let message = format!("`{}` still has its ….", node.name);
            self.find(&code::EMPTY_TEXT, written.span, message).help =
                format!("Put {what} in place of the …, or // in front of the line.");
            return None;
        }
        Some(written)
    }

    /// One value as a text.
    pub fn text_of(&mut self, argument: &Argument, what: &str) -> Option<Written<String>> {
        if let Value::Text(text) = &argument.value {
            return Some(Written { value: text.to_string(), span: argument.span });
        }
        self.find(&code::NOT_A_TEXT, argument.span, format!("{what} is a text: it goes in double quotes."));
        None
    }

    /// A property as a text.
    pub fn text_property(&mut self, node: &Node, key: &str) -> Option<Written<String>> {
        let property = node.property(key)?;
        if let Value::Text(text) = &property.value {
            return Some(Written { value: text.to_string(), span: property.span });
        }
        self.find(&code::NOT_A_TEXT, property.span, format!("`{key}` is a text: it goes in double quotes."));
        None
    }

    /// A property as a plain number.
    pub fn number_property(&mut self, node: &Node, key: &str) -> Option<Written<f64>> {
        let property = node.property(key)?;
        match property.value {
            Value::Number(number) if number.is_finite() && property.annotation.is_none() => {
                Some(Written { value: number, span: property.span })
            }
            _ => {
                self.find(&code::NOT_A_NUMBER, property.span, format!("`{key}` is a plain number."));
                None
            }
        }
    }

    /// A property as a date.
    pub fn date_property(&mut self, node: &Node, key: &str) -> Option<NaiveDate> {
        let written = self.text_property(node, key)?;
        self.date(&written)
    }

    /// A text as a date.
    pub fn date(&mut self, written: &Written<String>) -> Option<NaiveDate> {
        let date = iso_date(&written.value);
        if date.is_none() {
            self.find(
                &code::BAD_DATE,
                written.span,
                format!("\"{}\" is not a day of the calendar.", written.value),
            );
        }
        date
    }

    /// The unit of an annotation, which must fit the default unit.
    pub fn unit(&mut self, annotation: Option<&str>, default: Unit, span: Span) -> Option<Unit> {
        let Some(word) = annotation else { return Some(default) };
        let Some(unit) = Unit::parse(word) else {
            let message = format!("`{word}` is not a unit known here.");
            let finding = self.find(&code::UNKNOWN_UNIT, span, message);
            if let Some(near) = nearest(word, Unit::ALL.iter().map(|unit| unit.word())) {
                finding.help = format!("Did you mean ({near})?");
            }
            return None;
        };
        if unit.quantity() != default.quantity() {
            let fitting = fitting_units(default);
            let message = format!("`{word}` is not a unit of this measure, which takes {fitting}.");
            self.find(&code::WRONG_UNIT, span, message).help = example_in(default.quantity()).to_owned();
            return None;
        }
        Some(unit)
    }

    /// The instrument of that name.
    pub fn instrument(&self, name: &str) -> Option<Instrument> {
        let inherited = self.base.map(|base| base.instruments.as_slice()).unwrap_or_default();
        self.instruments.iter().chain(inherited).find(|instrument| &*instrument.name == name).cloned()
    }

    /// The instrument of a `with=`; or a finding, unless a conflict over it tells all there is to tell.
    pub fn with(&mut self, node: &Node) -> Option<Instrument> {
        let written = self.text_property(node, "with")?;
        let found = self.instrument(&written.value);
        if found.is_none() && !self.elsewhere && !self.undecided.iter().any(|name| *name == written.value) {
            let known: Vec<Arc<str>> =
                self.instruments.iter().map(|instrument| instrument.name.clone()).collect();
            let message = format!("The instrument `{}` is not defined in this file.", written.value);
            let near = nearest(&written.value, known.iter().map(|name| &**name)).map(str::to_owned);
            let finding = self.find(&code::UNKNOWN_INSTRUMENT, written.span, message);
            if let Some(near) = near {
                finding.help = format!("Did you mean `{near}`? Otherwise add it under `instruments`.");
            }
        }
        found
    }

    /// The `tol=` of a node.
    pub fn tolerance(&mut self, node: &Node) -> Option<Written<Tolerance>> {
        let property = node.property("tol")?;
        let Value::Number(half_width) = property.value else {
            self.find(
                &code::BAD_TOLERANCE,
                property.span,
                "`tol` is a number: half the width of the reading.",
            );
            return None;
        };
        if !half_width.is_finite() || half_width < 0.0 {
            self.find(&code::BAD_TOLERANCE, property.span, "`tol` cannot be negative.");
            return None;
        }
        let unit = match property.annotation.as_deref() {
            None => None,
            Some(word) => {
                let Some(unit) = Unit::parse(word) else {
                    self.find(
                        &code::UNKNOWN_UNIT,
                        property.span,
                        format!("`{word}` is not a unit known here."),
                    );
                    return None;
                };
                Some(unit)
            }
        };
        Some(Written { value: Tolerance { half_width, unit }, span: property.span })
    }

    /// The written path of a measure.
    pub fn path(&self, id: &MeasureId) -> String {
        self.catalogue.path(id)
    }
}

/// How a value of that kind is written, without a unit and with another one that fits.
fn example_in(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::Length => "Without a unit it is in mm. For instance: use 168.4 or (in)6.63.",
        Quantity::Angle => "Without a unit it is in degrees. For instance: use 32.5 or (rad)0.567.",
        Quantity::Torque => "Without a unit it is in N·m. For instance: use 5 or (in-lb)44.",
        Quantity::Pressure => "Without a unit it is in psi. For instance: use 23 or (bar)1.6.",
        Quantity::Count => "It is counted: use a plain number such as 7.",
        Quantity::Ratio => "It has no unit: use a plain number such as 0.9.",
    }
}

/// A day as ISO 8601 writes it: four digits, two, two.
pub fn iso_date(text: &str) -> Option<NaiveDate> {
    let shape = text.len() == 10
        && text
            .bytes()
            .enumerate()
            .all(|(at, byte)| if at == 4 || at == 7 { byte == b'-' } else { byte.is_ascii_digit() });
    if shape { NaiveDate::parse_from_str(text, "%Y-%m-%d").ok() } else { None }
}

/// Whether a text is what stands in a sheet to fill in.
pub fn is_blank(text: &str) -> bool {
    matches!(text.trim(), "…" | "..." | "?")
}

/// The nearest of the known words, if any is near enough to have been meant.
pub fn nearest<'w>(word: &str, known: impl Iterator<Item = &'w str>) -> Option<&'w str> {
    known
        .map(|candidate| (strsim::damerau_levenshtein(word, candidate), candidate))
        .filter(|(distance, candidate)| *distance <= 1 + candidate.chars().count() / 4)
        .min()
        .map(|(_, candidate)| candidate)
}

fn fitting_units(default: Unit) -> String {
    let fitting: Vec<&str> = Unit::ALL
        .iter()
        .filter(|unit| unit.quantity() == default.quantity())
        .map(|unit| unit.word())
        .collect();
    fitting.join(", ")
}

/// A fault of the text as a finding.
pub fn syntax_finding(fault: SyntaxFault) -> Finding {
    let code = match fault.kind {
        SyntaxFaultKind::TooLarge => &code::TOO_LARGE,
        SyntaxFaultKind::TooDeep => &code::TOO_DEEP,
        SyntaxFaultKind::NotUtf8 => &code::NOT_UTF8,
        SyntaxFaultKind::BareDate => &code::BARE_DATE,
        SyntaxFaultKind::UnitGlued => &code::UNIT_GLUED,
        SyntaxFaultKind::Unclosed => &code::UNCLOSED,
        SyntaxFaultKind::Unmatched => &code::UNMATCHED,
        SyntaxFaultKind::Other => &code::SYNTAX,
    };
    Finding::new(code, fault.message).help(fault.help).at(fault.span)
}
