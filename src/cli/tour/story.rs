//! The demo's history: the committed setups under `setups/`, and what they looked like before.
//!
//! An earlier version is the embedded one with a few words changed back, so that the demo can never tell another
//! story than the files a person can read in this repository.

use chrono::{DateTime, FixedOffset};

use crate::ledger::demo::DemoCommit;

/// The working file that the last edit of the story is not recorded in.
pub const UNRECORDED: &str = "rowan/home";

const HOME: &str = include_str!("../../../setups/rowan/home.kdl");
const RACE: &str = include_str!("../../../setups/rowan/race.kdl");
const RETURNED: &str = include_str!("../../../setups/rowan/returned.kdl");
const TRAIL: &str = include_str!("../../../setups/alder/trail.kdl");

/// Words of a text, what stands in their place in the other version, and how often.
type Edit = (&'static str, &'static str, usize);

/// Home as first measured: one spacer less under the stem.
const FIRST_HOME: &[Edit] = &[
    ("2026-03-29", "2026-03-14", HOME_DATES),
    ("spacers-below 10 with=caliper; spacers-above 10", "spacers-below 5 with=caliper; spacers-above 15", 1),
];
/// How often the day of home's last measuring stands in it.
const HOME_DATES: usize = 11;

/// The race setup as it begins: a copy of home.
const FIRST_RACE: &[Edit] = &[
    ("setup \"rowan/home\"", "setup \"rowan/race\"", 1),
    ("Home trails, long evenings, some climbing", "Two-day stage race, steep and rough", 1),
];

/// Home as it stands now: the bar was rolled forward yesterday evening, and nobody has recorded it yet.
const TINKERED: &[Edit] =
    &[("measured \"2026-03-29\"", "measured \"2026-05-24\"", 1), ("roll 0.0 0.5 0.0", "roll 2.0 2.5 2.0", 1)];

fn edited(text: &str, edits: &[Edit]) -> String {
    edits.iter().fold(text.to_owned(), |text, (words, others, _)| text.replace(words, others))
}

struct Chapter {
    date: &'static str,
    subject: &'static str,
    tag: Option<&'static str>,
    files: Vec<(&'static str, String)>,
}

fn chapters() -> Vec<Chapter> {
    let chapter = |date, subject, tag, files| Chapter { date, subject, tag, files };
    let one = |name, text: String| vec![(name, text)];
    vec![
        chapter(
            "2026-03-14T18:10:00+01:00",
            "Measure rowan at home for the first time",
            Some("home-1"),
            one("rowan/home", edited(HOME, FIRST_HOME)),
        ),
        chapter(
            "2026-03-29T17:45:00+02:00",
            "Put one 5 mm spacer under the stem: the hands were too low on steep ground",
            Some("home-2"),
            one("rowan/home", HOME.to_owned()),
        ),
        chapter(
            "2026-04-18T10:05:00+02:00",
            "Start the race setup from home",
            Some("valley-practice"),
            one("rowan/race", edited(HOME, FIRST_RACE)),
        ),
        chapter(
            "2026-05-02T08:20:00+02:00",
            "Set rowan up for the valley: front end up, levers inboard and flatter",
            Some("valley-race"),
            one("rowan/race", RACE.to_owned()),
        ),
        chapter(
            "2026-05-09T16:30:00+02:00",
            "Measure alder, the second bike",
            None,
            one("alder/trail", TRAIL.to_owned()),
        ),
        chapter(
            "2026-05-16T19:05:00+02:00",
            "Write down how rowan came back from a loan",
            None,
            one("rowan/returned", RETURNED.to_owned()),
        ),
    ]
}

/// The commits, oldest first.
pub fn commits() -> Vec<DemoCommit<'static>> {
    let made = |chapter: Chapter| {
        let files = chapter.files.into_iter();
        Some(DemoCommit {
            files: files
                .map(|(name, text)| (format!("setups/{name}.kdl"), Some(text.into_bytes())))
                .collect(),
            subject: chapter.subject,
            date: DateTime::<FixedOffset>::parse_from_rfc3339(chapter.date).ok()?,
            tag: chapter.tag,
        })
    };
    chapters().into_iter().filter_map(made).collect()
}

/// One line a commit: day, what was done, and its tag.
pub fn told() -> Vec<String> {
    let line = |chapter: Chapter| {
        let day = chapter.date.get(..10).unwrap_or(chapter.date);
        let tag = chapter.tag.map(|tag| format!(" ({tag})")).unwrap_or_default();
        format!("{day}  {}{tag}", chapter.subject)
    };
    chapters().into_iter().map(line).collect()
}

/// The unrecorded file as committed, and as it stands now.
pub fn unrecorded() -> (&'static str, String) {
    (HOME, edited(HOME, TINKERED))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Catalogue;
    use crate::setup::read::read;

    #[test]
    fn every_edit_applies_as_often_as_it_says() {
        for (name, text, edits) in
            [("first home", HOME, FIRST_HOME), ("first race", HOME, FIRST_RACE), ("tinkered", HOME, TINKERED)]
        {
            for (words, others, times) in edits {
                assert_eq!(text.matches(words).count(), *times, "{name}: {words}");
                assert_ne!(words, others, "{name}");
            }
        }
    }

    #[test]
    fn no_commit_of_the_story_is_lost_and_they_go_forward_in_time() {
        let commits = commits();
        assert_eq!(commits.len(), chapters().len());
        assert!(commits.is_sorted_by_key(|commit| commit.date));
    }

    #[test]
    fn every_text_of_the_story_reads_without_a_finding() {
        let catalogue = Catalogue::standard();
        let race = read(catalogue, RACE.as_bytes(), None).setup;
        let mut texts: Vec<String> =
            chapters().into_iter().flat_map(|chapter| chapter.files).map(|(_, text)| text).collect();
        texts.push(unrecorded().1);
        for text in texts {
            let base = race.as_ref().filter(|_| text.contains("found \"rowan/race\""));
            let read = read(catalogue, text.as_bytes(), base);
            assert!(read.findings.is_empty(), "{:?}", read.findings);
            assert!(read.setup.is_some());
        }
    }

    #[test]
    fn no_version_speaks_of_days_after_it_was_recorded() {
        for chapter in chapters() {
            let recorded = &chapter.date[..10];
            for (name, text) in &chapter.files {
                let days = text.match_indices("\"2026-").filter_map(|(at, _)| text.get(at + 1..at + 11));
                for day in days {
                    assert!(day <= recorded, "{name}: {day} is after {recorded}");
                }
            }
        }
    }
}
