//! Numbers that a person typed: one, or several readings of one measure, with their unit and their half-width.
//!
//! Knows how they are written; whether they can be meant is asked elsewhere.

use crate::metrology::unit::Unit;
use crate::restore::sheet::Question;

use super::help;
use super::instrument;

/// One number, or several that were read one after the other.
#[derive(Clone, Debug, PartialEq)]
pub struct Figures {
    /// As typed, with a point.
    pub readings: Vec<String>,
    /// The unit beside them.
    pub unit: Option<Unit>,
    /// How far off they may be, in that unit.
    pub half_width: Option<HalfWidth>,
    /// What they were read with, where that was said.
    pub instrument: Option<String>,
}

/// A half-width as typed.
#[derive(Clone, Debug, PartialEq)]
pub struct HalfWidth {
    /// Its number.
    pub digits: String,
    /// Whether `±` or `tol=` stood before it, so that it can be nothing else.
    pub is_named: bool,
}

impl Figures {
    /// As they were understood, where there is more than a plain number: `36° ± 5°`, `mean of 36° and 36.2°`.
    pub fn in_words(&self, question: &Question) -> Option<String> {
        let sign = self.unit.or(question.unit).unwrap_or(Unit::One).sign();
        let width = self.half_width.as_ref().map(|half| format!(" ± {}{sign}", half.digits));
        let readings: Vec<String> = self.readings.iter().map(|digits| format!("{digits}{sign}")).collect();
        match (readings.as_slice(), width) {
            ([_], None) | ([], _) => None,
            ([only], Some(width)) => Some(format!("{only}{width}")),
            ([before @ .., last], width) => {
                Some(format!("mean of {} and {last}{}", before.join(", "), width.unwrap_or_default()))
            }
        }
    }
}

/// One part of what was typed.
enum Part<'t> {
    Number(&'t str),
    Word(&'t str),
    /// Another reading follows.
    And,
    /// A half-width follows.
    Within,
}

/// What the next number will be, where that was said.
#[derive(Clone, Copy, PartialEq)]
enum Next {
    Reading,
    HalfWidth,
    NotSaid,
}

/// Numbers as typed, not yet looked at.
#[derive(Default)]
struct Gathered<'t> {
    readings: Vec<&'t str>,
    half_width: Option<(&'t str, bool)>,
    words: Vec<&'t str>,
}

/// A number, or several, with unit, half-width and instrument; the unit before them as in the file or behind as one says it.
pub fn parse(question: &Question, words: &[&str]) -> Result<Figures, String> {
    let default = question.unit.unwrap_or(Unit::One);
    let no_number = || {
        format!(
            "Say a number such as {}; or `same mark`, `skip`, `back`, `quit`; `?` for help.",
            help::examples(default)
        )
    };
    let (instrument, words) = instrument::taken(question, words)?;
    let mut joined = words.join(" ");
    for (sign, apart) in [("+/-", " ± "), ("+-", " ± "), ("±", " ± "), (";", " ; ")] {
        joined = joined.replace(sign, apart);
    }
    let gathered = gathered(&parts(&joined)).ok_or_else(no_number)?;
    let is_word = |unit: &&str| unit.chars().all(|letter| letter.is_alphabetic() || "-°\"″".contains(letter));
    let numbers = gathered.readings.len() + usize::from(gathered.half_width.is_some());
    if !gathered.words.iter().all(is_word) || gathered.words.len() > numbers {
        return Err(no_number());
    }
    let unit = unit(&gathered.words, question, default)?;
    let number = |typed: &str| -> Result<String, String> {
        let typed = pointed(typed, unit.is_some())?;
        if is_number(&typed) { Ok(typed) } else { Err(no_number()) }
    };
    let readings = gathered.readings.iter().map(|typed| number(typed)).collect::<Result<_, _>>()?;
    let half_width = match gathered.half_width {
        Some((typed, _)) if typed.starts_with('-') => return Err(no_number()),
        Some((typed, is_named)) => Some(HalfWidth { digits: number(typed)?, is_named }),
        None => None,
    };
    Ok(Figures { readings, unit, half_width, instrument })
}

/// What was typed, taken apart: `168.5 ± 0.2mm`, `36, 36.2`, `36 and 36.2`.
fn parts(typed: &str) -> Vec<Part<'_>> {
    let mut parts = Vec::new();
    for word in typed.split_whitespace() {
        let bare = word.trim_end_matches(',');
        let small = bare.to_lowercase();
        match small.as_str() {
            "" => {}
            "and" | "&" | ";" => parts.push(Part::And),
            "±" | "tol" => parts.push(Part::Within),
            _ => {
                let width = bare.get(.."tol=".len()).filter(|begins| begins.eq_ignore_ascii_case("tol="));
                parts.extend(width.map(|_| Part::Within));
                in_a_word(width.map_or(bare, |begins| &bare[begins.len()..]), &mut parts);
            }
        }
        if bare.len() < word.len() {
            parts.push(Part::And);
        }
    }
    parts
}

/// A word's numbers and its unit. A comma beside a point parts two numbers: `36.5,36.2`.
fn in_a_word<'t>(word: &'t str, parts: &mut Vec<Part<'t>>) {
    let listed: Vec<&str> = word.split(',').collect();
    let is_list = listed.len() > 1 && word.contains('.') && listed.iter().all(|one| is_number(one));
    for (place, listed) in (if is_list { listed } else { vec![word] }).into_iter().enumerate() {
        if place > 0 {
            parts.push(Part::And);
        }
        for part in apart(listed) {
            parts.push(if begins_a_number(part) { Part::Number(part) } else { Part::Word(part) });
        }
    }
}

/// Each number as what it is; none where that cannot be told. A second number that nothing stands before is a half-width.
fn gathered<'t>(parts: &[Part<'t>]) -> Option<Gathered<'t>> {
    let mut all = Gathered::default();
    let mut next = Next::Reading;
    for part in parts {
        let may_go_on = next == Next::NotSaid && all.half_width.is_none();
        match part {
            Part::Word(word) => all.words.push(word),
            Part::And if may_go_on => next = Next::Reading,
            Part::Within if may_go_on => next = Next::HalfWidth,
            Part::And | Part::Within => return None,
            Part::Number(number) => {
                match next {
                    Next::Reading => all.readings.push(number),
                    Next::HalfWidth => all.half_width = Some((number, true)),
                    Next::NotSaid if may_go_on && all.readings.len() == 1 => {
                        all.half_width = Some((number, false));
                    }
                    Next::NotSaid => return None,
                }
                next = Next::NotSaid;
            }
        }
    }
    (next == Next::NotSaid).then_some(all)
}

/// The one unit that stands beside the numbers, if any does.
fn unit(words: &[&str], question: &Question, default: Unit) -> Result<Option<Unit>, String> {
    let mut unit = None;
    for word in words {
        let Some(known) = unit_of(word) else { return Err(unknown(word, question, default)) };
        if known.quantity() != default.quantity() {
            return Err(format!(
                "{} does not fit here; a plain number is in {}.",
                known.word(),
                default.word()
            ));
        }
        if unit.is_some_and(|unit| unit != known) {
            return Err("Give both numbers in one unit.".to_owned());
        }
        unit = Some(known);
    }
    Ok(unit)
}

/// A word in which a number and its unit touch, as two: `742mm`, `3.5°`, `in6.63`.
pub(super) fn apart(word: &str) -> Vec<&str> {
    if is_number(word) {
        return vec![word];
    }
    let of_number = |letter: char| letter.is_ascii_digit() || matches!(letter, '+' | '-' | '.' | ',');
    let cut = if begins_a_number(word) {
        word.find(|letter| !of_number(letter))
    } else {
        word.find(|letter: char| letter.is_ascii_digit())
    };
    match cut {
        Some(cut) if cut > 0 => vec![&word[..cut], &word[cut..]],
        _ => vec![word],
    }
}

fn begins_a_number(word: &str) -> bool {
    word.trim_start_matches(['+', '-']).starts_with(|letter: char| letter.is_ascii_digit())
}

/// A comma as the point it means: with a unit beside it, it parts no two numbers. Three digits behind it may be
/// thousands, and a plain `168,5` may be a list.
fn pointed(typed: &str, has_unit: bool) -> Result<String, String> {
    let Some((whole, parts)) = typed.split_once(',') else { return Ok(typed.to_owned()) };
    let with_point = format!("{whole}.{parts}");
    if !is_number(&with_point) || has_unit && parts.len() != 3 {
        return Ok(with_point);
    }
    Err(format!("Write it with a point: {with_point}."))
}

pub(super) fn is_number(text: &str) -> bool {
    begins_a_number(text) && text.parse::<f64>().is_ok_and(f64::is_finite)
}

/// A unit as the files write it, or as its sign.
pub(super) fn unit_of(word: &str) -> Option<Unit> {
    match word {
        "°" => Some(Unit::Degree),
        "\"" | "″" => Some(Unit::Inch),
        "click" | "clicks" => Some(Unit::Click),
        _ => Unit::parse(word),
    }
}

fn unknown(word: &str, question: &Question, default: Unit) -> String {
    let known: Vec<&str> = [default.word()].into_iter().chain(help::others(default)).collect();
    let (known, instruments) = (known.join(", "), question.instruments.join(", "));
    let is_none = if instruments.is_empty() {
        format!("not a unit here: {known}.")
    } else {
        format!("neither a unit here ({known}) nor an instrument of the setup ({instruments}).")
    };
    format!("`{word}` is {is_none} A plain number is in {}.", default.word())
}
