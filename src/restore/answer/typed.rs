//! From what a person typed to an answer, or to one sentence that says what would be one.

use crate::catalogue::{Catalogue, Kind, Measure};
use crate::metrology::unit::Unit;
use crate::restore::sheet::{Asked, Question};
use crate::setup::model::MarkState;

use super::Answer;
use super::help;
use super::instrument;

/// Words for a thing that is as it should be.
const GOOD: [&str; 8] = ["good", "ok", "okay", "yes", "y", "fine", "nothing", "none"];

/// Words around those.
const AROUND_GOOD: [&str; 8] = ["all", "everything", "is", "it", "its", "looks", "seems", "still"];

/// Words for a joint that is not together, or was not.
const APART: [&str; 3] = ["apart", "opened", "open"];

/// Words for a line that meets, which say nothing of what is looked over.
const OF_MARKS: [&str; 4] = ["same", "aligned", "mark", "off"];

/// Fewer letters tell nobody what was seen.
const SHORTEST: usize = 3;

/// How a word for damage begins. One word that begins otherwise may be a slip of the hand.
const OF_DAMAGE: [&str; 44] = [
    "bent", "bend", "brok", "break", "buckl", "chip", "corro", "crack", "creak", "creas", "crook", "crush",
    "cut", "damag", "deform", "dent", "dirt", "fray", "gone", "greas", "kink", "knock", "leak", "loos",
    "miss", "notch", "oil", "play", "rattl", "rub", "rust", "scor", "scrap", "scratch", "slack", "slip",
    "snap", "split", "stiff", "stuck", "torn", "twist", "wobbl", "worn",
];

/// Reads an answer; else says in one sentence what would be one.
pub fn parse(question: &Question, typed: &str) -> Result<Answer, String> {
    if typed.contains(char::is_control) {
        return Err("There are keys in it that are no letters: type it again.".to_owned());
    }
    let words: Vec<&str> = typed.split_whitespace().collect();
    let lower: Vec<String> = words.iter().map(|word| word.to_lowercase()).collect();
    let small: Vec<&str> = lower.iter().map(String::as_str).collect();
    match small.as_slice() {
        [] => return Ok(Answer::Enter),
        ["skip" | "s"] | ["not", "looked"] | ["not", "looked", "at"] => return Ok(Answer::Skip),
        ["back" | "b"] => return Ok(Answer::Back),
        ["quit" | "q" | "exit" | "stop"] => return Ok(Answer::Quit),
        ["?" | "help"] => return Err(help::help(question)),
        _ => {}
    }
    match &question.asked {
        Asked::Look(_) => seen(&words, &small),
        Asked::Mark(_) => mark(&small).map(Answer::Mark).ok_or_else(|| {
            "Say aligned, broken, missing, or off=0.8 (the mm between its halves; `?` tells which way is +); skip, \
             back or quit."
                .to_owned()
        }),
        Asked::Measure(_) if matches!(*small, ["same", "mark"] | ["same" | "mark"]) => {
            Ok(Answer::Mark(MarkState::Aligned))
        }
        Asked::Measure(_) if !question.choices.is_empty() => match small.as_slice() {
            [word] if question.choices.contains(word) => Ok(Answer::Choice((*word).to_owned())),
            _ => Err(format!("Say one of: {}; skip, back or quit.", question.choices.join(", "))),
        },
        Asked::Measure(_) => number(question, &words),
    }
}

/// What is said of something looked over: that it is good, or in words what is not.
fn seen(words: &[&str], small: &[&str]) -> Result<Answer, String> {
    let bare: Vec<&str> = small.iter().map(|word| word.trim_end_matches(['.', ',', '!'])).collect();
    let is_good = |word: &&str| GOOD.contains(word);
    if bare.iter().any(is_good) && bare.iter().all(|word| is_good(word) || AROUND_GOOD.contains(word)) {
        return Ok(Answer::Good);
    }
    if let [word] = bare.as_slice()
        && APART.contains(word)
    {
        return Ok(Answer::Apart);
    }
    let said = words.join(" ");
    let letters = said.chars().filter(|letter| letter.is_alphabetic()).count();
    if letters < SHORTEST || bare.iter().all(|word| answers_another_question(word)) {
        return Err(
            "Say in words what you see, for instance: bent. `good` if it is; `apart` if it is off or was opened; `skip` \
             if you did not look."
                .to_owned(),
        );
    }
    Ok(Answer::Seen(said))
}

/// Whether a word is a figure, a word for a mark, or the word of some measure: it was meant for another question.
fn answers_another_question(word: &str) -> bool {
    let is_figure = apart(word).iter().all(|part| is_number(part) || unit_of(part).is_some());
    let is_choice =
        |(_, measure): (_, &Measure)| matches!(measure.kind, Kind::Choice(words) if words.contains(&word));
    is_figure
        || OF_MARKS.iter().any(|of_marks| word.split('=').next() == Some(of_marks))
        || Catalogue::standard().rows().any(is_choice)
}

/// Whether what was seen is one word that is not known to tell of damage: it is asked for again before it is kept.
pub(super) fn may_be_a_slip(seen: &str) -> bool {
    let small = seen.to_lowercase();
    !seen.contains(char::is_whitespace) && !OF_DAMAGE.iter().any(|begins| small.starts_with(begins))
}

fn mark(words: &[&str]) -> Option<MarkState> {
    let joined = words.join(" ").replace('=', " ").replace(',', ".");
    let apart =
        |typed: &str| typed.parse().ok().filter(|apart: &f64| apart.is_finite()).map(MarkState::of_apart);
    match joined.split_whitespace().collect::<Vec<_>>().as_slice() {
        ["aligned" | "same" | "yes" | "y"] | ["same", "mark"] => Some(MarkState::Aligned),
        ["broken"] => Some(MarkState::Broken),
        ["missing"] => Some(MarkState::Missing),
        ["off", typed] => apart(typed.strip_suffix("mm").unwrap_or(typed)),
        ["off", typed, "mm"] => apart(typed),
        _ => None,
    }
}

/// A number, its half-width, and its unit, before them as in the file or behind as one says it.
fn number(question: &Question, words: &[&str]) -> Result<Answer, String> {
    let default = question.unit.unwrap_or(Unit::One);
    let (instrument, words) = instrument::taken(question, words)?;
    let joined = words.join(" ").replace('±', " ");
    let tokens: Vec<&str> = joined.split_whitespace().flat_map(apart).collect();
    let (numbers, units): (Vec<&str>, Vec<&str>) = tokens.iter().partition(|token| begins_a_number(token));
    let no_number = || {
        format!(
            "Say a number such as {}; or `same mark`, `skip`, `back`, `quit`; `?` for help.",
            help::examples(default)
        )
    };
    let is_word = |unit: &&str| unit.chars().all(|letter| letter.is_alphabetic() || "-°\"″".contains(letter));
    if !units.iter().all(is_word) || numbers.is_empty() || numbers.len() > 2 || units.len() > numbers.len() {
        return Err(no_number());
    }
    let mut unit = None;
    for word in units {
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
    let numbers: Vec<String> =
        numbers.into_iter().map(|typed| pointed(typed, unit.is_some())).collect::<Result<_, _>>()?;
    match numbers.as_slice() {
        [digits] if is_number(digits) => {
            Ok(Answer::Number { digits: digits.clone(), unit, half_width: None, instrument })
        }
        [digits, half] if is_number(digits) && is_number(half) && !half.starts_with('-') => {
            Ok(Answer::Number { digits: digits.clone(), unit, half_width: Some(half.clone()), instrument })
        }
        _ => Err(no_number()),
    }
}

/// A word in which a number and its unit touch, as two: `742mm`, `3.5°`, `in6.63`.
fn apart(word: &str) -> Vec<&str> {
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

fn is_number(text: &str) -> bool {
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
