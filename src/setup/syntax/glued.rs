//! Words that begin like a number and are none: `780mm`, `2026-05-02`, `.5`, `1,5`.
//!
//! Knows how people spell the units of a workshop, only to show the right form; refuses to know which unit
//! fits which measure.

use super::{SyntaxFaultKind, Text, Value};

/// What is wrong with such a word and how it is most likely meant.
pub(super) struct Glued {
    pub kind: SyntaxFaultKind,
    pub message: String,
    pub help: String,
    pub annotation: Option<Text>,
    pub value: Value,
}

/// Units as written in a file, each with the spellings seen beside it (lower case, from common practice).
const SPELLINGS: [(&str, &[&str]); 13] = [
    ("mm", &["mm", "millimetre", "millimetres", "millimeter", "millimeters"]),
    ("cm", &["cm", "centimetre", "centimetres", "centimeter", "centimeters"]),
    ("m", &["m", "metre", "metres", "meter", "meters"]),
    ("in", &["in", "inch", "inches", "\"", "″", "”", "''"]),
    ("deg", &["deg", "degs", "degree", "degrees", "°", "º"]),
    ("rad", &["rad", "rads", "radian", "radians"]),
    ("N-m", &["n-m", "nm", "n·m", "n⋅m", "n.m", "n*m", "newton-metre", "newton-metres"]),
    ("in-lb", &["in-lb", "in-lbs", "inlb", "inlbs", "in.lb", "in·lb", "in-lbf", "lbf-in", "lb-in"]),
    ("ft-lb", &["ft-lb", "ft-lbs", "ftlb", "ftlbs", "ft.lb", "ft·lb", "ft-lbf", "lbf-ft", "lb-ft"]),
    ("kgf-cm", &["kgf-cm", "kgfcm", "kgf·cm", "kgf.cm", "kg-cm", "kgcm"]),
    ("bar", &["bar", "bars"]),
    ("psi", &["psi"]),
    ("kPa", &["kpa"]),
];

/// The unit a spelling stands for, as a file writes it.
pub(super) fn known_unit(spelled: &str) -> Option<&'static str> {
    let lower = spelled.to_lowercase();
    let row = SPELLINGS.iter().find(|(_, spellings)| spellings.contains(&lower.as_str()));
    row.map(|(unit, _)| *unit)
}

/// Explains a word that the reader refused as a number.
pub(super) fn explain(word: &str) -> Glued {
    if looks_like_date(word) {
        return date(word);
    }
    if let Some(fixed) = decimal(word) {
        let value = fixed.parse().map_or_else(|_| Value::Text(word.into()), Value::Number);
        return Glued {
            kind: SyntaxFaultKind::Other,
            message: format!("`{word}` is not written as a number."),
            help: format!("Write it with a point and a digit on either side: {fixed}."),
            annotation: None,
            value,
        };
    }
    let (number, letters) = split(word);
    match known_unit(letters) {
        Some(unit) => unit_glued(number, letters, unit),
        None => unknown(word, number, letters),
    }
}

/// A unit written on to a number, `780` and `mm`; `unit` is its form in a file.
pub(super) fn unit_glued(number: &str, letters: &str, unit: &str) -> Glued {
    Glued {
        kind: SyntaxFaultKind::UnitGlued,
        message: format!("The unit `{letters}` is stuck to the number {number}."),
        help: format!("Put the unit in round brackets before the number: ({unit}){number}."),
        annotation: Some(unit.into()),
        value: number.parse().map_or_else(|_| Value::Text(number.into()), Value::Number),
    }
}

fn unknown(word: &str, number: &str, letters: &str) -> Glued {
    let alphabetic = letters.chars().next().is_some_and(char::is_alphabetic);
    let glued = !number.is_empty() && alphabetic;
    let help = if glued {
        format!("If `{letters}` is a unit, write ({letters}){number}; if this is text, put it in quotes.")
    } else {
        format!("If this is text, put it in quotes: \"{word}\".")
    };
    Glued {
        kind: if glued { SyntaxFaultKind::UnitGlued } else { SyntaxFaultKind::Other },
        message: format!("`{word}` begins like a number and is none."),
        help,
        annotation: None,
        value: Value::Text(word.into()),
    }
}

fn date(word: &str) -> Glued {
    let iso = word.as_bytes().get(4) == Some(&b'-');
    let help = if iso {
        format!("Put the date in quotes: \"{word}\".")
    } else {
        "Write it as year-month-day in quotes, as in \"2026-05-02\".".to_owned()
    };
    Glued {
        kind: SyntaxFaultKind::BareDate,
        message: format!("The date {word} stands without quotes."),
        help,
        annotation: None,
        value: Value::Text(word.into()),
    }
}

/// Digits in three groups: `2026-05-02` (a time may follow), `02.05.2026`, `2/5/2026`.
pub(super) fn looks_like_date(word: &str) -> bool {
    let day = word.split(['T', 't']).next().unwrap_or_default();
    ['-', '.', '/'].iter().any(|separator| {
        let groups: Vec<&str> = day.split(*separator).collect();
        let digits =
            |group: &&str| (1..=4).contains(&group.len()) && group.bytes().all(|byte| byte.is_ascii_digit());
        groups.len() == 3 && groups.iter().all(digits)
    })
}

/// The right form of `.5`, `5.` and `1,5`, if the word is one of these.
fn decimal(word: &str) -> Option<String> {
    let unsigned = word.strip_prefix(['+', '-']).unwrap_or(word);
    let sign = &word[..word.len() - unsigned.len()];
    let (whole, part) = unsigned.split_once(['.', ','])?;
    let digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    if !digits(whole) || !digits(part) || (whole.is_empty() && part.is_empty()) {
        return None;
    }
    let or_zero = |text: &str| if text.is_empty() { "0".to_owned() } else { text.to_owned() };
    Some(format!("{sign}{}.{}", or_zero(whole), or_zero(part)))
}

/// Splits `-5.5mm` into the number in front and the rest.
fn split(word: &str) -> (&str, &str) {
    let unsigned = word.strip_prefix(['+', '-']).unwrap_or(word);
    let sign = word.len() - unsigned.len();
    let digits = |text: &str| text.len() - text.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    let whole = digits(unsigned);
    let part = unsigned[whole..].strip_prefix('.').map_or(0, digits);
    let end = sign + whole + if part > 0 { part + 1 } else { 0 };
    word.split_at(if whole > 0 { end } else { 0 })
}
