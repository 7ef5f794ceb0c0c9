//! What could have moved and nobody looked at, told alike wherever an as-found sheet is: dangerous first.

use crate::catalogue::Weight;
use crate::compare::NotLookedAt;

use super::screen::{Label, Page, piece, plain};

/// The titles of those on steering and brakes.
pub fn dangerous(measures: &[NotLookedAt]) -> impl Iterator<Item = &str> {
    let dangerous = measures.iter().filter(|measure| measure.weight == Weight::SteeringAndBrakes);
    dangerous.map(|measure| measure.title.as_str())
}

/// That nothing moved of so many things looked at, and how many measures nobody looked at; the same on every page.
pub fn nothing_moved(looked_at: usize, left: usize, is_blank: bool) -> String {
    let rest = match left {
        0 => String::new(),
        1 => "; 1 measure was not looked at".to_owned(),
        _ => format!("; {left} measures were not looked at"),
    };
    match looked_at {
        0 if is_blank => format!("Nothing was looked at yet{rest}: fill the sheet in first."),
        0 => format!("Nothing on the sheet tells whether anything moved{rest}."),
        1 => format!("The one thing that was looked at did not move{rest}."),
        _ => format!("Nothing moved of the {looked_at} looked at{rest}."),
    }
}

/// That a sheet measures nothing, and what it tells to have been looked over: that says nothing of where anything stands.
pub fn only_good(good: &[String]) -> String {
    format!(
        "Nothing was measured: the sheet tells only what was looked over and is good ({}). Whether anything moved it does \
         not say.",
        good.join(", ")
    )
}

/// Writes it; of the measures of less weight at most so many are named, else only counted.
pub fn not_looked_at(page: &mut Page, measures: &[NotLookedAt], most_named: usize) {
    let rest = measures.iter().filter(|measure| measure.weight != Weight::SteeringAndBrakes);
    let rest: Vec<&str> = rest.map(|measure| measure.title.as_str()).collect();
    let dangerous: Vec<&str> = dangerous(measures).collect();
    if measures.is_empty() {
        return;
    }
    page.title("Not looked at: may have moved");
    if !dangerous.is_empty() {
        let words = format!("Steering and brakes: {}.", dangerous.join(", "));
        page.paragraph(2, 4, &[piece(Label::Care, words)]);
    }
    if rest.len() > most_named {
        let words = match dangerous.len() {
            0 => format!("{} measures; --all names them.", rest.len()),
            _ => format!("And {} others, {} in all; --all names them.", rest.len(), measures.len()),
        };
        page.paragraph(2, 4, &[plain(words)]);
    } else if !rest.is_empty() {
        page.paragraph(2, 4, &[plain(format!("The rest: {}.", rest.join(", ")))]);
    }
}
