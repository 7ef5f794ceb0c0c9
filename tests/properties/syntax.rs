//! Reading text: nothing panics, every place lies in the text, and a document comes back as it was built.

use clampmark::catalogue::Catalogue;
use clampmark::setup::read::{Successive, read};
use clampmark::setup::span::{LineIndex, Span};
use clampmark::setup::syntax::{Document, MOST_FAULTS, Node, Parser, Value, parse};
use proptest::prelude::*;

/// A setup in which nothing is found.
const RACE: &str = include_str!("../git/race.kdl");

/// Every span of a tree, gathered without recursion.
fn spans(document: &Document) -> Vec<Span> {
    let mut found = Vec::new();
    let mut waiting: Vec<&Node> = document.nodes.iter().collect();
    while let Some(node) = waiting.pop() {
        found.extend([node.span, node.whole]);
        found.extend(node.annotation.iter().map(|annotation| annotation.span));
        found.extend(node.arguments.iter().flat_map(|argument| [argument.span, argument.value_span]));
        found.extend(
            node.properties
                .iter()
                .flat_map(|property| [property.key_span, property.span, property.value_span]),
        );
        waiting.extend(&node.children);
    }
    found
}

fn places_hold(bytes: &[u8]) -> Result<(), TestCaseError> {
    let (document, faults) = parse(bytes);
    prop_assert!(faults.len() <= MOST_FAULTS);
    for fault in &faults {
        prop_assert!(fault.span.start <= fault.span.end && fault.span.end as usize <= bytes.len());
        prop_assert!(!fault.message.is_empty() && !fault.help.is_empty());
    }
    let Ok(text) = str::from_utf8(bytes) else {
        prop_assert_eq!(document.nodes.len(), 0);
        return Ok(());
    };
    let lines = LineIndex::new(text);
    for span in spans(&document).into_iter().chain(faults.iter().map(|fault| fault.span)) {
        prop_assert!(text.get(span.range()).is_some(), "{:?} in {:?}", span, text);
        prop_assert!(lines.line_column(span.start).0 <= lines.lines());
    }
    Ok(())
}

/// Pieces that mistakes are made of, strung together at random.
fn pieces() -> impl Strategy<Value = String> {
    let piece = prop::sample::select(vec![
        "\"",
        "\"\"\"",
        "#",
        "#\"",
        "\"#",
        "(",
        ")",
        "{",
        "}",
        "[",
        "]",
        "/",
        "//",
        "/*",
        "*/",
        "/-",
        "\\",
        ";",
        "=",
        "\n",
        "\r\n",
        "\r",
        " ",
        "  ",
        "\t",
        "\u{a0}",
        "\u{2028}",
        "\u{feff}",
        "\u{200e}",
        "°",
        "780",
        "mm",
        "-5.5",
        ".5",
        "2026-05-02",
        "true",
        "#true",
        "#nan",
        "width",
        "tol=",
        "(mm)",
        "\\u{",
        "\\n",
        "\\x",
        "ü",
        "{\n",
        "\n}",
        "note \"\"\"\n  ",
        "\n  \"\"\"\n",
        "0x",
        "1e",
        "_",
        "-",
        "+",
        "\0",
    ]);
    prop::collection::vec(piece, 0..40).prop_map(|pieces| pieces.concat())
}

/// A setup with every kind of bracket and quote, indented as people do.
const SETUP: &str = r#"setup "rowan/race" format=1 {
    measured "2026-05-02" by="own stand, wheels on the floor"
    frame {
        reach 470 with=sheet
        top-tube { drop 38; slope 32 }
    }
    bar {
        width (in)30.75 tol=(in)0.1
        roll -1.5
    }
    torque "stem-face" 4 5 tool="4 mm hex" {
        ceiling "bar" 5
        caution "Even gap top and bottom, never above the lower limit."
    }
    mark "S1" on="stem-steerer" colour=silver { drawn twist=0; reads "Line meets line" }
}
"#;

#[test]
fn one_lost_quote_or_bracket_is_one_fault() {
    assert_eq!(parse(SETUP.as_bytes()).1, []);
    for (at, lost) in SETUP.match_indices(['"', '{', '}', '(', ')']) {
        let text = [&SETUP[..at], &SETUP[at + lost.len()..]].concat();
        let faults = parse(text.as_bytes()).1;
        assert_eq!(faults.len(), 1, "without {lost} at {at}: {faults:#?}");
    }
}

/// Setups that end as few people let them end: the last bracket on the line of the node before it.
const DENSE: [&str; 4] = [
    "setup \"a\" { floor 1; bar { width 780 }; note }\n",
    "setup \"a\" {\n    floor 1\n    fork { rebound 7 } }\n// tail\n",
    "setup \"a\" { bar { width 780; }\n accept \"x\"}",
    "setup \"a\" {\n    (x)stem { length 50 }\n    floor unmeasured}\n",
];

/// A change of a text: from where on (a share of it or of its seams), how much goes, and what comes instead.
#[derive(Clone, Debug)]
struct Change {
    share: f64,
    at_a_seam: bool,
    gone: usize,
    instead: String,
}

fn change() -> impl Strategy<Value = Change> {
    let instead = prop_oneof![
        2 => "[0-9.]{0,4}",
        1 => Just("\n    saddle { height 742; tilt -1 }\n".to_owned()),
        1 => Just("note \"so\"; rise 20".to_owned()),
        2 => prop::sample::select(vec!["\u{feff}", " \"hello\"\n", "x\n", " shock { rebound 5 }\n", "\n", "; "])
            .prop_map(str::to_owned),
        1 => pieces().prop_map(|text| text.chars().take(6).collect()),
    ];
    let gone = prop_oneof![2 => Just(0), 2 => 0..4_usize, 1 => 0..200_usize];
    (0.0..1.0_f64, any::<bool>(), gone, instead).prop_map(|(share, at_a_seam, gone, instead)| Change {
        share,
        at_a_seam,
        gone,
        instead,
    })
}

fn changed(text: &str, Change { share, at_a_seam, gone, instead }: &Change) -> String {
    let is_seam = |at: &usize| {
        text[*at..].starts_with(['{', '}', '\n', ';']) || text[..*at].ends_with(['{', '}', '\n', ';'])
    };
    let places = (0..=text.len()).filter(|at| text.is_char_boundary(*at));
    let places: Vec<usize> = places.filter(|at| !at_a_seam || is_seam(at)).collect();
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let from = places.get((places.len() as f64 * share) as usize).copied().unwrap_or(text.len());
    let to = text.ceil_char_boundary((from + gone).min(text.len()));
    [&text[..from], instead, &text[to..]].concat()
}

/// A node as built by the test, its text written beside it.
/// A node as built by the test, its text written beside it.
#[derive(Debug, Clone, PartialEq)]
struct Built {
    name: String,
    arguments: Vec<(Option<String>, Value)>,
    properties: Vec<(String, Value)>,
    children: Option<Vec<Built>>,
}

/// Any text in quotes; escapes as the KDL 2.0 specification lists them.
fn quoted(text: &str) -> String {
    let escaped: String = text
        .chars()
        .map(|c| match c {
            '"' => "\\\"".to_owned(),
            '\\' => "\\\\".to_owned(),
            '\n' => "\\n".to_owned(),
            other => other.to_string(),
        })
        .collect();
    format!("\"{escaped}\"")
}

fn written_value(value: &Value) -> String {
    match value {
        Value::Text(text) => quoted(text),
        Value::Number(number) => format!("{number}"),
        Value::Flag(flag) => format!("#{flag}"),
        Value::Null => "#null".to_owned(),
    }
}

fn written(node: &Built, ending: &str) -> String {
    let mut parts = vec![quoted(&node.name)];
    parts.extend(node.arguments.iter().map(|(unit, value)| {
        let unit = unit.as_ref().map_or(String::new(), |unit| format!("({unit})"));
        format!(" {unit}{}", written_value(value))
    }));
    parts.extend(node.properties.iter().map(|(key, value)| format!(" {key} ={}", written_value(value))));
    if let Some(children) = &node.children {
        let inner: String = children.iter().map(|child| written(child, ending)).collect();
        parts.push(format!(" {{\n{inner}}}"));
    }
    parts.push(ending.to_owned());
    parts.concat()
}

fn value() -> impl Strategy<Value = Value> {
    prop_oneof![
        "[a-zA-Z \"\\\\\n°/{}#=();.-]{0,30}".prop_map(|text| Value::Text(text.into())),
        (-1.0e6..1.0e6_f64).prop_map(Value::Number),
        any::<bool>().prop_map(Value::Flag),
        Just(Value::Null),
    ]
}

fn built() -> impl Strategy<Value = Built> {
    let key = "k[a-z-]{0,8}";
    let head = (
        "[a-z °\"=]{0,10}",
        prop::collection::vec((prop::option::of("u[a-z-]{0,4}"), value()), 0..4),
        prop::collection::vec((key, value()), 0..4),
    )
        .boxed();
    let leaf = head.clone().prop_map(|(name, arguments, properties)| Built {
        name,
        arguments,
        properties,
        children: None,
    });
    leaf.prop_recursive(4, 24, 4, move |inner| {
        let children = prop::option::of(prop::collection::vec(inner, 0..4));
        (head.clone(), children).prop_map(|((name, arguments, properties), children)| Built {
            name,
            arguments,
            properties,
            children,
        })
    })
}

fn read_back(node: &Node) -> Built {
    Built {
        name: node.name.to_string(),
        arguments: node
            .arguments
            .iter()
            .map(|argument| (argument.annotation.as_ref().map(ToString::to_string), argument.value.clone()))
            .collect(),
        properties: node
            .properties
            .iter()
            .map(|property| (property.key.to_string(), property.value.clone()))
            .collect(),
        children: node.has_block.then(|| node.children.iter().map(read_back).collect()),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(512))]

    #[test]
    fn any_bytes_are_read_without_panic(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        places_hold(&bytes)?;
    }

    #[test]
    fn any_text_is_read_without_panic(text in "\\PC{0,80}") {
        places_hold(text.as_bytes())?;
    }

    #[test]
    fn any_string_of_mistakes_is_read_without_panic(text in pieces()) {
        places_hold(text.as_bytes())?;
    }

    #[test]
    fn a_document_is_read_as_built(
        nodes in prop::collection::vec(built(), 0..4),
        ending in prop::sample::select(vec!["\n", "\r\n", " // c\n", ";", " ; /* c */"]),
        mark in prop::sample::select(vec!["", "\u{feff}"]),
    ) {
        let body: String = nodes.iter().map(|node| written(node, ending)).collect();
        let text = format!("{mark}{body}");
        let (document, faults) = parse(text.as_bytes());
        prop_assert_eq!(&faults, &[], "{}", text);
        prop_assert_eq!(document.nodes.iter().map(read_back).collect::<Vec<_>>(), nodes);
        for node in &document.nodes {
            for argument in &node.arguments {
                prop_assert_eq!(argument.value_span.text(&text), written_value(&argument.value));
            }
            for property in &node.properties {
                prop_assert_eq!(property.key_span.text(&text), property.key.as_str());
                prop_assert_eq!(property.value_span.text(&text), written_value(&property.value));
            }
        }
    }

    #[test]
    fn a_text_reads_the_same_after_any_other(
        start in prop_oneof![1 => Just(SETUP), 2 => prop::sample::select(DENSE.to_vec())],
        changes in prop::collection::vec((any::<bool>(), change()), 1..12),
    ) {
        let mut parser = Parser::default();
        let mut text = start.to_owned();
        prop_assert_eq!(parser.parse(text.as_bytes()).faults.len(), 0);
        for (goes_on, change) in &changes {
            let next = changed(&text, change);
            let parsed = parser.parse(next.as_bytes());
            let (alone, faults_alone) = parse(next.as_bytes());
            // As words: a #nan is not equal to itself.
            prop_assert_eq!(format!("{:#?}", parsed.document), format!("{:#?}", alone), "after {:?}: {}", text, next);
            prop_assert_eq!(parsed.faults, faults_alone);
            // A branch goes on from the changed text, or comes back to the one before.
            text = if *goes_on { next } else { text };
        }
    }

    #[test]
    fn a_text_says_the_same_after_any_other(
        changes in prop::collection::vec((any::<bool>(), change()), 1..12),
    ) {
        let catalogue = Catalogue::standard();
        let mut successive = Successive::new(catalogue);
        let mut text = RACE.to_owned();
        successive.read(text.as_bytes());
        for (goes_on, change) in &changes {
            let next = changed(&text, change);
            let after = successive.read(next.as_bytes());
            let alone = read(catalogue, next.as_bytes(), None);
            let (after, alone) = ((after.setup, after.findings), (alone.setup, alone.findings));
            prop_assert_eq!(after, alone, "after {:?}: {}", text, next);
            text = if *goes_on { next } else { text };
        }
    }
}
