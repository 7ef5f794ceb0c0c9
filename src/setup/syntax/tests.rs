//! Expected trees and places are written by hand; byte offsets are counted in the short strings beside them.
//! Facts of the language follow the KDL 2.0 specification (tag 2.0.0); no file of its suite is used.

mod mistakes;
mod reading;

use super::SyntaxFaultKind::{BareDate, NotUtf8, Other, TooDeep, TooLarge, Unclosed, UnitGlued, Unmatched};
use super::*;

fn sound(text: &str) -> Vec<Node> {
    let (document, faults) = parse(text.as_bytes());
    assert_eq!(faults, [], "{text:?}");
    document.nodes
}

/// The one fault of a text: its sort, the text under it, and what was read all the same.
fn one_fault(text: &str) -> (SyntaxFaultKind, String, Vec<Node>, SyntaxFault) {
    let (document, faults) = parse(text.as_bytes());
    assert_eq!(faults.len(), 1, "{text:?}: {faults:#?}");
    let fault = faults[0].clone();
    (fault.kind, fault.span.text(text).to_owned(), document.nodes, fault)
}

fn names(nodes: &[Node]) -> Vec<&str> {
    nodes.iter().map(|node| node.name.as_str()).collect()
}

fn word(text: &str) -> Value {
    Value::Text(text.into())
}

fn span(start: u32, end: u32) -> Span {
    Span { start, end }
}

#[test]
fn files_too_large_are_refused() {
    let (document, faults) = parse(&vec![b' '; (1 << 20) + 1]);
    assert_eq!((document.nodes.len(), faults.len(), faults[0].kind), (0, 1, TooLarge));
    assert_eq!(parse(&vec![b' '; 1 << 20]).1, []);
}

#[test]
fn nesting_is_bounded() {
    let nested = |levels: usize| format!("{}a{}", "a {".repeat(levels - 1), "}".repeat(levels - 1));
    assert_eq!(parse(nested(64).as_bytes()).1, []);
    // The 65th name begins after 64 times "a {".
    let (kind, place, nodes, fault) = one_fault(&nested(65));
    assert_eq!((kind, place.as_str(), fault.span.start), (TooDeep, "a", 192));
    assert_eq!(names(&nodes), ["a"]);
    let deep = parse("a{".repeat(200_000).as_bytes()).1;
    assert_eq!((deep.len(), deep[0].kind), (1, TooDeep));
}

#[test]
fn other_encodings_are_refused_with_a_place() {
    let (document, faults) = parse(b"a 1\nb \xff\n");
    assert_eq!(document.nodes, []);
    assert_eq!((faults.len(), faults[0].kind, faults[0].span), (1, NotUtf8, span(6, 7)));
    assert!(faults[0].message.contains("line 2, column 3"), "{}", faults[0].message);
    let (_, faults) = parse(b"\xff\xfea\0");
    assert_eq!(faults[0].kind, NotUtf8);
    assert!(faults[0].message.contains("UTF-16") && faults[0].help.contains("UTF-8"));
}
