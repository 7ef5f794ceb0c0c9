//! What another part does not inherit from the old one, the same wherever that is told.

use super::screen::{Label, Page, piece, plain};
use crate::trial::Replaced;

/// Torque limits and material that were those of a part which comes off.
pub fn said(page: &mut Page, replaced: &Replaced) {
    let lead = format!(
        "Another {}: the old one's torque limits and material are not the new one's.",
        replaced.words()
    );
    let mut rest = " Take the new maker's figures before you tighten anything.".to_owned();
    if !replaced.torques.is_empty() {
        rest = format!("{rest} That goes for {}.", replaced.torques.join(", "));
    }
    match replaced.marks.as_slice() {
        [] => {}
        [mark] => rest = format!("{rest} Mark {mark} is a line on the old one: draw it anew."),
        marks => {
            rest = format!("{rest} Marks {} are lines on the old one: draw them anew.", marks.join(", "))
        }
    }
    page.paragraph(2, 4, &[piece(Label::Care, lead), plain(rest)]);
}
