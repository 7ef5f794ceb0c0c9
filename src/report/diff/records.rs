//! Torque ranges and notes on the page of `diff`.

use crate::catalogue::Weight;
use crate::compare::{
    Also, Comparison, Limits, NoteChange, OpenedBefore, RangeShift, ReadBeforeOpen, Tightness, TorqueChange,
    TorqueFound, Word,
};

use super::super::screen::{Label, Page, Piece, piece, plain};
use super::part_words;
use super::words::Words;
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

/// The joints that were opened before, as notes of the setup keep.
pub fn opened_before(page: &mut Page, open: &[OpenedBefore]) {
    if open.is_empty() {
        return;
    }
    page.title("Opened before, not tightened since");
    for one in open {
        let label = if one.weight == Weight::SteeringAndBrakes { Label::Danger } else { Label::Plain };
        page.paragraph(2, 4, &[piece(label, one.title.clone()), plain(format!(": {}.", one.words))]);
    }
}

/// What was read of a joint before it was open.
pub fn read_before_open(page: &mut Page, read: &[ReadBeforeOpen]) {
    if read.is_empty() {
        return;
    }
    page.title("Read before it was opened: tells nothing of how it stands now");
    for one in read {
        page.paragraph(2, 4, &[plain(format!("{}: {}.", one.title, one.words))]);
    }
}

/// The joints whose torque differs.
pub fn torques(page: &mut Page, changes: &[TorqueChange], words: &Words) {
    let said: Vec<(&TorqueChange, Vec<String>)> = changes
        .iter()
        .map(|change| (change, said(change, words)))
        .filter(|(_, said)| !said.is_empty())
        .collect();
    if said.is_empty() {
        return;
    }
    page.title("Torque");
    for (change, said) in said {
        page.paragraph(
            2,
            4,
            &[piece(Label::Care, change.title.clone()), plain(format!(": {}.", said.join("; ")))],
        );
    }
}

fn said(change: &TorqueChange, words: &Words) -> Vec<String> {
    let mut said: Vec<String> = Vec::new();
    let range = |limits: Option<Limits>| {
        limits.map_or("nothing".to_owned(), |limits| {
            format!("{}–{} N·m", show::brief(limits.from), show::brief(limits.to))
        })
    };
    let both = |was, now| words.both(&range(was), &range(now));
    if change.shift != RangeShift::Same {
        said.push(format!("range {}: {}", words.shift(change.shift), both(change.was, change.now)));
    }
    if change.allowed_shift != RangeShift::Same
        && (change.ceiling_changed || change.allowed_now != change.now)
    {
        let because = if change.ceiling_changed { words.because_of_a_ceiling() } else { "" };
        let allowed = both(change.allowed_was, change.allowed_now);
        said.push(format!("allowed {}: {allowed}{because}", words.shift(change.allowed_shift)));
    }
    let also = |also: &Also| match also {
        _ if !words.is_of_two_setups() => Some(also.to_string()),
        Also::Word { what, was, now } => {
            let word = |word: &Option<String>| word.clone().unwrap_or_else(|| "not recorded".to_owned());
            Some(format!("{what}: {}", words.both(&word(was), &word(now))))
        }
        Also::Ceiling { part, was, now } => {
            let limit = |limit: &Option<String>| limit.clone().unwrap_or_else(|| "not recorded".to_owned());
            Some(format!("ceiling of {part}: {}", words.both(&limit(was), &limit(now))))
        }
        Also::TurnsInACrash(true) => Some("meant to turn in a crash".to_owned()),
        Also::TurnsInACrash(false) => Some("not meant to turn in a crash".to_owned()),
        // When each bike was last tightened is no difference between them.
        Also::Applied { .. } => None,
    };
    said.extend(change.also.iter().filter_map(also));
    said
}

/// The instruments that read otherwise, and what is told to be read otherwise: nothing moved, but what is known did.
pub fn instruments(page: &mut Page, comparison: &Comparison, words: &Words) {
    if comparison.instruments.is_empty() && comparison.read_otherwise.is_empty() {
        return;
    }
    page.title("How well it was read");
    let not_there = |words: &Option<String>| words.clone().unwrap_or_else(|| "not recorded".to_owned());
    for change in &comparison.instruments {
        let both = words.both(&not_there(&change.was), &not_there(&change.now));
        let name = piece(Label::Plain, format!("instrument {}", change.instrument));
        page.paragraph(2, 4, &[name, plain(format!(": {both}."))]);
    }
    for one in &comparison.read_otherwise {
        page.paragraph(2, 4, &[plain(format!("{}: {}.", one.title, words.both(&one.was, &one.now)))]);
    }
}

/// The notes that differ, word by word.
pub fn notes(page: &mut Page, changes: &[NoteChange], words: &Words) {
    if changes.is_empty() {
        return;
    }
    page.title("Notes");
    for change in changes {
        let on = if change.on.is_empty() { String::new() } else { format!("{}: ", part_words(&change.on)) };
        match (&change.was, &change.now) {
            (Some(text), None) | (None, Some(text)) => {
                let only = words.only_text(change.now.is_some());
                page.paragraph(2, 4, &[plain(format!("{on}{only}: “{text}”"))]);
            }
            (Some(was), Some(now)) if change.words.is_empty() || words.is_neutral() => {
                let (earlier, later) = words.sides();
                page.paragraph(2, 4, &[plain(format!("{on}{earlier}: “{was}”; {later}: “{now}”"))]);
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
