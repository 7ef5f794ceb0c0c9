//! The words on a setup that was worked out and written down, the same wherever one is told: it is not what is on the
//! bike.

use super::screen::{Label, Page, Piece, piece, plain};

/// What is said behind a name or a day.
pub const IN_PART: &str = "in part planned, not measured";

/// The same behind a comma, where there is something before it.
pub fn behind(planned: bool) -> String {
    if planned { format!(", {IN_PART}") } else { String::new() }
}

/// The same as a sentence of its own.
pub fn sentence() -> Piece {
    piece(Label::Care, "In part planned, not measured.")
}

/// What that means to whoever is about to work by it; at the top of a page.
pub fn to_work_by(page: &mut Page) {
    let means = " Some of these figures were worked out and not read off the bike, and a part that is to be changed \
                 may still have the old one's torque and marks here. Measure when it is done.";
    page.paragraph(0, 2, &[sentence(), plain(means)]);
}
