//! Merging what is not a reading alone: days of readings, notes, torques and marks, and whole groups taken out.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use chrono::NaiveDate;
use clampmark::catalogue::Catalogue;
use clampmark::merge::Merged;
use clampmark::setup::model::{Setup, Value};
use proptest::prelude::*;

use crate::merge::{merged, setup, side_of};

/// Groups with one measure each, and numbers to choose from: each further from the others than any reading explains.
const GROUPS: [(&str, &str, [f64; 3]); 3] = [
    ("bar", "width", [780.0, 760.0, 740.0]),
    ("stem", "length", [50.0, 40.0, 60.0]),
    ("hose \"rear brake\"", "free", [420.0, 430.0, 405.0]),
];
/// Where notes go: the groups, the torque, the top.
const PLACES: usize = GROUPS.len() + 2;
/// Words of notes; the first two keep anybody from riding.
const NOTES: [&str; 5] = [
    "Do not ride: cracked at place",
    "damage: scored after the flight, place",
    "Comfortable on long climbs, place",
    "Came from the spare box in March, place",
    "Ask about it next week, place",
];
const STOPS: usize = 2;
const RANGES: [&str; 3] = ["4 5", "4 4.6", "3.5 5"];
const CAUTIONS: [&str; 3] =
    ["Assembly paste, never grease.", "Even gap top and bottom.", "Only the short bolts fit this one."];
const ROLLS: [&str; 3] = ["-1.5", "2.0", "6.0"];

/// One version; what is none is not in it.
#[derive(Clone, Debug)]
struct Version {
    day: u32,
    /// A number and perhaps a day of its own.
    readings: [Option<(usize, Option<u32>)>; GROUPS.len()],
    notes: [Option<usize>; PLACES],
    torque: Option<Torque>,
    mark: Option<usize>,
}

#[derive(Clone, Debug, PartialEq)]
struct Torque {
    range: usize,
    applied: Option<u32>,
    cautions: [bool; CAUTIONS.len()],
}

impl Version {
    fn note(&self, place: usize) -> Option<String> {
        Some(format!("{} {place}", NOTES[self.notes[place]?]))
    }

    /// Whether a group with its measure and its note is there.
    fn has(&self, place: usize) -> bool {
        match GROUPS.get(place) {
            Some(_) => self.readings[place].is_some(),
            None => place > GROUPS.len() || self.torque.is_some(),
        }
    }

    /// The note that keeps anybody from riding at a place, if it is there.
    fn stop(&self, place: usize) -> Option<String> {
        self.note(place).filter(|_| self.has(place) && self.notes[place].is_some_and(|note| note < STOPS))
    }

    fn text(&self) -> String {
        let note =
            |place: usize| self.note(place).map(|note| format!("; note \"{note}\"")).unwrap_or_default();
        let mut text =
            format!("setup \"rowan/race\" format=1 {{\n    measured \"2031-05-{:02}\"\n", self.day);
        for (place, (group, word, numbers)) in GROUPS.iter().enumerate() {
            let Some((number, day)) = self.readings[place] else { continue };
            let read = day.map(|day| format!(" read=\"2031-05-{day:02}\"")).unwrap_or_default();
            let number = numbers[number];
            let _ = writeln!(text, "    {group} {{ {word} {number} tol=0.5{read}{} }}", note(place));
        }
        if let Some(torque) = &self.torque {
            let _ = writeln!(text, "    torque \"stem-face\" {} {{", RANGES[torque.range]);
            for (caution, _) in CAUTIONS.iter().zip(torque.cautions).filter(|(_, there)| *there) {
                let _ = writeln!(text, "        caution \"{caution}\"");
            }
            if let Some(day) = torque.applied {
                let _ = writeln!(text, "        applied 4.{day} read=\"2031-05-{day:02}\"");
            }
            let inside = self.note(GROUPS.len()).map(|note| format!("        note \"{note}\"\n"));
            text += &format!("{}    }}\n", inside.unwrap_or_default());
        }
        if let Some(roll) = self.mark {
            let _ = writeln!(text, "    mark \"S1\" on=\"stem-face\" {{ drawn roll={} }}", ROLLS[roll]);
        }
        if let Some(note) = self.note(PLACES - 1) {
            let _ = writeln!(text, "    note \"{note}\"");
        }
        text + "}\n"
    }

    /// A reading's number and the day it was read.
    fn reading(&self, place: usize) -> Option<(f64, u32)> {
        self.readings[place].map(|(number, day)| (GROUPS[place].2[number], day.unwrap_or(self.day)))
    }

    fn cautions(&self) -> BTreeSet<&'static str> {
        let torque = self.torque.iter();
        torque
            .flat_map(|torque| CAUTIONS.into_iter().zip(torque.cautions))
            .filter(|one| one.1)
            .map(|one| one.0)
            .collect()
    }
}

fn version() -> impl Strategy<Value = Version> {
    let reading = || proptest::option::weighted(0.9, (0..3usize, proptest::option::weighted(0.3, 1..9u32)));
    let note = || proptest::option::weighted(0.6, 0..NOTES.len());
    let torque = (0..RANGES.len(), proptest::option::of(1..9u32), any::<[bool; CAUTIONS.len()]>());
    let torque = torque.prop_map(|(range, applied, cautions)| Torque { range, applied, cautions });
    let parts = (
        1..4u32,
        [reading(), reading(), reading()],
        [note(), note(), note(), note(), note()],
        proptest::option::weighted(0.9, torque),
        proptest::option::weighted(0.8, 0..ROLLS.len()),
    );
    parts.prop_map(|(day, readings, notes, torque, mark)| Version { day, readings, notes, torque, mark })
}

/// A base and two versions that changed a few things of it.
fn three() -> impl Strategy<Value = [Version; 3]> {
    let changes =
        || (version(), proptest::collection::vec(proptest::bool::weighted(0.3), 4 + GROUPS.len() + PLACES));
    (version(), changes(), changes()).prop_map(|(base, ours, theirs)| {
        let changed = |(other, which): (Version, Vec<bool>)| {
            let mut version = base.clone();
            let mut which = which.into_iter();
            let mut differs = || which.next().unwrap_or(false);
            for (place, reading) in version.readings.iter_mut().enumerate() {
                if differs() {
                    *reading = other.readings[place];
                }
            }
            for (place, note) in version.notes.iter_mut().enumerate() {
                if differs() {
                    *note = other.notes[place];
                }
            }
            if differs() {
                version.day = other.day;
            }
            if differs() {
                version.torque.clone_from(&other.torque);
            }
            if differs() {
                version.mark = other.mark;
            }
            version
        };
        [base.clone(), changed(ours), changed(theirs)]
    })
}

/// A place as a path begins there.
fn path(place: usize) -> String {
    match GROUPS.get(place) {
        Some((group, ..)) => group.replace(" \"", ".").replace('"', ""),
        None if place == GROUPS.len() => "torque.stem-face".to_owned(),
        None => String::new(),
    }
}

/// The conflict, if there is one, over what has this path or over a group around it.
fn conflict_over<'m>(result: &'m Merged, path: &str) -> Option<&'m str> {
    let over = |about: &&str| path == *about || path.starts_with(&format!("{about}."));
    result.conflicts.iter().map(|conflict| conflict.about.as_str()).find(over)
}

fn recorded(setup: &Setup, path: &str) -> Option<(f64, NaiveDate)> {
    let id = Catalogue::standard().find(path)?;
    let Value::Reading(reading) = &setup.recorded(&id)?.value else { return None };
    Some((reading.value(), reading.read().or(setup.measured.as_ref().map(|measured| measured.date))?))
}

fn on(day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(2031, 5, day).expect("a day")
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    #[test]
    fn every_reading_keeps_the_day_it_was_read([base, ours, theirs] in three()) {
        let result = merged(&base.text(), &ours.text(), &theirs.text());
        let now = setup(&result.text);
        for (place, (_, word, _)) in GROUPS.iter().enumerate() {
            let path = format!("{}.{word}", path(place));
            let sides = [ours.reading(place), theirs.reading(place)];
            if let Some(about) = conflict_over(&result, &path) {
                prop_assert!(recorded(&now, &path).is_none());
                for (side, reading) in ["ours", "theirs"].into_iter().zip(sides) {
                    let Some((number, day)) = reading else { continue };
                    let stands = side_of(&result.text, about, side);
                    // It has its day in it, or is read on the file's.
                    let start = stands.find(&format!("{word} {number} tol=0.5"));
                    let start = start.map(|start| &stands[start..]).unwrap_or_default();
                    let of_file = now.measured.as_ref().is_some_and(|measured| measured.date == on(day));
                    let with_day = format!("{word} {number} tol=0.5 read=\"2031-05-{day:02}\"");
                    let is_whole = start.starts_with(&with_day) || of_file && !start.contains(" read=") && !start.is_empty();
                    prop_assert!(is_whole, "{} of {}, read on {}: {}", path, side, day, stands);
                }
                continue;
            }
            let is_of = |side: Option<(f64, u32)>| side.map(|(number, day)| (number, on(day))) == recorded(&now, &path);
            prop_assert!(sides.into_iter().any(is_of), "{}: {:?} of {:?}", path, recorded(&now, &path), sides);
        }
    }

    #[test]
    fn no_stop_goes_without_a_word_and_no_new_note_is_lost([base, ours, theirs] in three()) {
        let result = merged(&base.text(), &ours.text(), &theirs.text());
        for place in 0..PLACES {
            for side in [&ours, &theirs] {
                if let Some(stop) = side.stop(place) {
                    let still = NOTES[..STOPS].iter().any(|note| result.text.contains(&format!("\"{note} {place}\"")));
                    let told = result.said.iter().any(|said| said.contains(&stop) && said.contains("is no longer there"));
                    prop_assert!(still || told, "{} is gone: {}", stop, result.text);
                }
                if let Some(note) = side.note(place).filter(|_| side.has(place)) {
                    let is_new = base.note(place).as_ref() != Some(&note) || !base.has(place);
                    prop_assert!(!is_new || result.text.contains(&format!("\"{note}\"")), "{} is lost: {}", note, result.text);
                }
            }
        }
    }

    #[test]
    fn of_a_torque_no_caution_goes_unless_one_side_took_it_out([base, ours, theirs] in three()) {
        let result = merged(&base.text(), &ours.text(), &theirs.text());
        let (was, mine, yours) = (base.cautions(), ours.cautions(), theirs.cautions());
        for caution in mine.union(&yours) {
            let is_new = !was.contains(caution);
            let stays = is_new || mine.contains(caution) && yours.contains(caution);
            prop_assert!(!stays || result.text.contains(*caution), "{} is lost: {}", caution, result.text);
        }
        let range = |version: &Version| version.torque.as_ref().map(|torque| RANGES[torque.range]);
        let (b, o, t) = (range(&base), range(&ours), range(&theirs));
        let of = |text: &str, range: Option<&str>| range.is_none_or(|range| text.contains(&format!("\"stem-face\" {range} {{")));
        if conflict_over(&result, "torque.stem-face").is_some() {
            prop_assert!(of(side_of(&result.text, "torque.stem-face", "ours"), o), "{}", result.text);
            prop_assert!(of(side_of(&result.text, "torque.stem-face", "theirs"), t), "{}", result.text);
            prop_assert_ne!(&ours.torque, &theirs.torque);
        } else {
            let expected = if o == b { t } else { o };
            prop_assert!(o == t || o == b || t == b, "decided between {:?} and {:?}", o, t);
            prop_assert!(of(&result.text, expected), "{:?}: {}", expected, result.text);
            prop_assert_eq!(setup(&result.text).torque("stem-face").is_some(), expected.is_some());
        }
    }

    #[test]
    fn a_mark_is_one_drawing_of_one_side([base, ours, theirs] in three()) {
        let result = merged(&base.text(), &ours.text(), &theirs.text());
        let (b, o, t) = (base.mark, ours.mark, theirs.mark);
        let drawn = |roll: Option<usize>| roll.map(|roll| format!("drawn roll={}", ROLLS[roll]));
        if conflict_over(&result, "mark.S1").is_some() {
            prop_assert!(o != t && o != b && t != b);
            for (side, roll) in [("ours", o), ("theirs", t)] {
                let stands = side_of(&result.text, "mark.S1", side);
                prop_assert_eq!(drawn(roll).map_or(!stands.contains("drawn"), |drawn| stands.contains(&drawn)), true, "{}", stands);
            }
        } else {
            let expected = if o == b { t } else { o };
            prop_assert!(o == t || o == b || t == b);
            prop_assert!(drawn(expected).map_or(!result.text.contains("drawn"), |drawn| result.text.contains(&drawn)), "{}", result.text);
        }
    }

    #[test]
    fn sides_swapped_leave_the_same_undecided([base, ours, theirs] in three()) {
        let about = |merged: Merged| -> BTreeSet<String> {
            merged.conflicts.into_iter().map(|conflict| conflict.about).collect()
        };
        let one = merged(&base.text(), &ours.text(), &theirs.text());
        let other = merged(&base.text(), &theirs.text(), &ours.text());
        let (now, swapped) = (setup(&one.text), setup(&other.text));
        for (place, (_, word, _)) in GROUPS.iter().enumerate() {
            let path = format!("{}.{word}", path(place));
            prop_assert_eq!(recorded(&now, &path), recorded(&swapped, &path), "{}: {}", path, one.text);
        }
        prop_assert_eq!(about(one), about(other));
    }

    #[test]
    fn what_one_side_alone_says_of_another_day_is_taken([base, ours, _] in three()) {
        for (mine, yours) in [(&ours, &base), (&base, &ours)] {
            let result = merged(&base.text(), &mine.text(), &yours.text());
            prop_assert!(result.conflicts.is_empty(), "{:?}", result.conflicts);
            let now = setup(&result.text);
            for (place, (_, word, _)) in GROUPS.iter().enumerate() {
                let path = format!("{}.{word}", path(place));
                let read = ours.reading(place).map(|(number, day)| (number, on(day)));
                prop_assert_eq!(recorded(&now, &path), read, "{}: {}", path, result.text);
            }
        }
    }
}
