//! Damage that the notes of a box tell of, and which of its parts have it.

use crate::catalogue::code;
use crate::check::damage;
use crate::setup::dated;
use crate::setup::finding::Finding;
use crate::setup::span::Span;

use super::Parts;

/// One damage that a note of the box tells of.
#[derive(Clone, Debug, PartialEq)]
pub struct Damaged {
    /// On what, as the note has it; nothing if it does not say.
    pub on: String,
    /// What was seen; where the note does not tell that from on what, all that it says.
    pub seen: String,
    /// Where the note stands.
    pub span: Span,
}

impl Damaged {
    /// What the text of a note tells of damage; none if it tells of none.
    pub fn of(text: &str, span: Span) -> Option<Damaged> {
        let (on, seen) = damage::told(&[], text, "").or_else(|| Some((String::new(), freely(text)?)))?;
        Some(Damaged { on, seen, span })
    }

    /// In words, without a full stop: "stem: cracked at the face".
    pub fn words(&self) -> String {
        let on = if self.on.is_empty() { String::new() } else { format!("{}: ", self.on) };
        format!("{on}{}", self.seen.trim_end_matches('.'))
    }

    /// Whether the note speaks of one kind of part.
    fn is_on(&self, kind: &str) -> bool {
        begins_with(&self.on, kind) || self.on.is_empty() && holds(&self.seen, kind)
    }

    /// Whether the note names a part.
    fn names(&self, name: &str) -> bool {
        let is_there = holds(&self.on, name) || self.on.is_empty() && holds(&self.seen, name);
        !name.is_empty() && (is_there || begins_with(&self.seen, name))
    }

    /// Whether that part has it: the one that is named, else every one of the kind, else all there is.
    fn is_of(&self, parts: &Parts, kind: &str, name: &str) -> bool {
        let stems = parts.stems.iter().map(|stem| ("stem", stem.name.as_str()));
        let bars = parts.bars.iter().map(|bar| ("bar", bar.name.as_str()));
        let all: Vec<(&str, &str)> = stems.chain(bars).collect();
        let of_its_kind = |kind: &str| !all.iter().any(|(kind, _)| self.is_on(kind)) || self.is_on(kind);
        let is_named = |(kind, name): &(&str, &str)| of_its_kind(kind) && self.names(name);
        if all.iter().any(is_named) { is_named(&(kind, name)) } else { of_its_kind(kind) }
    }
}

/// What is told of damage on a part of the box, in words that begin with the part.
pub fn on(parts: &Parts, kind: &str, name: &str) -> Vec<String> {
    let theirs = parts.damaged.iter().filter(|damaged| damaged.is_of(parts, kind, name));
    let words = |damaged: &Damaged| {
        if begins_with(&damaged.on, kind) {
            damaged.words()
        } else {
            format!("{kind} {name}: {}", damaged.seen)
        }
    };
    theirs.map(words).collect()
}

/// What is told of damage and is on none of its stems and bars: it stands for the whole box. In words that begin with a
/// place of a bike.
pub fn of_the_whole(parts: &Parts) -> Vec<String> {
    parts.damaged.iter().map(|damaged| format!("steerer: {}", damaged.words())).collect()
}

/// Every damage that the box tells of, which keeps nobody from reading it.
pub fn cautions(parts: &Parts) -> Vec<Finding> {
    let caution = |damaged: &Damaged| {
        let message = format!("A note tells of damage: {}.", damaged.words());
        let help = "Build nothing with that part until it is replaced or a qualified mechanic has passed it; then take \
                    the note out.";
        Finding::new(&code::DAMAGE_NOTED, message).at(damaged.span).about(&damaged.on).help(help.to_owned())
    };
    parts.damaged.iter().map(caution).collect()
}

/// What a note tells that begins with `damage` or `do not ride` and goes on as it likes.
fn freely(text: &str) -> Option<String> {
    let (_, text) = dated::split(text);
    let begins =
        |words: &&str| text.get(..words.len()).is_some_and(|start| start.eq_ignore_ascii_case(words));
    let words = ["damage", "do not ride"].into_iter().find(begins)?;
    let rest = text.get(words.len()..)?.trim_start_matches([':', ' ', ',']).trim();
    Some(if rest.is_empty() { text } else { rest }.to_owned())
}

/// Whether a name stands in a text, not within a longer word.
fn holds(text: &str, name: &str) -> bool {
    let text = text.to_lowercase();
    text.match_indices(&name.to_lowercase()).any(|(at, found)| {
        let before = text.get(..at).and_then(|before| before.chars().next_back());
        let behind = text.get(at + found.len()..).and_then(|behind| behind.chars().next());
        !before.into_iter().chain(behind).any(char::is_alphanumeric)
    })
}

fn begins_with(words: &str, name: &str) -> bool {
    let (words, name) = (words.to_lowercase(), name.to_lowercase());
    words.strip_prefix(&name).is_some_and(|rest| !rest.starts_with(char::is_alphanumeric))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::carry::parts::read;

    fn parts(note: &str) -> Parts {
        let text = format!(
            "parts \"box\" format=1 {{
                stem \"short\" length=40 angle=6 clamp-height=40
                stem \"face\" length=50 angle=6 clamp-height=40
                bar \"short\" width=780 rise=25 back-sweep=8 up-sweep=5 bend=90
                note \"{note}\"
            }}"
        );
        read(text.as_bytes()).0
    }

    #[test]
    fn the_part_that_is_named_has_it_else_all_of_its_kind() {
        for (note, expected) in [
            ("damage on stem: cracked at the face", [true, true, false]),
            ("damage: stem: cracked at the face", [true, true, false]),
            ("damage on stem short: cracked", [true, false, false]),
            ("2026-05-09 damage: stem short, cracked", [true, false, false]),
            ("damage on face: cracked", [false, true, false]),
            ("damage on bar: scored", [false, false, true]),
            ("damage: something creaks", [true, true, true]),
            ("damage on the bar", [false, false, true]),
            ("2026-05-09 damage on stem face", [false, true, false]),
            ("do not ride: stem short cracked", [true, false, false]),
            ("damage on spacer 5", [true, true, true]),
            ("Do not ride", [true, true, true]),
            ("easily damaged", [false, false, false]),
        ] {
            let parts = parts(note);
            let told = [("stem", "short"), ("stem", "face"), ("bar", "short")]
                .map(|(kind, name)| !on(&parts, kind, name).is_empty());
            assert_eq!(told, expected, "{note}");
        }
    }
}
