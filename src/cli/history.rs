//! `history`: what physically changed at each revision, newest first.

use std::collections::{HashMap, HashSet};
use std::path::Path;

use chrono::NaiveDate;
use clap::Args;
use rayon::prelude::*;

use crate::catalogue::MeasureId;
use crate::history::{self, Entry, MarkHistory, Report, Stamp, Step, Wanted};
use crate::ledger::{HistoryEntry, HistoryOptions, LedgerError, Revision, SetupFile, real, shell_word};
use crate::report;

use super::Status;
use super::behind::Behind;
use super::calendar::{self, Written};
use super::contents::Contents;
use super::session::{Failure, Session};
use super::told::{Row, Told};

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
    /// Only what came after this day (2026-05-02, the day itself included; the day on which its author wrote it, as the
    /// page shows it) or this revision (left out).
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
    let told = Told::new(catalogue, session.ledger()?, &wanted);
    let commits = rayon::scope(|scope| {
        let tell = |row: Row| scope.spawn(|_| told.tell(row));
        commits(session, arguments, &file, |row| {
            if !arguments.marks {
                tell(row)
            }
        })
    })?;
    let mut report = Report {
        schema: "clampmark.history/1",
        setup: file.name.clone(),
        entries: Vec::new(),
        series: Vec::new(),
        marks: Vec::new(),
        never_recorded: commits.all.is_empty(),
    };
    if arguments.marks {
        report.marks = marks(session, &commits, &fixed_by_marks(&wanted)?)?;
    } else {
        report.entries = entries(session, &commits, &file, &wanted, told.finish()?)?;
        let start = start(session, &commits, &file, &wanted)?;
        report.series = history::series(catalogue, &wanted, &report.entries, start.as_ref());
    }
    if arguments.csv {
        session.print(&report::history::csv(&report))?;
    } else if arguments.marks && !report.never_recorded {
        session.show(&report, |page| report::history::marks(page, &report))?;
    } else {
        let plot = session.is_terminal();
        let record = if report.never_recorded { record(session, &file)? } else { Vec::new() };
        session.show(&report, |page| report::history::page(page, &report, plot, &record))?;
    }
    Ok(Status::act_if(report.marks.iter().any(|mark| mark.stale)))
}

/// The commits that changed the file, newest first: all of them, and which of them are asked for. Older ones may be
/// needed to compare the oldest with, where unreadable ones lie between.
struct Commits {
    all: Vec<HistoryEntry>,
    asked: Vec<usize>,
    /// Whether they lie on one line, along first parents.
    one_line: bool,
    /// What the time asked for begins with.
    since: Option<Since>,
}

/// Looks for the commits; those asked for are handed on as they are found, row by row.
fn commits(
    session: &Session,
    arguments: &Arguments,
    file: &SetupFile,
    tell: impl Fn(Row),
) -> Result<Commits, Failure> {
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
    let mut commits = Commits { all: Vec::new(), asked: Vec::new(), one_line: !arguments.all, since: None };
    let mut row = Row::default();
    for (place, commit) in ledger.history(file, &options)?.enumerate() {
        let commit = commit?;
        let asked = match &since {
            Some(Since::Day(day)) => commit.revision.date.date_naive() >= *day,
            _ => !known.contains(&commit.revision.id),
        };
        if asked {
            commits.asked.push(place);
            row.push(place, &commit).into_iter().for_each(&tell);
        }
        commits.all.push(commit);
    }
    tell(row);
    commits.since = since;
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

/// What is told of a commit whatever it did.
pub(super) fn stamp(commit: &HistoryEntry) -> Stamp {
    Stamp {
        revision: commit.revision.id.clone(),
        short: commit.revision.short.clone(),
        date: commit.revision.date,
        committed: commit.revision.committed,
        author: commit.revision.author.clone(),
        subject: commit.revision.subject.clone(),
        path: commit.path.clone(),
        renamed_from: commit.renamed_from.clone(),
        renamed_to: commit.renamed_to.clone(),
        cut: commit.cut,
    }
}

/// What each revision asked for did: as it was told, and of those left what they are compared with is looked for.
fn entries(
    session: &Session,
    commits: &Commits,
    file: &SetupFile,
    wanted: &[Wanted],
    mut told: HashMap<usize, Entry>,
) -> Result<Vec<Entry>, Failure> {
    let left: Vec<usize> = commits.asked.iter().copied().filter(|place| !told.contains_key(place)).collect();
    let found = further_behind(session, commits, file, wanted, &left)?;
    told.extend(left.into_iter().zip(found));
    Ok(commits.asked.iter().filter_map(|place| told.remove(place)).collect())
}

fn further_behind(
    session: &Session,
    commits: &Commits,
    file: &SetupFile,
    wanted: &[Wanted],
    places: &[usize],
) -> Result<Vec<Entry>, Failure> {
    let catalogue = session.catalogue();
    let ledger = session.ledger()?;
    let mut contents = Contents::new(catalogue, ledger);
    let mut behind = Behind::new(ledger, file, &commits.all, commits.one_line);
    let mut rows = Vec::new();
    // From the oldest on, a row at a time: what an older revision is compared with is known when a newer one asks.
    for row in places.rchunks(ROW) {
        let new = row.iter().map(|place| &commits.all[*place]);
        contents.read_all(
            new.flat_map(|commit| commit.blob.iter().chain(&commit.before).chain(&commit.beside)),
        )?;
        let mut steps = Vec::with_capacity(row.len());
        for place in row.iter().rev() {
            let commit = &commits.all[*place];
            let found = behind.readable(*place, &mut contents)?;
            steps.push(Step {
                stamp: stamp(commit),
                before: found.before.as_ref().map(|id| contents.get(id)).transpose()?,
                after: commit.blob.as_ref().map(|id| contents.get(id)).transpose()?,
                beside: commit.beside.iter().map(|id| contents.get(id)).collect::<Result<_, Failure>>()?,
                stepped_over: found.stepped_over,
                back: found.across_deletion,
            });
        }
        let told = steps.par_iter().rev().map(|step| history::entry(catalogue, step, wanted));
        rows.push(told.collect::<Vec<Entry>>());
    }
    Ok(rows.into_iter().rev().flatten().collect())
}

/// The revision whose values hold where the time asked for begins: the newest before it that can be read, or that deleted
/// the file. On the line of the first parents: what lies next in time may be on another one.
fn start(
    session: &Session,
    commits: &Commits,
    file: &SetupFile,
    wanted: &[Wanted],
) -> Result<Option<Entry>, Failure> {
    let Some(since) = commits.since.as_ref().filter(|_| !wanted.is_empty()) else { return Ok(None) };
    let ledger = session.ledger()?;
    let from = match since {
        Since::Revision(revision) => Some(revision.clone()),
        Since::Day(_) => None,
    };
    let mut contents = Contents::new(session.catalogue(), ledger);
    for commit in ledger.history(file, &HistoryOptions { first_parent: true, from })? {
        let commit = commit?;
        if matches!(since, Since::Day(day) if commit.revision.date.date_naive() >= *day) {
            continue;
        }
        let after = commit.blob.as_ref().map(|id| contents.get(id)).transpose()?;
        if after.as_ref().is_none_or(|content| content.setup().is_ok()) {
            let step = Step {
                stamp: stamp(&commit),
                before: None,
                after,
                beside: Vec::new(),
                stepped_over: 0,
                back: false,
            };
            return Ok(Some(history::entry(session.catalogue(), &step, wanted)));
        }
    }
    Ok(None)
}

/// The commands that record a file for the first time; none if it lies where git cannot take it.
fn record(session: &Session, file: &SetupFile) -> Result<Vec<String>, Failure> {
    let ledger = session.ledger()?;
    let top = ledger.worktree().map(real);
    if top.is_none_or(|top| !real(&file.path).starts_with(top)) {
        return Ok(Vec::new());
    }
    let word = |path: &Path| shell_word(&path.to_string_lossy());
    // With the ledger named, the folder we are in may be in no repository.
    let (git, from) = if session.names_ledger() {
        (format!("git -C {}", word(&session.ledger_folder_typed())), ledger.root())
    } else {
        ("git".to_owned(), session.here())
    };
    let path = word(file.path.strip_prefix(from).unwrap_or(&file.path));
    let subject = shell_word(&format!("Measure {}", file.name));
    Ok(vec![format!("{git} add {path}"), format!("{git} commit -m {subject}")])
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
