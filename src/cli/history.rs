//! `history`: what physically changed at each revision, newest first.

use std::collections::HashSet;
use std::sync::Arc;

use chrono::NaiveDate;
use clap::Args;
use rayon::prelude::*;

use crate::history::{self, Entry, MarkHistory, Report, Stamp, Step, Wanted};
use crate::ledger::{HistoryEntry, HistoryOptions, LedgerError, Revision, SetupFile};
use crate::report;

use super::Status;
use super::contents::Contents;
use super::session::{Failure, Session};

/// How many revisions are read and compared at a time: what bounds the memory.
const ROW: usize = 512;

/// Of what, and since when.
#[derive(Debug, Args)]
pub struct Arguments {
    /// A setup's name (rowan/race) or file.
    #[arg(value_name = "SETUP")]
    pub setup: String,
    /// Measures (left.brake-lever.angle) or derived values (grip-stack) to follow; everything if none is named.
    #[arg(value_name = "MEASURE")]
    pub measures: Vec<String>,
    /// Only what came after this day (2026-05-02, the day itself included) or this revision (left out).
    #[arg(long, value_name = "DATE|REV")]
    pub since: Option<String>,
    /// Follow every branch that was merged, not only the line the merges went into.
    #[arg(long)]
    pub all: bool,
    /// When each witness mark was drawn and when it went stale.
    #[arg(long)]
    pub marks: bool,
    /// Print comma-separated values.
    #[arg(long, conflicts_with_all = ["json", "marks"])]
    pub csv: bool,
}

/// Runs the command.
pub fn run(session: &Session, arguments: &Arguments) -> Result<Status, Failure> {
    let catalogue = session.catalogue();
    let wanted = history::wanted(catalogue, &arguments.measures).map_err(|unknown| {
        let help = match unknown.nearest {
            Some(near) => format!("Did you mean `{near}`?"),
            None => {
                "Name a measure by its path, as in `left.brake-lever.angle`, or a derived value.".to_owned()
            }
        };
        Failure::new(format!("`{}` is neither a measure nor a derived value.", unknown.name), help)
    })?;
    let file = session.file(&arguments.setup)?;
    let commits = commits(session, arguments, &file)?;
    let mut report = Report {
        schema: "clampmark.history/1",
        setup: file.name.clone(),
        entries: Vec::new(),
        series: Vec::new(),
        marks: Vec::new(),
    };
    if arguments.marks {
        report.marks = marks(session, &commits.all)?;
    } else {
        report.entries = entries(session, &commits, &wanted)?;
        report.series = history::series(catalogue, &wanted, &report.entries);
    }
    if arguments.csv {
        session.print(&report::history::csv(&report))?;
    } else {
        let plot = session.is_terminal();
        session.show(&report, |page| report::history::page(page, &report, plot))?;
    }
    Ok(Status::act_if(report.marks.iter().any(|mark| mark.stale)))
}

/// The commits that changed the file, newest first: all of them, and which of them are asked for. Older ones may be
/// needed to compare the oldest with, where unreadable ones lie between.
struct Commits {
    all: Vec<HistoryEntry>,
    asked: Vec<usize>,
}

fn commits(session: &Session, arguments: &Arguments, file: &SetupFile) -> Result<Commits, Failure> {
    let ledger = session.ledger()?;
    let options = HistoryOptions { first_parent: !arguments.all, from: None };
    let since = arguments.since.as_deref().map(|since| Since::of(session, since)).transpose()?;
    let known = match &since {
        Some(Since::Revision(revision)) => {
            let options = HistoryOptions { from: Some(revision.clone()), ..options };
            let behind = ledger.history(file, &options)?.map(|commit| Ok(commit?.revision.id));
            behind.collect::<Result<HashSet<String>, LedgerError>>()?
        }
        _ => HashSet::new(),
    };
    let mut commits = Commits { all: Vec::new(), asked: Vec::new() };
    for (place, commit) in ledger.history(file, &options)?.enumerate() {
        let commit = commit?;
        let asked = match &since {
            Some(Since::Day(day)) => commit.revision.date.date_naive() >= *day,
            _ => !known.contains(&commit.revision.id),
        };
        if asked {
            commits.asked.push(place);
        }
        commits.all.push(commit);
    }
    Ok(commits)
}

enum Since {
    Day(NaiveDate),
    Revision(Revision),
}

impl Since {
    fn of(session: &Session, text: &str) -> Result<Since, Failure> {
        match NaiveDate::parse_from_str(text, "%Y-%m-%d") {
            Ok(day) => Ok(Since::Day(day)),
            Err(_) => Ok(Since::Revision(session.ledger()?.revision(text)?)),
        }
    }
}

fn stamp(commit: &HistoryEntry) -> Stamp {
    Stamp {
        revision: commit.revision.id.clone(),
        short: commit.revision.short.clone(),
        date: commit.revision.date,
        author: commit.revision.author.clone(),
        subject: commit.revision.subject.clone(),
        path: commit.path.clone(),
        renamed_from: commit.renamed_from.clone(),
    }
}

fn entries(session: &Session, commits: &Commits, wanted: &[Wanted]) -> Result<Vec<Entry>, Failure> {
    let mut contents = Contents::new(session.catalogue(), session.ledger()?);
    let mut entries = Vec::with_capacity(commits.asked.len());
    for row in commits.asked.chunks(ROW) {
        let new = row.iter().map(|place| &commits.all[*place]);
        contents.read_all(new.flat_map(|commit| commit.blob.iter().chain(&commit.before)))?;
        let mut steps = Vec::with_capacity(row.len());
        for place in row {
            steps.push(step(&mut contents, &commits.all, *place)?);
        }
        let catalogue = session.catalogue();
        entries.par_extend(steps.par_iter().map(|step| history::entry(catalogue, step, wanted)));
    }
    Ok(entries)
}

/// One revision with the contents on both sides of it; unreadable ones before it are stepped over.
fn step(contents: &mut Contents, commits: &[HistoryEntry], index: usize) -> Result<Step, Failure> {
    let commit = &commits[index];
    let after = commit.blob.as_ref().map(|id| contents.get(id)).transpose()?;
    let mut step = Step { stamp: stamp(commit), before: None, after, stepped_over: 0 };
    let mut before = commit.before.as_ref();
    let mut from = index + 1;
    while let Some(id) = before {
        let content = contents.get(id)?;
        if content.setup().is_ok() {
            step.before = Some(content);
            break;
        }
        step.stepped_over += 1;
        let made = commits.iter().enumerate().skip(from).find(|(_, older)| older.blob.as_ref() == Some(id));
        before = made.and_then(|(_, older)| older.before.as_ref());
        from = made.map_or(commits.len(), |(place, _)| place + 1);
    }
    Ok(step)
}

fn marks(session: &Session, commits: &[HistoryEntry]) -> Result<Vec<MarkHistory>, Failure> {
    let mut contents = Contents::new(session.catalogue(), session.ledger()?);
    let mut story = history::Marks::new(session.catalogue());
    // From the oldest on, a row at a time.
    for row in commits.rchunks(ROW) {
        contents.read_all(row.iter().filter_map(|commit| commit.blob.as_ref()))?;
        for commit in row.iter().rev() {
            let content: Option<Arc<_>> = commit.blob.as_ref().map(|id| contents.get(id)).transpose()?;
            if let Some(content) = content {
                story.follow(&stamp(commit), &content);
            }
        }
    }
    Ok(story.finish())
}
