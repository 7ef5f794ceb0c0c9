//! Measures that were recorded once and that nobody knows any more: how the note that keeps the old reading is written,
//! and the rule that finds it again.

pub mod carried;
mod remembered;

use chrono::NaiveDate;

use crate::catalogue::{Catalogue, MeasureId, Weight, joint};
use crate::metrology::reading::Reading;
use crate::setup::dated;
use crate::setup::model::{FORGOTTEN_NOTED as GONE, Note, Setup, Value};

pub use remembered::{figure, remembered};

const READ: &str = "; it read ";
const BEFORE: &str = " before";
const AT_ROLL: &str = " at a roll of ";

/// The part on which the note stands.
pub fn place(catalogue: &Catalogue, id: &MeasureId) -> String {
    let path = catalogue.path(id);
    path.rsplit_once('.').map_or_else(String::new, |(part, _)| part.to_owned())
}

/// The note's text: "2026-05-09 angle no longer known: the bar was rolled; it read 32° at a roll of 0° before"; `roll` is how
/// the bar stood then, where that tells how the measure stands.
pub fn note(
    word: &str,
    because: &str,
    reading: &Reading,
    roll: Option<&Reading>,
    day: Option<NaiveDate>,
) -> String {
    let read = reading.read().map(|day| format!(" on {day}")).unwrap_or_default();
    let roll = roll.map(|roll| format!("{AT_ROLL}{}", roll.in_words())).unwrap_or_default();
    format!("{}{word}{GONE}{because}{READ}{}{read}{roll}{BEFORE}", dated::prefix(day), reading.in_words())
}

/// What a note keeps of a measure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Noted<'s> {
    /// The day since which it is not known.
    pub since: Option<NaiveDate>,
    /// What became of it then: "the bar was rolled".
    pub because: &'s str,
    /// What it read before: "32°", "32° on 2026-05-02", "32° at a roll of 0°".
    pub read: &'s str,
}

impl Noted<'_> {
    /// All of it, to follow the measure's name.
    pub fn words(&self) -> String {
        let Noted { because, read, .. } = self;
        format!("is no longer known{}, when {because}{READ}{read}{BEFORE}", self.since_words())
    }

    /// " since 2026-05-09", where the note has a day.
    pub fn since_words(&self) -> String {
        self.since.map(|day| format!(" since {day}")).unwrap_or_default()
    }
}

/// What the last note keeps of a measure that the file holds as unmeasured.
pub fn noted<'s>(catalogue: &Catalogue, setup: &'s Setup, id: &MeasureId) -> Option<Noted<'s>> {
    setup.recorded(id).filter(|recorded| recorded.value == Value::Unmeasured)?;
    last_note(catalogue, setup, id)
}

/// The same whatever the file holds of it.
pub fn last_note<'s>(catalogue: &Catalogue, setup: &'s Setup, id: &MeasureId) -> Option<Noted<'s>> {
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
        let (because, read) = told.split_once(READ)?;
        Some((Noted { since, because, read }, note))
    })
}

/// Everything that a setup once read and that nobody knows any more, in the table's order.
pub fn all<'s>(
    catalogue: &'s Catalogue,
    setup: &'s Setup,
) -> impl Iterator<Item = (&'s MeasureId, Noted<'s>)> {
    setup.readings.keys().filter_map(move |id| Some((id, noted(catalogue, setup, id)?)))
}

/// What it does to a rider that nobody knows where a measure stands: what its joint does, for that was let go; but
/// where the hand sits on a grip is no danger.
pub fn weight(catalogue: &Catalogue, setup: &Setup, id: &MeasureId) -> Weight {
    let own = catalogue.measure(id.row).weight;
    let of_joint = setup.joint_of(catalogue, id).map_or(own, joint::weight);
    if own <= Weight::Handling { own.min(of_joint) } else { own }
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
        let because = "the bar was rolled";
        assert_eq!(noted("left.brake-lever.angle"), Some(Noted { since, because, read: "34°" }));
        // What was measured since is known.
        assert_eq!(noted("right.brake-lever.angle"), None);
        assert_eq!(noted("right.shifter.angle"), None);
        // A joint's danger is that of what it lets go.
        assert_eq!(all(catalogue, &setup).count(), 1);
        let weight = |path| weight(catalogue, &setup, &catalogue.find(path).expect(path));
        assert_eq!(weight("left.brake-lever.angle"), Weight::SteeringAndBrakes);
        assert_eq!(weight("right.shifter.angle"), Weight::Handling);
    }
}
