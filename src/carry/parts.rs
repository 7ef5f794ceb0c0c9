//! A box of parts: stems, bars and spacers that could go on a bike, and how high a pile its steerer takes.
//!
//! ```kdl
//! parts "race box" format=1 {
//!     steerer left=75              // headset cover to top cap: spacers and stem
//!     stem "short" length=40 angle=6 clamp-height=40
//!     stem "level" length=50 angle=0 clamp-height=38
//!     bar "wide" width=780 rise=25 back-sweep=8 up-sweep=5 bend=90 roll-from=-5 roll-to=5
//!     spacer 5 count=2
//!     spacer 10
//! }
//! ```
//! Lengths in mm and angles in degrees unless a unit stands before the number: `length=(in)1.5`. What each word means
//! stands in [`words`]. Of a kind that the box does not hold, the bike keeps its own. Knows nothing of bikes.

mod bar;
pub mod damaged;
pub mod words;

use crate::catalogue::code::{self, Code};
use crate::catalogue::measure::Kind;
use crate::catalogue::table::{
    BAR_CLAMP_DIAMETER, SPACERS_BELOW, STEM_ANGLE, STEM_CLAMP_HEIGHT, STEM_LENGTH,
};
use crate::catalogue::{Catalogue, Row};
use crate::metrology::unit::Unit;
use crate::setup::finding::Finding;
use crate::setup::read::{nearest, syntax_finding};
use crate::setup::span::Span;
use crate::setup::syntax::{self, Node, Property, Value};

use damaged::Damaged;
use words::{LONGEST_STEERER, MOST_SPACERS};

/// A stem, as it is marked.
#[derive(Clone, Debug, PartialEq)]
pub struct Stem {
    /// Its name.
    pub name: String,
    /// mm.
    pub length: f64,
    /// Degrees, + = rising.
    pub angle: f64,
    /// mm along the steerer.
    pub clamp_height: f64,
    /// The bar it takes, mm across, if it is known.
    pub clamp_diameter: Option<f64>,
}

/// A bar.
#[derive(Clone, Debug, PartialEq)]
pub struct Bar {
    /// Its name.
    pub name: String,
    /// mm, end to end.
    pub width: f64,
    /// mm before it was cut, if it was.
    pub supplied_width: Option<f64>,
    /// mm.
    pub rise: f64,
    /// Degrees.
    pub back_sweep: f64,
    /// Degrees.
    pub up_sweep: f64,
    /// mm; one of `setback` and `bend` is given.
    pub setback: Option<f64>,
    /// mm.
    pub bend: Option<f64>,
    /// Degrees, from and to.
    pub roll: (f64, f64),
    /// What it is made of, if the box says.
    pub material: Option<&'static str>,
    /// mm across in the stem, if the box says.
    pub clamp_diameter: Option<f64>,
}

/// The box.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Parts {
    /// Its name.
    pub name: String,
    /// How high everything between headset cover and top cap is together, mm.
    pub steerer_left: Option<f64>,
    /// Where that stands in the box's text.
    pub steerer_place: Option<Span>,
    /// The stems.
    pub stems: Vec<Stem>,
    /// The bars.
    pub bars: Vec<Bar>,
    /// The height of each single spacer, mm.
    pub spacers: Vec<f64>,
    /// The damage that its notes tell of.
    pub damaged: Vec<Damaged>,
}

/// Whether a text means to be a box of parts.
pub fn is_box(bytes: &[u8]) -> bool {
    syntax::parse(bytes).0.nodes.first().is_some_and(|node| &*node.name == "parts")
}

/// Reads a box of parts, with every fault in it.
pub fn read(bytes: &[u8]) -> (Parts, Vec<Finding>) {
    let (document, faults) = syntax::parse(bytes);
    let mut reader =
        Reader { findings: faults.into_iter().map(syntax_finding).collect(), parts: Parts::default() };
    let tops: Vec<&Node> = document.nodes.iter().collect();
    let mut boxes = tops.iter().filter(|node| &*node.name == "parts");
    if let Some(node) = boxes.next() {
        reader.parts(node);
        for second in boxes {
            reader.find(&code::DUPLICATE_PART, second.span, "A file holds one box of parts.".into());
        }
    } else {
        let help = "Begin the file with: parts \"name\" format=1 { … }.";
        reader.find(&code::NOT_A_SETUP, Span::default(), "The file holds no `parts`.".into()).help =
            help.into();
    }
    for stranger in tops.iter().filter(|node| &*node.name != "parts") {
        reader.unknown(stranger.span, &stranger.name, &["parts"]);
    }
    let Reader { parts, mut findings } = reader;
    findings.sort_by_key(|finding| finding.span.map(|span| span.start));
    (parts, findings)
}

struct Reader {
    parts: Parts,
    findings: Vec<Finding>,
}

impl Reader {
    fn find(&mut self, code: &'static Code, span: Span, message: String) -> &mut Finding {
        let at = self.findings.len();
        self.findings.push(Finding::new(code, message).at(span));
        &mut self.findings[at]
    }

    fn unknown(&mut self, span: Span, word: &str, known: &[&str]) {
        let near = nearest(word, known.iter().copied());
        let finding =
            self.find(&code::UNKNOWN_WORD, span, format!("`{word}` is not known in a box of parts."));
        finding.help = match near {
            Some(near) => format!("Did you mean `{near}`?"),
            None => format!("It holds: {}.", known.join(", ")),
        };
    }

    fn parts(&mut self, node: &Node) {
        match node.arguments.first().map(|argument| &argument.value) {
            Some(Value::Text(name)) => self.parts.name = name.to_string(),
            _ => {
                self.find(&code::NOT_A_TEXT, node.span, "`parts` needs a name in double quotes.".into());
            }
        }
        self.properties(node, &["format"], 1);
        match node.property("format").map(|found| &found.value) {
            Some(Value::Number(1.0)) => {}
            _ => {
                self.find(&code::FORMAT_VERSION, node.span, "`parts` needs format=1.".into());
            }
        }
        for child in &node.children {
            match &*child.name {
                "steerer" => self.steerer(child),
                "stem" => self.stem(child),
                "bar" => self.bar(child),
                "spacer" => self.spacer(child),
                "note" => self.note(child),
                other => self.unknown(child.span, other, &words::THINGS.map(|thing| thing.name)),
            }
        }
        if node.children.iter().all(|child| &*child.name == "note") {
            let finding = self.find(&code::NO_VALUE, node.span, "The box is empty.".into());
            finding.help = "Put in it what may be used, such as: stem \"short\" length=40 angle=6 \
                            clamp-height=40. Without `--parts` the other bike keeps its own parts."
                .into();
        }
    }

    fn note(&mut self, node: &Node) {
        self.properties(node, &words::NOTE.properties(), 1);
        if let Some(Value::Text(text)) = node.arguments.first().map(|argument| &argument.value) {
            self.parts.damaged.extend(Damaged::of(text, node.span));
        } else {
            self.find(&code::NOT_A_TEXT, node.span, "`note` needs a text in double quotes.".into());
        }
    }

    fn steerer(&mut self, node: &Node) {
        self.properties(node, &words::STEERER.properties(), 0);
        if self.parts.steerer_left.is_some() {
            self.find(&code::DUPLICATE_PART, node.span, "`steerer` stands twice in the box.".into());
            return;
        }
        match node.property("left") {
            Some(left) => {
                self.parts.steerer_left = self.number(left, Unit::Millimetre, (0.0, LONGEST_STEERER));
                self.parts.steerer_place = Some(left.span);
            }
            // A value without its word was found already.
            None if !node.arguments.is_empty() => {}
            None => self.lacks(node, "left"),
        }
    }

    fn stem(&mut self, node: &Node) {
        self.properties(node, &words::STEM.properties(), 1);
        let name = self.name(node);
        let length = self.measure(node, "length", STEM_LENGTH);
        let angle = self.measure(node, "angle", STEM_ANGLE);
        let clamp_height = self.measure(node, "clamp-height", STEM_CLAMP_HEIGHT);
        let clamp_diameter = self.optional(node, "clamp-diameter", BAR_CLAMP_DIAMETER);
        if let (Some(name), Some(length), Some(angle), Some(clamp_height)) =
            (name, length, angle, clamp_height)
        {
            self.parts.stems.push(Stem { name, length, angle, clamp_height, clamp_diameter });
        }
    }

    fn spacer(&mut self, node: &Node) {
        self.properties(node, &words::SPACER.properties(), 1);
        let Some(argument) = node.arguments.first() else { return self.lacks(node, "its height") };
        let annotation = argument.annotation.as_deref();
        let span = span_of(SPACERS_BELOW);
        let height = self.quantity(&argument.value, annotation, argument.span, Unit::Millimetre, span);
        let count = match node.property("count") {
            Some(count) => self.number(count, Unit::One, (1.0, MOST_SPACERS)),
            None => Some(1.0),
        };
        let (Some(height), Some(count)) = (height, count) else { return };
        if height <= 0.0 || count.fract() != 0.0 {
            self.find(
                &code::OFF_SPAN,
                node.span,
                "A spacer has a height, and there are whole numbers of them.".into(),
            );
            return;
        }
        let mut left = count;
        while left > 0.5 {
            self.parts.spacers.push(height);
            left -= 1.0;
        }
    }

    /// The name of a part, unlike any of its kind.
    fn name(&mut self, node: &Node) -> Option<String> {
        let Some(Value::Text(name)) = node.arguments.first().map(|argument| &argument.value) else {
            self.find(
                &code::NOT_A_TEXT,
                node.span,
                format!("`{}` needs a name in double quotes.", node.name),
            );
            return None;
        };
        let name = name.to_string();
        let is_stem = &*node.name == "stem";
        let taken = (is_stem && self.parts.stems.iter().any(|stem| stem.name == name))
            || (!is_stem && self.parts.bars.iter().any(|bar| bar.name == name));
        if taken {
            self.find(&code::DUPLICATE_NAME, node.span, format!("Two of the box are called `{name}`."));
        }
        Some(name)
    }

    /// Finds what a node says beyond its known properties and its first few arguments.
    fn properties(&mut self, node: &Node, known: &[&str], arguments: usize) {
        if let Some(extra) = node.arguments.get(arguments) {
            let (message, help) = one_too_many(node, known, arguments);
            self.find(&code::TOO_MANY_VALUES, extra.span, message).help = help;
        }
        for (index, found) in node.properties.iter().enumerate() {
            if !known.contains(&&*found.key) {
                self.unknown(found.span, &found.key, known);
            } else if node.properties[..index].iter().any(|earlier| earlier.key == found.key) {
                let message = format!("`{}` stands twice on `{}`.", found.key, node.name);
                self.find(&code::DUPLICATE_PROPERTY, found.span, message);
            }
        }
        for child in &node.children {
            if &*node.name != "parts" {
                self.unknown(child.span, &child.name, known);
            }
        }
    }

    /// What a part does not have, unless it is there misspelt: that was found already.
    fn lacks(&mut self, node: &Node, what: &str) {
        let is_meant = |found: &Property| nearest(&found.key, [what].into_iter()).is_some();
        if node.properties.iter().any(is_meant) {
            return;
        }
        self.find(&code::NO_VALUE, node.span, format!("`{}` lacks {what}.", node.name)).help =
            "Measure the part and add the figure.".into();
    }

    fn measure(&mut self, node: &Node, word: &str, row: Row) -> Option<f64> {
        if node.property(word).is_none() {
            self.lacks(node, word);
        }
        self.optional(node, word, row)
    }

    fn optional(&mut self, node: &Node, word: &str, row: Row) -> Option<f64> {
        self.number(node.property(word)?, Catalogue::standard().measure(row).unit(), span_of(row))
    }

    fn number(&mut self, found: &Property, unit: Unit, span: (f64, f64)) -> Option<f64> {
        self.quantity(&found.value, found.annotation.as_deref(), found.span, unit, span)
    }

    fn quantity(
        &mut self,
        value: &Value,
        annotation: Option<&str>,
        place: Span,
        default: Unit,
        (low, high): (f64, f64),
    ) -> Option<f64> {
        let &Value::Number(number) = value else {
            self.find(&code::NOT_A_NUMBER, place, "A number is expected here.".into());
            return None;
        };
        let unit = match annotation.map(Unit::parse) {
            None => default,
            Some(Some(unit)) => unit,
            Some(None) => {
                self.find(&code::UNKNOWN_UNIT, place, "The unit is not known.".into());
                return None;
            }
        };
        let Some(value) = unit.convert(default, number).filter(|value| value.is_finite()) else {
            self.find(&code::WRONG_UNIT, place, format!("A figure in {} is expected here.", default.word()));
            return None;
        };
        if !(low..=high).contains(&value) {
            let sign = default.sign();
            self.find(&code::OFF_SPAN, place, format!("{value}{sign} lies outside {low} to {high}{sign}."));
            return None;
        }
        Some(value)
    }
}

/// What is wrong with a value behind those that a node takes, and where it may belong.
fn one_too_many(node: &Node, known: &[&str], arguments: usize) -> (String, String) {
    let name = &node.name;
    let message = if arguments == 0 {
        format!("`{name}` has a value without a word before it.")
    } else {
        format!("`{name}` has a value too many: it takes one.")
    };
    let words: Vec<String> = known.iter().map(|word| format!("{word}=")).collect();
    let help = if words.is_empty() {
        "Leave it out.".to_owned()
    } else {
        format!("Leave it out, or put the word it belongs to before it: {}.", words.join(", "))
    };
    (message, help)
}

/// The accepted span of a measure, in its default unit.
pub(super) fn span_of(row: Row) -> (f64, f64) {
    match Catalogue::standard().measure(row).kind {
        Kind::Reading { low, high, .. } => (low, high),
        Kind::Choice(_) => (f64::NEG_INFINITY, f64::INFINITY),
    }
}
