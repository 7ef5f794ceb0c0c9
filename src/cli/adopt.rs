//! `adopt`: makes git understand setups in this repository, and undoes it.

use std::path::Path;

use clap::Args;

use crate::ledger::{Abandonment, Action, FileChange, shell_word};
use crate::report::{
    self,
    adopt::{File, Overriding, Report},
};

use super::Status;
use super::session::{Failure, Session};

/// Whether to do it, to undo it, or only to show it.
#[derive(Debug, Args)]
pub struct Arguments {
    /// Take everything away again that was put in, and nothing else.
    #[arg(long)]
    pub undo: bool,
    /// Only show what would be done.
    #[arg(long)]
    pub dry_run: bool,
}

/// Runs the command: exit status 1 if something is left for the user to do.
pub fn run(session: &Session, arguments: &Arguments) -> Result<Status, Failure> {
    let ledger = session.ledger()?;
    let Abandonment { files: changes, stays_for, goes_for } = if arguments.undo {
        ledger.abandonment()?
    } else {
        Abandonment { files: ledger.adoption(&program())?, stays_for: Vec::new(), goes_for: Vec::new() }
    };
    let mut report = Report {
        schema: "clampmark.adopt/1",
        undo: arguments.undo,
        dry_run: arguments.dry_run,
        files: changes.iter().map(|change| file(session, change)).collect(),
        stays_for,
        overriding: Vec::new(),
        goes_for: goes_for.iter().map(|tree| tree.display().to_string()).collect(),
    };
    let says_so =
        |file: &&FileChange| file.path.ends_with(".gitattributes") && file.action == Action::Nothing;
    if !arguments.undo {
        let said = ledger.overriding(changes.iter().any(|file| says_so(&file)))?;
        report.overriding = said.into_iter().map(|(file, says)| Overriding { file, says }).collect();
    }
    // Shown before anything is written: who reads along sees what is about to happen.
    session.show(&report, |page| report::adopt::page(page, &report, &session.ledger_option()))?;
    if !arguments.dry_run {
        for change in &changes {
            change.carry_out()?;
        }
    }
    let left = changes.iter().any(|change| matches!(change.action, Action::Leave(_)));
    Ok(Status::act_if(left || !report.overriding.is_empty()))
}

fn file(session: &Session, change: &FileChange) -> File {
    let (action, left) = match &change.action {
        Action::Nothing => ("nothing", None),
        Action::Write { .. } => ("write", None),
        Action::Remove { .. } => ("remove", None),
        Action::Leave(why) => ("leave", Some(why.clone())),
    };
    let path = change.path.strip_prefix(session.here()).unwrap_or(&change.path);
    File {
        path: path.display().to_string(),
        purpose: change.purpose,
        action,
        lines: change.lines.clone(),
        left,
    }
}

/// How a shell starts this program: by its name where the name leads to it, else by its place.
fn program() -> String {
    let name = env!("CARGO_PKG_NAME");
    let Ok(here) = std::env::current_exe() else { return name.to_owned() };
    let same = |folder: &Path| {
        let there = folder.join(name);
        there.canonicalize().ok().is_some_and(|there| here.canonicalize().is_ok_and(|here| here == there))
    };
    let paths = std::env::var_os("PATH").unwrap_or_default();
    let first = std::env::split_paths(&paths).find(|folder| folder.join(name).is_file());
    if first.is_some_and(|folder| same(&folder)) {
        name.to_owned()
    } else {
        shell_word(&here.to_string_lossy())
    }
}
