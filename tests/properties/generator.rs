//! Random but realistic setups, as the text a person would type, driven by the table of measures.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use clampmark::catalogue::{Catalogue, Kind, MeasureId, Shape, Side, Subject};
use clampmark::metrology::Unit;
use clampmark::setup::model::Setup;
use clampmark::setup::read::read;
use proptest::prelude::*;

/// The instruments every generated file defines: name, tolerance, unit of the measures it is used for.
const INSTRUMENTS: [(&str, i32, Unit); 3] =
    [("rule", 50, Unit::Millimetre), ("caliper", 10, Unit::Millimetre), ("angle-gauge", 20, Unit::Degree)];

/// What a grip point needs; always recorded.
const NEEDED: [&str; 12] = [
    "frame.reach",
    "frame.stack",
    "frame.head-angle",
    "stem.length",
    "stem.angle",
    "stem.clamp-height",
    "bar.width",
    "bar.rise",
    "bar.back-sweep",
    "bar.up-sweep",
    "bar.bend",
    "SIDE.grip.hand",
];

/// One measure as typed.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// The values in tenths of the default unit; none for a word.
    pub tenths: Vec<i32>,
    /// A choice's word, or `unmeasured`.
    pub word: Option<&'static str>,
    /// The written tolerance in hundredths.
    pub tolerance: Option<i32>,
    /// The named instrument, by its place in the list.
    pub instrument: Option<usize>,
}

/// A setup to be typed.
#[derive(Clone, Default, PartialEq)]
pub struct Draft {
    /// Every measure that is recorded.
    pub entries: BTreeMap<MeasureId, Entry>,
}

impl std::fmt::Debug for Draft {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.text())
    }
}

/// How a draft is typed: none of it changes what is meant.
#[derive(Clone, Copy, Debug, Default)]
pub struct Style {
    /// Last node first.
    pub reversed: bool,
    /// Comments and empty lines between the nodes.
    pub chatty: bool,
    /// Lengths of nodes in centimetres, tolerances still in millimetres.
    pub centimetres: bool,
}

/// Every measure that a bike with one hose and two lowest points a control can have.
pub fn all_measures() -> Vec<MeasureId> {
    let subjects = |path: &str| -> Vec<Subject> {
        if path.contains("NAME") {
            vec![Subject::named("rear brake")]
        } else if path.contains("SIDE") {
            let ordinals = if path.contains(".N.") { 1..=2 } else { 0..=0 };
            ordinals.flat_map(|n| Side::BOTH.map(|side| Subject::side(side).numbered(n))).collect()
        } else {
            vec![Subject::BIKE]
        }
    };
    Catalogue::standard()
        .rows()
        .flat_map(|(row, measure)| {
            subjects(measure.path).into_iter().map(move |subject| MeasureId { row, subject })
        })
        .collect()
}

/// A realistic value of one measure: near the table's example, inside its span.
pub fn entry(id: &MeasureId) -> BoxedStrategy<Entry> {
    let measure = Catalogue::standard().measure(id.row);
    let is_node = measure.shape == Shape::Node;
    match measure.kind {
        Kind::Choice(words) => proptest::sample::select(words)
            .prop_map(|word| Entry { tenths: vec![], word: Some(word), tolerance: None, instrument: None })
            .boxed(),
        Kind::Reading { unit: Unit::Click, .. } => (0_i32..12)
            .prop_map(|clicks| Entry {
                tenths: vec![clicks * 10],
                word: None,
                tolerance: None,
                instrument: None,
            })
            .boxed(),
        Kind::Reading { unit, low, high, .. } => {
            let example = measure.example.parse().unwrap_or(f64::midpoint(low, high));
            let around = (high - low) / 20.0;
            let (from, to) = (tenths((example - around).max(low)), tenths((example + around).min(high)));
            let fitting: Vec<usize> =
                (0..INSTRUMENTS.len()).filter(|place| INSTRUMENTS[*place].2 == unit).collect();
            let instrument = if fitting.is_empty() || !is_node {
                Just(None).boxed()
            } else {
                proptest::option::of(proptest::sample::select(fitting)).boxed()
            };
            let tolerance = if is_node {
                proptest::option::weighted(0.3, 5_i32..200).boxed()
            } else {
                Just(None).boxed()
            };
            let most = if is_node { 4 } else { 2 };
            (from..=to, proptest::collection::vec(-3_i32..=3, 1..most), tolerance, instrument)
                .prop_map(move |(value, scatter, tolerance, instrument)| Entry {
                    tenths: if is_node && scatter.len() > 1 {
                        scatter.iter().map(|apart| (value + apart).clamp(from, to)).collect()
                    } else {
                        vec![value]
                    },
                    word: None,
                    tolerance,
                    instrument,
                })
                .boxed()
        }
    }
}

#[expect(clippy::cast_possible_truncation, reason = "spans of the table are a few thousand at most")]
fn tenths(value: f64) -> i32 {
    (value * 10.0).round() as i32
}

/// A whole setup: what grip points need, and seven of ten of the rest.
pub fn draft() -> impl Strategy<Value = Draft> {
    let measures = all_measures();
    let entries: Vec<BoxedStrategy<Option<Entry>>> = measures
        .iter()
        .map(|id| {
            let measure = Catalogue::standard().measure(id.row);
            if NEEDED.contains(&measure.path) {
                entry(id).prop_map(Some).boxed()
            } else {
                proptest::option::weighted(0.7, entry(id)).boxed()
            }
        })
        .collect();
    entries.prop_map(move |entries| {
        let recorded = measures.iter().cloned().zip(entries);
        Draft { entries: recorded.filter_map(|(id, entry)| Some((id, entry?))).collect() }.tidied()
    })
}

/// Two setups of one bike: most of it untouched, about a fifth read again, moved, added or left out.
pub fn pair() -> impl Strategy<Value = (Draft, Draft)> {
    let count = all_measures().len();
    (draft(), draft(), proptest::collection::vec(proptest::bool::weighted(0.2), count)).prop_map(
        |(first, other, changed)| {
            let mut second = Draft::default();
            for (id, changed) in all_measures().into_iter().zip(changed) {
                let entry = if changed { other.entries.get(&id) } else { first.entries.get(&id) };
                if let Some(entry) = entry {
                    second.entries.insert(id, entry.clone());
                }
            }
            (first, second.tidied())
        },
    )
}

/// One node of the text.
#[derive(Default)]
struct Node {
    head: String,
    value: String,
    properties: String,
    children: Vec<(String, Node)>,
}

impl Node {
    fn child(&mut self, key: &str, head: &str) -> &mut Node {
        let place = self.children.iter().position(|(known, _)| known == key).unwrap_or_else(|| {
            self.children.push((key.to_owned(), Node { head: head.to_owned(), ..Node::default() }));
            self.children.len() - 1
        });
        &mut self.children[place].1
    }

    fn write(&self, depth: usize, style: Style, text: &mut String) {
        let pad = "    ".repeat(depth);
        if style.chatty {
            text.push_str("\n// a word by the way\n");
        }
        write!(text, "{pad}{}{}{}", self.head, self.value, self.properties).expect("a String takes it");
        if self.children.is_empty() {
            text.push('\n');
            return;
        }
        text.push_str(" {\n");
        let mut children: Vec<&Node> = self.children.iter().map(|(_, child)| child).collect();
        if style.reversed {
            // The first and second of a kind keep their order: they are told apart by it.
            children.sort_by(|a, b| b.head.cmp(&a.head));
        }
        for child in children {
            child.write(depth + 1, style, text);
        }
        writeln!(text, "{pad}}}").expect("a String takes it");
    }
}

impl Draft {
    /// Without what cannot be typed: a slot of no mount, a second lowest point without a first.
    #[must_use]
    pub fn tidied(mut self) -> Draft {
        let catalogue = Catalogue::standard();
        let recorded: Vec<String> = self.entries.keys().map(|id| catalogue.path(id)).collect();
        self.entries.retain(|id, _| {
            let path = catalogue.path(id);
            let leans_on = match (path.strip_suffix(".slot"), path.rsplit_once(".2.")) {
                (Some(mount), _) => mount.to_owned(),
                (None, Some((lowest, _))) => format!("{lowest}.1."),
                (None, None) => return true,
            };
            recorded.iter().any(|other| other.starts_with(&leans_on) && *other != path)
        });
        self
    }

    /// The text in the plain style.
    pub fn text(&self) -> String {
        self.typed(Style::default())
    }

    /// The text in a style.
    pub fn typed(&self, style: Style) -> String {
        let mut root = Node { head: "setup \"rowan/any\" format=1".to_owned(), ..Node::default() };
        let instruments = root.child("instruments", "instruments");
        for (name, tolerance, _) in INSTRUMENTS {
            instruments.child(name, name).properties = format!(" tol={}", hundredths(tolerance));
        }
        for (id, entry) in &self.entries {
            place(&mut root, id, entry, style);
        }
        let mut text = String::new();
        root.write(0, style, &mut text);
        text
    }

    /// The setup that the reader makes of the text, which must be without a fault.
    pub fn setup(&self) -> Setup {
        setup_of(&self.text())
    }
}

/// The setup in a text that must be without a fault.
pub fn setup_of(text: &str) -> Setup {
    let read = read(Catalogue::standard(), text.as_bytes(), None);
    assert!(!read.has_fault(), "{:?}\n{text}", read.findings);
    read.setup.expect("a text without a fault holds a setup")
}

/// Puts one measure where its path says.
fn place(root: &mut Node, id: &MeasureId, entry: &Entry, style: Style) {
    let measure = Catalogue::standard().measure(id.row);
    let is_property = measure.shape == Shape::Property;
    let words: Vec<&str> = measure.path.split('.').collect();
    let (last, groups) = words.split_last().expect("no path is empty");
    let mut node = root;
    let mut at = 0;
    while let Some(word) = groups.get(at) {
        let next = groups.get(at + 1).copied();
        let head = match *word {
            "SIDE" => id.subject.side.map_or("left", Side::word).to_owned(),
            word => word.to_owned(),
        };
        let (key, head) = match next {
            Some("NAME") => {
                let name = id.subject.name.as_deref().unwrap_or("rear brake");
                (format!("{head} {name}"), format!("{head} \"{name}\""))
            }
            Some("N") => {
                // The first of a kind stands before the second, whichever measure comes first.
                node.child(&format!("{head} 1"), &head);
                (format!("{head} {}", id.subject.ordinal), head)
            }
            _ => (head.clone(), head),
        };
        node = node.child(&key, &head);
        at += if matches!(next, Some("NAME" | "N")) { 2 } else { 1 };
    }
    if is_property {
        write!(node.properties, " {last}={}", values(entry, None).trim_start()).expect("a String takes it");
        return;
    }
    let centimetres = style.centimetres && measure.unit() == Unit::Millimetre;
    let node = node.child(last, last);
    node.value = values(entry, centimetres.then_some("(cm)"));
    if let Some(tolerance) = entry.tolerance {
        let unit = if centimetres { "(mm)" } else { "" };
        write!(node.properties, " tol={unit}{}", hundredths(tolerance)).expect("a String takes it");
    }
    if let Some(instrument) = entry.instrument {
        write!(node.properties, " with={}", INSTRUMENTS[instrument].0).expect("a String takes it");
    }
}

fn values(entry: &Entry, unit: Option<&str>) -> String {
    if let Some(word) = entry.word {
        // A slot may be a number; in quotes every word is a text.
        return format!(" \"{word}\"");
    }
    let typed = |tenths: &i32| match unit {
        // Tenths of a millimetre are hundredths of a centimetre.
        Some(unit) => format!(" {unit}{}", hundredths(*tenths)),
        None if tenths % 10 == 0 => format!(" {}", tenths / 10),
        None => format!(" {}", point(*tenths, 10, 1)),
    };
    entry.tenths.iter().map(typed).collect()
}

fn hundredths(number: i32) -> String {
    point(number, 100, 2)
}

fn point(number: i32, base: i32, places: usize) -> String {
    let sign = if number < 0 { "-" } else { "" };
    format!("{sign}{}.{:0places$}", number.abs() / base, number.abs() % base)
}

impl Entry {
    /// The half-width that counts, in the default unit: the written one, else the instrument's, else the table's.
    pub fn half_width(&self, id: &MeasureId) -> f64 {
        let named = self.instrument.map(|place| INSTRUMENTS[place].1);
        match self.tolerance.or(named) {
            Some(hundredths) => f64::from(hundredths) / 100.0,
            None => Catalogue::standard().measure(id.row).tolerance(),
        }
    }
}
