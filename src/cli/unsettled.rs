//! Merges that git has not settled: a merge without this program leaves our version in the file as if it were the outcome,
//! and nothing in the file tells of theirs.

use crate::catalogue::code;
use crate::ledger::{Ledger, SetupFile, Unmerged, shell_word};
use crate::report::history::KEEP_OR_LET_GO;
use crate::setup::finding::Finding;

use super::session::Session;

/// The unsettled merges of a ledger; none where git cannot tell, which others say.
pub fn of_ledger(ledger: Option<&Ledger>) -> Vec<Unmerged> {
    let ledger = ledger.filter(|ledger| ledger.has_repository());
    ledger.and_then(|ledger| ledger.unmerged().ok()).unwrap_or_default()
}

/// Whether a merge stands still at a file because one side deleted it and the other changed it.
pub fn is_deleted_by_one_side(session: &Session, file: &SetupFile) -> bool {
    let unmerged = of_ledger(session.ledger().ok());
    unmerged.iter().any(|one| one.file.path == file.path && one.is_deleted_by_one_side())
}

/// Whether the file is our version letter for letter, but for its line ends, though theirs is another.
pub fn is_ours_alone(unmerged: &Unmerged, bytes: &[u8]) -> bool {
    let letters = |bytes: &[u8]| -> Vec<u8> { bytes.iter().copied().filter(|byte| *byte != b'\r').collect() };
    let is = |side: &Option<Vec<u8>>| side.as_ref().is_some_and(|side| letters(side) == letters(bytes));
    unmerged.theirs.is_some() && is(&unmerged.ours) && !is(&unmerged.theirs)
}

/// What is told of a file that holds our version alone.
pub fn ours_alone(unmerged: &Unmerged) -> Finding {
    finding(
        "Git has not settled a merge of this file, and it holds our version alone: what the other side changed is not in it.",
        unmerged,
    )
}

/// What is told of a file in which nothing marks what is unsettled: it holds our version alone, or one side deleted it.
pub fn not_marked(unmerged: &Unmerged, bytes: &[u8]) -> Option<Finding> {
    if is_ours_alone(unmerged, bytes) {
        return Some(ours_alone(unmerged));
    }
    unmerged.is_deleted_by_one_side().then(|| not_settled(unmerged))
}

/// What is told of any file of which git has not settled a merge; `is_marked`: whether the file itself shows what is open.
pub fn told(unmerged: &Unmerged, bytes: &[u8], is_marked: bool) -> Finding {
    if is_ours_alone(unmerged, bytes) {
        return ours_alone(unmerged);
    }
    if is_marked && !unmerged.is_deleted_by_one_side() {
        let help = "Decide each place that is told of here, then `git add` the file.";
        return Finding::new(&code::UNRESOLVED_CONFLICT, NOT_SETTLED).help(help);
    }
    not_settled(unmerged)
}

const NOT_SETTLED: &str = "Git has not settled a merge of this file.";

/// What is told of any other where nothing may be unsettled.
fn not_settled(unmerged: &Unmerged) -> Finding {
    finding(NOT_SETTLED, unmerged)
}

fn finding(what: &str, unmerged: &Unmerged) -> Finding {
    let shown = |stage: u8| shell_word(&format!(":{stage}:{}", unmerged.path));
    let help = if unmerged.ours.is_some() && unmerged.theirs.is_some() {
        format!(
            "Theirs is `git show {}`: put into the file what is true of it, or see that nothing is; then `git add` the file.",
            shown(3)
        )
    } else {
        format!("One side deleted it and the other changed it: {KEEP_OR_LET_GO}")
    };
    Finding::new(&code::UNRESOLVED_CONFLICT, what).help(&help)
}
