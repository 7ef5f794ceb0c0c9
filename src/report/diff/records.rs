//! Torque ranges and notes on the page of `diff`.

use crate::catalogue::Weight;
use crate::compare::{Limits, NoteChange, RangeShift, Tightness, TorqueChange, TorqueFound, Word};

use super::super::screen::{Label, Page, Piece, piece, plain};
use super::part_words;
use crate::metrology::show;

/// The joints that were opened or tightened, as a sheet tells.
pub fn tightened(page: &mut Page, found: &[TorqueFound]) {
    if found.is_empty() {
        return;
    }
    page.title("Torque as found");
    for one in found {
        let dangerous = one.state.is_outside()
            || one.state != Tightness::Within && one.weight == Weight::SteeringAndBrakes;
        let label = if dangerous { Label::Danger } else { Label::Plain };
        page.paragraph(2, 4, &[piece(label, one.title.clone()), plain(format!(": {}.", one.words))]);
    }
}

/// The joints whose torque differs.
pub fn torques(page: &mut Page, changes: &[TorqueChange]) {
    if changes.is_empty() {
        return;
    }
    page.title("Torque");
    for change in changes {
        let mut said: Vec<String> = Vec::new();
        let range = |limits: Option<Limits>| {
            limits.map_or("nothing".to_owned(), |limits| {
                format!("{}–{} N·m", show::brief(limits.from), show::brief(limits.to))
            })
        };
        if change.shift != RangeShift::Same {
            said.push(format!(
                "range {}: was {}, now {}",
                shift_word(change.shift),
                range(change.was),
                range(change.now)
            ));
        }
        if change.allowed_shift != RangeShift::Same
            && (change.ceiling_changed || change.allowed_now != change.now)
        {
            let because = if change.ceiling_changed { ", because a ceiling changed" } else { "" };
            said.push(format!(
                "allowed {}: was {}, now {}{because}",
                shift_word(change.allowed_shift),
                range(change.allowed_was),
                range(change.allowed_now)
            ));
        }
        said.extend(change.also.iter().cloned());
        page.paragraph(
            2,
            4,
            &[piece(Label::Care, change.title.clone()), plain(format!(": {}.", said.join("; ")))],
        );
    }
}

fn shift_word(shift: RangeShift) -> &'static str {
    match shift {
        RangeShift::Same => "unchanged",
        RangeShift::Wider => "wider",
        RangeShift::Narrower => "narrower",
        RangeShift::Up => "moved up",
        RangeShift::Down => "moved down",
        RangeShift::Recorded => "recorded",
        RangeShift::NotRecorded => "no longer recorded",
        RangeShift::Empty => "empty: the limits contradict one another",
    }
}

/// The notes that differ, word by word.
pub fn notes(page: &mut Page, changes: &[NoteChange]) {
    if changes.is_empty() {
        return;
    }
    page.title("Notes");
    for change in changes {
        let on = if change.on.is_empty() { String::new() } else { format!("{}: ", part_words(&change.on)) };
        match (&change.was, &change.now) {
            (Some(was), None) => page.paragraph(2, 4, &[plain(format!("{on}gone: “{was}”"))]),
            (None, Some(now)) => page.paragraph(2, 4, &[plain(format!("{on}new: “{now}”"))]),
            (Some(was), Some(now)) if change.words.is_empty() => {
                page.paragraph(2, 4, &[plain(format!("{on}was: “{was}”; now: “{now}”"))]);
            }
            _ => page.paragraph(2, 4, &note_words(&on, change)),
        }
    }
}

/// Both texts in one, what is gone and what is new in brackets that say so.
fn note_words(on: &str, change: &NoteChange) -> Vec<Piece> {
    let mut pieces = vec![plain(on.to_owned())];
    let mut spaced = true;
    for run in &change.words {
        let text = run.text.trim_matches(' ');
        let before = if run.text.starts_with(' ') || !spaced { " " } else { "" };
        let after = if run.text.ends_with(' ') { " " } else { "" };
        spaced = run.fate == Word::Kept || !after.is_empty();
        match run.fate {
            Word::Kept => pieces.push(plain(run.text.clone())),
            Word::Gone => pieces.push(piece(Label::Quiet, format!("{before}(gone: {text}){after}"))),
            Word::New => pieces.push(piece(Label::Number, format!("{before}(new: {text}){after}"))),
        }
    }
    pieces
}
