//! Sound text: the tree and its places.

use super::*;

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
fn sound_text_that_the_reader_stumbles_over() {
    let nodes = sound("a 5// five\nb 6.5/* six */ 7\n/-note \"\"\"\n\n    x\n    \"\"\"\nc");
    assert_eq!(names(&nodes), ["a", "b", "c"]);
    assert_eq!(nodes[0].arguments[0].value, Value::Number(5.0));
    // 6.5 at 13..16 after "a 5// five" (10), newline, "b "
    assert_eq!(
        (&nodes[1].arguments[0].value, nodes[1].arguments[0].value_span),
        (&Value::Number(6.5), span(13, 16))
    );
    assert_eq!(nodes[1].arguments[1].value, Value::Number(7.0));
    assert!(!nodes[0].broken);
}

#[test]
fn repeated_keys_are_all_kept() {
    let properties = &sound("n k=1 k=2")[0].properties;
    let values: Vec<&Value> = properties.iter().map(|property| &property.value).collect();
    assert_eq!(values, [&Value::Number(1.0), &Value::Number(2.0)]);
}
