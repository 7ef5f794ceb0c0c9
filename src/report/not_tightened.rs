//! The joints that a change opens and that nobody has tightened for it, the same wherever that is told.

use super::screen::{Label, Page, piece, plain};
use crate::trial::Opens;

/// One paragraph on every joint that is opened, whether the file tells how it was tightened or not.
pub fn said(page: &mut Page, opens: &Opens) {
    if opens.titles.is_empty() {
        return;
    }
    let lead = format!("Opened for this, and not tightened yet: {}.", opens.titles.join(", "));
    let counts =
        if opens.not_tightened.is_empty() { "" } else { " What was last applied there counts no more:" };
    let tighten = if counts.is_empty() { " Tighten" } else { " tighten" };
    let mut rest = format!("{counts}{tighten} each to its range before you ride.");
    if !opens.no_torque_known.is_empty() {
        let without = opens.no_torque_known.join(", ");
        rest = format!("{rest} No torque is known of {without}: take the part maker's.");
    }
    page.paragraph(2, 4, &[piece(Label::Care, lead), plain(rest)]);
}
