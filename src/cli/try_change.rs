//! `try`: what a change would do, before a bolt is loosened.

use std::path::{Path, PathBuf};

use clap::Args;

use crate::catalogue::{Catalogue, MeasureId};
use crate::check::planned::to_be_read;
use crate::report::pile;
use crate::report::trial::{NOBODY_PILES, TrialReport};
use crate::setup::model::{PLANNED, Setup};
use crate::trial::{Asked, Refusal, Trial, Wish, try_changes};

use super::Status;
use super::planned::{self, PartsToFit, Planned};
use super::session::{Failure, Opened, Session};

const CHANGES_HELP: &str = "\
A change is a measure and what it becomes; a sign makes it a step:

  stem.length=40             the stem becomes 40 mm long
  steerer.spacers-below=+5   5 mm more spacers than now
  bar.roll=-2                rolled 2° further back than now
  bar.roll:=-2               rolled to -2°: := is always the value itself
  stem.length=(in)1.5        a unit stands before the number

Levers, shifters and hoses go along with the bar they sit on.";

/// What a change would do, before you loosen a bolt.
#[derive(Debug, Args)]
#[command(after_help = CHANGES_HELP)]
pub struct Arguments {
    /// The setup.
    pub setup: String,
    /// What to change.
    #[arg(value_name = "MEASURE=VALUE", required_unless_present = "keep")]
    pub changes: Vec<String>,
    /// On the setup as it was at this revision.
    #[arg(long, value_name = "REV")]
    pub at: Option<String>,
    /// Keep this derived value (grip-stack, grip-reach …) where it was.
    #[arg(long, value_name = "NAME", requires = "by")]
    pub keep: Option<String>,
    /// The measure that gives way for it.
    #[arg(long, value_name = "MEASURE", requires = "keep")]
    pub by: Option<String>,
    /// Write the result as a new setup: a name such as rowan/tried, or a path that ends in .kdl. A pile that no usual
    /// spacers make is not written: give its height, such as steerer.spacers-below:=20.
    #[arg(long, value_name = "FILE")]
    pub write: Option<PathBuf>,
}

impl From<Refusal> for Failure {
    fn from(refusal: Refusal) -> Failure {
        Failure::new(refusal.message, refusal.help)
    }
}

/// The changes and the wish; everything that is wrong with them at once, so that nobody mends them one by one.
fn asked_for(
    catalogue: &Catalogue,
    setup: &Setup,
    arguments: &Arguments,
) -> Result<(Vec<Asked>, Option<Wish>), Failure> {
    let (mut refusals, mut asked, mut wish) = (Vec::new(), Vec::new(), None);
    match Asked::parse_all(catalogue, setup, &arguments.changes) {
        Ok(changes) => asked = changes,
        Err(found) => refusals = found,
    }
    if let (Some(keep), Some(by)) = (&arguments.keep, &arguments.by) {
        match Wish::new(catalogue, setup, keep, by) {
            Ok(wished) => wish = Some(wished),
            Err(refusal) => refusals.push(refusal),
        }
    }
    match <[Refusal; 1]>::try_from(refusals) {
        Ok([only]) => Err(only.into()),
        Err(none) if none.is_empty() => Ok((asked, wish)),
        Err(many) => Err(numbered(&many)),
    }
}

/// Several refusals, each with its number in what is wrong and in what to do.
fn numbered(refusals: &[Refusal]) -> Failure {
    let numbered = |words: fn(&Refusal) -> &str| {
        let each = refusals.iter().zip(1..).map(|(refusal, number)| format!("({number}) {}", words(refusal)));
        each.collect::<Vec<_>>().join(" ")
    };
    Failure::new(numbered(|refusal| &refusal.message), numbered(|refusal| &refusal.help))
}

/// Runs it.
pub fn run(session: &Session, arguments: &Arguments) -> Result<Status, Failure> {
    let opened = session.open(&arguments.setup, arguments.at.as_deref())?;
    let catalogue = session.catalogue();
    let (asked, wish) = asked_for(catalogue, opened.whole()?, arguments)?;
    let trial = try_changes(catalogue, opened.whole()?, &asked, wish.as_ref())?;
    // A file tells of a pile that somebody can put together, or the next reader looks for the spacers.
    let (to_write, not_written) = match &arguments.write {
        Some(_) if trial.is_piled_by_nobody() => (None, true),
        file => (file.as_ref(), false),
    };
    let written = match to_write {
        Some(file) => Some(write(session, &opened, &trial, file)?),
        None => None,
    };
    let status = Status::act_if(trial.is_worse() || not_written || opened.read.has_fault());
    let report = TrialReport {
        schema: TrialReport::SCHEMA,
        setup: opened.name.clone(),
        revision: opened.revision.as_ref().map(|revision| revision.id.clone()),
        label: opened.label.clone(),
        findings: opened.faults(),
        trial,
        written,
        not_written: not_written.then_some(NOBODY_PILES),
    };
    session.show(&report, |page| report.write(page))?;
    Ok(status)
}

/// The figures that somebody has to read besides those that were asked for: what goes along, and what was the old parts'.
fn along(catalogue: &Catalogue, trial: &Trial, changed: &[&str]) -> String {
    let old: Vec<MeasureId> = trial
        .taken_over
        .iter()
        .flat_map(|taken| &taken.measures)
        .filter_map(|path| catalogue.find(path))
        .collect();
    let mut paths = to_be_read(catalogue, &trial.setup, trial.differing.iter().chain(&old));
    paths.sort_unstable();
    paths.dedup();
    paths.retain(|path| !changed.contains(&path.as_str()));
    if paths.is_empty() { String::new() } else { format!(": {}", paths.join(", ")) }
}

/// Writes the result as a new setup, with a note on what of it nobody measured.
fn write(session: &Session, opened: &Opened, trial: &Trial, file: &Path) -> Result<String, Failure> {
    let changed: Vec<&str> = trial.changes.iter().map(|change| change.measure.as_str()).collect();
    let note = format!(
        "{PLANNED}try` on {}, not measured: {}, and what goes along{}.{}",
        opened.name,
        changed.join(", "),
        along(session.catalogue(), trial, &changed),
        trial.taken_over.as_ref().map(|taken| format!(" {}", taken.words)).unwrap_or_default()
    );
    let replaced = trial.replaced.as_ref();
    let forbidden = trial.steerer.as_ref().and_then(pile::forbids);
    let twisted = trial.twisted.as_ref().map(|_| "the stem is turned out of square to the wheel");
    let planned = Planned {
        from: opened,
        setup: &trial.setup,
        differing: &trial.differing,
        note,
        forbidden,
        twisted,
        front_brake: None,
        damaged: &[],
        replaced,
        parts: PartsToFit {
            of_the_old: trial.taken_over.as_ref().map(|taken| taken.measures.clone()).unwrap_or_default(),
            ..PartsToFit::default()
        },
        to_tighten: &trial.opens.to_tighten,
    };
    planned::write(session, &planned, file)
}
