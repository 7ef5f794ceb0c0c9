//! A fresh setup file that teaches: every measure of the table with how it is measured, ready to be filled in.
//!
//! It walks the catalogue's shelves and knows no measure by name. What the grip points need stands there as
//! `unmeasured`; everything else is commented out with an illustration. It refuses to know files and folders.

use std::collections::BTreeSet;
use std::fmt::Write;

use chrono::NaiveDate;

use crate::catalogue::joint::{self, JOINTS};
use crate::catalogue::table::{BAR_ROLL, LEVER_ANGLE, LEVER_FROM_TIP};
use crate::catalogue::{Absent, Catalogue, Kind, Measure, Row, Shelf, ShelfId, Side, Taking};
use crate::catalogue::{caution, instrument, word};
use crate::geometry::derived::{self, Need};

/// Columns that a comment keeps to.
const WIDTH: usize = 100;
/// The derived value that needs what the grip points need, and nothing else.
const GRIPS: &str = "grip-reach";
/// The word that stands where a number is still to be read.
const BLANK: &str = "unmeasured";

/// The rows a fresh file asks for: all that the grip points are computed from, also what would count as 0 if it were
/// left out, for a forgotten spacer makes a wrong stack that looks sure. Where one of two measures will do, it is the
/// second, which a ruler reaches.
pub fn needed() -> BTreeSet<Row> {
    let Some((_, grips)) = derived::find(GRIPS) else { return BTreeSet::new() };
    let needs = grips.needs.iter().map(|need| match *need {
        Need::Bike(row) | Need::BothSides(row) | Need::OneSide(row, _) | Need::Either(_, row) => row,
    });
    needs.chain(grips.naturals().iter().copied()).collect()
}

/// The text of a fresh setup file of that name, measured on that day.
pub fn setup(catalogue: &Catalogue, name: &str, day: NaiveDate) -> String {
    let writer = Writer { catalogue, needed: needed() };
    let mut lines = comment(
        0,
        "Lengths in mm, angles in degrees, torque in N·m. Another unit goes before the number: (in)30.75.",
    );
    lines.extend(comment(
        0,
        &format!("Write your reading in place of each {BLANK}: the grip points need them all."),
    ));
    lines.extend(comment(0, "What begins with // is left out. Take the // away where the bike has it, and write your own number: those that stand there are illustrations."));
    lines.extend(comment(0, "Add tol=0.5 to any reading that is surer or less sure than usual: half its width, in its own unit. Several readings of one thing may stand side by side."));
    lines.push(format!("setup \"{name}\" format=1 {{"));
    let mut blocks = vec![top(day), instruments()];
    blocks.extend(catalogue.top().children.iter().flat_map(|id| writer.top_blocks(*id)));
    blocks.extend([torque(), mark(catalogue, day), note()]);
    lines.extend(indented(blocks.join(&String::new())));
    lines.push("}".to_owned());
    lines.join("\n") + "\n"
}

fn top(day: NaiveDate) -> Vec<String> {
    let mut lines = comment(1, &format!("{} Add by=\"own stand\" to say on what.", word::MEASURED.says));
    lines.push(format!("measured \"{day}\""));
    lines.extend(commented(vec!["purpose \"Home trails\"".to_owned()]));
    lines
}

fn instruments() -> Vec<String> {
    let mut lines = comment(1, word::INSTRUMENTS.says);
    lines.push("instruments {".to_owned());
    for suggested in instrument::SUGGESTED {
        let code = format!("{} tol={}", suggested.name, suggested.tolerance);
        lines.push(format!("    {code:<20}// {}", suggested.says));
    }
    lines.push("}".to_owned());
    lines
}

fn torque() -> Vec<String> {
    let mut lines = comment(1, &format!("{} {} {}", word::TORQUE.says, caution::MAKER, caution::LOWER_LIMIT));
    lines.extend(comment(1, &format!("Joints: {}.", joint::names().join(", "))));
    let example = JOINTS.iter().find(|joint| joint.name == "stem-face");
    lines.extend(commented(vec![
        "torque \"stem-face\" 4 5 tool=\"4 mm hex\" {".to_owned(),
        "    ceiling \"bar\" 5".to_owned(),
        format!("    caution \"{}\"", example.map_or(caution::MAKER, |joint| joint.before)),
        format!("    caution \"{}\"", caution::CARBON),
        "}".to_owned(),
    ]));
    lines
}

fn mark(catalogue: &Catalogue, day: NaiveDate) -> Vec<String> {
    let mut lines = comment(
        1,
        "A witness mark is a fine line of paint across a joint: it shows at a glance whether the joint moved.",
    );
    let place = |row: Row| {
        let measure = catalogue.measure(row);
        format!("{}={}", measure.word(), measure.example)
    };
    lines.extend(commented(vec![
        "mark \"L1\" on=\"left.brake-lever\" colour=silver {".to_owned(),
        format!(
            "    drawn {} {} {} read=\"{day}\"",
            place(LEVER_FROM_TIP),
            place(LEVER_ANGLE),
            place(BAR_ROLL)
        ),
        "    reads \"Line on the bar meets the split of the clamp\"".to_owned(),
        "}".to_owned(),
    ]));
    lines
}

fn note() -> Vec<String> {
    let mut lines = comment(1, word::NOTE.says);
    lines.extend(commented(vec!["note \"One change at a time, ridden, then kept or undone\"".to_owned()]));
    lines
}

struct Writer<'c> {
    catalogue: &'c Catalogue,
    needed: BTreeSet<Row>,
}

impl Writer<'_> {
    /// A group at the top of the file; for the sides, both: the left teaches, the right holds the same blanks.
    fn top_blocks(&self, id: ShelfId) -> Vec<Vec<String>> {
        let shelf = self.catalogue.shelf(id);
        if shelf.taking != Taking::Side {
            return vec![self.written(shelf, shelf.word, 1)];
        }
        let [left, right] = Side::BOTH;
        let mut other = comment(1, &format!("The {right} side takes the same groups as the {left}."));
        other.push(format!("{right} {{"));
        other.extend(indented(self.blanks(shelf)));
        other.push("}".to_owned());
        vec![self.written(shelf, left.word(), 1), other]
    }

    fn is_needed(&self, shelf: &Shelf) -> bool {
        let here = shelf.measure.iter().chain(shelf.properties.iter().map(|(_, row)| row));
        here.into_iter().any(|row| self.needed.contains(row))
            || shelf.children.iter().any(|id| self.is_needed(self.catalogue.shelf(*id)))
    }

    /// A group or a measure, commented out as a whole if nothing in it is needed.
    fn written(&self, shelf: &Shelf, word: &str, depth: usize) -> Vec<String> {
        if self.is_needed(shelf) {
            return self.plain(shelf, word, depth, true);
        }
        if shelf.is_group() {
            return commented(self.plain(shelf, word, depth, false));
        }
        let (mut lines, node) = self.node(shelf, depth);
        lines.extend(commented(vec![node]));
        lines
    }

    /// The same without the outermost comment; `open` says whether the groups inside decide for themselves.
    fn plain(&self, shelf: &Shelf, word: &str, depth: usize, open: bool) -> Vec<String> {
        if !shelf.is_group() {
            let (mut lines, node) = self.node(shelf, depth);
            lines.push(node);
            return lines;
        }
        let name =
            if shelf.taking == Taking::Name { format!("{word} \"rear brake\"") } else { word.to_owned() };
        let mut lines = vec![format!("{name} {{")];
        for id in &shelf.children {
            let child = self.catalogue.shelf(*id);
            let inside = if open {
                self.written(child, child.word, depth + 1)
            } else {
                self.plain(child, child.word, depth + 1, false)
            };
            lines.extend(indented(inside));
        }
        lines.push("}".to_owned());
        lines
    }

    /// Only the blanks, without teaching.
    fn blanks(&self, shelf: &Shelf) -> Vec<String> {
        let mut lines = Vec::new();
        for child in
            shelf.children.iter().map(|id| self.catalogue.shelf(*id)).filter(|child| self.is_needed(child))
        {
            if child.is_group() {
                lines.push(format!("{} {{", child.word));
                lines.extend(indented(self.blanks(child)));
                lines.push("}".to_owned());
            } else {
                lines.push(self.node(child, 0).1);
            }
        }
        lines
    }

    /// A measure's node: how it is measured, and the line itself.
    fn node(&self, shelf: &Shelf, depth: usize) -> (Vec<String>, String) {
        let mut how = Vec::new();
        let mut node = shelf.word.to_owned();
        let mut aside = String::new();
        if let Some(row) = shelf.measure {
            let measure = self.catalogue.measure(row);
            how.extend(comment(depth, measure.how));
            let blank = self.needed.contains(&row);
            let _ = write!(node, " {}", if blank { BLANK } else { measure.example });
            aside = format!("  // {}", accepted(measure, blank));
        }
        for (word, row) in &shelf.properties {
            let measure = self.catalogue.measure(*row);
            how.extend(comment(depth, &format!("`{word}=` {}", measure.how)));
            // Beside a value of its own a property says more than most bikes need.
            if shelf.measure.is_none() {
                let value = if self.needed.contains(row) { BLANK } else { measure.example };
                let _ = write!(node, " {word}={value}");
            }
        }
        let with = shelf.measure.and_then(|row| self.catalogue.measure(row).instrument);
        if let Some(instrument) = with {
            let _ = write!(node, " with={instrument}");
        }
        (how, node + &aside)
    }
}

/// What a measure takes, in few words.
fn accepted(measure: &Measure, blank: bool) -> String {
    let mut said = match measure.kind {
        Kind::Choice(words) => words.join(", "),
        Kind::Reading { unit, low, high, .. } => format!("{}, {low} to {high}", unit.word()),
    };
    if blank {
        let _ = write!(said, ", such as {}", measure.example);
    }
    if let Absent::Counts(value) = measure.absent {
        let _ = write!(said, "; left out it counts as {value}");
    }
    said
}

/// A sentence as comment lines; what is wrapped hangs by two columns.
fn comment(depth: usize, text: &str) -> Vec<String> {
    let options = textwrap::Options::new(WIDTH - 4 * depth)
        .initial_indent("// ")
        .subsequent_indent("//   ")
        .word_splitter(textwrap::WordSplitter::NoHyphenation)
        .word_separator(textwrap::WordSeparator::AsciiSpace);
    textwrap::wrap(text, options).into_iter().map(String::from).collect()
}

fn commented(lines: Vec<String>) -> Vec<String> {
    lines.into_iter().map(|line| format!("// {line}")).collect()
}

fn indented(lines: Vec<String>) -> Vec<String> {
    lines.into_iter().map(|line| if line.is_empty() { line } else { format!("    {line}") }).collect()
}
