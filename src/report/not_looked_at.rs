//! What could have moved and nobody looked at, told alike wherever an as-found sheet is: dangerous first.

use crate::catalogue::Weight;
use crate::compare::NotLookedAt;

use super::screen::{Label, Page, piece, plain};

/// The titles of those on steering and brakes.
pub fn dangerous(measures: &[NotLookedAt]) -> impl Iterator<Item = &str> {
    let dangerous = measures.iter().filter(|measure| measure.weight == Weight::SteeringAndBrakes);
    dangerous.map(|measure| measure.title.as_str())
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
        page.paragraph(2, 4, &[plain(format!("And {} others; --all names them.", rest.len()))]);
    } else if !rest.is_empty() {
        page.paragraph(2, 4, &[plain(format!("The rest: {}.", rest.join(", ")))]);
    }
}
