//! What `?` tells at each sort of question.

use crate::metrology::unit::{Quantity, Unit};
use crate::restore::sheet::{Asked, Question};

/// What every question takes.
const ALWAYS: &str = "`back` for the question before; `quit` to stop: every answer is kept.";

/// The help on a question.
pub fn help(question: &Question) -> String {
    match &question.asked {
        Asked::Look(_) => format!(
            "`good` or `y` if it is so. If not, say what you see, for instance bent: it is kept as damage; `apart` if it \
             is off or was opened, and the way back puts it together. `skip` if you did not look; {ALWAYS}"
        ),
        Asked::Mark(_) => mark(question),
        Asked::Measure(_) if !question.choices.is_empty() => format!(
            "One of: {}. `skip` or just Enter if you did not look; {ALWAYS}",
            question.choices.join(", ")
        ),
        Asked::Measure(_) => {
            let unit = question.unit.unwrap_or(Unit::One);
            format!(
                "A number as you read it: {}.{} `same mark` if its witness mark still lines up; `skip` or just Enter \
                 if you did not look; {ALWAYS}",
                examples(unit),
                instruments(question)
            )
        }
    }
}

/// How to say with what it was read.
fn instruments(question: &Question) -> String {
    let usual = question.instrument.as_ref();
    let others: Vec<String> = question
        .instruments
        .iter()
        .filter(|name| usual != Some(name))
        .map(|name| format!("`{name}`"))
        .collect();
    match usual {
        _ if others.is_empty() => String::new(),
        Some(usual) => {
            format!(" If it was not read by {usual}, say by what behind it, such as {}.", others.join(" or "))
        }
        None => format!(" Behind it may stand what it was read with: {}.", others.join(" or ")),
    }
}

/// What each word at a mark's question means, and which way is plus.
fn mark(question: &Question) -> String {
    let sign = question.plus.map_or_else(String::new, |plus| {
        format!(", with - before it if the half on the loosened part has not turned {plus} but the other way")
    });
    format!(
        "aligned: the two halves of the line meet. off=0.8: they stand 0.8 mm apart{sign}. broken: the line is cracked \
         or scraped, so the joint moved and nobody knows how far. missing: the line is gone; it counts as moved. `skip` \
         or just Enter if you did not look; {ALWAYS}"
    )
}

/// What a number may look like, its other units included.
pub fn examples(unit: Unit) -> String {
    let plain = match unit.quantity() {
        Quantity::Length => "168.5, or 168.5 0.2 with its ±, or `168.5, 168.7` if read twice",
        Quantity::Angle => "32.5, or 32.5 0.2 with its ±, or `32.5, 32.7` if read twice",
        Quantity::Count => return "7, counted in clicks".to_owned(),
        Quantity::Pressure | Quantity::Torque | Quantity::Ratio => {
            "23, or 23 0.5 with its ±, or `23, 23.5` if read twice"
        }
    };
    let others = others(unit);
    let behind =
        if others.is_empty() { String::new() } else { format!(" (or with {} behind it)", others.join(", ")) };
    format!("{plain}, in {}{behind}", unit.word())
}

/// The other units that a number of that unit may be in, as the files write them.
pub fn others(unit: Unit) -> Vec<&'static str> {
    let fits = |other: &&Unit| **other != unit && other.quantity() == unit.quantity();
    Unit::ALL.iter().filter(fits).map(|other| other.word()).collect()
}
