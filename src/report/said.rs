//! What `check` says of a bike as it would be, beside what it says of it now: the same words for `try` and `carry`.

use crate::catalogue::code::{self, Severity};
use crate::trial::{Said, SaidAccepted, SaidStill};

use super::screen::{Label, Page, piece, plain};

/// One thing that `check` says of the one and not of the other.
pub fn said_line(page: &mut Page, said: &Said) {
    let label = match said.severity {
        Severity::Fault => Label::Danger,
        Severity::Caution => Label::Care,
        Severity::Advice => Label::Plain,
    };
    let head = format!("{} ({}): ", said.severity.word(), said.code);
    page.paragraph(2, 4, &[piece(label, head), plain(said.message.clone())]);
}

/// What is said of a finding that was accepted and keeps everybody from riding.
pub const NO_SAFER: &str = "A reason makes it no safer: nobody is to ride so.";

/// What is found, too, and was accepted beforehand: it is not gone. What nobody is to ride with is told first, even if it is
/// not new.
pub fn accepted(page: &mut Page, stands: &[SaidAccepted], newly: &[SaidAccepted]) {
    for (title, those) in
        [("Stands already, and accepted in the file", stands), ("New, and accepted in the file", newly)]
    {
        if those.is_empty() {
            continue;
        }
        page.title(title);
        for one in those {
            said_line(page, &one.said);
            because(page, &one.why, one.stands);
        }
    }
}

/// The reason for which something was accepted, and whether that leaves anything to act on.
pub fn because(page: &mut Page, why: &str, stands: bool) {
    let mut said = vec![plain(format!("Accepted because: {why}"))];
    if stands {
        let ends = why.ends_with(['.', '!', '?']);
        said.push(plain(if ends { " " } else { ". " }));
        said.push(piece(Label::Danger, NO_SAFER));
    }
    page.paragraph(4, 4, &said);
}

/// Whether damage is among what stands: that is told before anything that is planned.
pub fn damage_stands(stands: &[SaidStill]) -> bool {
    stands.iter().any(|still| still.said.code == code::DAMAGE_NOTED.name)
}

/// What keeps anybody from riding and stands already, under a title.
pub fn stands(page: &mut Page, title: impl Into<String>, stands: &[SaidStill]) {
    if stands.is_empty() {
        return;
    }
    page.title(title.into());
    let words = " This does not put it right.";
    page.paragraph(2, 4, &[piece(Label::Danger, "Do not ride so."), plain(words)]);
    stands_lines(page, stands);
}

/// The same without the title.
pub fn stands_lines(page: &mut Page, stands: &[SaidStill]) {
    for still in stands {
        said_line(page, &still.said);
        was(page, still);
    }
}

/// What is said still, as bad and in other words.
pub fn otherwise(page: &mut Page, otherwise: &[SaidStill]) {
    if otherwise.is_empty() {
        return;
    }
    page.title("Still to say, with other figures");
    for still in otherwise {
        said_line(page, &still.said);
        was(page, still);
    }
}

fn was(page: &mut Page, still: &SaidStill) {
    if let Some(was) = &still.was {
        let words = format!("So far: {}", what_differs(was, &still.said.message));
        page.paragraph(4, 4, &[piece(Label::Quiet, words)]);
    }
}

/// What a text has otherwise than another, with the word behind it, which is mostly the unit: "… 30 mm …".
fn what_differs(text: &str, other: &str) -> String {
    let (words, others): (Vec<&str>, Vec<&str>) = (text.split(' ').collect(), other.split(' ').collect());
    let pairs = words.iter().zip(&others);
    let before = pairs.take_while(|(word, other)| word == other).count();
    let from_the_end = words[before..].iter().rev().zip(others[before..].iter().rev());
    let behind = from_the_end.take_while(|(word, other)| word == other).count();
    let end = (words.len() - behind + 1).min(words.len());
    let lead = if before > 0 { "… " } else { "" };
    let tail = if end < words.len() { " …" } else { "" };
    format!("{lead}{}{tail}", words[before..end].join(" "))
}

#[cfg(test)]
mod tests {
    use super::what_differs;

    #[test]
    fn what_differs_is_given_with_its_unit() {
        let (was, now) = ("It is 30 mm short (50 → 20 mm): light.", "It is 48 mm short (50 → 2 mm): light.");
        assert_eq!(what_differs(was, now), "… 30 mm short (50 → 20 mm): …");
        assert_eq!(what_differs("7 mm lacking.", "8 mm lacking."), "7 mm …");
        assert_eq!(what_differs("All of it", "All"), "… of it");
    }
}
