//! The format's reference as a page of Markdown, rendered from the catalogue: rows, words, joints, instruments, units.
//!
//! It adds nothing: whatever the page says stands in a table of the catalogue.

use std::fmt::Write;

use crate::carry::parts::words::{self, Takes};
use crate::catalogue::joint::JOINTS;
use crate::catalogue::{Absent, Catalogue, ChangedBy, HeldBy, Kind, Measure, Shape, Weight};
use crate::catalogue::{instrument, word};
use crate::metrology::unit::Unit;

/// The page.
pub fn markdown(catalogue: &Catalogue) -> String {
    let mut page = String::from(
        "# The setup file, format 1\n\nGenerated from the program's own tables.\n\n\
         A setup is a text file in KDL 2.0, UTF-8, one setup a file, under `setups/`; its name is its path without \
         `.kdl`. A measure is a node: name, value, then optional `tol=` (half the width of the reading), `with=` (an \
         instrument of the file) and `read=` (the day, in quotes). Another unit goes before the number: \
         `width (in)30.75`. Repeated readings stand side by side: `roll -1.5 -1.0 -1.5`. `unmeasured` in place of a \
         value says that a measure matters and is not known yet. Nothing is ignored silently.\n\n\
         `SIDE` stands for `left` or `right`, `NAME` for a name in quotes, `N` for the first, second … node of that \
         word. A dot is a brace in the file: `left.brake-lever.angle` is `left { brake-lever { angle 32 } }`.\n",
    );
    measures(&mut page, catalogue);
    words(&mut page);
    joints(&mut page);
    instruments(&mut page);
    units(&mut page);
    parts(&mut page, catalogue);
    page
}

fn measures(page: &mut String, catalogue: &Catalogue) {
    page.push_str("\n# Measures\n");
    let mut group = String::new();
    for (_, measure) in catalogue.rows() {
        let here = group_of(measure);
        if here != group {
            let head = ["Path", "Takes", "±", "What moves when it does", "Held by", "How it is measured"];
            let _ = write!(page, "\n## {here}\n\n{}{}", row(&head.map(String::from)), rule(head.len()));
            group = here;
        }
        page.push_str(&row(&[
            format!("`{}`", measure.path),
            takes(measure),
            tolerance(measure),
            weight(measure.weight).to_owned(),
            held_by(measure),
            how(measure),
        ]));
    }
}

/// All of the path but its last word; the word before a count or a property belongs to the measure.
fn group_of(measure: &Measure) -> String {
    let path = measure.path.replace(".N.", ".");
    let mut words: Vec<&str> = path.split('.').collect();
    words.pop();
    let keeps = if words.first() == Some(&"SIDE") { 2 } else { 1 };
    words.truncate(keeps);
    if words.is_empty() { measure.path.to_owned() } else { words.join(".") }
}

fn takes(measure: &Measure) -> String {
    match measure.kind {
        Kind::Choice(words) => words.join(", "),
        Kind::Reading { unit, low, high, .. } => format!("{}, {low} to {high}", unit.word()),
    }
}

fn tolerance(measure: &Measure) -> String {
    match measure.kind {
        Kind::Choice(_) => String::new(),
        Kind::Reading { tolerance, .. } => tolerance.to_string(),
    }
}

fn weight(weight: Weight) -> &'static str {
    match weight {
        Weight::SteeringAndBrakes => "steering and brakes",
        Weight::Handling => "handling",
        Weight::Comfort => "comfort",
        Weight::Record => "a figure kept for the computation",
    }
}

fn held_by(measure: &Measure) -> String {
    let held_by = match measure.held_by {
        HeldBy::Nothing if measure.goes_along() => "what it leaves".to_owned(),
        HeldBy::Nothing if measure.is_of_the_part() => "nothing".to_owned(),
        HeldBy::Nothing => "nothing: it can only be read again".to_owned(),
        HeldBy::Cutting => "cutting, or another part".to_owned(),
        HeldBy::Adjuster => "its adjuster".to_owned(),
        HeldBy::Joint(joint) => format!("`{joint}`"),
        HeldBy::Clamp => "its own clamp, or the brake lever's when shared".to_owned(),
    };
    match measure.changed_by {
        ChangedBy::Setting => held_by,
        ChangedBy::AnotherPart => format!("{held_by}; only another part has another figure"),
        ChangedBy::Refitting => format!("{held_by}, which comes apart for it"),
        ChangedBy::GoingAlong => format!("{held_by}; nobody sets it, it goes along"),
    }
}

fn how(measure: &Measure) -> String {
    let mut how = format!("{}: {}", measure.title, measure.how);
    if measure.shape == Shape::Property {
        how += " Written as a property.";
    }
    if let Absent::Counts(value) = measure.absent {
        let _ = write!(how, " Left out, it counts as {value}.");
    }
    if let Some(instrument) = measure.instrument {
        let _ = write!(how, " Usually `with={instrument}`.");
    }
    how
}

fn words(page: &mut String) {
    page.push_str("\n# Words beside the measures\n");
    for word in word::ALL {
        let _ = write!(page, "\n## {}\n\n{}\n\n```kdl\n{}\n```\n", word.name, word.says, word.form);
        for (what, list) in [("Properties", word.properties), ("Inside", word.children)] {
            if !list.is_empty() {
                let list: Vec<String> = list.iter().map(|word| format!("`{word}`")).collect();
                let _ = write!(page, "\n{what}: {}.\n", list.join(", "));
            }
        }
    }
}

/// The other kind of file.
fn parts(page: &mut String, catalogue: &Catalogue) {
    page.push_str(
        "\n# The box of parts, format 1\n\n\
         A file of its own for `carry --parts`: what could go on the other bike. It lies anywhere, holds one box, \
         `parts \"name\" format=1 { … }`, and `check` checks it. Lengths are in mm and angles in degrees unless a unit \
         stands before the number: `length=(in)1.5`. Of a kind that the box does not hold (stems, bars, spacers) the \
         other bike keeps its own, and rolls its own bar no further than a bar of the box without `roll-from` and \
         `roll-to`.\n",
    );
    for thing in words::THINGS {
        let _ =
            write!(page, "\n## {} in a box\n\n{}\n\n```kdl\n{}\n```\n", thing.name, thing.says, thing.form);
        if thing.figures.is_empty() {
            continue;
        }
        let head = ["Word", "Takes", "Needed", "What it means"];
        let _ = write!(page, "\n{}{}", row(&head.map(String::from)), rule(head.len()));
        for figure in thing.figures {
            let takes = match figure.takes {
                Takes::Measure(row) => takes(catalogue.measure(row)),
                Takes::UpTo(most) => format!("{}, 0 to {most}", Unit::Millimetre.word()),
                Takes::Count(most) => format!("a whole number, 1 to {most}"),
            };
            let needed = if figure.needed { "yes" } else { "no" };
            let name = format!("`{}`", figure.name);
            page.push_str(&row(&[name, takes, needed.to_owned(), figure.says.to_owned()]));
        }
    }
}

fn joints(page: &mut String) {
    let head =
        ["Joint", "What it is", "What it does when it slips", "Before it is tightened", "What proves it"];
    let _ =
        write!(page, "\n# Joints, in working order\n\n{}{}", row(&head.map(String::from)), rule(head.len()));
    for joint in JOINTS {
        page.push_str(&row(&[
            format!("`{}`", joint.name),
            joint.title.to_owned(),
            weight(joint.weight).to_owned(),
            joint.before.to_owned(),
            joint.proof.to_owned(),
        ]));
    }
}

fn instruments(page: &mut String) {
    let head = ["Instrument", "tol", "What it is"];
    let _ = write!(
        page,
        "\n# Instruments\n\nA file defines its own; a fresh one begins with these.\n\n{}{}",
        row(&head.map(String::from)),
        rule(head.len())
    );
    for suggested in instrument::SUGGESTED {
        page.push_str(&row(&[
            format!("`{}`", suggested.name),
            suggested.tolerance.to_string(),
            suggested.says.to_owned(),
        ]));
    }
}

fn units(page: &mut String) {
    let written = Unit::ALL.iter().filter(|unit| !matches!(unit, Unit::Click | Unit::One));
    let words: Vec<String> = written.map(|unit| format!("`{}`", unit.word())).collect();
    let _ = write!(page, "\n# Units\n\n{}.\n", words.join(", "));
}

fn row(cells: &[String]) -> String {
    let cells: Vec<String> = cells.iter().map(|cell| cell.replace('|', "\\|")).collect();
    format!("| {} |\n", cells.join(" | "))
}

fn rule(columns: usize) -> String {
    "| --- ".repeat(columns) + "|\n"
}
