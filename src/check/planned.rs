//! Which figures of a file are planned, and nobody has read yet: how the note at the top keeps them, and the rule that
//! finds them again.
//!
//! A planned figure is no reading, even where a reading of it comes to the same number. The note names each, but for the
//! points that go along with a part, and goes when the last is read. Refuses to know who plans, and who reads.

use std::collections::BTreeSet;

use crate::catalogue::{Catalogue, MeasureId};
use crate::metrology::reading::Reading;
use crate::setup::model::{Note, PLANNED, Setup, Value};

/// What comes before the figures, in the note's first sentence.
const NOT_MEASURED: &str = "not measured: ";
/// How the sentences behind it begin that say no more once all of it was read.
const ANSWERED: [&str; 4] = [
    "Carried figures, no readings: ",
    "Taken from the old ",
    "Measure the new ",
    "The top cap has to clear ",
];

/// The measures that such a note names, of those that are `differing` in what is planned.
pub fn to_be_read<'m>(
    catalogue: &Catalogue,
    planned: &Setup,
    differing: impl Iterator<Item = &'m MeasureId>,
) -> Vec<String> {
    let is_known = |id: &&MeasureId| planned.recorded(id).is_some_and(|one| one.value != Value::Unmeasured);
    let is_read = |id: &&MeasureId| !catalogue.measure(id.row).goes_along();
    differing.filter(is_known).filter(is_read).map(|id| catalogue.path(id)).collect()
}

/// The notes that say that something is planned.
pub fn notes(setup: &Setup) -> impl Iterator<Item = &Note> {
    setup.notes.iter().filter(|note| note.on.is_empty() && note.text.value.starts_with(PLANNED))
}

/// The measures that a note names; none if it is of an earlier program, which named none.
pub fn named(catalogue: &Catalogue, note: &str) -> Vec<MeasureId> {
    let first = sentences(note).next().unwrap_or_default();
    let Some((_, named)) = first.split_once(NOT_MEASURED) else { return Vec::new() };
    let words = named.split([' ', ',', ':']).map(|word| word.trim_end_matches('.'));
    words.filter_map(|word| catalogue.find(word)).collect()
}

/// Every measure that the notes name, without what was read since.
pub fn listed(catalogue: &Catalogue, setup: &Setup) -> BTreeSet<MeasureId> {
    let all = notes(setup).flat_map(|note| named(catalogue, &note.text.value));
    all.filter(|id| setup.reading(id).is_none_or(is_bare)).collect()
}

/// The same, and of a plan that names none whatever figure is not told to have been read.
pub fn unread(catalogue: &Catalogue, setup: &Setup) -> BTreeSet<MeasureId> {
    let mut unread = listed(catalogue, setup);
    if notes(setup).any(|note| named(catalogue, &note.text.value).is_empty()) {
        let tolerance = |id: &MeasureId| catalogue.measure(id.row).tolerance();
        let is_bare = |id: &&MeasureId| {
            let is_usual = |reading: &Reading| (reading.half_width() - tolerance(id)).abs() < 1e-9;
            setup.reading(id).is_some_and(|reading| is_bare(reading) && is_usual(reading))
        };
        let figures = setup.readings.keys().filter(|id| !catalogue.measure(id.row).goes_along());
        unread.extend(figures.filter(is_bare).cloned());
    }
    unread
}

fn is_bare(reading: &Reading) -> bool {
    reading.instrument().is_none() && reading.read().is_none()
}

/// A note that names no more than these; none of it if there are none, but for what it says of other things.
pub fn naming(note: &str, left: &[String]) -> Option<String> {
    let mut sentences = sentences(note);
    let first = sentences.next().unwrap_or_default();
    if left.is_empty() {
        let is_answered = |sentence: &&str| ANSWERED.iter().any(|begins| sentence.starts_with(begins));
        let rest: String = sentences.filter(|sentence| !is_answered(sentence)).collect();
        return Some(rest.trim().to_owned()).filter(|rest| !rest.is_empty());
    }
    let head = first.split_once(NOT_MEASURED).map_or(first.trim_end(), |(head, _)| head);
    let rest: String = sentences.collect();
    Some(format!("{head}{NOT_MEASURED}{}. {rest}", left.join(", ")).trim_end().to_owned())
}

/// The sentences of a note, each with the space behind it. No path of a measure ends in a full stop.
fn sentences(note: &str) -> impl Iterator<Item = &str> {
    note.split_inclusive(". ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setup::read::read;

    const OF_TWO: &str = "Planned with `try` on rowan/race, not measured: stem.length, and what goes along: bar.roll. \
                          Taken from the old stem: stem angle 0°. Measure the new stem. Material is not known.";

    #[test]
    fn a_note_names_what_is_left_to_read() {
        let catalogue = Catalogue::standard();
        let paths: Vec<String> = named(catalogue, OF_TWO).iter().map(|id| catalogue.path(id)).collect();
        assert_eq!(paths, ["stem.length", "bar.roll"]);
        assert_eq!(
            naming(OF_TWO, &["bar.roll".to_owned()]).as_deref(),
            Some(
                "Planned with `try` on rowan/race, not measured: bar.roll. Taken from the old stem: stem angle 0°. \
                 Measure the new stem. Material is not known."
            )
        );
        assert_eq!(naming(OF_TWO, &[]).as_deref(), Some("Material is not known."));
        let carried = "Planned with `carry` for the hands of rowan/race, not measured: whatever differs from alder/trail: \
                       steerer.spacers-below.";
        assert_eq!(named(catalogue, carried).len(), 1);
        assert_eq!(naming(carried, &[]), None);
    }

    #[test]
    fn what_is_told_to_have_been_read_is_not_planned() {
        let text = |note: &str| {
            format!(
                r#"setup "rowan/race" format=1 {{
                note "{note}"
                stem {{ length 40; angle 6 }}
                bar {{ roll 5 read="2026-05-26"; rise 20 tol=0.2 }}
            }}"#
            )
        };
        let catalogue = Catalogue::standard();
        let paths = |note: &str| -> Vec<String> {
            let setup = read(catalogue, text(note).as_bytes(), None).setup.expect("a setup");
            unread(catalogue, &setup).iter().map(|id| catalogue.path(id)).collect()
        };
        assert_eq!(paths(OF_TWO), ["stem.length"]);
        let before = "Planned with `carry` for the hands of rowan/race, not measured: whatever differs from alder/trail.";
        assert_eq!(paths(before), ["stem.length", "stem.angle"]);
        assert!(paths("Nothing planned").is_empty());
    }
}
