//! One revision: who made it, and what it did to the bike, the dangerous first.

use crate::catalogue::{Weight, joint};
use crate::compare::{
    Also, Angle, Beside, Change, Fate, Limits, MarkChange, TorqueChange, WasReadBefore, told_first,
};
use crate::history::{Entry, Event};
use crate::metrology::show;
use crate::metrology::verdict::Verdict;
use crate::setup::model::seen;
use crate::setup::name_of;

use super::super::planned;
use super::super::screen::{Align, Label, Page, Piece, piece, plain};
use super::not_taken::not_taken;

/// Writes it.
pub fn revision(page: &mut Page, entry: &Entry) {
    page.blank();
    let head = [
        piece(Label::Title, entry.date.clone()),
        plain(format!(" {} ", entry.subject)),
        piece(Label::Quiet, format!("({}, {}{})", entry.author, entry.short, came_later(entry))),
    ];
    page.paragraph(0, 4, &head);
    if entry.planned {
        page.paragraph(2, 4, &[planned::sentence()]);
    }
    if let Some(from) = &entry.renamed_from {
        page.paragraph(2, 4, &[plain(format!("Renamed from {from}."))]);
    }
    if entry.joined.reaches_before {
        let said = "Merged what the revision asked from had already: some of this may be older than that.";
        page.paragraph(2, 4, &[plain(said)]);
    }
    if entry.stepped_over > 0 && entry.is_compared() {
        let many = match entry.stepped_over {
            1 => "the unreadable revision".to_owned(),
            number => format!("{number} unreadable revisions"),
        };
        page.paragraph(2, 4, &[piece(Label::Care, format!("Compared across {many} before it."))]);
    }
    match entry.event {
        Event::Recorded => {
            let said = match entry.measures {
                number if entry.stepped_over > 0 => {
                    format!("Nothing before it can be read. Here it has {}.", measures(number))
                }
                0 => "First recorded: nothing is measured yet.".to_owned(),
                number => format!("First recorded, with {}.", measures(number)),
            };
            page.paragraph(2, 4, &[plain(said)]);
            against_riding(page, entry);
            as_found(page, entry);
        }
        Event::ShallowCloneEnds => {
            let said = format!(
                "The history ends here because the clone is shallow: what it was before is not in this clone. Here it \
                 has {}.",
                measures(entry.measures)
            );
            page.paragraph(2, 4, &[piece(Label::Care, said)]);
            against_riding(page, entry);
            as_found(page, entry);
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
        Event::Changed if entry.changed_nothing() && entry.joined.merged => {
            page.paragraph(2, 4, &[plain("Merged: nothing in it that none of the merged versions had.")]);
        }
        Event::Changed if entry.is_quiet() => page.paragraph(2, 4, &[plain("Nothing moved.")]),
        Event::Changed => changed(page, entry),
    }
    for version in &entry.joined.not_taken {
        not_taken(page, version);
    }
}

/// On which day it came to be here, if that is another than the one on which its author wrote it: after a rebase.
fn came_later(entry: &Entry) -> String {
    if entry.committed == entry.date { String::new() } else { format!(", committed {}", entry.committed) }
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
    let held = format!("Back after its deletion, with {}.", measures(entry.measures));
    page.paragraph(2, 4, &[piece(Label::Care, held)]);
    if entry.is_compared() {
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
        against_riding(page, entry);
    }
}

fn measures(number: usize) -> String {
    if number == 1 { "1 measure".to_owned() } else { format!("{number} measures") }
}

/// The notes by which nobody is to ride, word for word.
fn forbidding(page: &mut Page, entry: &Entry) {
    for note in &entry.forbidding {
        let at = if note.on.is_empty() { String::new() } else { format!(" at {}", joint::title(&note.on)) };
        let (label, what) = if note.taken_out {
            (Label::Care, "note taken out")
        } else {
            (Label::Danger, "noted, not to be ridden")
        };
        page.paragraph(2, 4, &[piece(label, format!("{what}{at}")), plain(format!(": “{}”", note.text))]);
    }
}

/// What a file that is new here keeps against riding.
fn against_riding(page: &mut Page, entry: &Entry) {
    forbidding(page, entry);
    left_open(page, entry);
    damages(page, entry);
}

/// What a sheet that is new here found, in short: what moved against its setup, what was opened, how lines stood.
fn as_found(page: &mut Page, entry: &Entry) {
    let rows: Vec<Vec<Piece>> = entry.changes.iter().map(row).collect();
    page.table(2, &[Align::Left, Align::Left, Align::Left], &rows);
    for one in &entry.besides {
        let label = if one.grave { Label::Danger } else { Label::Plain };
        let said = one.now.clone().unwrap_or_default();
        page.paragraph(2, 4, &[piece(label, one.what.clone()), plain(format!(": {said}"))]);
    }
    let (grave, other): (Vec<&MarkChange>, _) = entry.marks.iter().partition(|mark| is_grave(mark));
    for mark in grave {
        page.paragraph(2, 4, &[piece(Label::Danger, mark_told(mark))]);
    }
    let also: Vec<String> = other.into_iter().map(mark_told).collect();
    if !also.is_empty() {
        page.paragraph(2, 4, &[piece(Label::Quiet, format!("Also: {}.", also.join("; ")))]);
    }
}

/// "mark L1 found broken, seen 2026-05-09".
fn mark_told(mark: &MarkChange) -> String {
    seen(&format!("mark {} {}", mark.mark, fate(mark)), mark.read)
}

fn is_grave(mark: &MarkChange) -> bool {
    matches!(mark.fate, Fate::Off | Fate::Broken | Fate::Missing)
}

fn damages(page: &mut Page, entry: &Entry) {
    for damage in told_first(&entry.damages, &entry.besides) {
        let on = piece(Label::Danger, format!("damage on {}", damage.on));
        page.paragraph(2, 4, &[on, plain(format!(": {}", damage.said()))]);
    }
}

/// How many other notes differ.
fn other_notes(entry: &Entry) -> usize {
    let is_told =
        |text: &Option<String>| entry.forbidding.iter().any(|note| text.as_ref() == Some(&note.text));
    let is_open = |text: &Option<String>| entry.left_open.iter().any(|one| text.as_ref() == Some(&one.note));
    let others = entry.notes.iter().filter(|note| !is_told(&note.was) && !is_told(&note.now));
    others.filter(|note| !is_open(&note.now)).count()
}

/// The joints that were left open.
fn left_open(page: &mut Page, entry: &Entry) {
    let titles: Vec<&str> = entry.left_open.iter().map(|one| one.title.as_str()).collect();
    let Some(first) = entry.left_open.first() else { return };
    let label = if first.weight == Weight::SteeringAndBrakes { Label::Danger } else { Label::Care };
    page.paragraph(
        2,
        4,
        &[piece(label, "opened, torque not known"), plain(format!(": {}", titles.join(", ")))],
    );
}

/// What the ground has to do with it: a shift that all angles share, or a slope that only one of the revisions tells.
fn ground(page: &mut Page, entry: &Entry) {
    if let Some(shift) = &entry.common_shift {
        page.paragraph(2, 4, &[piece(Label::Care, shift.words())]);
    }
    let is_read_anew = |angle: &Angle| entry.changes.iter().any(|change| change.id == angle.id);
    let mut angles: Vec<&Angle> = entry.unread_ground.angles.iter().collect();
    // What reads as it did may be in doubt, and comes first.
    angles.sort_by_key(|angle| entry.unread_ground.in_doubt && is_read_anew(angle));
    let mut said: Vec<(&str, Vec<&str>)> = Vec::new();
    for angle in angles {
        let Some(words) = entry.on_unread_ground(&angle.id) else { continue };
        match said.last_mut() {
            Some((known, titles)) if *known == words => titles.push(&angle.title),
            _ => said.push((words, vec![&angle.title])),
        }
    }
    for (words, titles) in said {
        page.paragraph(2, 4, &[piece(Label::Care, words), plain(format!(": {}", titles.join(", ")))]);
    }
    let old: Vec<String> = entry.was_read_before_the_roll.iter().map(WasReadBefore::in_words).collect();
    if !old.is_empty() {
        let words = "held against a figure older than the bar's roll, not known whether moved on the bar";
        page.paragraph(2, 4, &[piece(Label::Care, words), plain(format!(": {}", old.join(", ")))]);
    }
}

fn changed(page: &mut Page, entry: &Entry) {
    forbidding(page, entry);
    left_open(page, entry);
    ground(page, entry);
    let told = |change: &&Change| change.verdict != Verdict::WithinReading;
    let rows: Vec<Vec<Piece>> = entry.changes.iter().filter(told).map(row).collect();
    page.table(2, &[Align::Left, Align::Left, Align::Left], &rows);
    for change in &entry.torque {
        let head = match &change.out_of_range {
            Some(_) => piece(Label::Danger, format!("torque out of range, {}", change.title)),
            None => piece(Label::Care, format!("torque, {}", change.title)),
        };
        let outside = change.out_of_range.as_ref().map(|said| format!(" {said}")).unwrap_or_default();
        page.paragraph(2, 4, &[head, plain(format!(": {}{outside}", torque(change)))]);
    }
    damages(page, entry);
    for one in entry.besides.iter().filter(|one| one.grave) {
        page.paragraph(2, 4, &[piece(Label::Danger, one.in_words())]);
    }
    let mut also: Vec<String> = Vec::new();
    for (verdict, word) in [(Verdict::Recorded, "added"), (Verdict::NotRecorded, "gone")] {
        let parts = entry.parts.iter().filter(|part| part.verdict == verdict);
        also.extend(parts.map(|part| format!("{} {word}", part.part)));
    }
    let (grave, other): (Vec<&MarkChange>, _) = entry.marks.iter().partition(|mark| is_grave(mark));
    for mark in grave {
        page.paragraph(2, 4, &[piece(Label::Danger, mark_told(mark))]);
    }
    also.extend(other.into_iter().map(mark_told));
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
    also.extend(entry.besides.iter().filter(|one| !one.grave).map(Beside::in_words));
    match other_notes(entry) {
        0 => {}
        1 => also.push("a note changed".to_owned()),
        number => also.push(format!("{number} notes changed")),
    }
    if !also.is_empty() {
        page.paragraph(2, 4, &[piece(Label::Quiet, format!("Also: {}.", also.join("; ")))]);
    }
}

/// What became of a mark, in words.
pub fn fate(mark: &MarkChange) -> &'static str {
    match mark.fate {
        Fate::Added => "drawn",
        Fate::Gone => "no longer recorded",
        Fate::StruckOut => "struck out",
        Fate::Aligned => "found in line",
        Fate::Off => "found apart",
        Fate::Broken => "found broken",
        Fate::Missing => "found gone",
        _ => "drawn anew",
    }
}

fn row(change: &Change) -> Vec<Piece> {
    let moved_there = change.verdict == Verdict::Moved && !change.went_along();
    let dangerous = change.weight == Weight::SteeringAndBrakes && moved_there;
    let said = match (change.verdict, &change.moved) {
        (Verdict::Recorded, _) => "recorded".to_owned(),
        (Verdict::NotRecorded, _) => match &change.undecided {
            Some(versions) => format!("not decided, {versions}"),
            None => "no longer recorded".to_owned(),
        },
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

/// What differs of a torque.
fn torque(change: &TorqueChange) -> String {
    torque_in_words(change, "then", ToString::to_string)
}

/// The same with that word before what it became, and the rest told so.
pub fn torque_in_words(change: &TorqueChange, then: &str, also: impl Fn(&Also) -> String) -> String {
    let range = |limits: Option<Limits>| {
        limits.map_or("none".to_owned(), |limits| format!("{} N·m", from_to(limits)))
    };
    let mut said = Vec::new();
    if change.was != change.now {
        said.push(format!("{}, {then} {}", range(change.was), range(change.now)));
    }
    if change.ceiling_changed {
        said.push(format!("allowed {}, {then} {}", range(change.allowed_was), range(change.allowed_now)));
    }
    said.extend(change.also.iter().map(also));
    said.join("; ") + "."
}

/// "4 to 5".
pub fn from_to(limits: Limits) -> String {
    format!("{} to {}", show::brief(limits.from), show::brief(limits.to))
}
