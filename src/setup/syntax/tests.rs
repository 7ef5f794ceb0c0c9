//! Expected trees and places are written by hand; byte offsets are counted in the short strings beside them.
//! Facts of the language follow the KDL 2.0 specification (tag 2.0.0); no file of its suite is used.

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
fn places_of_a_measure() {
    // w=0..5 space (=6 m m )=9 780=10..13 space tol=14..17 = 0.5=18..21
    let text = "width (mm)780 tol=0.5";
    let nodes = sound(text);
    assert_eq!(names(&nodes), ["width"]);
    let node = &nodes[0];
    assert_eq!((node.span, node.whole, node.has_block), (span(0, 5), span(0, 21), false));
    let argument = Argument {
        annotation: Some("mm".into()),
        value: Value::Number(780.0),
        span: span(6, 13),
        value_span: span(10, 13),
    };
    assert_eq!(node.arguments, [argument]);
    let property = Property {
        key: "tol".into(),
        key_span: span(14, 17),
        annotation: None,
        value: Value::Number(0.5),
        span: span(14, 21),
        value_span: span(18, 21),
    };
    assert_eq!(node.properties, [property]);
}

#[test]
fn places_with_spaces_comments_and_quotes_inside() {
    // a=0 "k y"=2..7 space = space ( "in"=12..16 space )=17 /*)*/=18..23 1=23
    let text = "a \"k y\" = ( \"in\" )/*)*/1";
    let node = &sound(text)[0];
    let property = &node.properties[0];
    assert_eq!((property.key.as_str(), property.key_span), ("k y", span(2, 7)));
    assert_eq!(property.annotation.as_deref(), Some("in"));
    assert_eq!((property.span, property.value_span), (span(2, 24), span(23, 24)));

    // (x)=0..3 space n=4 #"v"#=6..11
    let node = &sound("(x) n #\"v\"#")[0];
    assert_eq!(node.annotation, Some(Annotated { text: "x".into(), span: span(0, 3) }));
    assert_eq!((node.span, node.whole), (span(4, 5), span(4, 11)));
    assert_eq!(node.arguments[0].value, word("v"));
    assert_eq!(node.arguments[0].value_span, span(6, 11));
}

#[test]
fn blocks_nest_and_cover_their_brackets() {
    // a=0 {=2 b=4 ;=7 c=9 {=11 }=12 }=14 newline=15 d=16
    let nodes = sound("a { b 1; c {} }\nd");
    assert_eq!(names(&nodes), ["a", "d"]);
    assert_eq!((nodes[0].whole, nodes[0].has_block), (span(0, 15), true));
    assert_eq!(names(&nodes[0].children), ["b", "c"]);
    assert_eq!(nodes[0].children[0].whole, span(4, 7));
    assert_eq!((nodes[0].children[1].whole, nodes[0].children[1].has_block), (span(9, 13), true));
    assert_eq!((nodes[1].span, nodes[1].has_block), (span(16, 17), false));
}

#[test]
fn byte_order_mark_and_crlf() {
    // BOM 0..3, a=3, CRLF 4..6, b=6
    let nodes = sound("\u{feff}a\r\nb\r\n");
    assert_eq!((nodes[0].span, nodes[1].span), (span(3, 4), span(6, 7)));
    // A continued line in a file with CRLF is one line: a 1 \ CR LF 2
    let nodes = sound("a 1 \\\r\n  2\r\nb 3 \\ // c\r\n4\r\n");
    assert_eq!(nodes.len(), 2);
    assert_eq!((nodes[0].arguments.len(), nodes[1].arguments.len()), (2, 2));
}

#[test]
fn words_numbers_and_keywords() {
    let values = |text: &str| -> Vec<Value> {
        sound(text)[0].arguments.iter().map(|argument| argument.value.clone()).collect()
    };
    assert_eq!(values("n + - . +. --x .md a'b:c?"), ["+", "-", ".", "+.", "--x", ".md", "a'b:c?"].map(word));
    let numbers = [10.0, -10.0, 255.0, 8.0, 5.0, 1500.0, 1000.0].map(Value::Number);
    assert_eq!(values("n +10 -10 0xff 0o10 0b101 1.5e3 1_000"), numbers);
    assert_eq!(values("n #true #false #null"), [Value::Flag(true), Value::Flag(false), Value::Null]);
    let endless = values("n #inf #-inf #nan");
    assert_eq!(endless[..2], [Value::Number(f64::INFINITY), Value::Number(f64::NEG_INFINITY)]);
    assert!(matches!(endless[2], Value::Number(number) if number.is_nan()));
    // The digits as typed are the text under the value: 1.50 at 2..6.
    assert_eq!(sound("n 1.50")[0].arguments[0].value_span.text("n 1.50"), "1.50");
}

#[test]
fn quoted_text() {
    let value = |text: &str| sound(text)[0].arguments[0].value.clone();
    assert_eq!(value(r#"n "a\n\t\"\\\s\u{b0}""#), word("a\n\t\"\\ °"));
    assert_eq!(value(r##"n #"a\n"b"#"##), word("a\\n\"b"));
    assert_eq!(value("n \"\"\"\r\n    one\r\n\r\n      two\r\n    \"\"\""), word("one\n\n  two"));
    assert_eq!(value("n \"a \\\r\n   b\""), word("a b"));
}

#[test]
fn switched_off_parts_are_gone() {
    let text = "/-kdl-version 2\n/- a { b }\nc /-1 2 /-k=3 /-{ d } { e }\n/* f /* g */ */ h // i";
    let nodes = sound(text);
    assert_eq!(names(&nodes), ["c", "h"]);
    assert_eq!(nodes[0].arguments.len(), 1);
    assert_eq!(nodes[0].arguments[0].value, Value::Number(2.0));
    assert_eq!(nodes[0].properties, []);
    assert_eq!(names(&nodes[0].children), ["e"]);
}

#[test]
fn repeated_keys_are_all_kept() {
    let properties = &sound("n k=1 k=2")[0].properties;
    let values: Vec<&Value> = properties.iter().map(|property| &property.value).collect();
    assert_eq!(values, [&Value::Number(1.0), &Value::Number(2.0)]);
}

#[test]
fn glued_units_are_shown_in_their_right_form() {
    let cases = [
        ("780mm", "(mm)780", "mm", 780.0),
        ("-5mm", "(mm)-5", "mm", -5.0),
        ("5Nm", "(N-m)5", "N-m", 5.0),
        ("5N·m", "(N-m)5", "N-m", 5.0),
        ("35.0deg", "(deg)35.0", "deg", 35.0),
        ("32.5°", "(deg)32.5", "deg", 32.5),
        ("23psi", "(psi)23", "psi", 23.0),
        ("1.6Bar", "(bar)1.6", "bar", 1.6),
        ("160kpa", "(kPa)160", "kPa", 160.0),
        ("44in-lbs", "(in-lb)44", "in-lb", 44.0),
        ("4ft-lb", "(ft-lb)4", "ft-lb", 4.0),
        ("60kgf-cm", "(kgf-cm)60", "kgf-cm", 60.0),
        ("7.5cm", "(cm)7.5", "cm", 7.5),
        ("30.75\"", "(in)30.75", "in", 30.75),
        ("30.75inch", "(in)30.75", "in", 30.75),
    ];
    for (written, right, unit, number) in cases {
        for after in ["", " tol=1", "\nrise 20"] {
            let (kind, place, nodes, fault) = one_fault(&format!("width {written}{after}"));
            assert_eq!((kind, place.as_str()), (UnitGlued, written));
            assert!(fault.help.contains(right), "{}", fault.help);
            let argument = &nodes[0].arguments[0];
            assert_eq!(
                (argument.annotation.as_deref(), &argument.value),
                (Some(unit), &Value::Number(number))
            );
        }
    }
    let (kind, place, ..) = one_fault("width 780mu");
    assert_eq!((kind, place.as_str()), (UnitGlued, "780mu"));
}

#[test]
fn an_inch_mark_before_more_quotes_is_one_fault() {
    let (kind, place, nodes, _) = one_fault("a { width 30\" with=\"rule\"; rise 1 }\nb");
    assert_eq!((kind, place.as_str()), (UnitGlued, "30\""));
    assert_eq!(names(&nodes), ["a", "b"]);
    assert_eq!(names(&nodes[0].children), ["width", "rise"]);
}

#[test]
fn bare_dates_are_read_as_text() {
    let (kind, place, nodes, fault) = one_fault("measured 2026-05-02 by=stand");
    assert_eq!((kind, place.as_str()), (BareDate, "2026-05-02"));
    assert!(fault.help.contains("\"2026-05-02\""));
    assert_eq!(nodes[0].arguments[0].value, word("2026-05-02"));
    assert_eq!(nodes[0].properties.len(), 1);
    assert!(nodes[0].broken);
    for written in ["02.05.2026", "2/5/2026", "2026-05-02T10:00"] {
        let (kind, place, ..) = one_fault(&format!("a 1 read={written}\nb"));
        assert_eq!((kind, place.as_str()), (BareDate, written));
    }
}

/// Each text holds one mistake and must give one fault there, with the named nodes read at the outermost
/// level and inside the first of them.
#[test]
fn one_mistake_is_one_fault() {
    type Case =
        (&'static str, SyntaxFaultKind, &'static str, &'static [&'static str], &'static [&'static str]);
    let cases: &[Case] = &[
        // Quotes.
        ("a \"x\nb 1", Unclosed, "\"", &["a", "b"], &[]),
        ("a \"x {\n  c 1\n}\nb 1", Unclosed, "\"", &["a", "b"], &["c"]),
        ("a { c \"x }\nb 1", Unclosed, "\"", &["a", "b"], &["c"]),
        ("mark \"L1 on=\"left\" colour=red {\n  c\n}\nb", Unclosed, "\"", &["mark", "b"], &["c"]),
        ("mark on=\"left colour=\"red\" {\n  c\n}\nb", Unclosed, "\"", &["mark", "b"], &["c"]),
        ("mark \"L1\" on=\"left\" colour=\"red {\n  c\n}\nb", Unclosed, "\"", &["mark", "b"], &["c"]),
        ("a \"x", Unclosed, "\"", &["a"], &[]),
        ("a #\"x\nb", Unclosed, "#\"", &["a", "b"], &[]),
        ("a {\n  note \"\"\"\n  x\n", Unclosed, "\"\"\"", &["a"], &["note"]),
        ("a\n/-note \"\"\"\n  x\n", Unclosed, "\"\"\"", &["a"], &[]),
        ("a \"\"\"x\"\"\"\nb", Other, "\"\"\"", &["a", "b"], &[]),
        ("a \"\"\"\n  x\"\"\"\nb", Other, "\"\"\"", &["a", "b"], &[]),
        ("a \"\"\"\n x\n  \"\"\"\nb", Other, " x", &["a", "b"], &[]),
        ("a \"say \"hi\" now\"\nb", Other, "hi\" now\"", &["a", "b"], &[]),
        ("a \"C:\\dir\"\nb", Other, "\\d", &["a", "b"], &[]),
        ("a \"\\u{zz}\"\nb", Other, "\\u", &["a", "b"], &[]),
        ("a \"\\u00e9\"\nb", Other, "\\u", &["a", "b"], &[]),
        // Blocks.
        ("a {\n  c\n", Unclosed, "a", &["a"], &["c"]),
        ("a {\n  c {\n    d\n  e { f }\n}\n", Unclosed, "c", &["a"], &["c"]),
        ("a { c }\n}\nb", Unmatched, "}", &["a", "b"], &["c"]),
        ("a\n{\n  c\n}\nb", Other, "{", &["a", "b"], &["c"]),
        ("a 1 // why\r\n{\r\n  c\r\n}\r\nb", Other, "{", &["a", "b"], &["c"]),
        ("a { c\n{ d } }\nb", Other, "{", &["a", "b"], &["c"]),
        ("a { c } { d }\nb", Other, "{", &["a", "b"], &["c", "d"]),
        ("a { c } b { d }", Other, "b", &["a", "b"], &["c"]),
        ("a { c } 5\nb", Other, "5", &["a", "b"], &["c"]),
        ("/-a { c 780mm }\nb", UnitGlued, "780mm", &["b"], &[]),
        ("/-a { c tol=\n }\nb", Other, "tol=", &["b"], &[]),
        ("a\n/* x", Unclosed, "/*", &["a"], &[]),
        ("a {\n /* x /* y */\n}\n", Unclosed, "/*", &["a"], &[]),
        // Values and keys.
        ("a 1 tol=\nb", Other, "tol=", &["a", "b"], &[]),
        ("a { c 1 tol= }\nb", Other, "tol=", &["a", "b"], &["c"]),
        ("a 1 tol= ; b", Other, "tol=", &["a", "b"], &[]),
        ("a 1 tol=(mm)\nb", Other, "(mm)", &["a", "b"], &[]),
        ("a=1\nb", Other, "=", &["a", "b"], &[]),
        ("a = 1\nb", Other, "=", &["a", "b"], &[]),
        ("a true\nb", Other, "true", &["a", "b"], &[]),
        ("a k=null\nb", Other, "null", &["a", "b"], &[]),
        ("a #tru\nb", Other, "#tru", &["a", "b"], &[]),
        ("a #fff\nb", Other, "#fff", &["a", "b"], &[]),
        ("a .5\nb", Other, ".5", &["a", "b"], &[]),
        ("a 5.\nb", Other, "5.", &["a", "b"], &[]),
        ("a 1,5\nb", Other, "1,5", &["a", "b"], &[]),
        ("780\nb", Other, "780", &["780", "b"], &[]),
        ("780mm\nb", UnitGlued, "780mm", &["780mm", "b"], &[]),
        ("a \"x\"y\nb", Other, "y", &["a", "b"], &[]),
        ("a x/y/z\nb", Other, "x/y/z", &["a", "b"], &[]),
        ("a [1]\nb", Other, "[1]", &["a", "b"], &[]),
        ("a;; b", Other, ";", &["a", "b"], &[]),
        // Annotations.
        ("a (in\nb", Unclosed, "(", &["a", "b"], &[]),
        ("a (in 5\nb", Unclosed, "(", &["a", "b"], &[]),
        ("a { c (in 5 tol=1 }\nb", Unclosed, "(", &["a", "b"], &["c"]),
        ("a ()5\nb", Other, "()", &["a", "b"], &[]),
        ("a 5 (in)\nb", Other, "5 (in)", &["a", "b"], &[]),
        ("a 5(in)\nb", Other, "5(in)", &["a", "b"], &[]),
        ("a (x y)5\nb", Other, "(x y)", &["a", "b"], &[]),
        ("a (N/m)5\nb", Other, "N/m", &["a", "b"], &[]),
        ("a (mm)k=5\nb", Other, "=", &["a", "b"], &[]),
        ("a 5)\nb", Unmatched, ")", &["a", "b"], &[]),
        // Characters, comments, switching off.
        ("a # why\nb", Other, "#", &["a", "b"], &[]),
        ("# why not 5mm\nb", Other, "#", &["b"], &[]),
        ("a { # why\n  c\n}\nb", Other, "#", &["a", "b"], &["c"]),
        ("a \u{200e}1\nb", Other, "\u{200e}", &["a", "b"], &[]),
        ("a \"x\u{7}y\"\nb", Other, "\u{7}", &["a", "b"], &[]),
        ("a x\\y\nb", Other, "\\", &["a", "b"], &[]),
        ("a { c /-}\nb", Other, "/-", &["a", "b"], &["c"]),
        ("a { c\n/- }\nb", Other, "/-", &["a", "b"], &["c"]),
        ("a \"\"\"\n\u{a0}x\n \"\"\"\nb", Other, "\u{a0}", &["a", "b"], &[]),
    ];
    for (text, kind, place, outer, inner) in cases {
        let (found, at, nodes, fault) = one_fault(text);
        assert_eq!((found, at.as_str()), (*kind, *place), "{text:?} {fault:?}");
        assert_eq!(names(&nodes), *outer, "{text:?}");
        assert_eq!(nodes.first().map(|node| names(&node.children)).unwrap_or_default(), *inner, "{text:?}");
    }
}

#[test]
fn what_was_meant_is_read_where_it_is_plain() {
    let first = |text: &str| one_fault(text).2[0].arguments[0].clone();
    let argument = first("a (in 5\nb");
    assert_eq!((argument.annotation.as_deref(), argument.value), (Some("in"), Value::Number(5.0)));
    let argument = first("a 5 (in)");
    assert_eq!((argument.annotation.as_deref(), argument.value), (Some("in"), Value::Number(5.0)));
    assert_eq!(first("a true").value, Value::Flag(true));
    assert_eq!(first("a -.5").value, Value::Number(-0.5));
    assert_eq!(first("a 1,5").value, Value::Number(1.5));
    assert_eq!(first("a = 1").value, Value::Number(1.0));
    assert_eq!(first("a x/y").value, word("x/y"));
    assert_eq!(first("a \"x y\nb").value, word("x y"));
}

#[test]
fn only_the_line_with_the_fault_is_broken() {
    let (.., nodes, _) = one_fault("a {\n  c 1 tol=\n  d 2\n}\nb");
    assert!(!nodes[0].broken && !nodes[1].broken);
    assert_eq!(nodes[0].children.iter().map(|node| node.broken).collect::<Vec<_>>(), [true, false]);
}

#[test]
fn all_mistakes_are_given_in_order_up_to_the_limit() {
    let text = "a 5mm\nb 2026-05-02\nc k=\nd \"x\n}\ne true";
    let (document, faults) = parse(text.as_bytes());
    let kinds: Vec<SyntaxFaultKind> = faults.iter().map(|fault| fault.kind).collect();
    assert_eq!(kinds, [UnitGlued, BareDate, Other, Unclosed, Unmatched, Other]);
    assert_eq!(names(&document.nodes), ["a", "b", "c", "d", "e"]);
    assert_eq!(parse("a 5mm\n".repeat(30).as_bytes()).1.len(), 20);
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
