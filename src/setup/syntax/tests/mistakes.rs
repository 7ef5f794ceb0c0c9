//! Mistakes: one fault each, at the right place, and what is read all the same.

use super::*;

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
fn a_lost_opening_bracket_is_one_fault_and_its_block_is_read() {
    for (text, name) in [
        ("a {\n    b\n        c 1\n        d 2\n    }\n    e 3\n}\nf 4", "b"),
        (
            "a {\r\n    b // why\r\n\r\n        // how\r\n        c 1\r\n        d 2\r\n    }\r\n    e 3\r\n}\r\nf 4",
            "b",
        ),
        ("a {\n    b c 1; d 2 }\n    e 3\n}\nf 4", "b"),
        ("a\n    b { c 1; d 2 }\n    e 3\n}\nf 4", "a"),
        ("a {\n\tb\n\t\tc 1\n\t\td 2\n\t}\n\te 3\n}\nf 4", "b"),
    ] {
        let (kind, place, nodes, fault) = one_fault(text);
        assert_eq!((kind, place.as_str()), (Unmatched, name), "{text}");
        assert!(fault.message.contains(&format!("`{name}`")), "{}", fault.message);
        assert_eq!(names(&nodes), ["a", "f"], "{text}");
        assert_eq!(names(&nodes[0].children), ["b", "e"], "{text}");
        assert_eq!(names(&nodes[0].children[0].children), ["c", "d"], "{text}");
    }
    // With a value of its own before the block.
    let (_, place, nodes, _) = one_fault("torque \"x\" 5 6\n    caution \"y\"\n}\nf 4");
    assert_eq!((place.as_str(), names(&nodes)), ("torque", vec!["torque", "f"]));
    // Within one line: the word whose first value is a word with a value of its own.
    let (kind, place, nodes, fault) = one_fault("a { x 1; b c 5; d 6 }; e 3 }\nf 4");
    assert_eq!((kind, place.as_str()), (Unmatched, "b"));
    assert_eq!(fault.message, "The { of `b` is missing.");
    assert_eq!((names(&nodes), names(&nodes[0].children)), (vec!["a", "f"], vec!["x", "b", "e"]));
    assert_eq!(names(&nodes[0].children[1].children), ["c", "d"]);
    let (_, place, ..) = one_fault("a {\n    x 1; b c 5; d 6 }\n}\nf 4");
    assert_eq!(place, "b");
    // A word with one word for its value is no block: there the closing one is what is too much.
    let (kind, place, ..) = one_fault("a { x 1; b c; d 6 } }\nf 4");
    assert_eq!((kind, place.as_str()), (Unmatched, "}"));
    // Nothing looks like a block without its bracket: the closing one is what is too much.
    let (kind, place, ..) = one_fault("a {\n    b 1\n}\n}\nf 4");
    assert_eq!((kind, place.as_str()), (Unmatched, "}"));
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
        ("a rowan/race\" k=1 {\n  c\n}\nb", Unclosed, "rowan/race\"", &["a", "b"], &["c"]),
        ("a 1 read=2026-05-02\"\nb", Unclosed, "2026-05-02\"", &["a", "b"], &[]),
        // Blocks.
        ("a {\n  c\n", Unclosed, "a", &["a"], &["c"]),
        ("a {\n  c {\n    d\n  e { f }\n}\n", Unclosed, "c", &["a"], &["c", "e"]),
        (
            "a {\n    c {\n        d // why\r\n    (x)e {\r\n    }\n}\nb",
            Unclosed,
            "c",
            &["a", "b"],
            &["c", "e"],
        ),
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
        ("a 5(in\nb", Unclosed, "(", &["a", "b"], &[]),
        ("a 1 // (so)\n{ c }\nb", Other, "{", &["a", "b"], &["c"]),
        ("a k=(in5\nb", Unclosed, "(", &["a", "b"], &[]),
        ("a k=(in\nb", Unclosed, "(", &["a", "b"], &[]),
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
    let argument = first("a (in-5\nb");
    assert_eq!((argument.annotation.as_deref(), argument.value), (Some("in"), Value::Number(-5.0)));
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
