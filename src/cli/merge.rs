//! `merge`: three versions of a setup made one, measure by measure; git calls it as its merge driver.

use std::path::{Path, PathBuf};

use clap::Args;

use crate::ledger::{Ledger, ledger_of, read_file, write_atomically};
use crate::merge::{Labels, Merged, Refusal, Versions, marked, merge_beside};
use crate::report;
use crate::setup::model::{Kind, Setup};
use crate::setup::read::read;

use super::Status;
use super::beside::setup_of;
use super::session::{Failure, Session};

/// The three versions. Ours is written over with the result.
#[derive(Debug, Args)]
pub struct Arguments {
    /// The version both sides came from; may be empty.
    #[arg(value_name = "BASE")]
    pub base: PathBuf,
    /// Our version, which the merged text replaces.
    #[arg(value_name = "OURS")]
    pub ours: PathBuf,
    /// Their version.
    #[arg(value_name = "THEIRS")]
    pub theirs: PathBuf,
    /// What the file is called, for the messages.
    #[arg(long, value_name = "PATH")]
    pub path: Option<String>,
    /// How many letters long git makes the marks of a conflict in this file.
    #[arg(long, value_name = "LETTERS")]
    pub marker_size: Option<String>,
    /// Where the version comes from that both sides came from.
    #[arg(long, value_name = "NAME")]
    pub base_label: Option<String>,
    /// Where our version comes from: a branch, a commit.
    #[arg(long, value_name = "NAME")]
    pub ours_label: Option<String>,
    /// Where their version comes from.
    #[arg(long, value_name = "NAME")]
    pub theirs_label: Option<String>,
}

/// Runs the command: exit status 0 where nothing is left to decide, 1 where a conflict stands in the file.
pub fn run(session: &Session, arguments: &Arguments) -> Result<Status, Failure> {
    let at = |path: &Path| session.here().join(path);
    let (base, ours, theirs) = (
        read_file(&at(&arguments.base))?,
        read_file(&at(&arguments.ours))?,
        read_file(&at(&arguments.theirs))?,
    );
    let name = arguments.path.clone().unwrap_or_else(|| arguments.ours.display().to_string());
    let labels = Labels::of(
        arguments.base_label.as_deref(),
        arguments.ours_label.as_deref(),
        arguments.theirs_label.as_deref(),
    );
    let silent = is_between_beginnings(&labels, arguments.marker_size.as_deref());
    let beside = setup_of_sheet(session, arguments, &ours);
    let versions = Versions { base: &base, ours: &ours, theirs: &theirs };
    let merged = match merge_beside(session.catalogue(), beside.as_ref(), versions, &labels) {
        Ok(merged) => merged,
        Err(refusal) => {
            let both = marked(&base, &ours, &theirs, &labels);
            let failure = refused(&at(&arguments.ours), &name, &refusal, (&ours, &theirs), &both)?;
            return if silent { Ok(Status::Partial) } else { Err(failure) };
        }
    };
    if merged.text.as_bytes() != ours.as_slice() {
        write_atomically(&at(&arguments.ours), Some(&ours), merged.text.as_bytes())?;
    }
    let report = report::merge::Report { schema: "clampmark.merge/1", file: name, labels, merged };
    let Merged { conflicts, said, .. } = &report.merged;
    if silent {
        return Ok(Status::act_if(!conflicts.is_empty()));
    }
    if session.is_json() || !conflicts.is_empty() || !said.is_empty() {
        session.show(&report, |page| report::merge::page(page, &report))?;
    }
    Ok(Status::act_if(!conflicts.is_empty()))
}

/// The setup whose instruments a sheet names, as it is in the working folder; it may be another version than the sheet was
/// read on, or none. Git runs us at the top of the working tree, from which the path counts, and in whatever ledger.
fn setup_of_sheet(session: &Session, arguments: &Arguments, sheet: &[u8]) -> Option<Setup> {
    let sheet = read(session.catalogue(), sheet, None).setup.filter(|setup| setup.kind == Kind::Found)?;
    let named = arguments.path.as_deref().and_then(ledger_of).map(|root| session.here().join(root));
    let ledger = named.and_then(|root| Ledger::open(&root).ok());
    setup_of(session.catalogue(), ledger.as_ref().or_else(|| session.ledger().ok())?, &sheet)
}

/// Whether git only makes one beginning of several, of branches that were merged with each other before. What is undecided
/// there stands in no file that anybody sees, and comes up again in the merge itself where it still matters.
///
/// A git that tells where the versions come from calls both sides temporary there; by that word it is sure. Another only
/// lengthens its marks, of 7 letters, by 2 for each such step (both from merge-ort.c, `extra_marker_size`).
fn is_between_beginnings(labels: &Labels, marker_size: Option<&str>) -> bool {
    match (&labels.ours, &labels.theirs) {
        (Some(ours), Some(theirs)) => [ours, theirs].iter().all(|side| side.starts_with(TEMPORARY)),
        _ => marker_size.and_then(|letters| letters.parse::<usize>().ok()).is_some_and(|one| one >= LONGER),
    }
}

/// How long git's marks are one step down.
const LONGER: usize = 9;
/// What git calls both sides there: no branch may have such a name.
const TEMPORARY: &str = "Temporary merge branch ";

/// Where measures cannot be merged both versions are left in the file between conflict marks: ours alone would look
/// like the outcome of the merge, and what they recorded would be lost unseen.
fn refused(
    file: &Path,
    name: &str,
    refusal: &Refusal,
    (ours, theirs): (&[u8], &[u8]),
    (both, has_marks): &(Vec<u8>, bool),
) -> Result<Failure, Failure> {
    write_atomically(file, Some(ours), both)?;
    let left = if *has_marks {
        "Both versions stand in the file between conflict marks: keep what is true, then check."
    } else if ours == theirs {
        "The two versions are the same, so ours stays and the file has no conflict marks."
    } else {
        "The two versions differ in their line ends alone, so ours stays and the file has no conflict marks."
    };
    let help = format!("{} {left}", refusal.help);
    Ok(Failure::new(format!("{name}: {}", refusal.message), help))
}
