//! `new`: a fresh setup file that teaches how each thing is measured.

use std::path::{Path, PathBuf};

use chrono::Local;
use clap::Args;

use crate::catalogue::{Catalogue, MeasureId, Row, Side};
use crate::ledger::{LedgerError, top_around, write_atomically};
use crate::report;
use crate::report::fresh;
use crate::report::new::Created;

use super::Status;
use super::session::{Failure, Session};

/// What to call it.
#[derive(Debug, Args)]
pub struct Arguments {
    /// The bike and what the setup is for: rowan/race.
    #[arg(value_name = "NAME")]
    pub name: String,
}

/// Runs the command.
pub fn run(session: &Session, arguments: &Arguments) -> Result<Status, Failure> {
    let name = setup_name(&arguments.name)?;
    let (root, new_ledger, in_git) = home(session)?;
    let path = root.join("setups").join(format!("{name}.kdl"));
    refuse_taken(&path, &name)?;
    let text = fresh::setup(session.catalogue(), &name, Local::now().date_naive());
    write_atomically(&path, None, text.as_bytes()).map_err(|error| refused(error, &name))?;
    let created = Created {
        schema: "clampmark.new/1",
        setup: name,
        path: path.display().to_string(),
        ledger: root.display().to_string(),
        new_ledger,
        in_git,
        blanks: blanks(session.catalogue()),
    };
    session.show(&created, |page| report::new::page(page, &created))?;
    Ok(Status::Quiet)
}

/// The ledger's folder, whether it is made now, and whether git is around it.
fn home(session: &Session) -> Result<(PathBuf, bool, bool), Failure> {
    let Ok(ledger) = session.ledger() else {
        // A repository around it may be one above: another inside it would hide the ledger from that one.
        let folder = session.ledger_folder();
        let in_git =
            folder.ancestors().find(|folder| folder.is_dir()).is_some_and(|near| top_around(near).is_some());
        return Ok((folder, true, in_git));
    };
    if !ledger.root().join("setups").is_dir() {
        return Err(Failure::new(
            "This ledger is a bare repository: it has no working files to add to.",
            "Work in a clone of it.",
        ));
    }
    Ok((ledger.root().to_path_buf(), false, ledger.has_repository()))
}

fn refuse_taken(path: &Path, name: &str) -> Result<(), Failure> {
    if path.symlink_metadata().is_ok() { Err(taken(name)) } else { Ok(()) }
}

fn taken(name: &str) -> Failure {
    Failure::new(
        format!("There is a setup {name} already; it was left as it is."),
        format!("Choose another name, or edit setups/{name}.kdl."),
    )
}

fn refused(error: LedgerError, name: &str) -> Failure {
    match error {
        LedgerError::AlreadyThere { .. } => taken(name),
        other => other.into(),
    }
}

/// The measures a fresh file leaves blank, by path, both sides written out.
fn blanks(catalogue: &Catalogue) -> Vec<String> {
    let path = |row: Row| {
        let sided = catalogue.measure(row).is_sided();
        let ids = if sided {
            Side::BOTH.map(|side| MeasureId::of(row, side)).to_vec()
        } else {
            vec![MeasureId::bike(row)]
        };
        ids.into_iter().map(|id| catalogue.path(&id)).collect::<Vec<_>>()
    };
    fresh::needed().into_iter().flat_map(path).collect()
}

/// A name that is a plain path below `setups/` on any system: words of letters, digits, `-`, `_` and `.`.
pub(super) fn setup_name(given: &str) -> Result<String, Failure> {
    let name = given.strip_suffix(".kdl").unwrap_or(given);
    let name = name.strip_prefix("setups/").unwrap_or(name);
    match complaint(name) {
        None => Ok(name.to_owned()),
        Some(what) => {
            Err(Failure::new(what, "Name it by bike and purpose, for instance: clampmark new rowan/race"))
        }
    }
}

fn complaint(name: &str) -> Option<String> {
    if name.trim().is_empty() {
        return Some("A setup needs a name.".to_owned());
    }
    if name.starts_with('/') {
        return Some(format!("`{name}` is a place on this computer; a setup's name begins with its bike."));
    }
    let odd = |letter: &char| !(letter.is_alphanumeric() || matches!(letter, '-' | '_' | '.' | '/'));
    if let Some(odd) = name.chars().find(odd) {
        let odd = odd.escape_debug();
        return Some(format!(
            "A setup's name cannot hold `{odd}`: only letters, digits, - _ . and / between words."
        ));
    }
    for word in name.split('/') {
        match word {
            "" => return Some(format!("`{name}` has an empty word beside a `/`.")),
            "." | ".." => return Some(format!("`{name}` leads out of the ledger by `{word}`.")),
            _ if word.starts_with('.') => return Some(format!("`{word}` would be a hidden file.")),
            _ if word.ends_with('.') => return Some(format!("`{word}` ends in a full stop.")),
            _ => {}
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plain_names_are_taken_as_they_are() {
        for (given, name) in [
            ("rowan/race", "rowan/race"),
            ("rowan/race.kdl", "rowan/race"),
            ("setups/rowan/race.kdl", "rowan/race"),
            ("rowan", "rowan"),
            ("rowan/2026-05_wet.v2", "rowan/2026-05_wet.v2"),
            ("bike/über", "bike/über"),
        ] {
            assert_eq!(setup_name(given).as_deref(), Ok(name), "{given}");
        }
    }

    #[test]
    fn a_name_that_leaves_the_ledger_or_no_system_can_keep_is_refused() {
        for given in [
            "",
            " ",
            ".kdl",
            "/tmp/race",
            "..",
            "../race",
            "rowan/../../race",
            "./race",
            "rowan//race",
            "rowan/",
            "rowan/.race",
            "rowan\\race",
            "c:race",
            "rowan/my race",
            "rowan/race*",
            "rowan\nrace",
            "\"rowan\"",
            "rowan.",
        ] {
            assert!(setup_name(given).is_err(), "{given:?} was taken");
        }
    }
}
