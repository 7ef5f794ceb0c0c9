//! One value over the revisions, each with its own uncertainty and a verdict against the one before.

use serde::Serialize;

use crate::catalogue::Catalogue;
use crate::metrology::verdict::Verdict;

use super::entry::{Entry, Event};
use super::held::{Held, Kept, Known};
use super::wanted::Wanted;

/// A named value over the revisions.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Series {
    /// Its name.
    pub name: String,
    /// In plain words.
    pub title: String,
    /// The unit of the numbers.
    pub unit: &'static str,
    /// The revisions, newest first; one that deleted the file or cannot be read has no value.
    pub points: Vec<Place>,
    /// What held before them, where only some time was asked for: the revision is older than that time.
    pub start: Option<Place>,
}

impl Series {
    /// Whether no revision that is told of has a value, nor the one before them.
    pub fn is_never_recorded(&self) -> bool {
        let mut known = self.points.iter().chain(&self.start).peekable();
        known.peek().is_some() && !known.any(Place::is_recorded)
    }

    /// What held all the time, if no revision in it changed or judged the value.
    pub fn unchanged_since(&self) -> Option<&Place> {
        let as_it_was = |point: &Place| point.event == Event::Unreadable || point.is_as_before();
        self.start.as_ref().filter(|_| self.points.iter().all(as_it_was))
    }
}

impl Place {
    /// Whether there is a value, or at least a word in place of it.
    pub fn is_recorded(&self) -> bool {
        self.value.is_some() || self.written.is_some()
    }

    /// Whether it stands as in the revision before, on ground of which both tell as much.
    pub fn is_as_before(&self) -> bool {
        self.verdict == Some(Verdict::Same) && self.ground.is_none()
    }
}

/// A value at one revision.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Place {
    /// The full hash.
    pub revision: String,
    /// The shortened hash.
    pub short: String,
    /// The day.
    pub date: String,
    /// What that revision did to the file.
    pub event: Event,
    /// Whether values of the file are planned there, not measured.
    pub planned: bool,
    /// The number, angles as read.
    pub value: Option<f64>,
    /// Its expanded uncertainty.
    #[serde(rename = "U")]
    pub uncertainty: Option<f64>,
    /// As typed, with its unit; a chosen word; nothing for a derived value.
    pub written: Option<String>,
    /// Whether first-order uncertainty is rough here.
    pub rough: bool,
    /// What became of it since the revision before; none in the first, and where there is no value to judge.
    pub verdict: Option<Verdict>,
    /// The change in words of the trade.
    pub moved: Option<String>,
    /// Of one that stands as it was, whether it is known better or less well than before.
    pub known: Option<Known>,
    /// That only one of this revision and the one before tells the slope of the ground on which an angle was read: which.
    pub ground: Option<&'static str>,
    /// Of a merge that decided between two values, or that the row before does not tell the value of.
    pub kept: Option<Kept>,
    /// Whether part of the change may be older than the time asked for: a merge brought what the revision asked from had
    /// already.
    pub reaches_before: bool,
}

impl Place {
    fn holds(&self) -> (Option<f64>, Option<String>) {
        (self.value, self.written.clone())
    }
}

/// The named values over the entries, newest first, and before them at `start`; where the file cannot be read they are
/// not known.
pub fn series(
    catalogue: &Catalogue,
    wanted: &[Wanted],
    entries: &[Entry],
    start: Option<&Entry>,
) -> Vec<Series> {
    let one = |(index, wanted): (usize, &Wanted)| {
        let (title, unit) = match wanted {
            Wanted::Measure(id) => (catalogue.title(id), catalogue.measure(id.row).unit()),
            Wanted::Derived(derived) => (derived.title.to_owned(), derived.unit),
        };
        let of = |entry: &'_ Entry| entry.values.get(index).cloned().unwrap_or_default();
        let start = start.map(|entry| place(entry, of(entry)));
        let held = entries.iter().map(|entry| (entry, of(entry))).collect();
        Series {
            name: wanted.name(catalogue),
            title,
            unit: unit.word(),
            points: points(held, start.as_ref()),
            start,
        }
    };
    wanted.iter().enumerate().map(one).collect()
}

/// A value at the revisions, newest first. Of the merges that only pass something on those remain whose value the row
/// before does not tell: so the newest row always has the newest value, however the lines lie in time.
fn points(held: Vec<(&Entry, Held)>, start: Option<&Place>) -> Vec<Place> {
    let mut told = start.map(Place::holds);
    let mut points = Vec::with_capacity(held.len());
    for (entry, held) in held.into_iter().rev() {
        let is_choice = held.is_choice;
        let mut place = place(entry, held);
        let is_news = told.as_ref() != Some(&place.holds()) && place.event != Event::Unreadable;
        if !is_choice && !is_news {
            place.kept = None;
        }
        if entry.joined.only_passes_on && place.kept.is_none() && !(is_news && place.event == Event::Deleted)
        {
            continue;
        }
        if place.event != Event::Unreadable && (!place.is_as_before() || place.kept.is_some()) {
            told = Some(place.holds());
        }
        points.push(place);
    }
    points.reverse();
    points
}

fn place(entry: &Entry, held: Held) -> Place {
    Place {
        revision: entry.revision.clone(),
        short: entry.short.clone(),
        date: entry.date.clone(),
        event: entry.event,
        planned: entry.planned,
        value: held.value,
        uncertainty: held.uncertainty,
        written: held.written,
        rough: held.rough,
        verdict: held.verdict,
        moved: held.moved,
        known: held.known,
        ground: held.ground,
        kept: held.kept,
        reaches_before: entry.joined.reaches_before,
    }
}
