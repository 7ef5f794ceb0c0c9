//! The command line: one file a command, arguments in, exit status out.
//!
//! Here the ledger's texts and revisions meet the domain; nothing is computed here and nothing is laid out.

mod contents;
pub mod diff;
pub mod history;
pub mod merge;
pub mod session;

use std::ffi::OsString;
use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Parser, Subcommand, ValueEnum};

use session::{Failure, Session};

/// Plain-text ledger of bicycle cockpit setups: what physically changed, and how to get back.
#[derive(Debug, Parser)]
#[command(name = "clampmark", version, about, max_term_width = 100)]
pub struct Arguments {
    /// The folder that holds `setups/`; found upward from here if not given.
    #[arg(long, global = true, value_name = "DIR")]
    pub ledger: Option<PathBuf>,
    /// Print one JSON object in place of the page.
    #[arg(long, global = true)]
    pub json: bool,
    /// Colour: it only repeats what the words say.
    #[arg(long, global = true, value_name = "WHEN", default_value = "auto")]
    pub colour: Colour,
    /// What to do; without it, the ledger at a glance.
    #[command(subcommand)]
    pub command: Option<Command>,
}

/// When to use colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Colour {
    /// On a terminal, unless `NO_COLOR` is set.
    Auto,
    /// Always.
    Always,
    /// Never.
    Never,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// What physically changed between two revisions, two files, or a setup and the bike as found.
    Diff(diff::Arguments),
    /// What physically changed at each revision, newest first; or one value over the revisions.
    History(history::Arguments),
    /// Make three versions of a setup one, measure by measure; git calls this once `adopt` has run.
    Merge(merge::Arguments),
}

/// What a finished command says of its result.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Status {
    /// Nothing to act on: exit status 0.
    Quiet,
    /// The work was done and found something to act on: exit status 1.
    Act,
}

impl Status {
    /// `Act` if so.
    pub fn act_if(act: bool) -> Status {
        if act { Status::Act } else { Status::Quiet }
    }
}

/// Runs the program with these arguments (the first is its own name).
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let arguments = match Arguments::try_parse_from(arguments) {
        Ok(arguments) => arguments,
        Err(error) => {
            let failed = error.use_stderr();
            let _ = error.print();
            return ExitCode::from(if failed { 2 } else { 0 });
        }
    };
    let session = Session::new(&arguments);
    let done: Result<Status, Failure> = match arguments.command {
        None => Ok(Status::Quiet),
        Some(Command::Diff(arguments)) => diff::run(&session, &arguments),
        Some(Command::Merge(arguments)) => merge::run(&session, &arguments),
        Some(Command::History(arguments)) => history::run(&session, &arguments),
    };
    session.finish(done)
}
