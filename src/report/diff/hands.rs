//! The hands on the page of `diff`: what moved them, what only corrects them, and what drives it.

use crate::catalogue::Side;
use crate::compare::{Comparison, DerivedChange};
use crate::geometry::derived::{Coordinate, find, grip};
use crate::metrology::show;
use crate::metrology::unit::Unit;
use crate::metrology::verdict::Verdict;

use super::super::screen::{Align, Label, Page, Piece, piece, plain};
use super::words::Words;

/// Writes it; `all` lists every derived value.
pub fn hands(page: &mut Page, comparison: &Comparison, words: &Words, all: bool) {
    // The hands of two setups are where they are: no figure of either corrects the other's.
    let on_paper =
        |change: &&DerivedChange| change.verdict == Verdict::Corrected && !words.is_of_two_setups();
    let told = |change: &&DerivedChange| matches!(change.verdict, Verdict::Moved | Verdict::Corrected);
    let moved = grips(comparison, |change| told(&change) && !on_paper(&change));
    let corrected = grips(comparison, |change| on_paper(&change));
    let (paper, shown): (Vec<_>, Vec<_>) =
        comparison.derived.iter().filter(|change| is_shown(change, all)).partition(on_paper);
    let is_told = !(moved.is_empty() && corrected.is_empty() && paper.is_empty() && shown.is_empty());
    section(page, words.hands(), &moved, shown, words);
    section(page, "Corrected on paper: the figures changed, nothing moved", &corrected, paper, words);
    drivers(page, comparison, words, all);
    unknown_now(page, comparison, words);
    for granted in comparison.taken_for_granted.iter().filter(|_| is_told) {
        page.paragraph(2, 4, &[piece(Label::Quiet, *granted)]);
    }
    if comparison.partial && is_told {
        let granted = "Taken for granted: what was not looked at did not move.";
        page.paragraph(2, 4, &[piece(Label::Quiet, granted)]);
    }
}

fn section(page: &mut Page, title: &str, sentences: &[String], shown: Vec<&DerivedChange>, words: &Words) {
    if shown.is_empty() && sentences.is_empty() {
        return;
    }
    page.title(title);
    for sentence in sentences {
        page.paragraph(2, 4, &[plain(sentence.clone())]);
    }
    let rows: Vec<Vec<Piece>> = shown.into_iter().map(|change| derived_row(change, words)).collect();
    page.table(2, &[Align::Left, Align::Left, Align::Left], &rows);
}

/// What can be computed on one side only.
fn unknown_now(page: &mut Page, comparison: &Comparison, words: &Words) {
    for verdict in [Verdict::NotRecorded, Verdict::Recorded] {
        let titles: Vec<&str> = comparison
            .derived
            .iter()
            .filter(|change| change.verdict == verdict && !change.detail && !is_coordinate(change))
            .map(|change| change.title)
            .collect();
        if !titles.is_empty() {
            page.blank();
            let known = words.known_on_one_side(verdict);
            page.paragraph(0, 2, &[plain(format!("{known}: {}.", titles.join("; ")))]);
        }
    }
}

/// What the two hands say each, and the crookedness between them.
fn is_coordinate(change: &DerivedChange) -> bool {
    find(change.name).is_some_and(|(_, derived)| derived.is_of_one_hand() || derived.is_between_hands())
}

/// Grip coordinates are told as sentences unless everything is asked for.
fn is_shown(change: &DerivedChange, all: bool) -> bool {
    let moved = matches!(change.verdict, Verdict::Moved | Verdict::Corrected);
    let told_already = matches!(change.verdict, Verdict::Recorded | Verdict::NotRecorded);
    (all && !told_already) || (moved && !change.detail && !is_of_one_hand(change))
}

fn is_of_one_hand(change: &DerivedChange) -> bool {
    find(change.name).is_some_and(|(_, derived)| derived.is_of_one_hand())
}

/// Both hands in one sentence where they went the same way, else one each.
fn grips(comparison: &Comparison, is_told: impl Fn(&DerivedChange) -> bool) -> Vec<String> {
    let of = |side: Side| -> Vec<Option<&DerivedChange>> {
        let change = |coordinate| comparison.derived(grip(side, coordinate)?.name);
        Coordinate::ALL.into_iter().map(change).collect()
    };
    let (left, right) = (of(Side::Left), of(Side::Right));
    let delta = |change: Option<&DerivedChange>| change.and_then(|change| change.delta).unwrap_or(0.0);
    let alike = (0..3).all(|axis| (delta(left[axis]) - delta(right[axis])).abs() < 1e-6);
    let hands: Vec<(&str, &Vec<Option<&DerivedChange>>)> =
        if alike { vec![("Both hands", &left)] } else { vec![("Left hand", &left), ("Right hand", &right)] };
    let mut sentences = Vec::new();
    for (hand, axes) in hands {
        let moves: Vec<String> =
            axes.iter().flatten().filter(|change| is_told(change)).map(|change| amount(change)).collect();
        if !moves.is_empty() {
            sentences.push(format!("{hand}: {}.", moves.join(", ")));
        }
    }
    sentences
}

fn amount(change: &DerivedChange) -> String {
    let (Some(delta), Some(uncertainty)) = (change.delta, change.uncertainty) else { return String::new() };
    let (value, expanded) = show::with_uncertainty(delta.abs(), uncertainty, 1);
    let sign = Unit::of_word(change.unit).sign();
    format!("{value} ± {expanded}{sign} {}", change.direction)
}

fn derived_row(change: &DerivedChange, words: &Words) -> Vec<Piece> {
    let places = if change.unit == "1" { 2 } else { 1 };
    let value = |value: Option<f64>| value.map_or("unknown".to_owned(), |value| show::plain(value, places));
    let sign = Unit::of_word(change.unit).sign();
    let said = match change.verdict {
        Verdict::Moved | Verdict::Corrected => amount(change),
        Verdict::WithinReading => format!("{} (within reading)", amount(change)),
        other => other.word().to_owned(),
    };
    let rough = if change.rough { ", roughly" } else { "" };
    vec![
        piece(Label::Number, said),
        plain(change.title),
        piece(
            Label::Quiet,
            format!("{}{sign}{rough}", from_to(&value(change.was), &value(change.now), words)),
        ),
    ]
}

fn from_to(was: &str, now: &str, words: &Words) -> String {
    if words.is_of_two_setups() { words.both(was, now) } else { format!("{was} to {now}") }
}

/// The measures behind what the page says moved, and apart from them those that were only read again. What did not move
/// is named only where nothing that did is behind it.
fn drivers(page: &mut Page, comparison: &Comparison, words: &Words, all: bool) {
    let (mut moved, mut together, mut on_paper): (Vec<&str>, Vec<&str>, Vec<&str>) = Default::default();
    let told = |change: &&DerivedChange| matches!(change.verdict, Verdict::Moved | Verdict::Corrected);
    for change in comparison.derived.iter().filter(told).filter(|change| all || !change.detail) {
        let measure_of =
            |driver: &String| comparison.changes.iter().find(|measure| measure.measure == *driver);
        let stands = |driver: &String| {
            let verdict = measure_of(driver).map(|measure| measure.verdict);
            matches!(verdict, Some(Verdict::Same | Verdict::WithinReading))
        };
        let none_moved = change.driven_by.iter().all(stands);
        for driver in change.driven_by.iter().filter(|driver| none_moved || !stands(driver)) {
            let measure = measure_of(driver);
            let title = measure.map_or(driver.as_str(), |measure| &measure.title);
            let reread = measure.is_some_and(|measure| measure.verdict == Verdict::ReRead);
            let reread = reread && !words.is_of_two_setups();
            let list = match (none_moved, reread) {
                (true, _) => &mut together,
                (false, true) => &mut on_paper,
                (false, false) => &mut moved,
            };
            if !list.contains(&title) {
                list.push(title);
            }
        }
    }
    let each = if together.len() == 1 {
        "Within reading itself, and beyond it here"
    } else {
        "Each within reading, together beyond it"
    };
    for (because, list) in
        [("Because of", moved), (each, together), ("On paper, because read again", on_paper)]
    {
        if !list.is_empty() {
            page.paragraph(2, 4, &[piece(Label::Quiet, format!("{because}: {}.", list.join(", ")))]);
        }
    }
}
