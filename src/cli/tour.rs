//! `tour`: builds the demo ledger, walks through the program's own commands on it, and leaves it to play with.
//!
//! Each stop is the program run as a child, so that what is shown is what a person would see.

mod story;

use std::ffi::OsStr;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use clap::{Args, CommandFactory};

use crate::ledger::{self, LedgerError, write_atomically};
use crate::report;
use crate::report::tour::{Step, Tour};

use super::Status;
use super::session::{Failure, Session};

/// Where to build it.
#[derive(Debug, Args)]
pub struct Arguments {
    /// An empty folder, or one that does not exist yet; a temporary one, which is kept, if not given.
    #[arg(value_name = "DIR")]
    pub dir: Option<PathBuf>,
}

/// A stop: why, and the command with its words; the first word is the command's name (none for the overview).
struct Stop {
    why: &'static str,
    words: &'static [&'static str],
}

const STOPS: &[Stop] = &[
    Stop { why: "Every setup at a glance, and whether it still is what was last recorded.", words: &[] },
    Stop { why: "Is anything in these files unsafe, impossible or missing?", words: &["check"] },
    Stop { why: "Where exactly are the hands, and how sure is that?", words: &["grips", "rowan/race"] },
    Stop {
        why: "One spacer was moved in March. What did that do?",
        words: &["diff", "rowan/home", "home-1", "home-2"],
    },
    Stop {
        why: "What was changed for the race, and where did the hands go?",
        words: &["diff", "rowan/race", "valley-practice", "valley-race"],
    },
    Stop {
        why: "Somebody tinkered with the home setup and recorded nothing. What is different now?",
        words: &["diff", "rowan/home"],
    },
    Stop {
        why: "The bike is back from a loan. What really moved, and what of it is dangerous?",
        words: &["diff", "rowan/race", "--found", "rowan/returned"],
    },
    Stop {
        why: "What may each bolt be tightened to, and what is to be minded?",
        words: &["torque", "rowan/race"],
    },
    Stop {
        why: "The shortest safe way back to the recorded setup.",
        words: &["restore", "rowan/race", "--found", "rowan/returned"],
    },
];

/// What to try after the tour.
const NEXT: &[Stop] = &[
    Stop {
        why: "Then change any number in setups/rowan/home.kdl and run it again.",
        words: &["diff", "rowan/home"],
    },
    Stop { why: "A file that teaches how each thing is measured.", words: &["new", "rowan/rain"] },
    Stop {
        why: "The same readings for another program to use.",
        words: &["diff", "rowan/race", "valley-practice", "--json"],
    },
];

/// Runs the command.
pub fn run(session: &Session, arguments: &Arguments) -> Result<Status, Failure> {
    let folder = folder(session, arguments.dir.as_deref())?;
    build(&folder)?;
    let program = std::env::current_exe().map_err(|error| {
        Failure::new(format!("The program cannot find itself: {error}."), "Start it by its full path.")
    })?;
    let mut steps = Vec::new();
    for stop in STOPS.iter().filter(|stop| is_known(stop)) {
        steps.push(walk(session, &program, &folder, stop)?);
    }
    let failed =
        steps.iter().find(|step| !matches!(step.status, Some(0 | 1))).map(|step| step.command.clone());
    let tour = Tour {
        schema: "clampmark.tour/1",
        folder: folder.display().to_string(),
        story: story::told(),
        steps,
        next: NEXT
            .iter()
            .filter(|stop| is_known(stop))
            .map(|stop| (typed(stop), stop.why.to_owned()))
            .collect(),
        program: program.display().to_string(),
    };
    session.show(&tour, |page| report::tour::page(page, &tour))?;
    match failed {
        None => Ok(Status::Quiet),
        Some(command) => Err(Failure::new(
            format!("A stop of the tour could not do its work: {command}."),
            format!("The ledger is in {}: run the command there.", tour.folder),
        )),
    }
}

/// The empty folder to build in.
fn folder(session: &Session, given: Option<&Path>) -> Result<PathBuf, Failure> {
    let Some(given) = given else {
        let made = tempfile::Builder::new().prefix("clampmark-tour-").tempdir();
        return made.map(tempfile::TempDir::keep).map_err(|error| {
            Failure::new(
                format!("No temporary folder could be made: {error}."),
                "Name an empty folder instead.",
            )
        });
    };
    let folder = session.here().join(given);
    let help = "Name an empty folder, or one that does not exist yet.";
    if folder.symlink_metadata().is_err() {
        fs::create_dir_all(&folder)
            .map_err(|error| Failure::new(format!("{} cannot be made: {error}.", given.display()), help))?;
        return Ok(folder);
    }
    match fs::read_dir(&folder).map(|mut entries| entries.next().is_none()) {
        Ok(true) => Ok(folder),
        Ok(false) => {
            Err(Failure::new(format!("{} is not empty; nothing was written.", given.display()), help))
        }
        Err(error) => Err(Failure::new(format!("{} cannot be used: {error}.", given.display()), help)),
    }
}

/// The ledger with its history, and one edit that nobody recorded.
fn build(folder: &Path) -> Result<(), LedgerError> {
    ledger::demo::build(folder, &story::commits())?;
    let (recorded, now) = story::unrecorded();
    let file = folder.join("setups").join(format!("{}.kdl", story::UNRECORDED));
    write_atomically(&file, Some(recorded.as_bytes()), now.as_bytes())
}

/// Whether the program has the stop's command.
fn is_known(stop: &Stop) -> bool {
    let command = super::Arguments::command();
    stop.words.first().is_none_or(|name| command.find_subcommand(name).is_some())
}

/// The command line as a person types it.
fn typed(stop: &Stop) -> String {
    std::iter::once("clampmark").chain(stop.words.iter().copied()).collect::<Vec<_>>().join(" ")
}

fn walk(session: &Session, program: &Path, folder: &Path, stop: &Stop) -> Result<Step, Failure> {
    let colour = if session.is_coloured() { "always" } else { "never" };
    let done = Command::new(program)
        .args(stop.words)
        .args([OsStr::new("--ledger"), folder.as_os_str()])
        .args(["--colour", colour])
        .args(session.is_json().then_some("--json"))
        .env("COLUMNS", session.page().width().to_string())
        .current_dir(folder)
        .output()
        .map_err(|error| {
            let help = "Run the command by hand.";
            Failure::new(format!("{} could not be started: {error}.", typed(stop)), help)
        })?;
    let mut output = String::from_utf8_lossy(&done.stdout).into_owned();
    output += &String::from_utf8_lossy(&done.stderr);
    Ok(Step { command: typed(stop), why: stop.why.to_owned(), status: done.status.code(), output })
}

#[cfg(test)]
mod tests {
    use clap::Parser;

    use super::*;

    #[test]
    fn every_stop_that_the_program_knows_is_a_command_line_it_takes() {
        let known: Vec<&Stop> = STOPS.iter().chain(NEXT).filter(|stop| is_known(stop)).collect();
        assert!(known.iter().any(|stop| stop.words.first() == Some(&"diff")));
        for stop in known {
            let words = std::iter::once("clampmark").chain(stop.words.iter().copied());
            let taken = super::super::Arguments::try_parse_from(words);
            assert!(taken.is_ok(), "{}: {taken:?}", typed(stop));
        }
    }
}
