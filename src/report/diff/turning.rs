//! The turned bars on the page of `diff`: clearances and slack that changed.

use crate::compare::{Comparison, Shift};
use crate::metrology::show;
use crate::metrology::verdict::Verdict;

use super::words::Words;

use super::super::screen::{Align, Label, Page, Piece, piece, plain};

/// Writes it; `all` lists every clearance and every hose.
pub fn turning(page: &mut Page, comparison: &Comparison, words: &Words, all: bool) {
    let mut rows: Vec<Vec<Piece>> = Vec::new();
    let mut folded: Vec<&Shift> = Vec::new();
    for clearance in &comparison.clearances {
        if all || clearance.shift.stands_out() {
            let title = format!("{}, turned {}", clearance.title, clearance.direction);
            rows.push(row(title, &clearance.shift, ("more clearance", "less clearance"), words));
        } else {
            folded.push(&clearance.shift);
        }
    }
    for slack in &comparison.slack {
        if all || slack.shift.stands_out() {
            rows.push(row(format!("{} hose", slack.hose), &slack.shift, ("more slack", "less slack"), words));
        } else {
            folded.push(&slack.shift);
        }
    }
    folded.retain(|shift| shift.verdict == Verdict::Moved);
    if rows.is_empty() && folded.is_empty() {
        return;
    }
    page.title("When the bars are turned");
    page.table(2, &[Align::Left, Align::Left, Align::Left], &rows);
    if let Some(sentence) = the_rest(&folded, !rows.is_empty(), words) {
        page.paragraph(2, 4, &[plain(sentence)]);
    }
}

/// What changed by little and stays far from touching, in one sentence.
fn the_rest(folded: &[&Shift], others: bool, words: &Words) -> Option<String> {
    let most = folded.iter().filter_map(|shift| shift.delta).map(f64::abs).max_by(f64::total_cmp)?;
    let nearest = folded.iter().filter_map(|shift| shift.now).min_by(f64::total_cmp)?;
    let which = if others { "Other clearances" } else { "Clearances" };
    let changed = if words.is_of_two_setups() { "differ" } else { "changed" };
    Some(format!(
        "{which} and hose slack {changed} by {} mm at most and none is below {} mm; --all lists them.",
        show::plain(most, 1),
        show::plain(nearest, 0)
    ))
}

fn row(title: String, shift: &Shift, (more, less): (&str, &str), words: &Words) -> Vec<Piece> {
    let value = |value: Option<f64>| value.map_or("unknown".to_owned(), |value| show::plain(value, 1));
    let said = match (shift.delta, shift.uncertainty) {
        (Some(delta), Some(uncertainty)) if shift.verdict != Verdict::Same => {
            let (size, expanded) = show::with_uncertainty(delta.abs(), uncertainty, 1);
            let way = if delta < 0.0 { less } else { more };
            let verdict = words.verdict(shift.verdict);
            let aside = match shift.verdict {
                Verdict::Moved => String::new(),
                Verdict::Corrected if words.is_of_two_setups() => String::new(),
                _ => format!(" ({verdict})"),
            };
            format!("{size} ± {expanded} mm {way}{aside}")
        }
        _ => shift.verdict.word().to_owned(),
    };
    let touches = if shift.now.is_some_and(|now| now < 0.0) { ": it touches" } else { "" };
    let label = if touches.is_empty() { Label::Quiet } else { Label::Danger };
    let values = format!("{} mm{touches}", words.both(&value(shift.was), &value(shift.now)));
    vec![plain(title), piece(Label::Number, said), piece(label, values)]
}
