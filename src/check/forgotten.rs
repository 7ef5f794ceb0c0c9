//! Measures that were recorded once and that nobody knows any more: how the note that keeps the old reading is written,
//! and the rule that finds it again.

use chrono::NaiveDate;

use crate::catalogue::{Catalogue, MeasureId};
use crate::metrology::reading::Reading;
use crate::setup::dated;
use crate::setup::model::{Note, Setup, Value};

const GONE: &str = " no longer known: ";
const READ: &str = "; it read ";
const BEFORE: &str = " before";

/// Why a measure is not known any more.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// The bar was rolled, and the control with it.
    Rolled,
    /// The bar was cut, and the end gone that a place is counted from.
    Cut,
}

impl Why {
    /// "the bar was rolled"
    pub const fn words(self) -> &'static str {
        match self {
            Why::Rolled => "the bar was rolled",
            Why::Cut => "the bar was cut",
        }
    }
}

/// The part on which the note stands.
pub fn place(catalogue: &Catalogue, id: &MeasureId) -> String {
    let path = catalogue.path(id);
    path.rsplit_once('.').map_or_else(String::new, |(part, _)| part.to_owned())
}

/// The note's text: "2026-05-09 angle no longer known: the bar was rolled; it read 32° before".
pub fn note(word: &str, why: Why, reading: &Reading, day: Option<NaiveDate>) -> String {
    let read = reading.read().map(|day| format!(" on {day}")).unwrap_or_default();
    let why = why.words();
    format!("{}{word}{GONE}{why}{READ}{}{read}{BEFORE}", dated::prefix(day), reading.in_words())
}

/// What a note keeps of a measure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Noted<'s> {
    /// The day since which it is not known.
    pub since: Option<NaiveDate>,
    /// Why it is not.
    pub why: Why,
    /// What it read before: "32°", "32° on 2026-05-02".
    pub read: &'s str,
}

impl Noted<'_> {
    /// All of it, to follow the measure's name.
    pub fn words(&self) -> String {
        let since = self.since.map(|day| format!(" since {day}")).unwrap_or_default();
        format!("is no longer known{since}, when {}; it read {} before", self.why.words(), self.read)
    }
}

/// What the last note keeps of a measure that the file holds as unmeasured.
pub fn noted<'s>(catalogue: &Catalogue, setup: &'s Setup, id: &MeasureId) -> Option<Noted<'s>> {
    setup.recorded(id).filter(|recorded| recorded.value == Value::Unmeasured)?;
    notes(catalogue, setup, id).map(|(noted, _)| noted).max_by_key(|noted| noted.since)
}

/// Every note that keeps what a measure read before nobody knew it, be it known again or not.
pub fn notes<'s>(
    catalogue: &Catalogue,
    setup: &'s Setup,
    id: &MeasureId,
) -> impl Iterator<Item = (Noted<'s>, &'s Note)> {
    let place = place(catalogue, id);
    let word = catalogue.measure(id.row).word();
    setup.notes.iter().filter(move |note| note.on == place).filter_map(move |note| {
        let (since, text) = dated::split(&note.text.value);
        let told = text.strip_prefix(word)?.strip_prefix(GONE)?.strip_suffix(BEFORE)?;
        let of = |why: Why| Some((why, told.strip_prefix(why.words())?.strip_prefix(READ)?));
        let (why, read) = [Why::Rolled, Why::Cut].into_iter().find_map(of)?;
        Some((Noted { since, why, read }, note))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setup::read::read;

    #[test]
    fn the_last_note_of_the_measure_itself_counts() {
        let text = r#"setup "rowan/race" format=1 {
            left { brake-lever { from-tip 168; angle unmeasured
                note "2026-05-09 angle no longer known: the bar was rolled; it read 32° on 2026-05-02 before"
                note "2026-05-16 angle no longer known: the bar was rolled; it read 34° before"
                note "2026-05-20 reach no longer known: the bar was rolled; it read 60 mm before" } }
            right { brake-lever { from-tip 168; angle 32
                note "2026-05-09 angle no longer known: the bar was rolled; it read 30° before" }
                shifter { from-tip 190; angle unmeasured; note "Angle not known" } }
        }"#;
        let catalogue = Catalogue::standard();
        let setup = read(catalogue, text.as_bytes(), None).setup.expect("a setup");
        let noted = |path| noted(catalogue, &setup, &catalogue.find(path).expect(path));
        let since = NaiveDate::from_ymd_opt(2026, 5, 16);
        assert_eq!(noted("left.brake-lever.angle"), Some(Noted { since, why: Why::Rolled, read: "34°" }));
        // What was measured since is known.
        assert_eq!(noted("right.brake-lever.angle"), None);
        assert_eq!(noted("right.shifter.angle"), None);
    }
}
