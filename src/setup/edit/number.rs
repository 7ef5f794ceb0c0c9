//! How new values are written: in the unit and to the places of the line they go to.

use crate::metrology::show;
use crate::metrology::unit::Unit;
use std::fmt::Write as _;

use super::NewReading;

/// More places than any instrument of the trade reads.
const MOST_PLACES: usize = 6;

/// One of a reading's numbers with its annotation, for a line that has `old` unit and places, or for a new line; the
/// half-width is in the `default` unit.
pub(super) fn one(new: &NewReading, index: usize, old: Option<(Unit, usize)>, default: Unit) -> String {
    let Some(digits) = new.digits.get(index) else { return String::new() };
    let (unit, digits) = match old {
        Some((unit, places)) if unit != new.unit => (unit, converted(new, digits, (unit, places), default)),
        _ => (new.unit, digits.clone()),
    };
    if is_default(unit) { digits } else { format!("({}){digits}", unit.word()) }
}

/// Units that need no annotation are those a row may have as its default.
fn is_default(unit: Unit) -> bool {
    matches!(unit, Unit::Millimetre | Unit::Degree | Unit::NewtonMetre | Unit::Psi | Unit::Click | Unit::One)
}

fn converted(new: &NewReading, digits: &str, (unit, places): (Unit, usize), default: Unit) -> String {
    let number: f64 = digits.replace('_', "").parse().unwrap_or(f64::NAN);
    let Some(value) = new.unit.convert(unit, number) else { return digits.to_owned() };
    let fine = |places: &usize| {
        let rounded: f64 = show::plain(value, *places).parse().unwrap_or(f64::NAN);
        let cost = unit.convert(default, (rounded - value).abs()).unwrap_or(0.0);
        // Rounding may cost half of what the reading does not know anyway.
        cost <= new.half_width / 2.0
    };
    let places = (places..=MOST_PLACES).find(fine).unwrap_or(MOST_PLACES);
    show::plain(value, places)
}

/// A word, quoted only where it must be.
pub(super) fn word(text: &str) -> String {
    let letters = text.bytes().all(|byte| byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'_'));
    let number = !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    let begins = text.bytes().next().is_some_and(|byte| byte.is_ascii_alphabetic());
    let reserved = matches!(text, "true" | "false" | "null" | "inf" | "nan");
    if number || letters && begins && !reserved { text.to_owned() } else { quoted(text) }
}

/// A text in double quotes.
pub fn quoted(text: &str) -> String {
    let mut quoted = String::with_capacity(text.len() + 2);
    quoted.push('"');
    for character in text.chars() {
        match character {
            '"' | '\\' => quoted.extend(['\\', character]),
            '\n' => quoted.push_str("\\n"),
            '\r' => quoted.push_str("\\r"),
            '\t' => quoted.push_str("\\t"),
            other if other.is_control() || is_hidden(other) => {
                let _ = write!(quoted, "\\u{{{:x}}}", u32::from(other));
            }
            other => quoted.push(other),
        }
    }
    quoted.push('"');
    quoted
}

/// Characters that end a line or turn the text around without being seen; most of them KDL does not take as they are.
fn is_hidden(character: char) -> bool {
    matches!(character,
        '\u{2028}' | '\u{2029}' | '\u{feff}' | '\u{200e}' | '\u{200f}' | '\u{61c}'
        | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}
