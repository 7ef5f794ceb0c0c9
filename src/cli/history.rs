//! `history`: what physically changed at each revision, newest first.

use std::collections::{HashMap, HashSet};

use chrono::NaiveDate;
use clap::Args;
use rayon::prelude::*;

use crate::catalogue::MeasureId;
use crate::history::{self, Entry, MarkHistory, Report, Stamp, Step, Wanted};
use crate::ledger::{BlobId, HistoryEntry, HistoryOptions, LedgerError, Revision, SetupFile};
use crate::report;

use super::Status;
use super::calendar::{self, Written};
use super::contents::Contents;
use super::session::{Failure, Session};

/// How many revisions are read and compared at a time: what bounds the memory.
const ROW: usize = 128;

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
    /// Follow every branch that was merged, not only the line the merges went into; of a merge only what differs from
    /// all it merged is told.
    #[arg(long)]
    pub all: bool,
    /// When each witness mark was drawn and when it went stale; of named measures the marks that fix them.
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
        report.marks = marks(session, &commits, &fixed_by_marks(&wanted)?)?;
    } else {
        report.entries = entries(session, &commits, &wanted)?;
        report.series = history::series(catalogue, &wanted, &report.entries);
    }
    if arguments.csv {
        session.print(&report::history::csv(&report))?;
    } else if arguments.marks {
        session.show(&report, |page| report::history::marks(page, &report))?;
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

/// The day itself, or what is behind this revision.
enum Since {
    Day(NaiveDate),
    Revision(Revision),
}

impl Since {
    fn of(session: &Session, text: &str) -> Result<Since, Failure> {
        match calendar::day(text) {
            Written::Day(day) => Ok(Since::Day(day)),
            Written::Nothing => Ok(Since::Revision(session.ledger()?.revision(text)?)),
            // A revision may be named like anything.
            Written::NoDay(why) => session.ledger()?.revision(text).map(Since::Revision).map_err(|_| {
                Failure::new(format!("`{text}` is no date: {why}."), "Write a day as 2031-05-02.")
            }),
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
        renamed_to: commit.renamed_to.clone(),
    }
}

fn entries(session: &Session, commits: &Commits, wanted: &[Wanted]) -> Result<Vec<Entry>, Failure> {
    let catalogue = session.catalogue();
    let mut contents = Contents::new(catalogue, session.ledger()?);
    let mut behind = Behind::new(&commits.all);
    let mut rows = Vec::new();
    // From the oldest on, a row at a time: what an older revision is compared with is known when a newer one asks.
    for row in commits.asked.rchunks(ROW) {
        let new = row.iter().map(|place| &commits.all[*place]);
        contents.read_all(
            new.flat_map(|commit| commit.blob.iter().chain(&commit.before).chain(&commit.beside)),
        )?;
        let mut steps = Vec::with_capacity(row.len());
        for place in row.iter().rev() {
            let commit = &commits.all[*place];
            let (before, stepped_over) = behind.readable(*place, &mut contents)?;
            steps.push(Step {
                stamp: stamp(commit),
                before: before.map(|id| contents.get(id)).transpose()?,
                after: commit.blob.as_ref().map(|id| contents.get(id)).transpose()?,
                beside: commit.beside.iter().map(|id| contents.get(id)).collect::<Result<_, Failure>>()?,
                stepped_over,
            });
        }
        let told = steps.par_iter().rev().map(|step| history::entry(catalogue, step, wanted));
        rows.push(told.collect::<Vec<Entry>>());
    }
    Ok(rows.into_iter().rev().flatten().collect())
}

/// What each revision is compared with: the nearest content behind it that can be read. Each way back is gone once.
struct Behind<'a> {
    commits: &'a [HistoryEntry],
    /// Where each content was made, newest first.
    made: HashMap<&'a BlobId, Vec<usize>>,
    /// What was found behind a revision, and how many unreadable ones lie between.
    found: HashMap<usize, (Option<&'a BlobId>, usize)>,
}

impl<'a> Behind<'a> {
    fn new(commits: &'a [HistoryEntry]) -> Behind<'a> {
        let mut made: HashMap<&BlobId, Vec<usize>> = HashMap::new();
        for (place, commit) in commits.iter().enumerate() {
            if let Some(id) = &commit.blob {
                made.entry(id).or_default().push(place);
            }
        }
        Behind { commits, made, found: HashMap::new() }
    }

    fn readable(
        &mut self,
        place: usize,
        contents: &mut Contents,
    ) -> Result<(Option<&'a BlobId>, usize), Failure> {
        let commits = self.commits;
        let mut passed = Vec::new();
        let mut at = place;
        let mut found = loop {
            if let Some(known) = self.found.get(&at) {
                break *known;
            }
            let id = commits[at].before.as_ref();
            let Some(unreadable) = unreadable(id, contents)? else {
                self.found.insert(at, (id, 0));
                break (id, 0);
            };
            passed.push(at);
            match self.made_behind(at, unreadable) {
                Some(older) => at = older,
                None => break (None, 0),
            }
        };
        for at in passed.into_iter().rev() {
            found.1 += 1;
            self.found.insert(at, found);
        }
        Ok(found)
    }

    /// The newest revision behind this one that made a content.
    fn made_behind(&self, place: usize, id: &BlobId) -> Option<usize> {
        let made = self.made.get(id)?;
        made.get(made.partition_point(|older| *older <= place)).copied()
    }
}

/// The content, where there is one and it cannot be read.
fn unreadable<'a>(id: Option<&'a BlobId>, contents: &mut Contents) -> Result<Option<&'a BlobId>, Failure> {
    match id {
        Some(id) if !contents.is_readable(id)? => Ok(Some(id)),
        _ => Ok(None),
    }
}

/// The named measures; a mark fixes nothing else.
fn fixed_by_marks(wanted: &[Wanted]) -> Result<Vec<MeasureId>, Failure> {
    let measure = |wanted: &Wanted| match wanted {
        Wanted::Measure(id) => Ok(id.clone()),
        Wanted::Derived(derived) => Err(Failure::new(
            format!("`{}` is worked out from measures: no mark fixes it.", derived.name),
            "With --marks name a measure by its path, as in `left.brake-lever.angle`.",
        )),
    };
    wanted.iter().map(measure).collect()
}

/// The story of the marks that ever fixed one of these measures, of all if there are none. All of the history is
/// gone through, for what a mark is depends on all of it; told is what happened in the time that is asked for.
fn marks(session: &Session, commits: &Commits, measures: &[MeasureId]) -> Result<Vec<MarkHistory>, Failure> {
    let mut contents = Contents::new(session.catalogue(), session.ledger()?);
    let mut story = history::Marks::new(session.catalogue());
    // From the oldest on, a row at a time.
    for row in commits.all.rchunks(ROW) {
        contents.read_all(row.iter().filter_map(|commit| commit.blob.as_ref()))?;
        for commit in row.iter().rev() {
            match &commit.blob {
                Some(id) => story.follow(&stamp(commit), &*contents.get(id)?),
                None => story.delete(&stamp(commit)),
            }
        }
    }
    let asked: HashSet<&str> =
        commits.asked.iter().map(|place| commits.all[*place].revision.id.as_str()).collect();
    let mut stories = story.finish(measures);
    for story in &mut stories {
        story.events.retain(|event| asked.contains(event.revision.as_str()));
    }
    // What was gone before that time is none of it.
    stories.retain(|story| !story.gone || !story.events.is_empty());
    Ok(stories)
}
