//! The hands on the page of `diff`: what moved them, what only corrects them, and what drives it.

use crate::compare::{Comparison, DerivedChange};
use crate::metrology::show;
use crate::metrology::verdict::Verdict;

use super::super::screen::{Align, Label, Page, Piece, piece, plain};
use super::unit;

/// Writes it; `all` lists every derived value.
pub fn hands(page: &mut Page, comparison: &Comparison, all: bool) {
    let moved = grips(comparison, Verdict::Moved);
    let corrected = grips(comparison, Verdict::Corrected);
    let is_moved = |change: &&DerivedChange| is_shown(change, all) && change.verdict != Verdict::Corrected;
    let is_corrected =
        |change: &&DerivedChange| is_shown(change, all) && change.verdict == Verdict::Corrected;
    section(page, "What it does to the hands", &moved, comparison.derived.iter().filter(is_moved).collect());
    section(
        page,
        "Corrected on paper: the figures changed, nothing moved",
        &corrected,
        comparison.derived.iter().filter(is_corrected).collect(),
    );
    drivers(page, comparison, all);
    unknown_now(page, comparison);
    let any = comparison.derived.iter().any(|change| change.verdict != Verdict::Same);
    if comparison.partial && any {
        let words = "Taken for granted: what was not looked at did not move.";
        page.paragraph(2, 4, &[piece(Label::Quiet, words)]);
    }
}

fn section(page: &mut Page, title: &str, sentences: &[String], shown: Vec<&DerivedChange>) {
    if shown.is_empty() && sentences.is_empty() {
        return;
    }
    page.title(title);
    for sentence in sentences {
        page.paragraph(2, 4, &[plain(sentence.clone())]);
    }
    let rows: Vec<Vec<Piece>> = shown.into_iter().map(derived_row).collect();
    page.table(2, &[Align::Left, Align::Left, Align::Left], &rows);
}

/// What can be computed on one side only.
fn unknown_now(page: &mut Page, comparison: &Comparison) {
    for (verdict, words) in [
        (Verdict::NotRecorded, "No longer known, for want of a measure"),
        (Verdict::Recorded, "Known now for the first time"),
    ] {
        let titles: Vec<&str> = comparison
            .derived
            .iter()
            .filter(|change| change.verdict == verdict && !change.detail && !is_coordinate(change))
            .map(|change| change.title)
            .collect();
        if !titles.is_empty() {
            page.blank();
            page.paragraph(0, 2, &[plain(format!("{words}: {}.", titles.join(", ")))]);
        }
    }
}

/// What the two hands say each, and the crookedness between them.
fn is_coordinate(change: &DerivedChange) -> bool {
    change.name.starts_with("grip.") || change.name.starts_with("grip-difference")
}

/// Grip coordinates are told as sentences unless everything is asked for.
fn is_shown(change: &DerivedChange, all: bool) -> bool {
    let moved = matches!(change.verdict, Verdict::Moved | Verdict::Corrected);
    let told_already = matches!(change.verdict, Verdict::Recorded | Verdict::NotRecorded);
    (all && !told_already) || (moved && !change.detail && !change.name.starts_with("grip."))
}

/// Both hands in one sentence where they went the same way, else one each.
fn grips(comparison: &Comparison, verdict: Verdict) -> Vec<String> {
    let of = |side: &str| -> Vec<Option<&DerivedChange>> {
        ["x", "y", "z"].iter().map(|axis| comparison.derived(&format!("grip.{side}.{axis}"))).collect()
    };
    let (left, right) = (of("left"), of("right"));
    let delta = |change: Option<&DerivedChange>| change.and_then(|change| change.delta).unwrap_or(0.0);
    let alike = (0..3).all(|axis| (delta(left[axis]) - delta(right[axis])).abs() < 1e-6);
    let hands: Vec<(&str, &Vec<Option<&DerivedChange>>)> =
        if alike { vec![("Both hands", &left)] } else { vec![("Left hand", &left), ("Right hand", &right)] };
    let mut sentences = Vec::new();
    for (hand, axes) in hands {
        let moves: Vec<String> = axes
            .iter()
            .flatten()
            .filter(|change| change.verdict == verdict)
            .map(|change| amount(change))
            .collect();
        if !moves.is_empty() {
            sentences.push(format!("{hand}: {}.", moves.join(", ")));
        }
    }
    sentences
}

fn amount(change: &DerivedChange) -> String {
    let (Some(delta), Some(uncertainty)) = (change.delta, change.uncertainty) else { return String::new() };
    let (value, expanded) = show::with_uncertainty(delta.abs(), uncertainty, 1);
    let sign = unit(change.unit).sign();
    format!("{value} ± {expanded}{sign} {}", change.direction)
}

fn derived_row(change: &DerivedChange) -> Vec<Piece> {
    let places = if change.unit == "1" { 2 } else { 1 };
    let value = |value: Option<f64>| value.map_or("unknown".to_owned(), |value| show::plain(value, places));
    let sign = unit(change.unit).sign();
    let said = match change.verdict {
        Verdict::Moved | Verdict::Corrected => amount(change),
        Verdict::WithinReading => format!("{} (within reading)", amount(change)),
        other => other.word().to_owned(),
    };
    let rough = if change.rough { ", roughly" } else { "" };
    vec![
        piece(Label::Number, said),
        plain(change.title),
        piece(Label::Quiet, format!("{} to {}{sign}{rough}", value(change.was), value(change.now))),
    ]
}

/// The measures behind what the page says moved, and apart from them those that were only read again.
fn drivers(page: &mut Page, comparison: &Comparison, all: bool) {
    let (mut moved, mut on_paper): (Vec<&str>, Vec<&str>) = (Vec::new(), Vec::new());
    let told = |change: &&DerivedChange| matches!(change.verdict, Verdict::Moved | Verdict::Corrected);
    for change in comparison.derived.iter().filter(told).filter(|change| all || !change.detail) {
        for driver in &change.driven_by {
            let measure = comparison.changes.iter().find(|measure| measure.measure == *driver);
            let title = measure.map_or(driver.as_str(), |measure| &measure.title);
            let reread = measure.is_some_and(|measure| measure.verdict == Verdict::ReRead);
            let list = if reread { &mut on_paper } else { &mut moved };
            if !list.contains(&title) {
                list.push(title);
            }
        }
    }
    for (words, list) in [("Because of", moved), ("On paper, because read again", on_paper)] {
        if !list.is_empty() {
            page.paragraph(2, 4, &[piece(Label::Quiet, format!("{words}: {}.", list.join(", ")))]);
        }
    }
}
