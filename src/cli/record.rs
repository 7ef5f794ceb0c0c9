//! `record`: folds an as-found sheet into the setup file, in place.

use crate::ledger::write_atomically;
use crate::report;
use crate::restore::record::{Options, Recording, fold};
use crate::setup::edit::{Edit, EditError};

use super::Status;
use super::diff::open_sheet;
use super::session::{Failure, Opened, Session};

/// Writes what an as-found sheet reads into the setup file; comments, order and spacing stay.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// The setup, by name or by path.
    #[arg(value_name = "SETUP")]
    pub setup: String,
    /// The as-found sheet.
    #[arg(long, value_name = "SHEET")]
    pub found: String,
    /// Write also readings that differ only within reading.
    #[arg(long)]
    pub all: bool,
    /// The marks were drawn anew at the new positions: write that, too.
    #[arg(long)]
    pub mark: bool,
    /// Commit the setup file, and only that.
    #[arg(long, requires = "message")]
    pub commit: bool,
    /// The commit's message.
    #[arg(short, long, value_name = "TEXT", requires = "commit")]
    pub message: Option<String>,
}

/// Runs it.
pub fn run(session: &Session, arguments: &Arguments) -> Result<Status, Failure> {
    let opened = session.open(&arguments.setup, None)?;
    let sheet = open_sheet(session, &arguments.found, opened.setup()?)?;
    sheet.without_faults()?;
    let text = std::str::from_utf8(&opened.bytes)
        .map_err(|_| Failure::new(format!("{} is not UTF-8.", opened.name), "Save it as UTF-8."))?;
    let mut edit = Edit::new(session.catalogue(), text, None).map_err(|error| refused(&opened, &error))?;
    let options = Options { all: arguments.all, redraw: arguments.mark };
    let mut recording = fold(session.catalogue(), &mut edit, sheet.setup()?, options)
        .map_err(|error| refused(&opened, &error))?;
    recording.setup.clone_from(&opened.name);
    let changed = edit.text() != text;
    if changed {
        write_atomically(&opened.path, Some(&opened.bytes), edit.text().as_bytes())?;
    }
    if let Some(message) = arguments.message.as_ref().filter(|_| arguments.commit && changed) {
        let file = session.file(&arguments.setup)?;
        recording.revision = Some(session.ledger()?.commit_file(&file, message)?.short);
    } else if changed && session.ledger()?.has_repository() {
        recording.command = Some(command(session, &opened, &recording));
    }
    session.show(&recording, |page| report::record::page(page, &recording))?;
    Ok(Status::Quiet)
}

/// The command that makes a revision of the file, to be typed where the program was started.
fn command(session: &Session, opened: &Opened, recording: &Recording) -> String {
    let path = opened.path.strip_prefix(session.here()).unwrap_or(&opened.path);
    let what: Vec<&str> = recording.changes.iter().map(|change| change.title.as_str()).collect();
    let subject = match what.as_slice() {
        [] => "marks drawn anew".to_owned(),
        [one] => format!("{one} as found"),
        [one, rest @ ..] => format!("{one} and {} more as found", rest.len()),
    };
    let message = format!("{}: {subject}", opened.name).replace('\'', " ");
    format!("git commit -m '{message}' -- '{}'", path.display())
}

fn refused(opened: &Opened, error: &EditError) -> Failure {
    Failure::new(
        format!("{} was not changed. {error}", opened.name),
        format!("Run `clampmark check {}` and mend the file first.", opened.name),
    )
}
