//! Why something cannot be tried, and what to do instead.

use crate::setup::span::Span;

/// Why a change cannot be tried.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal {
    /// What, one sentence.
    pub message: String,
    /// What to do, one sentence.
    pub help: String,
    /// Where in the box of parts it is about, if it is about a place in one.
    pub place: Option<Span>,
}

impl Refusal {
    /// A refusal.
    pub fn new(message: impl Into<String>, help: impl Into<String>) -> Refusal {
        Refusal { message: message.into(), help: help.into(), place: None }
    }

    /// The same, about a place in the box of parts.
    pub fn at(mut self, place: Option<Span>) -> Refusal {
        self.place = place;
        self
    }

    /// An unknown word, with the nearest known one; else with what is known.
    pub(super) fn unknown<'w>(
        message: String,
        word: &str,
        known: impl Iterator<Item = &'w str>,
        otherwise: String,
    ) -> Refusal {
        let known: Vec<&str> = known.collect();
        let nearest = known
            .iter()
            .map(|known| (strsim::damerau_levenshtein(word, known), known))
            .filter(|(distance, known)| *distance <= 1 + known.chars().count() / 4)
            .min();
        let whole = known.iter().find(|known| is_short_for(word, known));
        if let Some(whole) = whole.filter(|_| nearest.is_none_or(|(distance, _)| distance > 2)) {
            return Refusal::new(message, format!("Did you mean `{whole}`?"));
        }
        if let Some((_, near)) = nearest {
            return Refusal::new(message, format!("Did you mean `{near}`?"));
        }
        // Part of a name: the last word alone, or a group.
        let with_it = known.iter().filter(|known| word.len() > 2 && known.contains(word)).take(4);
        let with_it: Vec<String> = with_it.map(|known| format!("`{known}`")).collect();
        match with_it[..] {
            [] => Refusal::new(message, otherwise),
            _ => Refusal::new(message, format!("Did you mean {}?", with_it.join(" or "))),
        }
    }
}

/// Whether it is the same path with one word of a compound for the whole: `left.lever.angle` for
/// `left.brake-lever.angle`.
fn is_short_for(word: &str, known: &str) -> bool {
    let is_part = |(short, whole): (&str, &str)| whole == short || whole.split('-').any(|part| part == short);
    word.contains('.')
        && word.split('.').count() == known.split('.').count()
        && word.split('.').zip(known.split('.')).all(is_part)
}
