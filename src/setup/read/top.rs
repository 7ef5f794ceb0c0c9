//! The file itself: its one `setup` or `found` node, and what stands at the top of it.

use std::collections::BTreeMap;

use crate::catalogue::code;
use crate::catalogue::word;

use super::super::model::{self, Kind, Measured, Setup, Written};
use super::super::shared::Shared;
use super::super::span::Span;
use super::super::syntax::{Document, Node, Value};
use super::context::Context;
use super::place::Place;
use super::{conflict, group, mark, records, torque};

/// The format this program reads.
const FORMAT: f64 = 1.0;

/// Reads the whole file.
pub fn file(context: &mut Context, document: &Document) -> Option<Setup> {
    let mut found = None;
    let mut cut_off: Vec<&Node> = Vec::new();
    for node in &document.nodes {
        let kind = match &*node.name {
            "setup" => Kind::Setup,
            "found" => Kind::Found,
            // After a } too many the rest of the setup stands here.
            name if found.is_some() && belongs_inside(context, name) => {
                cut_off.push(node);
                continue;
            }
            name => {
                let message = format!("`{name}` stands outside the `setup` node.");
                context.unknown(node.span, message, name, ["setup", "found"].into_iter());
                continue;
            }
        };
        if found.is_some() {
            context.find(&code::DUPLICATE_PART, node.span, "A file holds one setup.");
            continue;
        }
        found = Some((kind, node));
    }
    if let Some((_, setup)) = found {
        ends_early(context, setup, &cut_off);
    }
    let Some((kind, node)) = found else {
        let already_said = context.garbled || !context.findings.is_empty();
        if !already_said {
            context.find(
                &code::NOT_A_SETUP,
                Span { start: 0, end: 0 },
                "The file holds no `setup` and no `found` node.",
            );
        }
        return None;
    };
    Some(sheet(context, kind, node, &cut_off))
}

fn belongs_inside(context: &Context, name: &str) -> bool {
    word::TOP.iter().any(|word| word.name == name)
        || Place::top(context.catalogue).knows(context.catalogue, name)
}

/// What stands behind the setup and belongs inside is one fault: the brace that closed it too early.
fn ends_early(context: &mut Context, setup: &Node, cut_off: &[&Node]) {
    let Some(first) = cut_off.first() else { return };
    let others = match cut_off.len() - 1 {
        0 => "stands".to_owned(),
        number => format!("and {number} more stand"),
    };
    let message = format!("The `{}` node ends here, and `{}` {others} outside it.", setup.name, first.name);
    let brace = Span { start: setup.whole.end.saturating_sub(1), end: setup.whole.end };
    let finding = context.find(&code::UNKNOWN_WORD, brace, message);
    "Take this } out, or put it behind them, if one too many stands here or before."
        .clone_into(&mut finding.help);
}

/// What was cut off belongs to it all the same: a fault hides nothing that forbids to ride.
fn sheet<'d>(context: &mut Context, kind: Kind, node: &'d Node, cut_off: &[&'d Node]) -> Setup {
    let children = || node.children.iter().chain(cut_off.iter().copied());
    // A setup stands for itself.
    context.elsewhere &= kind == Kind::Found;
    let mut setup = empty(kind, head(context, node));
    // Instruments may stand below the readings that name them.
    for child in children().filter(|child| &*child.name == "instruments") {
        records::instruments(context, child);
    }
    let is_over_instruments = |node: &&Node| {
        let mut versions = node.children.iter().flat_map(|side| &side.children);
        &*node.name == "conflict" && versions.any(|version| &*version.name == "instruments")
    };
    for child in children().filter(is_over_instruments) {
        context.undecided.extend(conflict::undecided_instruments(child));
    }
    let mut place = Place::top(context.catalogue);
    for child in children() {
        inside(context, &mut setup, &mut place, child);
    }
    for note in std::mem::take(&mut context.notes_in_conflict) {
        let same = |other: &model::Note| other.on == note.on && other.text.value == note.text.value;
        if !setup.notes.iter().any(same) {
            setup.notes.push(note);
        }
    }
    setup.undecided = std::mem::take(&mut context.measures_in_conflict);
    setup.in_conflict = std::mem::take(&mut context.records_in_conflict);
    setup.undecided.retain(|id, _| !setup.readings.contains_key(id));
    setup.instruments = std::mem::take(&mut context.instruments);
    if kind == Kind::Found {
        // On a sheet it says no more than that nobody looked: as good as a line left out.
        setup.readings.retain(|_, recorded| recorded.value != model::Value::Unmeasured);
    }
    if let (Kind::Found, Some(base)) = (kind, context.base) {
        for inherited in &base.instruments {
            if !setup.instruments.iter().any(|own| own.name == inherited.name) {
                setup.instruments.push(inherited.clone());
            }
        }
    }
    setup
}

/// What stands before the block: the format, and the name that is returned.
pub fn head(context: &mut Context, node: &Node) -> Written<String> {
    context.properties(node, &["format"]);
    context.at_most(node, 1);
    format_version(context, node);
    let name = context.text(node, 0, "a name in quotes");
    name.unwrap_or(Written { value: String::new(), span: node.span })
}

/// One node of the block.
pub fn inside(context: &mut Context, setup: &mut Setup, place: &mut Place, node: &Node) {
    if !record(context, setup, node) {
        group::child(context, setup, place, node);
    }
}

fn empty(kind: Kind, name: Written<String>) -> Setup {
    Setup {
        kind,
        name,
        measured: None,
        purpose: None,
        instruments: Vec::new(),
        readings: BTreeMap::new(),
        aside: BTreeMap::new(),
        unsure: BTreeMap::new(),
        undecided: BTreeMap::new(),
        in_conflict: Vec::new(),
        versions: Vec::new(),
        parts: Shared::default(),
        guards: Vec::new(),
        torques: Shared::default(),
        marks: Shared::default(),
        damages: Vec::new(),
        opened: Vec::new(),
        notes: Shared::default(),
        accepted: Vec::new(),
    }
}

fn format_version(context: &mut Context, node: &Node) {
    let written = node.property("format");
    let fits = written.is_some_and(
        |property| matches!(property.value, Value::Number(number) if (number - FORMAT).abs() < f64::EPSILON),
    );
    if !fits {
        let span = written.map_or(node.span, |property| property.span);
        let message = match written {
            None => format!("`{}` does not say which format it is written in.", node.name),
            Some(property) => {
                format!("Format {} is not one this program reads.", property.value_span.text(context.source))
            }
        };
        context.find(&code::FORMAT_VERSION, span, message);
    }
}

/// Reads one of the words that are not measures. False if the word is none of them.
fn record(context: &mut Context, setup: &mut Setup, node: &Node) -> bool {
    match &*node.name {
        "measured" => measured(context, setup, node),
        "purpose" => purpose(context, setup, node),
        "instruments" => once(context, node, &word::INSTRUMENTS),
        "guard" => records::guard(context, setup, node),
        "torque" => torque::torque(context, setup, node),
        "mark" => mark::mark(context, setup, node),
        "damage" => records::damage(context, setup, node),
        "opened" => records::opened(context, setup, node),
        "accept" => records::accept(context, setup, node),
        "conflict" => conflict::conflict(context, node),
        _ => return false,
    }
    true
}

fn once(context: &mut Context, node: &Node, word: &word::Word) {
    context.properties(node, word.properties);
}

fn measured(context: &mut Context, setup: &mut Setup, node: &Node) {
    context.properties(node, word::MEASURED.properties);
    context.children(node, word::MEASURED.children);
    context.at_most(node, 1);
    let by = context.text_property(node, "by").map(|written| written.value);
    let Some(written) = context.text(node, 0, "a date in quotes") else { return };
    let Some(date) = context.date(&written) else { return };
    if setup.measured.is_some() {
        context.find(&code::DUPLICATE_MEASURE, node.span, "`measured` stands twice.");
        return;
    }
    setup.measured = Some(Measured { date, by, span: written.span });
}

fn purpose(context: &mut Context, setup: &mut Setup, node: &Node) {
    context.properties(node, word::PURPOSE.properties);
    context.children(node, word::PURPOSE.children);
    context.at_most(node, 1);
    let Some(text) = context.text(node, 0, "a text in quotes") else { return };
    if setup.purpose.is_some() {
        context.find(&code::DUPLICATE_MEASURE, node.span, "`purpose` stands twice.");
        return;
    }
    setup.purpose = Some(text);
}
