//! What another part does not inherit from the old one, the same wherever that is told.

use super::screen::{Label, Page, piece, plain};
use crate::compare::Replaced;

/// Torque limits and material that were those of a part which comes off.
pub fn said(page: &mut Page, replaced: &Replaced) {
    if replaced.parts.is_empty() {
        return turned_over(page, replaced);
    }
    let lead = format!(
        "Another {}: the old one's torque limits and material are not the new one's.",
        replaced.words()
    );
    let mut rest = " Take the new maker's figures before you tighten anything.".to_owned();
    if !replaced.torques.is_empty() {
        rest = format!("{rest} That goes for {}.", replaced.torques.join(", "));
    }
    if !replaced.marks.is_empty() {
        rest = format!(
            "{rest} Lines drawn on the old one are no evidence: marks {}.",
            replaced.marks.join(", ")
        );
    }
    if let Some(gone) = replaced.gone_with_them() {
        rest = format!("{rest} {gone}");
    }
    page.paragraph(2, 4, &[piece(Label::Care, lead), plain(rest)]);
}

/// The same part with the same limits, but it was off the bike.
fn turned_over(page: &mut Page, replaced: &Replaced) {
    let lead = format!("Turned over: {}.", replaced.turned_over.join(" and "));
    let is_stem = replaced.turned_over.contains(&"stem");
    let bar = if is_stem { ", and the bar out of it" } else { "" };
    let mut rest = format!(" That takes it off the bike{bar}: every joint that holds it is opened.");
    if !replaced.marks.is_empty() {
        rest = format!("{rest} Lines drawn before are no evidence: marks {}.", replaced.marks.join(", "));
    }
    page.paragraph(2, 4, &[piece(Label::Care, lead), plain(rest)]);
}
