//! What a merge did not take of one of the versions it joined.

use crate::catalogue::joint;
use crate::compare::{Also, Beside, TorqueChange};
use crate::history::NotTaken;

use super::super::screen::{Align, Label, Page, Piece, piece, plain};
use super::revision::torque_in_words;

/// Writes it, what keeps from riding first.
pub fn not_taken(page: &mut Page, version: &NotTaken) {
    let head = format!("Not taken of what {} had changed:", version.short);
    page.paragraph(2, 4, &[piece(Label::Care, head)]);
    for note in &version.forbidding {
        let at = if note.on.is_empty() { String::new() } else { format!(" at {}", joint::title(&note.on)) };
        let head = piece(Label::Danger, format!("its note not to be ridden{at}"));
        page.paragraph(4, 6, &[head, plain(format!(": “{}”", note.text))]);
    }
    for damage in &version.damages {
        let on = piece(Label::Danger, format!("its damage on {}", damage.on));
        page.paragraph(4, 6, &[on, plain(format!(": {}", damage.said()))]);
    }
    let open: Vec<&str> = version.left_open.iter().map(|one| one.title.as_str()).collect();
    if !open.is_empty() {
        let head = piece(Label::Danger, "its word that these are open, torque not known");
        page.paragraph(4, 6, &[head, plain(format!(": {}", open.join(", ")))]);
    }
    for one in &version.told {
        let label = if one.grave { Label::Danger } else { Label::Plain };
        page.paragraph(4, 6, &[piece(label, told(one))]);
    }
    let missing = || "not recorded".to_owned();
    let rows: Vec<Vec<Piece>> = version
        .changes
        .iter()
        .map(|change| {
            let was = change.was_written.clone().unwrap_or_else(missing);
            let now = change.now_written.clone().unwrap_or_else(missing);
            vec![plain(change.title.clone()), piece(Label::Number, was), plain(format!("kept {now}"))]
        })
        .collect();
    page.table(4, &[Align::Left, Align::Left, Align::Left], &rows);
    for change in &version.torque {
        let head = piece(Label::Care, format!("torque, {}", change.title));
        page.paragraph(4, 6, &[head, plain(format!(": {}", torque(change)))]);
    }
    let mut also = version.others_named.clone();
    match version.notes.len() {
        0 => {}
        1 => also.push("a note".to_owned()),
        number => also.push(format!("{number} notes")),
    }
    if !also.is_empty() {
        page.paragraph(4, 6, &[piece(Label::Quiet, format!("Also: {}.", also.join("; ")))]);
    }
}

/// What a sheet told there, and what the merge kept: "mark L1 found broken", "bar in stem opened".
fn told(one: &Beside) -> String {
    match (&one.was, &one.now) {
        (Some(was), None) => format!("{} {was}", one.what),
        (was, now) => {
            let words = |words: &Option<String>| words.clone().unwrap_or_else(|| "not told".to_owned());
            format!("{} {}, kept {}", one.what, words(was), words(now))
        }
    }
}

/// What that version had of a torque, and what the merge kept.
fn torque(change: &TorqueChange) -> String {
    torque_in_words(change, "kept", Also::and_kept)
}
