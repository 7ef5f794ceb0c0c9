//! Answers to a sheet's questions: what a person types, what it writes, and what it says at once.

use crate::catalogue::{Catalogue, MeasureId, Weight, joint};
use crate::geometry::state::State;
use crate::metrology::unit::{Quantity, Unit};
use crate::setup::edit::{Edit, EditError, Entry, NewReading};
use crate::setup::model::{MarkState, Setup};

use super::evidence;
use super::moves::Way;
use super::sheet::{Asked, Question};

/// What a person typed.
#[derive(Clone, Debug, PartialEq)]
pub enum Answer {
    /// A number, perhaps with its unit and its half-width in that unit.
    Number {
        /// As typed.
        digits: String,
        /// The unit before it.
        unit: Option<Unit>,
        /// The half-width behind it, as typed.
        half_width: Option<String>,
    },
    /// One of the measure's words.
    Choice(String),
    /// How a mark stands; on a measure's question, `same mark`.
    Mark(MarkState),
    /// Go on without looking.
    Skip,
    /// The question before.
    Back,
    /// Stop here and keep what was entered.
    Quit,
}

/// What every question takes.
const HELP: &str = "A number as you read it; `same mark` if its witness mark still lines up; `skip` or just Enter if you \
                    did not look; `back` for the question before; `quit` to stop: every answer is kept.";

/// Reads an answer; else says in one sentence what would be one.
pub fn parse(question: &Question, typed: &str) -> Result<Answer, String> {
    let words: Vec<&str> = typed.split_whitespace().collect();
    match words.as_slice() {
        [] | ["skip" | "s"] => return Ok(Answer::Skip),
        ["back" | "b"] => return Ok(Answer::Back),
        ["quit" | "q"] => return Ok(Answer::Quit),
        ["?" | "help"] => return Err(HELP.to_owned()),
        _ => {}
    }
    match &question.asked {
        Asked::Mark(_) => mark(&words).map(Answer::Mark).ok_or_else(|| {
            "Say aligned, broken, missing, or off 0.8 (the mm between its halves); skip, back or quit."
                .to_owned()
        }),
        Asked::Measure(_) if matches!(*words, ["same", "mark"] | ["same" | "mark"]) => {
            Ok(Answer::Mark(MarkState::Aligned))
        }
        Asked::Measure(_) if !question.choices.is_empty() => match words.as_slice() {
            [word] if question.choices.contains(word) => Ok(Answer::Choice((*word).to_owned())),
            _ => Err(format!("Say one of: {}; skip, back or quit.", question.choices.join(", "))),
        },
        Asked::Measure(_) => number(question, &words),
    }
}

fn mark(words: &[&str]) -> Option<MarkState> {
    let joined = words.join(" ").replace('=', " ");
    match joined.split_whitespace().collect::<Vec<_>>().as_slice() {
        ["aligned" | "same"] | ["same", "mark"] => Some(MarkState::Aligned),
        ["broken"] => Some(MarkState::Broken),
        ["missing"] => Some(MarkState::Missing),
        ["off", apart] => apart.parse().ok().filter(|apart: &f64| apart.is_finite()).map(MarkState::Off),
        _ => None,
    }
}

fn number(question: &Question, words: &[&str]) -> Result<Answer, String> {
    if let Some(comma) =
        words.iter().find(|word| is_number(&word.replacen(',', ".", 1)) && word.contains(','))
    {
        return Err(format!("Write it with a point: {}.", comma.replacen(',', ".", 1)));
    }
    // Before the number as in the file, or behind it as one says it.
    let (unit, numbers) = match (words.first().and_then(unit_of), words.last().and_then(unit_of)) {
        (Some(unit), _) => (Some(unit), &words[1..]),
        (None, Some(unit)) => (Some(unit), &words[..words.len() - 1]),
        (None, None) => (None, words),
    };
    let default = question.unit.unwrap_or(Unit::One);
    if let Some(unit) = unit.filter(|unit| unit.quantity() != default.quantity()) {
        return Err(format!("{} does not fit here; a plain number is in {}.", unit.word(), default.word()));
    }
    match numbers {
        [digits] if is_number(digits) => {
            Ok(Answer::Number { digits: (*digits).to_owned(), unit, half_width: None })
        }
        [digits, half] if is_number(digits) && is_number(half) && !half.starts_with('-') => {
            Ok(Answer::Number { digits: (*digits).to_owned(), unit, half_width: Some((*half).to_owned()) })
        }
        _ => {
            let examples = match default.quantity() {
                Quantity::Length => "168.5, 168.5 0.2 (with its ±) or in 6.63",
                Quantity::Angle => "32.5 or 32.5 0.2 (with its ±)",
                _ => "23 or 23 0.5 (with its ±)",
            };
            Err(format!(
                "Say a number such as {examples}; or `same mark`, `skip`, `back`, `quit`; `?` for help."
            ))
        }
    }
}

fn is_number(text: &str) -> bool {
    let plain = text.trim_start_matches(['+', '-']);
    let starts = plain.bytes().next().is_some_and(|byte| byte.is_ascii_digit());
    starts && text.parse::<f64>().is_ok_and(f64::is_finite)
}

/// A unit as the files write it, or as its sign.
fn unit_of(word: &&str) -> Option<Unit> {
    Unit::parse(word).or_else(|| (*word == "°").then_some(Unit::Degree))
}

/// Writes an answer on the sheet. `same mark` goes to the mark that was drawn at this measure.
///
/// # Errors
/// One sentence: why the answer cannot stand.
pub fn write(edit: &mut Edit, setup: &Setup, question: &Question, answer: &Answer) -> Result<(), String> {
    let done = match (&question.asked, answer) {
        (Asked::Mark(name), Answer::Mark(state)) => edit.set_mark_state(name, *state),
        (Asked::Measure(id), Answer::Mark(state)) => {
            let drawn = |mark: &&crate::setup::model::Mark| mark.drawn.iter().any(|(drawn, _)| drawn == id);
            let Some(mark) = setup.marks.iter().find(drawn) else {
                return Err(format!("No mark was drawn at {}: measure it.", question.title));
            };
            edit.set_mark_state(&mark.name.value, *state)
        }
        (Asked::Measure(id), Answer::Choice(word)) => edit.set_choice(id, word, None),
        (Asked::Measure(id), Answer::Number { digits, unit, half_width }) => {
            let unit = unit.or(question.unit).unwrap_or(Unit::One);
            let mut reading = NewReading::number(digits.clone(), unit, 0.0);
            match (half_width, &question.instrument) {
                (Some(half), _) => {
                    reading.tolerance = Entry::Set(half.clone());
                    reading.instrument = Entry::Remove;
                }
                (None, Some(instrument)) => {
                    reading.tolerance = Entry::Remove;
                    reading.instrument = Entry::Set(instrument.clone());
                }
                (None, None) => {}
            }
            edit.set_reading(id, &reading)
        }
        _ => Ok(()),
    };
    done.map_err(|error| match error {
        EditError::WouldNotRead(why) | EditError::Faulty(why) => why,
        other => other.to_string(),
    })
}

/// What the sheet now says of a question, at once: *moved 4.0° tip up*, *within reading*.
pub fn verdict(catalogue: &Catalogue, setup: &Setup, sheet: &Setup, asked: &Asked) -> String {
    let evidence = evidence::weigh(catalogue, setup, sheet);
    match asked {
        Asked::Mark(name) => {
            let report = evidence.marks.iter().find(|mark| mark.name == *name);
            report.map(|mark| mark.words.clone()).unwrap_or_default()
        }
        Asked::Measure(id) => {
            let recorded = State::recorded(catalogue, setup);
            let found = recorded.found(sheet, Some(&evidence.turns));
            of_measure(&Way { recorded, found: Some(found), comparison: None }, id)
        }
    }
}

fn of_measure(way: &Way, id: &MeasureId) -> String {
    if id.row == crate::catalogue::table::FLOOR {
        return "noted".to_owned();
    }
    match way.verdict(id) {
        Some(verdict) if verdict.is_move() => {
            let moved = format!("moved {}", way.moved_words(id).unwrap_or_default());
            if is_dangerous(way, id) { format!("{moved}: do not ride before it is put right") } else { moved }
        }
        Some(verdict) => verdict.word().to_owned(),
        None => "noted: nothing was recorded to compare with".to_owned(),
    }
}

/// Whether it cannot have moved without the steering, a brake or a grip having come loose.
fn is_dangerous(way: &Way, id: &MeasureId) -> bool {
    let catalogue = way.recorded.catalogue();
    let joint = way.recorded.setup().joint_of(catalogue, id);
    let joint = joint.and_then(joint::find).map(|(_, joint)| joint.weight);
    [Some(catalogue.measure(id.row).weight), joint].contains(&Some(Weight::SteeringAndBrakes))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::restore::sheet::questions;
    use crate::setup::read::read;

    const SETUP: &str = r#"setup "rowan/race" format=1 {
        instruments { rule tol=0.5 }
        left { brake-lever { from-tip 168 with=rule; angle 32 } }
        mark "L1" on="left.brake-lever" { drawn from-tip=168 }
    }"#;

    fn setup() -> Setup {
        read(Catalogue::standard(), SETUP.as_bytes(), None).setup.expect("a setup")
    }

    fn question(title: &str) -> Question {
        let asked = questions(Catalogue::standard(), &setup(), None);
        asked.into_iter().find(|question| question.title.contains(title)).expect("the question")
    }

    fn said(title: &str, typed: &str) -> String {
        let (catalogue, setup, question) = (Catalogue::standard(), setup(), question(title));
        let text = "found \"rowan/race\" format=1 {\n    measured \"2026-05-09\"\n}\n";
        let mut edit = Edit::new(catalogue, text, Some(&setup)).expect("a sheet");
        let answer = parse(&question, typed).expect("an answer");
        match write(&mut edit, &setup, &question, &answer) {
            Ok(()) => verdict(catalogue, &setup, edit.setup(), &question.asked),
            Err(why) => format!("refused: {why}"),
        }
    }

    #[test]
    fn it_says_at_once_what_an_answer_means() {
        // U of two ±0.5 readings: 2·√2·0.5/√3 = 0.816.
        assert_eq!(said("lever angle", "28"), "moved 4.0° tip up: do not ride before it is put right");
        assert_eq!(said("lever angle", "28 °"), said("lever angle", "28"));
        assert_eq!(said("lever angle", "32.5"), "within reading");
        assert_eq!(said("lever angle", "32"), "same");
        // 6.63 in = 168.402 mm, 0.4 off; 6.8 in = 172.72 mm, 4.72 off.
        assert_eq!(said("lever place", "in 6.63"), "within reading");
        assert_eq!(said("lever place", "in 6.8"), "moved 4.7 mm inboard: do not ride before it is put right");
        assert_eq!(said("lever place", "6.8 in"), said("lever place", "in 6.8"));
        // ±0.1 against ±0.5: U = 2·√(0.26/3) = 0.589; 0.6 is more.
        assert_eq!(
            said("lever place", "168.6 0.1"),
            "moved 0.6 mm inboard: do not ride before it is put right"
        );
        assert_eq!(said("lever place", "same"), "same");
        assert_eq!(said("lever place", "same mark"), "same");
        assert!(said("lever angle", "same mark").starts_with("refused"));
        assert!(said("lever angle", "200").starts_with("refused"));
    }

    #[test]
    fn what_is_no_answer_is_explained() {
        for typed in ["abc", "1 2 3", "in", "deg 3", ".5", "nan"] {
            assert!(parse(&question("lever place"), typed).is_err(), "{typed}");
        }
        let why = |title, typed| parse(&question(title), typed).expect_err("no answer");
        assert_eq!(why("lever place", "168,5"), "Write it with a point: 168.5.");
        assert!(why("lever angle", "abc").contains("32.5"));
        assert!(why("lever angle", "?").contains("just Enter"));
        assert_eq!(parse(&question("lever angle"), "q"), Ok(Answer::Quit));
        assert_eq!(parse(&question("mark L1"), "off=0.8"), Ok(Answer::Mark(MarkState::Off(0.8))));
        assert!(parse(&question("mark L1"), "168").is_err());
        assert_eq!(parse(&question("mark L1"), ""), Ok(Answer::Skip));
    }
}
