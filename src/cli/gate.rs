//! `gate`: checks what is staged for the next commit, before it is made. Faults stop it; cautions and advice pass.
//!
//! A repository may hold several ledgers, and git commits them all at once: unless one is named, each staged setup is
//! checked in its own.

use std::path::Path;

use crate::catalogue::code;
use crate::ledger::{Ledger, SetupFile, Staged, read_file, real, shell_word, top_around};
use crate::report;
use crate::setup::checked::{File, Report};
use crate::setup::finding::Finding;
use crate::setup::model::{Kind, Setup};
use crate::setup::read::read;

use super::Status;
use super::findings::{findings_in, unmerged_in};
use super::session::{Failure, Session};
use super::since_commit::SinceCommit;
use super::{rolled_since, taken_out, unsettled};

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
    let (mut files, mut with_advice) = (Vec::new(), Vec::new());
    let (mut adopted_earlier, mut option) = (false, String::new());
    for ledger in ledgers {
        let checked = checked(session, ledger)?;
        if Report::of(checked.clone()).counts.advice > 0 {
            with_advice.push(format!("clampmark{} check", option_for(session, ledger)));
        }
        // Git's configuration is one for all; what is none of its files is none of this commit's business.
        if !checked.is_empty() && !adopted_earlier {
            adopted_earlier = ledger.merges_as_told_earlier().unwrap_or_default();
            option = option_for(session, ledger);
        }
        files.extend(checked);
    }
    let report = report::gate::Report { checked: Report::of(files), adopted_earlier, with_advice, option };
    if session.is_json() || report.tells() {
        session.show(&report, |page| report::gate::page(page, &report))?;
    }
    Ok(Status::act_if(report.checked.counts.fault > 0))
}

/// What is staged of one ledger.
fn checked(session: &Session, ledger: &Ledger) -> Result<Vec<File>, Failure> {
    let staged = ledger.staged()?;
    let path = |name: &str| format!("{}setups/{name}", folder(session, ledger));
    let mut files = Vec::new();
    for unmerged in ledger.unmerged()? {
        let shown = path(&format!("{}.kdl", unmerged.file.name));
        files.push(if let Ok(bytes) = read_file(&unmerged.file.path) {
            unmerged_in(session, ledger, (shown, &unmerged), &bytes)
        } else {
            let finding = unsettled::told(&unmerged, &[], false);
            File::checked(shown, unmerged.file.name, &[], &[finding], &[])
        });
    }
    for name in &staged.passed_over {
        files.push(File::checked(path(name), name.clone(), &[], &[passed_over()], &[]));
    }
    for (file, told) in taken_out::told(session, ledger, &staged)? {
        files.push(
            File::checked(path(&format!("{}.kdl", file.name)), file.name, &[], &[], &[]).keeping(Some(told)),
        );
    }
    let sheets = sheets_beside(session, ledger, &staged)?;
    for file in staged.changed.into_iter().chain(sheets) {
        let Some(bytes) = ledger.read_staged(&file)? else { continue };
        // A sheet stands on its setup as that is staged, too.
        let contents = |base: &SetupFile| ledger.read_staged(base).ok().flatten();
        let mut found = findings_in(session, Some(ledger), &file, &bytes, &contents);
        let since = SinceCommit::of(session, ledger, &file, &bytes);
        found.findings.extend(since.as_ref().and_then(rolled_since::finding));
        let gone = since.as_ref().and_then(taken_out::of_steering_or_brakes);
        let forbids = taken_out::forbids(session, ledger, &bytes);
        let name = file.name.clone();
        let checked = found.in_file(path(&format!("{}.kdl", file.name)), name, &bytes);
        // What moved on a sheet goes in with what its words say.
        let forbids = forbids.or_else(|| checked.not_to_ride.clone());
        files.push(checked.keeping(forbids).also_keeping(gone));
    }
    Ok(files)
}

fn passed_over() -> Finding {
    let message = "It is not checked, and no command reads it: the name of a setup ends in `.kdl`, in small letters, and \
                   begins with no full stop.";
    Finding::new(&code::NAME_DIFFERS, message).help("Give it such a name if it is a setup.")
}

/// The sheets that are as they were though their setup is not: they hang on its instruments.
fn sheets_beside(session: &Session, ledger: &Ledger, staged: &Staged) -> Result<Vec<SetupFile>, Failure> {
    let mut sheets = Vec::new();
    if staged.changed.is_empty() && staged.deleted.is_empty() {
        return Ok(sheets);
    }
    let is_touched = |sheet: &Setup| {
        let mut touched = staged.changed.iter().chain(&staged.deleted);
        touched.any(|setup| setup.name == sheet.name.value)
    };
    for file in &staged.unchanged {
        let Some(bytes) =
            ledger.read_staged(file)?.filter(|bytes| bytes.windows(5).any(|word| word == b"found"))
        else {
            continue;
        };
        let sheet = read(session.catalogue(), &bytes, None).setup.filter(|setup| setup.kind == Kind::Found);
        if sheet.is_some_and(|sheet| is_touched(&sheet)) {
            sheets.push(file.clone());
        }
    }
    Ok(sheets)
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
