//! What the revisions between two points tell that the two do not: which angles on the bar are older than its roll.
//!
//! Of two contents, a lever that reads otherwise by as much as the bar was rolled went along with it. Where one between them has
//! the lever so and the bar not yet rolled, it was moved first, and went along after that.

use std::collections::BTreeSet;

use crate::catalogue::MeasureId;
use crate::check::lines;
use crate::history::Angles;
use crate::ledger::HistoryOptions;

use super::contents::Contents;
use super::newest::is_backwards;
use super::session::{Failure, Opened, Session};

/// The angles of the newer of two points that were read before the bar was rolled, as the line of first parents has it.
pub fn older_than_the_roll(
    session: &Session,
    from: &Opened,
    to: &Opened,
) -> Result<BTreeSet<MeasureId>, Failure> {
    let (older, newer) = if is_backwards(from, to) { (to, from) } else { (from, to) };
    let (was, now) = (older.setup()?, newer.setup()?);
    let value = |setup| lines::roll_now(session.catalogue(), setup).map(|roll| roll.value());
    let Some(begin) = older.revision.as_ref().filter(|_| value(was) != value(now)) else {
        return Ok(BTreeSet::new());
    };
    let ledger = session.ledger()?;
    let behind = ledger.ancestry(begin)?;
    let options = HistoryOptions { first_parent: true, from: newer.revision.clone() };
    let mut between = Vec::new();
    for commit in ledger.history(&session.file(&newer.name)?, &options)? {
        let commit = commit?;
        if behind.holds(&commit.revision) {
            break;
        }
        between.push(commit);
    }
    let mut contents = Contents::new(session.catalogue(), ledger, &between);
    let mut angles = Angles::default();
    angles.follow(session.catalogue(), was);
    for id in between.iter().rev().filter_map(|commit| commit.blob.as_ref()) {
        let content = contents.get(id)?;
        if let Ok(setup) = content.setup() {
            angles.follow(session.catalogue(), setup);
        }
    }
    angles.follow(session.catalogue(), now);
    let is_older = |id: &&MeasureId| angles.read_before(session.catalogue(), now, id).is_some();
    Ok(now.readings.keys().filter(is_older).cloned().collect())
}
