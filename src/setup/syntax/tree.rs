//! From the reader's events to nodes, with an explicit stack instead of recursion.
//!
//! Refuses to know why a text is wrong: it stops at the first trouble and hands it on.

use std::ops::Range;

use just_kdl::dom::{Entry, Event, Value as ReaderValue};
use just_kdl::lexer::{Input, LexerError};
use just_kdl::reader::{Reader, ReaderError};

use super::{Annotated, Argument, DEEPEST_NESTING, Document, Node, Property, SyntaxFault, Text, Value, scan};
use crate::setup::span::Span;

/// Why reading stopped before the end.
pub(super) enum Trouble {
    /// A node stands too deep.
    TooDeep(Span),
    /// The reader met an error, here.
    Reader(ReaderError, Range<usize>),
}

/// What to read at a place that was painted over, in place of the paint.
pub(super) struct Reading {
    /// Where the value starts.
    pub at: u32,
    /// The unit, unless the text has one of its own.
    pub annotation: Option<Text>,
    /// The value, unless the text still has it.
    pub value: Option<Value>,
}

/// The tree as far as it was read.
pub(super) struct Grown {
    /// Finished outermost nodes.
    pub nodes: Vec<Node>,
    /// Nodes begun and not finished, the outermost first.
    pub open: Vec<Node>,
    /// Where the latest node was ended, and whether by its block.
    pub latest_end: Option<(Range<usize>, bool)>,
    /// What stopped the reading, if anything.
    pub trouble: Option<Trouble>,
}

impl Grown {
    /// The document, with unfinished nodes ended where their last part ends.
    pub fn into_document(mut self) -> Document {
        while let Some(mut node) = self.open.pop() {
            node.broken |= !node.has_block;
            node.whole.end = node.children.last().map_or(node.whole.end, |child| child.whole.end);
            self.settle(node);
        }
        Document { nodes: self.nodes }
    }

    fn settle(&mut self, node: Node) {
        match self.open.last_mut() {
            Some(parent) => parent.children.push(node),
            None => self.nodes.push(node),
        }
    }
}

/// The text as the reader's input, which ends a search that the text's end does not stop: just-kdl 0.3.0
/// looks for the indent of a commented-out, unclosed `"""` text for ever.
struct Patient<'text> {
    rest: &'text [u8],
    looks_past_end: u8,
}

impl Input for Patient<'_> {
    fn peek(&mut self, _: usize) -> Result<&[u8], LexerError> {
        if self.rest.is_empty() {
            self.looks_past_end = self.looks_past_end.saturating_add(1);
            if self.looks_past_end == u8::MAX {
                return Err(LexerError::UnexpectedEof(0));
            }
        }
        Ok(self.rest)
    }

    fn advance(&mut self, count: usize) {
        self.rest = &self.rest[count..];
    }
}

/// Reads `text`, which is `original` with its mistakes painted over at the same length.
pub(super) fn grow(text: &str, original: &str, readings: &[Reading], faults: &[SyntaxFault]) -> Grown {
    let gardener = Gardener { text, original, readings, faults };
    let mut grown = Grown { nodes: Vec::new(), open: Vec::new(), latest_end: None, trouble: None };
    for event in Reader::new(Patient { rest: text.as_bytes(), looks_past_end: 0 }) {
        match event {
            Ok((event, range)) => gardener.take(&mut grown, event, range),
            Err((error, range)) => grown.trouble = Some(Trouble::Reader(error, range)),
        }
        if grown.trouble.is_some() {
            break;
        }
    }
    grown
}

struct Gardener<'text> {
    text: &'text str,
    original: &'text str,
    readings: &'text [Reading],
    faults: &'text [SyntaxFault],
}

impl Gardener<'_> {
    fn take(&self, grown: &mut Grown, event: Event, range: Range<usize>) {
        match event {
            Event::Node { r#type, name } => {
                let node = self.node(r#type, name, &range);
                if grown.open.len() == DEEPEST_NESTING {
                    grown.trouble = Some(Trouble::TooDeep(node.span));
                } else {
                    grown.open.push(node);
                }
            }
            Event::Entry(entry) => {
                if let Some(node) = grown.open.last_mut() {
                    node.whole.end = self.place(range.end..range.end).end;
                    self.add_entry(node, entry, &range);
                }
            }
            Event::Children => {
                if let Some(node) = grown.open.last_mut() {
                    node.has_block = true;
                    node.broken = self.has_fault(node, range.start);
                    // An unfinished block still covers its bracket.
                    node.whole.end = self.place(range.end..range.end).end;
                }
            }
            Event::End => {
                if let Some(mut node) = grown.open.pop() {
                    if node.has_block {
                        node.whole.end = self.place(range.end..range.end).end;
                    } else {
                        node.broken = self.has_fault(&node, range.end);
                    }
                    grown.latest_end = Some((range, node.has_block));
                    grown.settle(node);
                }
            }
        }
    }

    /// A span; beside paint, which may end within a character of the original, widened to whole characters.
    fn place(&self, range: Range<usize>) -> Span {
        if self.faults.is_empty() {
            return Span::new(range.start, range.end);
        }
        let start = self.original.floor_char_boundary(range.start);
        Span::new(start, self.original.ceil_char_boundary(range.end.max(start)))
    }

    fn has_fault(&self, node: &Node, head_end: usize) -> bool {
        let head = Span { start: node.span.start, end: self.place(head_end..head_end).end };
        self.faults.iter().any(|fault| fault.span.start < head.end && head.start <= fault.span.end)
    }

    fn node(&self, annotation: Option<Text>, name: Text, range: &Range<usize>) -> Node {
        let (annotation, start) = match annotation {
            None => (None, range.start),
            Some(text) => {
                let (after, start) = scan::annotation_end(self.text, range.start);
                (Some(Annotated { text, span: self.place(range.start..after) }), start)
            }
        };
        let span = self.place(start..range.end);
        let painted = self.reading(span.start).is_some();
        Node {
            name: if painted { span.text(self.original).trim_matches(['"', '#']).into() } else { name },
            annotation,
            span,
            whole: span,
            arguments: Vec::new(),
            properties: Vec::new(),
            children: Vec::new(),
            has_block: false,
            broken: false,
        }
    }

    fn add_entry(&self, node: &mut Node, entry: Entry, range: &Range<usize>) {
        let span = self.place(range.start..range.end);
        let mut at = range.start;
        let mut key_span = self.place(at..at);
        if entry.name.is_some() {
            let end = scan::string_end(self.text, at);
            key_span = self.place(at..end);
            let equals = scan::skip_gap(self.text, end);
            at = scan::skip_gap(self.text, equals + 1);
        }
        if entry.r#type.is_some() {
            at = scan::annotation_end(self.text, at).1;
        }
        let value_span = self.place(at..range.end);
        let mut annotation = entry.r#type;
        let mut value = value(entry.value);
        if let Some(reading) = self.reading(value_span.start) {
            annotation = annotation.or_else(|| reading.annotation.clone());
            value = reading.value.clone().unwrap_or(value);
        }
        match entry.name {
            None => node.arguments.push(Argument { annotation, value, span, value_span }),
            Some(key) => {
                node.properties.push(Property { key, key_span, annotation, value, span, value_span });
            }
        }
    }

    fn reading(&self, at: u32) -> Option<&Reading> {
        self.readings.iter().find(|reading| reading.at == at)
    }
}

fn value(value: ReaderValue) -> Value {
    match value {
        ReaderValue::String(text) => Value::Text(text),
        ReaderValue::Number(number) => Value::Number(number.coerce_to_f64()),
        ReaderValue::Bool(flag) => Value::Flag(flag),
        ReaderValue::Null => Value::Null,
    }
}
