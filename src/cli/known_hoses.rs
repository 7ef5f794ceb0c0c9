//! Whether there ever was a hose of a name that is asked for: it may have any name, so that a slip of the keys looks like one
//! that was never measured.

use std::collections::BTreeSet;

use crate::history::{Series, Wanted};
use crate::ledger::{HistoryEntry, SetupFile};

use super::contents::Contents;
use super::history::ROW;
use super::session::{Failure, Session};

/// Refuses a hose that neither a revision nor the working file has.
pub fn known_hoses(
    session: &Session,
    commits: &[HistoryEntry],
    file: &SetupFile,
    wanted: &[Wanted],
    series: &[Series],
) -> Result<(), Failure> {
    let unheard_of = wanted.iter().zip(series).filter(|(_, series)| series.is_never_recorded());
    let names: Vec<&str> = unheard_of
        .filter_map(|(wanted, _)| match wanted {
            Wanted::Measure(id) => id.subject.name.as_deref(),
            Wanted::Derived(_) => None,
        })
        .collect();
    if names.is_empty() || commits.is_empty() {
        return Ok(());
    }
    let known = all_hoses(session, commits, file)?;
    let Some(name) = names.into_iter().find(|name| !known.contains(*name)) else { return Ok(()) };
    let known: Vec<String> = known.iter().map(|name| format!("`{name}`")).collect();
    let help = match known.as_slice() {
        [] => "None of them has a hose at all.".to_owned(),
        known => format!("Its hoses: {}.", known.join(", ")),
    };
    Err(Failure::new(format!("No revision of {} has a hose `{name}`.", file.name), help))
}

fn all_hoses(
    session: &Session,
    commits: &[HistoryEntry],
    file: &SetupFile,
) -> Result<BTreeSet<String>, Failure> {
    let mut known = BTreeSet::new();
    let now = session.open_now(file).ok();
    let now = now.iter().filter_map(|now| now.read.setup.as_ref());
    known.extend(now.flat_map(|setup| setup.hoses().map(str::to_owned)));
    let mut contents = Contents::new(session.catalogue(), session.ledger()?, commits);
    for row in commits.chunks(ROW) {
        contents.read_all(row.iter().filter_map(|commit| commit.blob.as_ref()))?;
        for id in row.iter().filter_map(|commit| commit.blob.as_ref()) {
            let content = contents.get(id)?;
            known.extend(content.read.setup.iter().flat_map(|setup| setup.hoses().map(str::to_owned)));
        }
    }
    Ok(known)
}
