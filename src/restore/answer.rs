//! Answers to a sheet's questions: what a person types, what it writes, and what it says at once.

mod belied;
mod doubt;
mod figures;
mod help;
mod instrument;
mod typed;

use crate::catalogue::table::FLOOR;
use crate::catalogue::{Catalogue, MeasureId, Weight, joint};
use crate::check::forgotten;
use crate::geometry::state::State;
use crate::metrology::unit::Unit;
use crate::setup::edit::{Edit, EditError, Entry, NewReading};
use crate::setup::model::{Mark, MarkState, Setup, Value};

use super::contradiction::contradictions;
use super::evidence::{self, MarkVerdict};
use super::moves::Way;
use super::sheet::{Asked, Question};

pub use belied::{called_good_no_more, take_back_belied};
pub use doubt::{doubt, too_wide};
pub use figures::Figures;
pub use typed::parse;

/// What a person typed.
#[derive(Clone, Debug, PartialEq)]
pub enum Answer {
    /// Nothing: not looked at; an answer gone back to stays, and where something is looked over it is asked again.
    Enter,
    /// A number, or several readings.
    Number(Figures),
    /// One of the measure's words.
    Choice(String),
    /// How a mark stands; on a measure's question, `same mark`.
    Mark(MarkState),
    /// It is as it should be.
    Good,
    /// It is not, in these words.
    Seen(String),
    /// Its joint is apart, or was opened.
    Apart,
    /// Go on without looking; an answer gone back to is taken back.
    Skip,
    /// The question before.
    Back,
    /// Stop here and keep what was entered.
    Quit,
}

/// Why nothing is no answer where something is looked over.
pub const NOT_SAID: &str =
    "Say `good` if it is so, else what you see, for instance bent; `skip` if you did not look.";

/// How the remark begins that something was looked over and is good.
const GOOD: &str = "looked over and good: ";

/// The remark on a sheet that something was looked over and is good.
fn good(on: &str) -> String {
    format!("{GOOD}{on}")
}

/// What the remarks in the text of a sheet tell to have been looked over and to be good, in words, as far as nothing that it
/// reads says otherwise.
pub fn told_good(catalogue: &Catalogue, setup: &Setup, sheet: &Setup, text: &[u8]) -> Vec<String> {
    let text = String::from_utf8_lossy(text);
    let remarks = text.lines().filter_map(|line| line.trim().strip_prefix("//")?.trim().strip_prefix(GOOD));
    let told: Vec<&str> = remarks.map(str::trim).collect();
    if told.is_empty() {
        return Vec::new();
    }
    let belied = belied::belied(catalogue, setup, sheet);
    told.into_iter().filter(|on| !belied.contains(*on)).map(joint::title).collect()
}

/// What a sheet says to a question, in words; none if nothing.
pub fn on_sheet(edit: &Edit, asked: &Asked) -> Option<String> {
    let sheet = edit.setup();
    match asked {
        Asked::Measure(id) => sheet.recorded(id).map(|recorded| match &recorded.value {
            Value::Reading(reading) => {
                format!("{}{}", crate::compare::typed(reading), by(reading.instrument()))
            }
            Value::Choice(word) => (*word).to_owned(),
            Value::Unmeasured => "unmeasured".to_owned(),
        }),
        Asked::Mark(name) => {
            let state = sheet.mark(name)?.state.as_ref()?;
            Some(state.value.to_string())
        }
        Asked::Look(on) => {
            let seen = sheet.damages.iter().find(|damage| damage.on.value == *on);
            let seen = seen.map(|damage| damage.text.value.clone());
            let is_apart = is_apart(sheet, on);
            let seen = seen.or_else(|| is_apart.then(|| "apart".to_owned()));
            seen.or_else(|| edit.has_remark(&good(on)).then(|| "good".to_owned()))
        }
    }
}

/// Whether a sheet tells that what is looked over there is apart.
fn is_apart(sheet: &Setup, on: &str) -> bool {
    joint::apart_at(on).is_some_and(|joint| sheet.tells_open(joint))
}

/// With what something was read, behind the number.
pub fn by(instrument: Option<&str>) -> String {
    instrument.map(|name| format!(", by {name}")).unwrap_or_default()
}

/// Writes an answer on the sheet, in place of the one that stands there. `same mark` goes to the mark that was drawn at
/// this measure.
///
/// # Errors
/// One sentence: why the answer cannot stand.
pub fn write(edit: &mut Edit, setup: &Setup, question: &Question, answer: &Answer) -> Result<(), String> {
    take_back(edit, &question.asked, answer).map_err(in_words)?;
    let done = match (&question.asked, answer) {
        (Asked::Mark(name), Answer::Mark(state)) => edit.set_mark_state(name, *state),
        (Asked::Measure(id), Answer::Mark(state)) => {
            let Some(mark) = drawn_at(setup, id) else {
                return Err(format!("No mark was drawn at {}: measure it.", question.title));
            };
            if let Some(why) = is_no_evidence(setup, edit.setup(), mark, *state) {
                return Err(format!("{why} Measure it."));
            }
            edit.set_mark_state(&mark.name.value, *state)
        }
        (Asked::Measure(id), Answer::Choice(word)) => edit.set_choice(id, word, None),
        (Asked::Measure(id), Answer::Number(figures)) => {
            let unit = figures.unit.or(question.unit).unwrap_or(Unit::One);
            let mut new = NewReading::number("", unit, 0.0);
            new.digits.clone_from(&figures.readings);
            let half_width = figures.half_width.as_ref().map(|half| &half.digits);
            (new.tolerance, new.instrument) = read_with(question, half_width, figures.instrument.as_ref());
            edit.set_reading(id, &new)
        }
        (Asked::Look(on), Answer::Good) => edit.add_remark(&good(on)),
        (Asked::Look(on), Answer::Apart) => {
            let joint = joint::apart_at(on).ok_or_else(|| {
                let at =
                    joint::holding(on).map_or_else(String::new, |joint| format!(" at the {}", joint.title));
                format!("Say what is apart{at}; of the {} say what you see.", question.title)
            })?;
            edit.set_opened(joint, true)
        }
        (Asked::Look(on), Answer::Seen(words)) => edit.set_damage(on, Some(words)),
        _ => Ok(()),
    };
    done.map_err(in_words)
}

/// Why a mark can tell nothing of what it was drawn at, in a sentence.
fn is_no_evidence(setup: &Setup, sheet: &Setup, mark: &Mark, state: MarkState) -> Option<String> {
    let mut told = sheet.clone();
    told.find_mark(mark, state);
    let evidence = evidence::weigh(Catalogue::standard(), setup, &told);
    let report = evidence.marks.into_iter().find(|report| report.name == mark.name.value)?;
    let is_none =
        matches!(report.state, MarkVerdict::Stale | MarkVerdict::OnAnotherPart | MarkVerdict::DrawnSince);
    is_none.then_some(report.words)
}

fn in_words(error: EditError) -> String {
    match error {
        EditError::WouldNotRead(why) | EditError::Faulty(why) => why,
        other => other.to_string(),
    }
}

/// Takes away what the sheet says to a question, unless the answer is written over it.
fn take_back(edit: &mut Edit, asked: &Asked, answer: &Answer) -> Result<(), EditError> {
    match asked {
        Asked::Measure(_) if matches!(answer, Answer::Number(_) | Answer::Choice(_)) => Ok(()),
        Asked::Measure(id) if edit.setup().recorded(id).is_some() => edit.remove(id),
        Asked::Mark(name) if *answer == Answer::Skip => {
            let is_told = edit.setup().marks.iter().any(|mark| mark.name.value == *name);
            if is_told { edit.drop_mark(name) } else { Ok(()) }
        }
        Asked::Look(on) => {
            let closed =
                |edit: &mut Edit| joint::apart_at(on).map_or(Ok(()), |at| edit.set_opened(at, false));
            edit.set_damage(on, None).and_then(|()| edit.drop_remark(&good(on))).and_then(|()| closed(edit))
        }
        Asked::Measure(_) | Asked::Mark(_) => Ok(()),
    }
}

fn drawn_at<'s>(setup: &'s Setup, id: &MeasureId) -> Option<&'s Mark> {
    setup.marks.iter().find(|mark| mark.drawn.iter().any(|(drawn, _)| drawn == id))
}

/// The half-width and the instrument to write. A half-width that was said alone claims no instrument.
fn read_with(
    question: &Question,
    half_width: Option<&String>,
    instrument: Option<&String>,
) -> (Entry<String>, Entry<String>) {
    let usual = question.instrument.as_ref().filter(|_| half_width.is_none());
    match (half_width, instrument.or(usual)) {
        (None, None) => (Entry::Keep, Entry::Keep),
        (half_width, instrument) => {
            let entry = |said: Option<&String>| said.map_or(Entry::Remove, |said| Entry::Set(said.clone()));
            (entry(half_width), entry(instrument))
        }
    }
}

/// Readings and marks that cannot both be true, in words, where the sheet did not say so before.
pub fn newly_contradicted(catalogue: &Catalogue, setup: &Setup, before: &Setup, now: &Setup) -> Vec<String> {
    let words = |sheet| {
        let telling = evidence::telling(catalogue, setup, sheet);
        contradictions(catalogue, setup, &telling).into_iter().map(|one| one.words)
    };
    let known: Vec<String> = words(before).collect();
    words(now).filter(|said| !known.contains(said)).collect()
}

/// What the sheet now says of a question, at once: *moved 4.0° tip up*, *within reading*.
pub fn verdict(catalogue: &Catalogue, setup: &Setup, sheet: &Setup, asked: &Asked) -> String {
    let setup = &*forgotten::remembered(catalogue, setup, sheet);
    let sheet = &*evidence::telling(catalogue, setup, sheet);
    let evidence = evidence::weigh(catalogue, setup, sheet);
    match asked {
        Asked::Measure(id) if sheet.aside.contains_key(id) => {
            "noted: it tells nothing of its clamp before the bar's roll is read".to_owned()
        }
        Asked::Mark(name) => {
            let report = evidence.marks.iter().find(|mark| mark.name == *name);
            report.map(|mark| mark.words.clone()).unwrap_or_default()
        }
        Asked::Measure(id) => {
            let recorded = State::recorded(catalogue, setup);
            let found = recorded.found(sheet, Some(&evidence.turns));
            // `same mark` stands on the sheet as a word on the mark, and not every mark tells a figure.
            let by_mark = || {
                let is_drawn = |name: &str| {
                    let mark = setup.mark(name);
                    mark.is_some_and(|mark| mark.drawn.iter().any(|(drawn, _)| drawn == id))
                };
                let report = evidence.marks.iter().find(|report| is_drawn(&report.name))?;
                sheet.seen(&report.name).map(|_| report)
            };
            let told = of_measure(&Way { recorded, found: Some(found), comparison: None }, id);
            let by_mark = by_mark().filter(|_| sheet.recorded(id).is_none());
            // It was the mark that was looked at: the figure is what it stands for.
            let told = match (told, by_mark) {
                (Some(told), Some(report)) if report.state == MarkVerdict::Aligned => {
                    Some(format!("mark {} lines up: {told}", report.name))
                }
                (told, report) => told.or_else(|| Some(report?.words.trim_end_matches('.').to_owned())),
            };
            told.unwrap_or_else(|| "noted: nothing was recorded to compare with".to_owned())
        }
        Asked::Look(on) if sheet.damages.iter().any(|damage| damage.on.value == *on) => {
            "kept as damage: do not ride before it is put right".to_owned()
        }
        Asked::Look(on) if is_apart(sheet, on) => "kept as apart: the way back puts it together".to_owned(),
        Asked::Look(_) => "seen and good".to_owned(),
    }
}

/// None where there is nothing to compare with.
fn of_measure(way: &Way, id: &MeasureId) -> Option<String> {
    if id.row == FLOOR {
        return Some("noted: angles against gravity are levelled with it".to_owned());
    }
    let verdict = way.verdict(id)?;
    if !verdict.is_move() {
        return Some(verdict.word().to_owned());
    }
    let moved = format!("moved {}", way.moved_words(id).unwrap_or_default());
    Some(if is_dangerous(way, id) { format!("{moved}: do not ride before it is put right") } else { moved })
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
        saddle { height 735 }
        mark "P1" on="seat-clamp" { drawn height=735 }
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
        assert_eq!(said("lever place", "same mark"), "mark L1 lines up: same");
        // A line round the post tells no figure.
        assert_eq!(said("saddle height", "same mark"), "Mark P1 is aligned");
        assert!(said("lever angle", "same mark").starts_with("refused"));
        assert!(said("lever angle", "200").starts_with("refused"));
    }

    #[test]
    fn a_unit_may_stand_behind_its_number_or_touch_it() {
        let number = |title: &str, typed: &str| match parse(&question(title), typed) {
            Ok(Answer::Number(figures)) => {
                (figures.readings[0].clone(), figures.unit, figures.half_width.map(|half| half.digits))
            }
            other => panic!("{typed}: {other:?}"),
        };
        let plain = |digits: &str, unit| (digits.to_owned(), Some(unit), None);
        for (typed, digits, unit) in [
            ("0.5cm", "0.5", Unit::Centimetre),
            ("742mm", "742", Unit::Millimetre),
            ("29.2in", "29.2", Unit::Inch),
            ("29.2\"", "29.2", Unit::Inch),
            ("in6.63", "6.63", Unit::Inch),
            ("16,8 cm", "16.8", Unit::Centimetre),
            ("0.168m", "0.168", Unit::Metre),
        ] {
            assert_eq!(number("lever place", typed), plain(digits, unit), "{typed}");
        }
        assert_eq!(number("lever angle", "-3,5°"), plain("-3.5", Unit::Degree));
        assert_eq!(number("lever angle", "0.5rad"), plain("0.5", Unit::Radian));
        for typed in ["168.5mm 0.2mm", "168.5 ± 0.2 mm", "168.5±0.2mm"] {
            let (digits, unit, half_width) = number("lever place", typed);
            assert_eq!(
                (&*digits, unit, half_width.as_deref()),
                ("168.5", Some(Unit::Millimetre), Some("0.2"))
            );
        }
    }

    #[test]
    fn what_is_no_answer_is_explained() {
        for typed in ["abc", "1 2 3", "in", "deg 3", ".5", "nan"] {
            assert!(parse(&question("lever place"), typed).is_err(), "{typed}");
        }
        let why = |title, typed| parse(&question(title), typed).expect_err("no answer");
        assert_eq!(why("lever place", "168,5"), "Write it with a point: 168.5.");
        assert_eq!(why("lever place", "1,234 mm"), "Write it with a point: 1.234.");
        let unit = "`inch` is neither a unit here (mm, cm, m, in) nor an instrument of the setup (rule). A plain \
                    number is in mm.";
        assert_eq!(why("lever place", "6.63 inch"), unit);
        assert!(why("lever place", "3°").contains("does not fit here"));
        assert!(why("lever place", "1 cm 2 mm").contains("one unit"));
        assert!(why("lever angle", "abc").contains("32.5"));
        assert!(why("lever angle", "?").contains("just Enter"));
        assert_eq!(parse(&question("lever angle"), "q"), Ok(Answer::Quit));
        assert_eq!(parse(&question("mark L1"), "off=0.8"), Ok(Answer::Mark(MarkState::Off(0.8))));
        assert!(parse(&question("mark L1"), "168").is_err());
        assert_eq!(parse(&question("mark L1"), ""), Ok(Answer::Enter));
    }
}
