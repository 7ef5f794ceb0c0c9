//! `git-diff` and `git-text`: what git calls to show setups, once `adopt` has run.
//!
//! Git shows its own line differences where these fail, or stops altogether; so neither ever fails over what is in a
//! file.

use std::path::{Path, PathBuf};

use clap::Args;

use crate::catalogue::code::{self, Severity};
use crate::compare::{Relation, measured_anew};
use crate::geometry::state::State;
use crate::ledger::{Ledger, SetupFile, ledger_of, read_file};
use crate::report;
use crate::report::screen::plain;
use crate::setup::finding::Finding;
use crate::setup::model::{Kind, Setup};
use crate::setup::name_of;
use crate::setup::read::{Read, read, without_places};

use super::Status;
use super::beside::{setup_of, with_its_setup};
use super::diff::compare_opened;
use super::newest::{self, WORKING_FILE};
use super::session::{Failure, Opened, Session};
use super::stop;

/// What git hands to an external diff: path, old file, its id and mode, new file, its id and mode; of a rename also
/// the new path and what became of it; of a file in conflict the path alone.
#[derive(Debug, Args)]
pub struct DiffArguments {
    /// As git gives them.
    #[arg(value_name = "PATH OLD OLD-ID OLD-MODE NEW NEW-ID NEW-MODE", num_args = 1..=9, required = true, allow_hyphen_values = true)]
    pub given: Vec<String>,
}

/// One file to list.
#[derive(Debug, Args)]
pub struct TextArguments {
    /// The file.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
}

/// Prints what physically changed between two contents.
pub fn diff(session: &Session, arguments: &DiffArguments) -> Result<Status, Failure> {
    let given: Vec<&str> = arguments.given.iter().map(String::as_str).collect();
    let [path, old, old_id, old_mode, new, new_id, new_mode, rest @ ..] = given.as_slice() else {
        let path = given.first().copied().unwrap_or_default();
        return said(session, &format!("{path} is in conflict: git add it once that is settled."));
    };
    let now_at = rest.first().copied().unwrap_or(path);
    let (old, new) = (content(session, path, old, old_id)?, content(session, now_at, new, new_id)?);
    match (old, new) {
        (None, Some(new)) => {
            let setup = new.setup().ok();
            let kept = match setup.filter(|setup| setup.kind == Kind::Setup) {
                Some(setup) => newest::kept(session, &new, &State::recorded(session.catalogue(), setup)),
                None => setup
                    .and_then(|sheet| told(session, path, sheet))
                    .map(|why| format!("Do not ride: {why}.")),
            };
            let kept = kept.map(|kept| format!(" {kept}")).unwrap_or_default();
            said(session, &format!("{}: new.{kept}", new.name))
        }
        (Some(old), None) => {
            let kept = old.setup().ok().and_then(|setup| told(session, path, setup));
            let kept = kept.map(|why| format!(" It says: do not ride: {why}.")).unwrap_or_default();
            said(session, &format!("{}: deleted.{kept}", old.name))
        }
        // Git asks for a file that was only renamed, or that may be run from now on, too.
        (Some(old), Some(new)) if old.bytes == new.bytes => {
            let moved = if old.name == new.name { String::new() } else { format!("{}, now ", old.name) };
            let mode = if old_mode == new_mode {
                String::new()
            } else {
                format!(" Its mode was {old_mode} and is {new_mode}.")
            };
            said(session, &format!("{moved}{}: not a letter differs.{mode}", new.name))
        }
        (Some(old), Some(new)) => match compare_opened(session, &old, &new, Relation::Revisions) {
            Ok(report) => {
                session.show(&report, |page| report::diff::page(page, &report, false))?;
                if !report.comparison.is_silent() || session.is_json() {
                    session.print("\n")?;
                    return Ok(Status::Quiet);
                }
                match measured_anew(old.setup()?, new.setup()?) {
                    Some(anew) => said(
                        session,
                        &format!("{anew} Whatever else differs is a comment, the order or the layout."),
                    ),
                    None if without_places(old.setup()?) != without_places(new.setup()?) => said(
                        session,
                        "The text differs all the same, and not in comments alone: see both versions, line by line, with \
                         `git diff --no-ext-diff --no-textconv`.",
                    ),
                    None => said(
                        session,
                        "The text differs all the same: in its comments, its order or its layout.",
                    ),
                }
            }
            Err(failure) => said(session, &failure.message),
        },
        (None, None) => Ok(Status::Quiet),
    }
}

/// What a file tells against riding, a sheet beside its setup as that stands in the working folder.
fn told(session: &Session, path: &str, setup: &Setup) -> Option<String> {
    let catalogue = session.catalogue();
    if setup.kind == Kind::Setup {
        return stop::kept(catalogue, setup);
    }
    let ledger = ledger_of(path).and_then(|root| Ledger::open(&session.here().join(root)).ok());
    let beside = ledger.as_ref().and_then(|ledger| setup_of(catalogue, ledger, setup));
    match beside {
        Some(beside) => stop::on_setup(catalogue, &beside, setup, &[]),
        None => stop::says_alone(catalogue, setup),
    }
}

fn said(session: &Session, words: &str) -> Result<Status, Failure> {
    let mut page = session.page();
    page.paragraph(0, 2, &[plain(words)]);
    session.print(&(page.render(false) + "\n"))?;
    Ok(Status::Quiet)
}

/// One side; none if the file is not there. Git writes the id as zeros where the content is the working file's.
fn content(session: &Session, path: &str, file: &str, id: &str) -> Result<Option<Opened>, Failure> {
    if file == "/dev/null" || file == "nul" {
        return Ok(None);
    }
    let bytes = read_file(Path::new(file))?;
    let now = id.bytes().all(|digit| digit == b'0') || file == path;
    let label = if now {
        WORKING_FILE.to_owned()
    } else {
        format!("git's copy {}", id.chars().take(9).collect::<String>())
    };
    let found = read(session.catalogue(), &bytes, None);
    // Git runs us at the top of the working tree, from which the path counts, and in whatever ledger.
    let ledger = ledger_of(path).and_then(|root| Ledger::open(&session.here().join(root)).ok());
    let ledger = ledger.as_ref().or_else(|| session.ledger().ok());
    let found = with_its_setup(session.catalogue(), ledger, None, &bytes, found);
    // Of several ledgers in one repository two may have a setup of one name.
    let is_below = ledger_of(path).is_some_and(|root| !root.is_empty());
    Ok(Some(Opened {
        name: if is_below { path.to_owned() } else { name_of(path).to_owned() },
        path: PathBuf::from(path),
        label,
        revision: None,
        read: found,
        bytes,
    }))
}

fn faults(read: &Read) -> impl Iterator<Item = &Finding> {
    read.findings.iter().filter(|finding| finding.severity == Severity::Fault)
}

/// Prints a file as a list that differs line by line where the bike differs.
pub fn text(session: &Session, arguments: &TextArguments) -> Result<Status, Failure> {
    let file = SetupFile { name: String::new(), path: session.here().join(&arguments.file), exists: true };
    let bytes = read_file(&file.path)?;
    let read = read(session.catalogue(), &bytes, None);
    // What cannot be read whole is shown as it stands: nothing of it may be hidden. What a merge could not decide can be
    // listed: beside the lists of its two sides each reading in question then stands alone.
    match &read.setup {
        Some(setup) if faults(&read).all(|fault| fault.code == &code::UNRESOLVED_CONFLICT) => {
            session.print(&report::listing::listing(session.catalogue(), setup))?;
            for fault in faults(&read) {
                session.print(&format!("not decided: {}\n", fault.message))?;
            }
        }
        _ => session.print(&String::from_utf8_lossy(&bytes))?,
    }
    Ok(Status::Quiet)
}
