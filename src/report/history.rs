//! The pages of `history`: revisions with what moved, values over the revisions, marks; and the same as [`csv`].

mod csv;

use std::cmp::Ordering;

use crate::catalogue::Weight;
use crate::compare::{Change, Fate, Limits, MarkChange, TorqueChange};
use crate::history::{Entry, Event, MarkEvent, MarkHistory, Place, Report, Series, What};
use crate::metrology::unit::Unit;
use crate::metrology::verdict::Verdict;
use crate::metrology::{NEGLIGIBLE, show};
use crate::setup::name_of;

pub use csv::csv;

use super::planned;
use super::screen::{Align, Label, Page, Piece, piece, plain};

/// The columns of a value's strip.
const STRIP: usize = 19;

/// Writes the page; `plot` draws a strip beside each value.
pub fn page(page: &mut Page, report: &Report, plot: bool) {
    if report.entries.is_empty() {
        page.paragraph(0, 2, &[plain(format!("{}: no revision in that time.", report.setup))]);
        return;
    }
    if report.series.is_empty() {
        for entry in &report.entries {
            revision(page, entry);
        }
        return;
    }
    for series in &report.series {
        values(page, series, plot);
    }
    let beside_values = |entry: &&Entry| entry.problem.is_some() || entry.renamed_to.is_some();
    for entry in report.entries.iter().filter(beside_values) {
        revision(page, entry);
    }
}

fn revision(page: &mut Page, entry: &Entry) {
    page.blank();
    let head = [
        piece(Label::Title, entry.date.clone()),
        plain(format!(" {} ", entry.subject)),
        piece(Label::Quiet, format!("({}, {})", entry.author, entry.short)),
    ];
    page.paragraph(0, 4, &head);
    if entry.planned {
        page.paragraph(2, 4, &[planned::sentence()]);
    }
    if let Some(from) = &entry.renamed_from {
        page.paragraph(2, 4, &[plain(format!("Renamed from {from}."))]);
    }
    if entry.stepped_over > 0 {
        let many = match entry.stepped_over {
            1 => "the unreadable revision".to_owned(),
            number => format!("{number} unreadable revisions"),
        };
        page.paragraph(2, 4, &[piece(Label::Care, format!("Compared across {many} before it."))]);
    }
    match entry.event {
        Event::Recorded => {
            page.paragraph(2, 4, &[plain(format!("First recorded, with {} measures.", entry.measures))]);
        }
        Event::Deleted => deleted(page, entry),
        Event::Back => back(page, entry),
        Event::Unreadable => {
            let problem = entry.problem.clone().unwrap_or_default();
            page.paragraph(
                2,
                4,
                &[piece(Label::Care, "Cannot be read whole, stepped over: "), plain(problem)],
            );
        }
        Event::Changed if entry.is_quiet() && entry.merged => {
            page.paragraph(2, 4, &[plain("Merged: nothing in it that none of the merged versions had.")]);
        }
        Event::Changed if entry.is_quiet() => page.paragraph(2, 4, &[plain("Nothing moved.")]),
        Event::Changed => changed(page, entry),
    }
}

fn deleted(page: &mut Page, entry: &Entry) {
    let Some(to) = &entry.renamed_to else { return page.paragraph(2, 4, &[plain("Deleted.")]) };
    let pieces = [
        plain(format!("Renamed to {to}. What became of it: ")),
        piece(Label::Command, format!("clampmark history {}", name_of(to))),
        plain("."),
    ];
    page.paragraph(2, 4, &pieces);
}

/// What was put back is told like what moved: the bike was somewhere in the meantime.
fn back(page: &mut Page, entry: &Entry) {
    let held = format!("Back after its deletion, with {} measures.", entry.measures);
    page.paragraph(2, 4, &[piece(Label::Care, held)]);
    if entry.compared {
        page.paragraph(
            2,
            4,
            &[plain(if entry.is_quiet() {
                "Nothing moved since the last readable revision before it."
            } else {
                "Since the last readable revision before it:"
            })],
        );
        changed(page, entry);
    } else {
        page.paragraph(2, 4, &[plain("No revision before it can be read.")]);
    }
}

fn changed(page: &mut Page, entry: &Entry) {
    let told = |change: &&Change| change.verdict != Verdict::WithinReading;
    let rows: Vec<Vec<Piece>> = entry.changes.iter().filter(told).map(row).collect();
    page.table(2, &[Align::Left, Align::Left, Align::Left], &rows);
    for change in &entry.torque {
        page.paragraph(
            2,
            4,
            &[
                piece(Label::Care, format!("torque, {}", change.title)),
                plain(format!(": {}", torque(change))),
            ],
        );
    }
    for damage in &entry.damages {
        let on = piece(Label::Danger, format!("damage on {}", damage.on));
        page.paragraph(2, 4, &[on, plain(format!(": {}", damage.text))]);
    }
    let mut also: Vec<String> = Vec::new();
    for (verdict, word) in [(Verdict::Recorded, "added"), (Verdict::NotRecorded, "gone")] {
        let parts = entry.parts.iter().filter(|part| part.verdict == verdict);
        also.extend(parts.map(|part| format!("{} {word}", part.part)));
    }
    also.extend(entry.marks.iter().map(|mark| format!("mark {} {}", mark.mark, fate(mark))));
    let within = entry.changes.iter().filter(|change| change.verdict == Verdict::WithinReading).count();
    if within > 0 {
        also.push(format!("{within} read again, within reading"));
    }
    let not_there = |words: &Option<String>| words.clone().unwrap_or_else(|| "not recorded".to_owned());
    also.extend(entry.instruments.iter().map(|change| {
        let (was, now) = (not_there(&change.was), not_there(&change.now));
        format!("instrument {}, {was}, then {now}", change.instrument)
    }));
    also.extend(
        entry.read_otherwise.iter().map(|one| format!("{} read {}, then {}", one.title, one.was, one.now)),
    );
    match entry.notes.len() {
        0 => {}
        1 => also.push("a note changed".to_owned()),
        number => also.push(format!("{number} notes changed")),
    }
    if !also.is_empty() {
        page.paragraph(2, 4, &[piece(Label::Quiet, format!("Also: {}.", also.join("; ")))]);
    }
}

/// What became of a mark, in words.
fn fate(mark: &MarkChange) -> &'static str {
    match mark.fate {
        Fate::Added => "drawn",
        Fate::Gone => "no longer recorded",
        Fate::StruckOut => "struck out",
        _ => "drawn anew",
    }
}

fn row(change: &Change) -> Vec<Piece> {
    let moved_there = change.verdict == Verdict::Moved && !change.went_along();
    let dangerous = change.weight == Weight::SteeringAndBrakes && moved_there;
    let said = match (change.verdict, &change.moved) {
        (Verdict::Recorded, _) => "recorded".to_owned(),
        (Verdict::NotRecorded, _) => "no longer recorded".to_owned(),
        (Verdict::ReRead, Some(moved)) => format!("{moved}, read again"),
        (_, Some(moved)) => moved.clone(),
        (verdict, None) => verdict.word().to_owned(),
    };
    let figures = match (&change.was_written, &change.now_written) {
        (Some(was), Some(now)) => format!("{was}, then {now}{}", change.on_what()),
        (Some(only), None) | (None, Some(only)) => only.clone(),
        (None, None) => String::new(),
    };
    vec![
        piece(
            if dangerous { Label::Danger } else { Label::Plain },
            format!("{}{}", change.title, change.along_with()),
        ),
        piece(Label::Number, said),
        piece(Label::Quiet, figures),
    ]
}

fn torque(change: &TorqueChange) -> String {
    let range = |limits: Option<Limits>| {
        limits.map_or("none".to_owned(), |limits| format!("{} N·m", from_to(limits)))
    };
    let mut said = Vec::new();
    if change.was != change.now {
        said.push(format!("{}, then {}", range(change.was), range(change.now)));
    }
    if change.ceiling_changed {
        said.push(format!("allowed {}, then {}", range(change.allowed_was), range(change.allowed_now)));
    }
    said.extend(change.also.iter().map(ToString::to_string));
    said.join("; ") + "."
}

fn from_to(limits: Limits) -> String {
    format!("{} to {}", show::brief(limits.from), show::brief(limits.to))
}

/// One value, a row for each revision that changed it. Those that cannot be read are told below all values.
fn values(page: &mut Page, series: &Series, plot: bool) {
    page.title(format!("{} ({})", series.title, series.name));
    let readable: Vec<&Place> =
        series.points.iter().filter(|point| point.event != Event::Unreadable).collect();
    let older = readable.iter().skip(1).map(|point| Some(*point)).chain([None]);
    let doubted: Vec<(&Place, Option<Ordering>)> =
        readable.iter().zip(older).map(|(point, older)| (*point, doubt(point, older))).collect();
    let told: Vec<(&Place, Option<Ordering>)> = doubted
        .into_iter()
        .filter(|(point, doubt)| {
            point.verdict != Some(Verdict::Same) || doubt.is_some() || point.event == Event::Back
        })
        .collect();
    let points: Vec<&Place> = told.iter().map(|(point, _)| *point).collect();
    let scale = Scale::of(&points).filter(|_| plot && told.len() > 1);
    let sign = unit(series.unit).sign();
    let rows: Vec<Vec<Piece>> = told
        .iter()
        .map(|(point, doubt)| {
            let mut row = vec![plain(point.date.clone()), piece(Label::Number, number(point, sign))];
            if let Some(scale) = &scale {
                row.push(plain(scale.strip(point)));
            }
            row.push(piece(Label::Quiet, said(point, *doubt)));
            row
        })
        .collect();
    page.table(2, &[Align::Left, Align::Right, Align::Left, Align::Left], &rows);
    let quiet = readable.len() - told.len();
    if quiet > 0 {
        let words = format!("Unchanged in {quiet} other revision{}.", if quiet == 1 { "" } else { "s" });
        page.paragraph(2, 4, &[piece(Label::Quiet, words)]);
    }
}

fn number(point: &Place, sign: &str) -> String {
    match (point.value, point.uncertainty) {
        (Some(value), Some(uncertainty)) => {
            let (value, expanded) = show::with_uncertainty(value, uncertainty, 1);
            format!("{value} ± {expanded}{sign}")
        }
        (Some(value), None) => format!("{}{sign}", show::plain(value, 1)),
        (None, _) => point.written.clone().unwrap_or_else(|| "not recorded".to_owned()),
    }
}

/// Whether a value that stands as it was is doubted more or less than before.
fn doubt(point: &Place, older: Option<&Place>) -> Option<Ordering> {
    let (now, was) = (point.uncertainty?, older?.uncertainty?);
    let same = point.verdict == Some(Verdict::Same);
    (same && (now - was).abs() >= NEGLIGIBLE).then(|| now.total_cmp(&was))
}

fn said(point: &Place, doubt: Option<Ordering>) -> String {
    let rough = if point.rough { ", roughly" } else { "" };
    let what = match (point.event, point.verdict, &point.moved) {
        (Event::Deleted, ..) => "file deleted".to_owned(),
        (Event::Back, None, _) => "recorded again".to_owned(),
        (_, None, _) => "first recorded".to_owned(),
        _ if doubt == Some(Ordering::Greater) => "same, known less well".to_owned(),
        _ if doubt == Some(Ordering::Less) => "same, known better".to_owned(),
        (_, Some(Verdict::Moved), Some(moved)) => moved.clone(),
        (_, Some(verdict), _) => verdict.word().to_owned(),
    };
    let what = if point.event == Event::Back { format!("back: {what}") } else { what };
    format!("{what}{rough}{}, {}", planned::behind(point.planned), point.short)
}

fn unit(word: &str) -> Unit {
    Unit::ALL.iter().copied().find(|unit| unit.word() == word).unwrap_or(Unit::One)
}

/// The span of values a strip shows.
struct Scale {
    low: f64,
    width: f64,
}

impl Scale {
    fn of(points: &[&Place]) -> Option<Scale> {
        let ends = points.iter().filter_map(|point| {
            let (value, half) = (point.value?, point.uncertainty.unwrap_or(0.0));
            Some((value - half, value + half))
        });
        let (low, high) = ends.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))?;
        (high > low).then_some(Scale { low, width: high - low })
    }

    /// The value as a point between the ends of its uncertainty, further right for more.
    fn strip(&self, point: &Place) -> String {
        let Some(value) = point.value else { return " ".repeat(STRIP) };
        let half = point.uncertainty.unwrap_or(0.0);
        let last = STRIP - 1;
        let at = |value: f64| {
            let column = ((value - self.low) / self.width * last as f64).round();
            (0..=last).find(|place| *place as f64 >= column).unwrap_or(last)
        };
        let (from, here, to) = (at(value - half), at(value), at(value + half));
        let cell = |place: usize| match place {
            place if place == here => '◆',
            place if (from..=to).contains(&place) => '─',
            _ => ' ',
        };
        (0..STRIP).map(cell).collect()
    }
}

/// Writes the story of the marks.
pub fn marks(page: &mut Page, report: &Report) {
    if report.marks.is_empty() {
        let said = format!("{}: no such mark is recorded in that time.", report.setup);
        page.paragraph(0, 2, &[plain(said)]);
    }
    for story in &report.marks {
        page.title(format!("Mark {}{}", story.mark, joint(story)));
        let state = match (story.gone, story.stale) {
            (true, _) => piece(Label::Quiet, "No longer recorded."),
            (_, true) => {
                piece(Label::Danger, "Stale: the recorded position is not where it was drawn. Draw it anew.")
            }
            _ => plain("Stands where the setup wants it."),
        };
        page.paragraph(2, 4, &[state]);
        let rows: Vec<Vec<Piece>> = story
            .events
            .iter()
            .map(|event| {
                vec![
                    plain(event.date.clone()),
                    plain(happened(event)),
                    piece(Label::Quiet, event.short.clone()),
                ]
            })
            .collect();
        page.table(2, &[Align::Left, Align::Left, Align::Left], &rows);
    }
}

fn joint(story: &MarkHistory) -> String {
    story.joint.as_ref().map(|joint| format!(" on {joint}")).unwrap_or_default()
}

fn happened(event: &MarkEvent) -> String {
    let on = event.drawn_on.as_ref().map(|day| format!(" (on {day})")).unwrap_or_default();
    match event.what {
        What::Drawn => format!("drawn{on}"),
        What::DrawnAnew => format!("drawn anew{on}"),
        What::Stale => format!("went stale: {}", event.measures.join(", ")),
        What::TrueAgain => "true again: the setup came back to it".to_owned(),
        What::Gone => "no longer recorded".to_owned(),
    }
}
