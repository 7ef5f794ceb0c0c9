//! `gate`: checks what is staged for the next commit, before it is made. Faults stop it; cautions and advice pass.
//!
//! A repository may hold several ledgers, and git commits them all at once: unless one is named, each staged setup is
//! checked in its own.

use std::path::Path;

use crate::ledger::{Ledger, SetupFile, real, shell_word, top_around};
use crate::report;
use crate::setup::checked::{File, Report};

use super::Status;
use super::check;
use super::session::{Failure, Session};

/// Runs the command.
pub fn run(session: &Session) -> Result<Status, Failure> {
    let (found, own);
    let ledgers: Vec<&Ledger> = if session.names_ledger() {
        // A branch without setups has nothing to stop.
        match session.ledger() {
            Ok(ledger) => vec![ledger],
            Err(failure) => {
                let there = Ledger::find(session.here()).is_ok();
                return if there { Err(failure) } else { Ok(Status::Quiet) };
            }
        }
    } else {
        found = Ledger::staged_around(session.here())?;
        // The one we are in has other paths in git if its `setups` is a link. One that a repository of its own lies in is
        // none of its business.
        let top = top_around(session.here());
        own = session.ledger().ok().filter(|own| top.is_none() || own.worktree() == top.as_deref());
        let beside = |own: &&&Ledger| !found.iter().any(|other| is_same_folder(other.root(), own.root()));
        own.iter().filter(beside).copied().chain(&found).collect()
    };
    let mut files = Vec::new();
    let mut with_advice = Vec::new();
    for ledger in ledgers {
        let checked = checked(session, ledger)?;
        if Report::of(checked.clone()).counts.advice > 0 {
            with_advice.push(format!("clampmark{} check", option_for(session, ledger)));
        }
        files.extend(checked);
    }
    let report = Report::of(files);
    let counts = &report.counts;
    if session.is_json() || counts.fault + counts.caution + counts.advice + counts.unridable > 0 {
        session.show(&report, |page| report::gate::page(page, &report, &with_advice))?;
    }
    Ok(Status::act_if(report.counts.fault > 0))
}

/// What is staged of one ledger.
fn checked(session: &Session, ledger: &Ledger) -> Result<Vec<File>, Failure> {
    let mut files = Vec::new();
    for file in ledger.staged_changed()? {
        let Some(bytes) = ledger.read_staged(&file)? else { continue };
        // A sheet stands on its setup as that is staged, too.
        let staged = |base: &SetupFile| ledger.read_staged(base).ok().flatten();
        let (findings, accepted) = check::findings_in(session, Some(ledger), &file, &bytes, &staged);
        let path = format!("{}setups/{}.kdl", folder(session, ledger), file.name);
        files.push(File::checked(path, file.name, &bytes, &findings, &accepted));
    }
    Ok(files)
}

/// The ledger's folder from the top of the working tree, with a closing `/`; nothing for the one we are in.
fn folder(session: &Session, ledger: &Ledger) -> String {
    if is_own(session, ledger) {
        return String::new();
    }
    let top = ledger.worktree().unwrap_or(ledger.root());
    let below = ledger.root().strip_prefix(top).unwrap_or(ledger.root());
    below.iter().flat_map(|part| [part.to_string_lossy(), "/".into()]).collect()
}

/// The option by which a command typed here works in that ledger.
fn option_for(session: &Session, ledger: &Ledger) -> String {
    if is_own(session, ledger) {
        return session.ledger_option();
    }
    let here = session.here().canonicalize();
    let below = here.ok().and_then(|here| Some(ledger.root().strip_prefix(here).ok()?.to_path_buf()));
    let folder = below.unwrap_or_else(|| ledger.root().to_path_buf());
    format!(" --ledger {}", shell_word(&folder.to_string_lossy()))
}

fn is_own(session: &Session, ledger: &Ledger) -> bool {
    session.ledger().is_ok_and(|own| is_same_folder(own.root(), ledger.root()))
}

fn is_same_folder(one: &Path, other: &Path) -> bool {
    real(one) == real(other)
}
