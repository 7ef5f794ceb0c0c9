//! Of two points in time of one setup: which is the newer one, and whether that is the bike as it stands.

use crate::check::not_to_ride;
use crate::geometry::state::State;
use crate::ledger::read_file;

use super::session::{NOW, Opened, Session};

/// How the working file is called where git hands it over.
pub const WORKING_FILE: &str = "the working file";

/// Whether a comparison runs from the newer point to the older one.
pub fn is_backwards(from: &Opened, to: &Opened) -> bool {
    match (&from.revision, &to.revision) {
        (Some(from), Some(to)) => to.committed < from.committed,
        _ => is_working(from) && !is_working(to),
    }
}

/// What the newer of two points keeps against riding, in one line: of the bike as it stands, that nobody is to ride it; of
/// an older revision, that nobody was to.
pub fn kept(session: &Session, newer: &Opened, state: &State) -> Option<String> {
    let reasons = not_to_ride::reasons(state, |_| false, |_, _| false);
    let verdict = not_to_ride::verdict(&reasons)?;
    if is_as_it_stands(session, newer) {
        return Some(verdict);
    }
    Some(format!("At {} not to be ridden: {}.", newer.label, reasons.join("; ")))
}

fn is_as_it_stands(session: &Session, opened: &Opened) -> bool {
    let is_head = || session.ledger().ok()?.is_head(opened.revision.as_ref()?).ok();
    // Git hands over a copy even of what is still in the working file, named from the top of the working tree.
    let is_still_so = || {
        opened.revision.is_none()
            && read_file(&session.here().join(&opened.path)).is_ok_and(|bytes| bytes == opened.bytes)
    };
    is_working(opened) || is_head() == Some(true) || is_still_so()
}

fn is_working(opened: &Opened) -> bool {
    opened.revision.is_none() && (opened.label == NOW || opened.label == WORKING_FILE)
}
