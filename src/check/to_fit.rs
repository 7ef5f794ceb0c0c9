//! The parts that something planned asks to be fitted, and what is to be compared before they are: how a note keeps them,
//! and the rule that finds it again.
//!
//! A bike is put together of a plan long after the page that named the parts is gone. The figures of the file tell a stem
//! by its length; which of the box it was, which way up it goes and of what the spacers are piled only the note does.
//! Refuses to know who plans, and whether anything is fitted yet.

use chrono::NaiveDate;

use crate::catalogue::table::{
    BAR_BACK_SWEEP, BAR_RISE, BAR_UP_SWEEP, BAR_WIDTH, STEM_ANGLE, STEM_CLAMP_HEIGHT, STEM_LENGTH,
};
use crate::catalogue::{Catalogue, MeasureId, Row};
use crate::metrology::show;
use crate::setup::dated;
use crate::setup::model::{Note, Setup};
use crate::torque::old_part;

const TO_FIT: &str = "to be fitted: ";
const TO_COMPARE: &str = "to be compared first: ";
/// The group of the spacers.
pub const STEERER: &str = "steerer";

/// The note's text: "2026-05-25 to be fitted: stem long turned over (60 mm, 10° falling)".
pub fn note(words: &str, day: NaiveDate) -> String {
    format!("{}{TO_FIT}{words}", dated::prefix(Some(day)))
}

/// The text on what nobody knows of parts that are to go together.
pub fn doubt(words: &str, day: NaiveDate) -> String {
    format!("{}{TO_COMPARE}{words}", dated::prefix(Some(day)))
}

/// One such note.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Noted<'s> {
    /// The part at which it stands; nothing at the top of the file.
    pub on: &'s str,
    /// What is to be fitted, or compared.
    pub words: &'s str,
    /// Whether it is to be compared first.
    pub is_doubt: bool,
    /// The note itself.
    pub note: &'s Note,
}

/// Every such note of a setup.
pub fn noted(setup: &Setup) -> impl Iterator<Item = Noted<'_>> {
    setup.notes.iter().filter_map(|note| {
        let (_, text) = dated::split(&note.text.value);
        let is = |begins: &str| text.strip_prefix(begins).map(str::trim);
        let (words, is_doubt) =
            is(TO_FIT).map(|words| (words, false)).or(is(TO_COMPARE).map(|w| (w, true)))?;
        (!words.is_empty()).then_some(Noted { on: note.place(), words, is_doubt, note })
    })
}

/// What is to be fitted at a part, in words: as its note has it, else, in a plan that tells only that the part was
/// replaced, by its figures.
pub fn words(catalogue: &Catalogue, setup: &Setup, part: &str) -> Option<String> {
    let mut notes = noted(setup).filter(|noted| !noted.is_doubt && noted.on == setup.group_or_top(part));
    if let Some(noted) = notes.next() {
        return Some(noted.words.to_owned());
    }
    let is_replaced = || setup.torques.iter().any(|torque| old_part::gone(torque).any(|gone| gone == part));
    (setup.is_planned() && is_replaced())
        .then(|| told(catalogue, setup, part, &format!("another {part}"), &[]))
}

/// A stem or a bar with the figures by which it is told from others, without those that were another's.
pub fn told(catalogue: &Catalogue, setup: &Setup, part: &str, named: &str, of_another: &[String]) -> String {
    let figure = |row: Row, words: &dyn Fn(f64) -> String| {
        let id = MeasureId::bike(row);
        let is_its_own = !of_another.contains(&catalogue.path(&id));
        setup.value(&id).filter(|_| is_its_own).map(words)
    };
    let brief = show::brief;
    let turned = |degrees: f64| match &*brief(degrees.abs()) {
        "0" => "level".to_owned(),
        size => format!("{size}° {}", catalogue.measure(STEM_ANGLE).direction(degrees)),
    };
    let figures = match part {
        "stem" => vec![
            figure(STEM_LENGTH, &|value| format!("{} mm", brief(value))),
            figure(STEM_ANGLE, &turned),
            figure(STEM_CLAMP_HEIGHT, &|value| format!("clamp {} mm high", brief(value))),
        ],
        "bar" => vec![
            figure(BAR_WIDTH, &|value| format!("{} mm wide", brief(value))),
            figure(BAR_RISE, &|value| format!("rise {} mm", brief(value))),
            figure(BAR_BACK_SWEEP, &|value| format!("back sweep {}°", brief(value))),
            figure(BAR_UP_SWEEP, &|value| format!("up sweep {}°", brief(value))),
        ],
        _ => Vec::new(),
    };
    let figures: Vec<String> = figures.into_iter().flatten().collect();
    if figures.is_empty() { named.to_owned() } else { format!("{named} ({})", figures.join(", ")) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setup::read::read;

    fn setup(text: &str) -> Setup {
        read(Catalogue::standard(), text.as_bytes(), None).setup.expect("a setup")
    }

    #[test]
    fn a_part_is_told_by_its_note_and_without_one_by_its_figures() {
        let text = r#"setup "rowan/race" format=1 {
            note "Planned with `carry` for the hands of rowan/race, not measured: whatever differs from alder/trail."
            stem { length 60; angle -10; clamp-height 38; note "2026-05-25 to be compared first: the clamp" }
            bar { width 780; rise 25; back-sweep 8; note "2026-05-25 to be fitted: bar wide" }
            torque "stem-steerer" 5 6 { caution "Limits of the replaced stem: take the new maker's figures before tightening." }
        }"#;
        let catalogue = Catalogue::standard();
        let words = |part: &str| words(catalogue, &setup(text), part);
        assert_eq!(words("bar").as_deref(), Some("bar wide"));
        assert_eq!(words("stem").as_deref(), Some("another stem (60 mm, 10° falling, clamp 38 mm high)"));
        assert_eq!(words(STEERER), None);
        let setup = setup(text);
        let doubts: Vec<&str> =
            noted(&setup).filter(|noted| noted.is_doubt).map(|noted| noted.words).collect();
        assert_eq!(doubts, ["the clamp"]);
        let known = ["stem.angle".to_owned(), "stem.clamp-height".to_owned()];
        assert_eq!(told(catalogue, &setup, "stem", "another stem", &known), "another stem (60 mm)");
    }
}
