//! Which figures of a file are planned, and nobody has read yet: how the note at the top keeps them, and the rule that
//! finds them again.
//!
//! A planned figure is no reading, even where a reading of it comes to the same number. The note names each, but for the
//! points that go along with a part, and goes when the last is read. Refuses to know who plans, and who reads.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use crate::catalogue::{Catalogue, MeasureId};
use crate::metrology::reading::Reading;
use crate::setup::model::{Note, PLANNED, Setup, Value, Written};
use crate::setup::span::Span;

/// What comes before the figures, in the note's first sentence.
const NOT_MEASURED: &str = "not measured: ";
/// How the sentence begins that names the figures of a part that goes, as far as they stand in for the new one's.
const TAKEN_OVER: &str = "Taken from the old ";
/// What stands around the instrument with which a figure was read that is planned now, before the measures.
const READ_WITH: [&str; 2] = ["Read with ", " before: "];
/// How the sentences behind it begin that say no more once all of it was read.
const ANSWERED: [&str; 5] = [
    READ_WITH[0],
    "Carried figures, no readings: ",
    TAKEN_OVER,
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

/// A setup that somebody plans and nobody has written yet, as its note would tell that these are no readings.
pub fn as_planned<'s>(
    catalogue: &Catalogue,
    setup: &Setup,
    ids: impl Iterator<Item = &'s MeasureId>,
) -> Setup {
    let paths: Vec<String> = ids.map(|id| catalogue.path(id)).collect();
    let value = format!("{PLANNED}try`, {NOT_MEASURED}{}.", paths.join(", "));
    let mut planned = setup.clone();
    planned.notes.push(Note { on: String::new(), text: Written { value, span: Span::default() } });
    planned
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

/// The sentences that keep with what the figures of `from` were read that are planned now: who reads them again will read
/// them with that. What is a part's own was read on another.
pub fn read_with(
    catalogue: &Catalogue,
    from: &Setup,
    planned: &Setup,
    differing: &[MeasureId],
) -> Vec<String> {
    let mut read: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for id in differing {
        let measure = catalogue.measure(id.row);
        let is_bare = planned.reading(id).is_some_and(|reading| reading.instrument().is_none());
        if measure.goes_along() || measure.is_of_the_part() || !is_bare {
            continue;
        }
        if let Some(instrument) = from.reading(id).and_then(Reading::instrument) {
            read.entry(instrument).or_default().push(catalogue.path(id));
        }
    }
    let [begins, then] = READ_WITH;
    read.iter().map(|(name, paths)| format!("{begins}{name}{then}{}.", paths.join(", "))).collect()
}

/// With what a figure was read that is planned now, as the notes keep it.
pub fn usual_instrument<'s>(catalogue: &Catalogue, setup: &'s Setup, id: &MeasureId) -> Option<&'s str> {
    let [begins, then] = READ_WITH;
    let kept = notes(setup)
        .flat_map(|note| sentences(&note.text.value))
        .filter_map(|sentence| sentence.strip_prefix(begins)?.split_once(then));
    let path = catalogue.path(id);
    let is_listed = |paths: &str| paths.split(", ").any(|one| one.trim_end().trim_end_matches('.') == path);
    let mut names = kept.filter(|(_, paths)| is_listed(paths)).map(|(name, _)| name);
    names.find(|name| setup.instruments.iter().any(|known| known.name.to_string() == *name))
}

/// What a plan has of a new part only because the old one had it, and nobody has read since: nobody planned it.
pub fn assumed(catalogue: &Catalogue, setup: &Setup) -> BTreeSet<MeasureId> {
    let of_the_old: Vec<&str> = notes(setup)
        .flat_map(|note| sentences(&note.text.value))
        .filter_map(|sentence| Some(sentence.strip_prefix(TAKEN_OVER)?.split_once(": ")?.1))
        .flat_map(|figures| figures.split(", "))
        .collect();
    let mut assumed = if of_the_old.is_empty() { BTreeSet::new() } else { listed(catalogue, setup) };
    assumed.retain(|id| {
        let title = format!("{} ", catalogue.title(id));
        of_the_old.iter().any(|figure| figure.starts_with(&title))
    });
    assumed
}

/// The setup with what a sheet reads in the place of what was only assumed: the part that is on the bike tells its own
/// figures.
pub fn as_the_part_has_it<'s>(catalogue: &Catalogue, setup: &'s Setup, sheet: &Setup) -> Cow<'s, Setup> {
    let mut known = Cow::Borrowed(setup);
    for id in assumed(catalogue, setup) {
        let Some(read) = sheet.recorded(&id).filter(|read| matches!(read.value, Value::Reading(_))) else {
            continue;
        };
        if let Some(recorded) = known.to_mut().readings.get_mut(&id) {
            recorded.value = read.value.clone();
        }
    }
    known
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
    fn what_only_the_old_part_had_is_assumed() {
        let text = r#"setup "rowan/race" format=1 {
            note "Planned with `try` on rowan/race, not measured: stem.length, and what goes along: stem.angle, stem.clamp-height. Taken from the old stem: stem angle 0°, stem clamp height 40 mm. Measure the new stem."
            stem { length 40; angle 0; clamp-height 38 read="2026-05-26" }
        }"#;
        let catalogue = Catalogue::standard();
        let setup = read(catalogue, text.as_bytes(), None).setup.expect("a setup");
        let paths: Vec<String> = assumed(catalogue, &setup).iter().map(|id| catalogue.path(id)).collect();
        // The length was asked for, and the clamp was read since.
        assert_eq!(paths, ["stem.angle"]);
        let sheet = r#"found "rowan/race" format=1 { stem { length 45; angle 6 } }"#;
        let sheet = read(catalogue, sheet.as_bytes(), None).setup.expect("a sheet");
        let known = as_the_part_has_it(catalogue, &setup, &sheet);
        let value = |path: &str| known.value(&catalogue.find(path).expect("a measure"));
        assert_eq!([value("stem.length"), value("stem.angle")], [Some(40.0), Some(6.0)]);
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
