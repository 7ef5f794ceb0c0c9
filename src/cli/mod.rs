//! The command line: one file a command, arguments in, exit status out.
//!
//! Here the ledger's texts and revisions meet the domain; nothing is computed here and nothing is laid out.

pub mod adopt;
mod behind;
mod beside;
mod between;
pub mod body;
mod calendar;
pub mod carry;
pub mod check;
pub mod completions;
mod contents;
pub mod diff;
mod findings;
pub mod found;
pub mod gate;
pub mod git;
pub mod grips;
pub mod history;
mod known_hoses;
mod mark_stories;
pub mod merge;
mod neither;
pub mod new;
mod newer_sheet;
mod newest;
pub mod overview;
mod planned;
pub mod record;
pub mod restore;
mod rolled_since;
pub mod session;
mod since;
mod since_commit;
mod stop;
mod taken_out;
mod today;
mod told;
pub mod torque;
pub mod tour;
pub mod try_change;
pub mod turn;
mod unsettled;

use std::ffi::OsString;
use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Parser, Subcommand, ValueEnum};

use session::{Failure, Session};

/// The heading of the options that every command takes.
const EVERYWHERE: &str = "With every command";

/// Plain-text ledger of bicycle cockpit setups: what physically changed, and how to get back.
#[derive(Debug, Parser)]
#[command(name = "clampmark", version, about, max_term_width = 100)]
pub struct Arguments {
    /// The folder that holds `setups/`; found upward from here if not given.
    #[arg(long, global = true, help_heading = EVERYWHERE, value_name = "DIR")]
    pub ledger: Option<PathBuf>,
    /// Print one JSON object in place of the page.
    #[arg(long, global = true, help_heading = EVERYWHERE)]
    pub json: bool,
    /// Colour: it only repeats what the words say.
    #[arg(long, global = true, help_heading = EVERYWHERE, value_name = "WHEN", default_value = "auto")]
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
    /// What is unsafe, impossible or missing, and what to do about it.
    Check(check::Arguments),
    /// Where the hands are, how sure that is, and what is missing.
    Grips(grips::Arguments),
    /// What changed between revisions, files, or setup and bike as found.
    Diff(diff::Arguments),
    /// An as-found sheet to fill in, or asked for on the terminal.
    Found(found::Arguments),
    /// The steps back to the recorded setup, as found or from the box.
    Restore(restore::Arguments),
    /// Write an as-found sheet's readings into the setup file.
    Record(record::Arguments),
    /// What changed at each revision, newest first, or one value alone.
    History(history::Arguments),
    /// Merge three versions measure by measure; git calls it after adopt.
    Merge(merge::Arguments),
    /// Make git diff, merge and check setups here measure by measure.
    Adopt(adopt::Arguments),
    /// Check what is staged for the next commit; a fault stops it.
    Gate,
    /// What git calls to show a difference.
    #[command(hide = true)]
    GitDiff(git::DiffArguments),
    /// What git calls to list a file.
    #[command(hide = true)]
    GitText(git::TextArguments),
    /// What each joint may be tightened to, and how to set the wrench.
    Torque(torque::Arguments),
    /// Turn the bars: what nears the top tube, and which hose goes tight.
    ///
    /// The least clearances are proven over the whole turn, not sampled. The head tube, the fork crown and the bar
    /// itself are left out, and so is whatever a control has above its lowest points: a point that passes under the
    /// tube does not show that the rest of the control clears it. That is for the eye.
    Turn(turn::Arguments),
    /// Completions of this program's words for a shell.
    Completions(completions::Arguments),
    /// A fresh setup file that teaches how each thing is measured.
    New(new::Arguments),
    /// Build a small demo ledger to play with, and walk through it.
    Tour(tour::Arguments),
    /// Where your arm points, and how levers and brakes lie to it.
    Body(body::Arguments),
    /// Put your hands in the same place on another bike, with a box of parts.
    Carry(carry::Arguments),
    /// What a change would do, before you loosen a bolt.
    Try(try_change::Arguments),
}

/// What a finished command says of its result.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Status {
    /// Nothing to act on: exit status 0.
    Quiet,
    /// The work was done and found something to act on: exit status 1.
    Act,
    /// Some of the work could not be done, and the result says what: exit status 2.
    Partial,
}

impl Status {
    /// `Act` if so.
    pub fn act_if(act: bool) -> Status {
        if act { Status::Act } else { Status::Quiet }
    }
}

/// A command line that cannot be read, as a failure: what is wrong with it, and how it is used.
fn misused(error: &clap::Error) -> Failure {
    let said = error.to_string();
    let (message, help) = said.split_once("\n\n").unwrap_or((&said, "See `clampmark --help`."));
    let plain = |words: &str| words.split_whitespace().collect::<Vec<_>>().join(" ");
    Failure::new(plain(message.trim_start_matches("error: ")), plain(help))
}

/// Runs the program with these arguments (the first is its own name).
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let arguments: Vec<OsString> = arguments.into_iter().collect();
    let wants_json = arguments.iter().take_while(|one| *one != "--").any(|one| one == "--json");
    let arguments = match Arguments::try_parse_from(arguments) {
        Ok(arguments) => arguments,
        Err(error) => {
            let failed = error.use_stderr();
            if failed && wants_json {
                Session::complain_in_json(&misused(&error));
            } else {
                let _ = error.print();
            }
            return ExitCode::from(if failed { 2 } else { 0 });
        }
    };
    let session = Session::new(&arguments);
    let done: Result<Status, Failure> = match arguments.command {
        None => overview::run(&session),
        Some(Command::Body(arguments)) => body::run(&session, &arguments),
        Some(Command::Carry(arguments)) => carry::run(&session, &arguments),
        Some(Command::Try(arguments)) => try_change::run(&session, &arguments),
        Some(Command::Diff(arguments)) => diff::run(&session, &arguments),
        Some(Command::Found(arguments)) => found::run(&session, &arguments),
        Some(Command::Restore(arguments)) => restore::run(&session, &arguments),
        Some(Command::Record(arguments)) => record::run(&session, &arguments),
        Some(Command::Merge(arguments)) => merge::run(&session, &arguments),
        Some(Command::Adopt(arguments)) => adopt::run(&session, &arguments),
        Some(Command::Gate) => gate::run(&session),
        Some(Command::GitDiff(arguments)) => git::diff(&session, &arguments),
        Some(Command::GitText(arguments)) => git::text(&session, &arguments),
        Some(Command::History(arguments)) => history::run(&session, &arguments),
        Some(Command::Torque(arguments)) => torque::run(&session, &arguments),
        Some(Command::Turn(arguments)) => turn::run(&session, &arguments),
        Some(Command::Check(arguments)) => check::run(&session, &arguments),
        Some(Command::Grips(arguments)) => grips::run(&session, &arguments),
        Some(Command::Completions(arguments)) => completions::run(&session, &arguments),
        Some(Command::New(arguments)) => new::run(&session, &arguments),
        Some(Command::Tour(arguments)) => tour::run(&session, &arguments),
    };
    session.finish(done)
}
