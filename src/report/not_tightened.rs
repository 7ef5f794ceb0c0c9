//! That a torque which the file tells was applied before a change opens its joint, the same wherever that is told.

use super::screen::{Label, Page, piece, plain};
use crate::trial::Opens;

/// One paragraph, if there are such joints.
pub fn said(page: &mut Page, opens: &Opens) {
    let titles: Vec<&str> = opens.not_tightened.iter().map(|joint| joint.title.as_str()).collect();
    if titles.is_empty() {
        return;
    }
    let lead = format!("Opened for this, and not tightened yet: {}.", titles.join(", "));
    let rest = " What was last applied there counts no more: tighten each to its range before you ride.";
    page.paragraph(2, 4, &[piece(Label::Care, lead), plain(rest)]);
}
