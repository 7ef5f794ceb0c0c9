//! From what a person typed to an answer, or to one sentence that says what would be one.

use crate::catalogue::{Catalogue, Kind, Measure};
use crate::restore::sheet::{Asked, Question};
use crate::setup::model::MarkState;

use super::Answer;
use super::figures::{self, apart, is_number, unit_of};
use super::help;

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
        Asked::Measure(_) if matches!(*small, ["same", "mark"]) => Ok(Answer::Mark(MarkState::Aligned)),
        Asked::Measure(_) if !question.choices.is_empty() => match small.as_slice() {
            [word] if question.choices.contains(word) => Ok(Answer::Choice((*word).to_owned())),
            _ => Err(format!("Say one of: {}; skip, back or quit.", question.choices.join(", "))),
        },
        // It may be the ruler that reads the same, and then nobody looked at the mark.
        Asked::Measure(_) if matches!(*small, ["same" | "mark"]) => Err(same(question, small[0])),
        Asked::Measure(_) => figures::parse(question, &words).map(Answer::Number),
    }
}

/// What `same` alone leaves open.
fn same(question: &Question, word: &str) -> String {
    let recorded =
        question.recorded.as_ref().map(|value| format!(" (recorded: {value})")).unwrap_or_default();
    format!(
        "`{word}` does not say what you looked at. Type the number you read{recorded}, or `same mark` if its witness \
         mark lines up."
    )
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
