//! One value over the revisions, each with its own uncertainty and a verdict against the one before.

use serde::Serialize;

use crate::catalogue::Catalogue;
use crate::compare::{Change, DerivedChange, typed};
use crate::geometry::derived::{All, DERIVED};
use crate::geometry::state::State;
use crate::metrology::NEGLIGIBLE;
use crate::metrology::propagate::{Output, Propagated};
use crate::metrology::reading::Reading;
use crate::metrology::show;
use crate::metrology::verdict::Verdict;
use crate::setup::model::Value;

use super::entry::{Entry, Event};
use super::wanted::Wanted;

/// A value as one revision has it.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Held {
    value: Option<f64>,
    uncertainty: Option<f64>,
    written: Option<String>,
    rough: bool,
    verdict: Option<Verdict>,
    moved: Option<String>,
    /// Of one that stands as it was, whether it is known better or less well than before.
    known: Option<Known>,
    /// What of the ground that it was read on only one of the contents compared tells.
    ground: Option<&'static str>,
    /// Of a merge whose versions differ in it.
    kept: Option<Kept>,
    /// Whether one of them had changed it to something else.
    is_choice: bool,
}

/// How well a value is known that stands as it was.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Known {
    /// Its uncertainty is less than before.
    Better,
    /// Its uncertainty is more than before.
    LessWell,
}

/// Which of its versions a merge took a value from.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Kept {
    /// The shortened hash of a version that has this value.
    pub from: String,
    /// The other values and the versions that have them.
    pub not: Vec<Passed>,
}

/// A value that a merge did not take.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Passed {
    /// The value as typed; a derived one as a number; none where that version does not have it.
    pub written: Option<String>,
    /// The shortened hash of the version.
    pub short: String,
}

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
        let as_it_was = |point: &Place| {
            (point.event == Event::Unreadable || point.is_as_before()) && !point.older_between
        };
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
    /// Whether part of the change may be older than the revision asked from.
    pub reaches_before: bool,
    /// Whether what it is held against is not the next older one here, but a revision that is not told.
    pub older_between: bool,
}

impl Place {
    fn holds(&self) -> (Option<f64>, Option<String>) {
        (self.value, self.written.clone())
    }
}

/// The named values of a state; `entry` holds what changed since the states `before`, of a merge several.
pub(super) fn held(state: &State, wanted: &[Wanted], entry: &Entry, before: &[State]) -> Vec<Held> {
    let derived = wanted.iter().any(|wanted| matches!(wanted, Wanted::Derived(_)));
    let propagated = derived.then(|| (state.values(&All), state.propagate(&All).0));
    let is_doubted = derived && entry.is_read_otherwise;
    let propagated_before: Vec<Propagated> =
        before.iter().filter(|_| is_doubted).map(|before| before.propagate(&All).0).collect();
    let of = |wanted: &Wanted| match wanted {
        Wanted::Measure(id) => {
            let path = state.catalogue().path(id);
            let change = entry.changes.iter().find(|change| change.measure == path);
            let reading = state.number(id);
            let doubts = |state: &State| state.number(id).map(Reading::expanded_uncertainty);
            Held {
                value: reading.map(Reading::value),
                uncertainty: reading.map(Reading::expanded_uncertainty),
                written: state.held(id).map(written),
                rough: reading.is_some_and(Reading::is_optimistic),
                verdict: Some(change.map_or(Verdict::Same, |change| change.verdict)),
                moved: change.and_then(|change| change.moved.clone()),
                known: known(change.is_none(), doubts(state), before.iter().map(doubts)),
                ground: ground(entry, &state.catalogue().title(id)),
                ..in_merge(entry, |changes, _| {
                    let change = changes.iter().find(|change| change.measure == path)?;
                    Some(change.was_written.clone())
                })
            }
        }
        Wanted::Derived(derived) => {
            let index = DERIVED.iter().position(|other| other.name == derived.name).unwrap_or_default();
            let output = propagated.as_ref().and_then(|(_, outputs)| outputs.output(index));
            let change = entry.derived.iter().find(|change| change.name == derived.name);
            let is_same = change.is_none_or(|change| change.verdict == Verdict::Same);
            let doubts = |output: Option<&Output>| output.map(Output::expanded_uncertainty);
            let doubted = propagated_before.iter().map(|before| doubts(before.output(index)));
            Held {
                value: propagated.as_ref().and_then(|(values, _)| values.get(index).copied().flatten()),
                uncertainty: output.map(Output::expanded_uncertainty),
                written: None,
                rough: output.is_some_and(|output| output.rough),
                verdict: Some(change.map_or(Verdict::Same, |change| change.verdict)),
                moved: change.filter(|change| change.verdict == Verdict::Moved).and_then(amount),
                known: known(is_same, doubts(output), doubted),
                ..in_merge(entry, |_, changes| {
                    let change = changes.iter().find(|change| change.name == derived.name)?;
                    let differs = change.verdict != Verdict::Same;
                    differs.then(|| change.was.map(|was| show::plain(was, 1) + derived.unit.sign()))
                })
            }
        }
    };
    let mut values: Vec<Held> = wanted.iter().map(of).collect();
    if !entry.compared {
        for value in &mut values {
            value.verdict = None;
        }
    }
    values
}

/// Whether a value that is the same is known otherwise than in all of these; `doubts` are expanded uncertainties.
fn known(is_same: bool, doubt: Option<f64>, before: impl Iterator<Item = Option<f64>>) -> Option<Known> {
    let doubt = doubt.filter(|_| is_same)?;
    let otherwise = |was: Option<f64>| {
        let more = doubt - was?;
        let known = if more > 0.0 { Known::LessWell } else { Known::Better };
        (more.abs() >= NEGLIGIBLE).then_some(known)
    };
    let all: Vec<Option<Known>> = before.map(otherwise).collect();
    let first = *all.first()?;
    first.filter(|_| all.iter().all(|one| *one == first))
}

/// What is told of the ground behind an angle.
fn ground(entry: &Entry, title: &str) -> Option<&'static str> {
    let unread = &entry.unread_ground;
    let read_anew = || entry.changes.iter().any(|change| change.title == title);
    unread.is_of(title).then(|| unread.in_short(read_anew()))
}

/// How the versions that a merge joined have one value; `other` tells what a version has otherwise than the merge.
fn in_merge(entry: &Entry, other: impl Fn(&[Change], &[DerivedChange]) -> Option<Option<String>>) -> Held {
    let mut kept = Kept { from: String::new(), not: Vec::new() };
    for (short, changes, derived) in &entry.joined.versions {
        match other(changes, derived) {
            Some(written) => kept.not.push(Passed { written, short: short.clone() }),
            None if kept.from.is_empty() => kept.from.clone_from(short),
            None => {}
        }
    }
    // Where no version has it so, the merge changed it, and where all have, nothing was to be decided.
    let decided = !kept.from.is_empty() && !kept.not.is_empty();
    let is_choice =
        entry.joined.not_taken.iter().any(|version| other(&version.changes, &version.derived).is_some());
    Held { kept: decided.then_some(kept), is_choice, ..Held::default() }
}

/// "4.5 ± 0.2 mm down".
fn amount(change: &DerivedChange) -> Option<String> {
    let (value, expanded) = show::with_uncertainty(change.delta?.abs(), change.uncertainty?, 1);
    let sign = DERIVED.iter().find(|derived| derived.name == change.name)?.unit.sign();
    Some(format!("{value} ± {expanded}{sign} {}", change.direction))
}

fn written(value: &Value) -> String {
    match value {
        Value::Reading(reading) => typed(reading),
        Value::Choice(word) => (*word).to_owned(),
        Value::Unmeasured => "unmeasured".to_owned(),
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
        older_between: entry.older_between,
    }
}
