//! Editing in place: for any valid file with any comments and spacing, only the touched bytes change.
//!
//! The expected text is made here from the places at which the values were put while building the file, so the
//! editor's own idea of where a value stands does not enter. The `kdl` crate bears witness that what comes out is
//! a document with the same nodes.

use std::ops::Range;

use clampmark::catalogue::{Catalogue, MeasureId};
use clampmark::metrology::unit::Unit;
use clampmark::setup::edit::{Edit, NewReading};
use clampmark::setup::model::Setup;
use proptest::prelude::*;

/// The groups of the random files with their measures, a value and another value for each; all within their spans.
const GROUPS: &[(&[&str], &[(&str, &str, &str)])] = &[
    (&["steerer"], &[("spacers-below", "15", "10.5"), ("spacers-above", "5.00", "9")]),
    (&["stem"], &[("length", "50", "35.0"), ("angle", "-6.0", "6"), ("clamp-height", "4_0", "41")]),
    (
        &["bar"],
        &[("width", "780", "760"), ("rise", "25.0", "38"), ("roll", "-1.5", "0.25"), ("offset", "0", "1.5")],
    ),
    (&["saddle"], &[("height", "742", "738.5"), ("setback", "168", "170"), ("tilt", "-1.0", "2")]),
    (&["left", "grip"], &[("length", "134", "130"), ("hand", "62", "60.5")]),
    (
        &["right", "brake-lever"],
        &[("from-tip", "168", "171.5"), ("angle", "32", "28"), ("reach", "62.4", "60")],
    ),
    (&["fork"], &[("pressure", "88", "90"), ("rebound", "7", "5"), ("compression", "4", "6")]),
];

/// A stream of small decisions.
struct Chance {
    choices: Vec<u8>,
    at: usize,
}

impl Chance {
    fn of(&mut self, count: usize) -> usize {
        let choice = self.choices[self.at % self.choices.len()];
        self.at += 1;
        usize::from(choice) % count
    }

    fn one<'t>(&mut self, texts: &[&'t str]) -> &'t str {
        texts[self.of(texts.len())]
    }
}

/// A file and where each value stands in it.
struct Built {
    text: String,
    values: Vec<(String, Range<usize>, &'static str)>,
}

const COMMENTS: &[&str] = &["", "", " // read twice { ; }", " /* kept */", "\t// ° ± 168"];
const TAILS: &[&str] =
    &["", "", " tol=0.5", " read=\"2026-05-02\"", " tol=1 read=\"2026-05-02\"", " with=caliper"];

fn build(choices: Vec<u8>) -> Built {
    let mut chance = Chance { choices, at: 0 };
    let newline = chance.one(&["\n", "\r\n"]);
    let step = chance.one(&["    ", "  ", "\t"]);
    let mut built = Built {
        text: chance.one(&["", "\u{feff}", "// Head.\n"]).replace('\n', newline),
        values: Vec::new(),
    };
    built.text.push_str("setup \"rowan/race\" format=1 {");
    let mut indent = String::from(step);
    built.text.push_str(newline);
    built.text.push_str(&format!(
        "{indent}measured \"2026-05-02\"{newline}{indent}instruments {{ caliper tol=0.1 }}"
    ));
    for (words, measures) in GROUPS {
        built.text.push_str(newline);
        if chance.of(3) == 0 {
            built.text.push_str(&format!("{newline}{indent}// {}{newline}", words[0]));
        }
        built.text.push_str(&indent);
        let one_line = chance.of(2) == 0;
        for word in *words {
            built.text.push_str(&format!("{word} {{"));
            if !one_line {
                indent.push_str(step);
                built.text.push_str(&format!("{}{newline}{indent}", chance.one(COMMENTS)));
            } else {
                built.text.push(' ');
            }
        }
        for (index, (word, value, other)) in measures.iter().enumerate() {
            if index > 0 && one_line {
                built.text.push_str(chance.one(&["; ", ";", " ; "]));
            } else if index > 0 {
                let between =
                    chance.one(&["NI", "C NI", "NNI", ";NI", "; ", "NI// aside ( \"NI", "NI/-length 9NI"]);
                let comment = chance.one(COMMENTS);
                built
                    .text
                    .push_str(&between.replace('C', comment).replace('N', newline).replace('I', &indent));
            }
            built.text.push_str(word);
            built.text.push_str(chance.one(&[" ", " ", "   ", "\t", " /* about */ ", "(CONTINUED)"]));
            let continued = format!(" \\{newline}{indent}");
            built.text = built.text.replace("(CONTINUED)", &continued);
            let start = built.text.len();
            built.text.push_str(value);
            let path = words.iter().chain([word]).copied().collect::<Vec<_>>().join(".");
            built.values.push((path, start..start + value.len(), other));
            let count = matches!(*word, "rebound" | "compression");
            built.text.push_str(if count { "" } else { chance.one(TAILS) });
        }
        for _ in *words {
            if one_line {
                built.text.push_str(" }");
            } else {
                indent.truncate(indent.len() - step.len());
                built.text.push_str(&format!("{}{newline}{indent}}}", chance.one(COMMENTS)));
            }
        }
    }
    built.text.push_str(&format!("{newline}}}"));
    built.text.push_str(chance.one(&["", "N", "N// End.N"]).replace('N', newline).as_str());
    built
}

fn id(path: &str) -> MeasureId {
    Catalogue::standard().find(path).expect("the table has the measure")
}

fn unit(path: &str) -> Unit {
    Catalogue::standard().measure(id(path).row).unit()
}

fn open(text: &str) -> Edit<'static> {
    Edit::new(Catalogue::standard(), text, None).expect("the file is sound")
}

fn set(edit: &mut Edit, path: &str, digits: &str) {
    edit.set_reading(&id(path), &NewReading::number(digits, unit(path), 0.5)).expect("the edit is made");
}

/// What the file says, without where.
fn said(setup: &Setup) -> Vec<String> {
    setup.readings.iter().map(|(id, recorded)| format!("{id:?} {:?}", recorded.value)).collect()
}

/// The names of all nodes in order, as the `kdl` crate sees them. A byte order mark and a few valid texts are
/// beyond it: then it says nothing.
fn witness(text: &str) -> Option<Vec<String>> {
    fn names(document: &kdl::KdlDocument, into: &mut Vec<String>) {
        for node in document.nodes() {
            into.push(node.name().value().to_owned());
            node.children().into_iter().for_each(|children| names(children, into));
        }
    }
    let document: kdl::KdlDocument = text.parse().ok()?;
    let mut found = Vec::new();
    names(&document, &mut found);
    Some(found)
}

fn choices() -> impl Strategy<Value = Vec<u8>> {
    prop::collection::vec(any::<u8>(), 150)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn only_the_touched_values_change_and_come_back(
        choices in choices(), touched in prop::collection::vec(any::<prop::sample::Index>(), 1..6),
    ) {
        let built = build(choices);
        let mut picked: Vec<usize> = touched.iter().map(|index| index.index(built.values.len())).collect();
        picked.sort_unstable();
        picked.dedup();
        let mut expected = built.text.clone();
        for index in picked.iter().rev() {
            let (_, range, other) = &built.values[*index];
            expected.replace_range(range.clone(), other);
        }
        let mut edit = open(&built.text);
        for index in &picked {
            let (path, _, other) = &built.values[*index];
            set(&mut edit, path, other);
        }
        prop_assert_eq!(edit.text(), &expected);
        prop_assert_eq!(witness(edit.text()), witness(&built.text));
        for index in picked.iter().rev() {
            let (path, range, _) = &built.values[*index];
            set(&mut edit, path, &built.text[range.clone()]);
        }
        prop_assert_eq!(edit.text(), &built.text);
    }

    #[test]
    fn a_new_measure_adds_one_stretch_and_goes_again(choices in choices(), which in any::<prop::sample::Index>()) {
        const NEW: &[(&str, &str)] = &[
            ("headset.cover", "9"), ("stem.twist", "1.5"), ("bar.setback", "40"), ("bar.clamp-diameter", "35.0"),
            ("left.brake-lever.angle", "30"), ("right.grip.hand", "61"), ("right.brake-lever.bite", "34"),
            ("left.grip.length", "134"), ("floor", "0.4"), ("tyres.rear", "26"), ("shock.rebound", "5"),
        ];
        let (path, digits) = NEW[which.index(NEW.len())];
        let built = build(choices);
        let mut edit = open(&built.text);
        let fresh = edit.setup().recorded(&id(path)).is_none();
        let before = said(edit.setup());
        set(&mut edit, path, digits);
        let after = edit.text().to_owned();
        prop_assert_eq!(edit.setup().value(&id(path)), Some(digits.parse().expect("a number")));
        // Everything that was there is still there, in order: the old text is the new one less one stretch.
        if fresh {
            let head = built.text.bytes().zip(after.bytes()).take_while(|(was, now)| was == now).count();
            let tail = built.text.bytes().rev().zip(after.bytes().rev()).take_while(|(was, now)| was == now).count();
            prop_assert!(head + tail >= built.text.len());
            let others = said(edit.setup()).into_iter().filter(|line| !line.starts_with(&format!("{:?} ", id(path))));
            prop_assert_eq!(others.collect::<Vec<_>>(), before);
            let group = path.rsplit_once('.').map_or("", |(group, _)| group);
            let stood = GROUPS.iter().any(|(words, _)| words.join(".") == group);
            edit.remove(&id(path)).expect("it is there");
            if stood {
                prop_assert_eq!(edit.text(), &built.text);
            }
        }
    }
}

/// The file a person would write, before and after, by hand.
fn becomes(before: &str, path: &str, digits: &str, after: &str) {
    let mut edit = open(before);
    set(&mut edit, path, digits);
    assert_eq!(edit.text(), after);
}

#[test]
fn a_value_in_inches_stays_in_inches() {
    // 171.5 mm / 25.4 = 6.75197 in: two places as before.
    becomes(
        "setup \"a\" format=1 { left { brake-lever { from-tip (in)6.61 tol=0.02 } } }",
        "left.brake-lever.from-tip",
        "171.5",
        "setup \"a\" format=1 { left { brake-lever { from-tip (in)6.75 tol=0.02 } } }",
    );
}

#[test]
fn one_line_groups_stay_on_one_line() {
    becomes(
        "setup \"a\" format=1 {\n    steerer { spacers-below 15 }\n}\n",
        "steerer.spacers-above",
        "5",
        "setup \"a\" format=1 {\n    steerer { spacers-below 15; spacers-above 5 }\n}\n",
    );
    becomes(
        "setup \"a\" format=1 {\n    steerer { spacers-above 5 }\n}\n",
        "steerer.spacers-below",
        "15",
        "setup \"a\" format=1 {\n    steerer { spacers-below 15; spacers-above 5 }\n}\n",
    );
}

#[test]
fn a_new_line_comes_after_what_precedes_it_in_the_catalogue() {
    becomes(
        "setup \"a\" format=1 {\r\n  bar {\r\n    width 780 // end to end\r\n    roll 0\r\n  }\r\n}\r\n",
        "bar.rise",
        "25",
        "setup \"a\" format=1 {\r\n  bar {\r\n    width 780 // end to end\r\n    rise 25\r\n    roll 0\r\n  }\r\n}\r\n",
    );
}

#[test]
fn a_new_group_comes_after_the_group_before_it() {
    becomes(
        "setup \"a\" format=1 {\n    stem { length 50 }\n\n    // The saddle.\n    saddle { height 742 }\n}\n",
        "bar.roll",
        "1",
        "setup \"a\" format=1 {\n    stem { length 50 }\n    bar { roll 1 }\n\n    // The saddle.\n    saddle { height 742 }\n}\n",
    );
    becomes(
        "setup \"a\" format=1 {\n    left {\n        grip { hand 62 }\n    }\n}\n",
        "left.brake-lever.angle",
        "32",
        "setup \"a\" format=1 {\n    left {\n        grip { hand 62 }\n        brake-lever { angle 32 }\n    }\n}\n",
    );
}

#[test]
fn unmeasured_becomes_a_number() {
    becomes(
        "setup \"a\" format=1 { bar { roll unmeasured } }",
        "bar.roll",
        "-1.5",
        "setup \"a\" format=1 { bar { roll -1.5 } }",
    );
}

#[test]
fn faults_and_depth_are_refused() {
    let deep = format!("setup \"a\" format=1 {}{}", "{ left ".repeat(5000), "}".repeat(5000));
    for text in ["", "setup \"a\" format=1 { bar { rol 1 } }", "setup \"a\" format=1 {", &deep] {
        assert!(Edit::new(Catalogue::standard(), text, None).is_err(), "{text:.40}");
    }
}

#[test]
fn an_edit_that_would_not_read_leaves_the_text() {
    let text = "setup \"a\" format=1 { bar { roll 1 } }";
    let mut edit = open(text);
    // 90° is beyond the table's ±45°.
    assert!(edit.set_reading(&id("bar.roll"), &NewReading::number("90", Unit::Degree, 0.5)).is_err());
    assert!(edit.set_reading(&id("bar.roll"), &NewReading::number("1 } }", Unit::Degree, 0.5)).is_err());
    assert_eq!(edit.text(), text);
}
