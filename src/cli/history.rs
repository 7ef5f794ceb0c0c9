//! `history`: what physically changed at each revision, newest first.

use std::collections::HashMap;

use clap::Args;
use rayon::prelude::*;

use crate::history::{self, Entry, Merge, Report, Stamp, Step, Wanted};
use crate::ledger::{BlobId, HistoryEntry, HistoryOptions, SetupFile, real, shell_word};
use crate::report;

use super::Status;
use super::behind::Behind;
use super::contents::Contents;
use super::known_hoses::known_hoses;
use super::mark_stories::{fixed_by_marks, mark_stories};
use super::neither::neither;
use super::session::{Failure, Session};
use super::since::Since;
use super::told::{Row, Told};
use super::unsettled;

/// How many revisions are read and compared at a time: what bounds the memory.
pub const ROW: usize = 128;

/// Of what, and since when.
#[derive(Debug, Args)]
pub struct Arguments {
    /// A setup's name (rowan/race) or file.
    #[arg(value_name = "SETUP")]
    pub setup: String,
    /// Measures (left.brake-lever.angle) or derived values (grip-stack) to follow; everything if none is named.
    #[arg(value_name = "MEASURE")]
    pub measures: Vec<String>,
    /// Only what came here since this day (2026-05-02, the day itself included; a rebase brings what was written before) or
    /// after this revision.
    #[arg(long, value_name = "DATE|REV")]
    pub since: Option<String>,
    /// Follow every branch that was merged, not only the line the merges went into; of a merge what differs from all it
    /// merged is told, and what it did not take of them.
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
    let wanted = history::wanted(catalogue, &arguments.measures)
        .map_err(|unknown| neither(&unknown, &arguments.setup))?;
    if arguments.marks && arguments.all {
        return Err(Failure::new(
            "The story of a mark is told along one line: `--marks` and `--all` do not go together.",
            "Leave out --all, or look at another branch after `git switch` to it.",
        ));
    }
    let file = session.file(&arguments.setup)?;
    let told = Told::new(catalogue, session.ledger()?, &wanted);
    let commits = rayon::scope(|scope| {
        let tell = |row: Row| scope.spawn(|_| told.tell(row));
        commits(session, arguments, &file, |row| {
            if !arguments.marks {
                tell(row);
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
        one_side_deleted: commits.all.is_empty() && unsettled::is_deleted_by_one_side(session, &file),
    };
    if arguments.marks {
        (report.marks, report.entries) = mark_stories(session, &commits, &fixed_by_marks(&wanted)?)?;
    } else {
        report.entries = entries(session, &commits, &wanted, told.finish()?)?;
        let start = start(session, &commits, &file, &wanted)?;
        report.series = history::series(catalogue, &wanted, &report.entries, start.as_ref());
        report.entries.retain(|entry| !entry.joined.only_passes_on);
        known_hoses(session, &commits.all, &file, &wanted, &report.series)?;
    }
    if arguments.csv {
        session.print(&report::history::csv(&report))?;
    } else if arguments.marks && !report.never_recorded {
        session.show(&report, |page| report::history::marks(page, &report))?;
    } else {
        let plot = session.is_terminal();
        let is_new = report.never_recorded && !report.one_side_deleted;
        let record = if is_new { record(session, &file)? } else { Vec::new() };
        session.show(&report, |page| report::history::page(page, &report, plot, &record))?;
    }
    let status = Status::act_if(report.marks.iter().any(|mark| mark.stale));
    // The process ends here: to give so much memory back piece by piece would be work for nothing.
    std::mem::forget((report, commits));
    Ok(status)
}

/// The commits that changed the file, newest first.
pub struct Commits {
    /// All of them: older ones may be needed to compare the oldest with, where unreadable ones lie between.
    pub all: Vec<HistoryEntry>,
    /// The places of those that are asked for.
    pub asked: Vec<usize>,
    /// Whether they lie on one line, along first parents.
    one_line: bool,
    /// What the time asked for begins with.
    since: Option<Since>,
}

impl Commits {
    /// Whether a commit is older than the time asked for.
    fn is_before(&self, commit: &HistoryEntry) -> bool {
        self.since.as_ref().is_some_and(|since| since.is_after(commit))
    }

    /// Whether it is a merge whose changes, told against its first parent, are in part older than what was asked from.
    fn reaches_before(&self, commit: &HistoryEntry) -> Result<bool, Failure> {
        let since = self.since.as_ref().filter(|_| self.one_line && commit.parents.len() > 1);
        since.map_or(Ok(false), |since| since.is_brought_by(commit))
    }
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
    let whole = arguments.measures.is_empty();
    let mut commits = Commits { all: Vec::new(), asked: Vec::new(), one_line: !arguments.all, since };
    let mut row = Row::default();
    for (place, commit) in ledger.history(file, &options)?.enumerate() {
        let commit = commit?;
        // For the value of one measure it may be what its newest row tells.
        let is_told_elsewhere = whole && commit.only_passes_on();
        if !commits.is_before(&commit) && !is_told_elsewhere {
            commits.asked.push(place);
            row.push(place, &commit).into_iter().for_each(&tell);
        }
        commits.all.push(commit);
    }
    tell(row);
    Ok(commits)
}

/// What is told of a commit whatever it did.
pub fn stamp(commit: &HistoryEntry) -> Stamp {
    Stamp {
        revision: commit.revision.id.clone(),
        short: commit.revision.label.clone(),
        date: commit.revision.date,
        committed: commit.revision.committed,
        author: commit.revision.author.clone(),
        subject: commit.revision.subject.clone(),
        path: commit.path.clone(),
        renamed_from: commit.renamed_from.clone(),
        renamed_to: commit.renamed_to.clone(),
        cut: commit.cut,
        reaches_before: false,
    }
}

/// What each revision asked for did: as it was told, and of those left what they are compared with is looked for.
fn entries(
    session: &Session,
    commits: &Commits,
    wanted: &[Wanted],
    mut told: HashMap<usize, Entry>,
) -> Result<Vec<Entry>, Failure> {
    let left: Vec<usize> = commits.asked.iter().copied().filter(|place| !told.contains_key(place)).collect();
    let found = further_behind(session, commits, wanted, &left)?;
    told.extend(left.into_iter().zip(found));
    Ok(commits.asked.iter().filter_map(|place| told.remove(place)).collect())
}

fn further_behind(
    session: &Session,
    commits: &Commits,
    wanted: &[Wanted],
    places: &[usize],
) -> Result<Vec<Entry>, Failure> {
    let catalogue = session.catalogue();
    let ledger = session.ledger()?;
    let mut contents = Contents::new(catalogue, ledger, &commits.all);
    let mut behind = Behind::new(ledger, &commits.all, commits.one_line);
    let mut rows = Vec::new();
    // From the oldest on, a row at a time: what an older revision is compared with is known when a newer one asks.
    for row in places.rchunks(ROW) {
        let new = row.iter().map(|place| &commits.all[*place]);
        contents.read_all(new.flat_map(HistoryEntry::contents))?;
        let mut steps = Vec::with_capacity(row.len());
        for place in row.iter().rev() {
            let commit = &commits.all[*place];
            let found = behind.readable(*place, &mut contents)?;
            steps.push(Step {
                stamp: Stamp { reaches_before: commits.reaches_before(commit)?, ..stamp(commit) },
                before: found.before.as_ref().map(|id| contents.get(id)).transpose()?,
                after: commit.blob.as_ref().map(|id| contents.get(id)).transpose()?,
                merge: merge(commit, &mut contents)?,
                stepped_over: found.stepped_over,
                back: found.across_deletion,
            });
        }
        let told = steps.par_iter().rev().map(|step| history::entry(catalogue, step, wanted));
        rows.push(told.collect::<Vec<Entry>>());
    }
    Ok(rows.into_iter().rev().flatten().collect())
}

/// What a merge joined, where all its parents are followed.
fn merge(commit: &HistoryEntry, contents: &mut Contents) -> Result<Option<Merge>, Failure> {
    let Some(first) = commit.parents.first().filter(|_| !commit.beside.is_empty() || commit.taken_whole)
    else {
        return Ok(None);
    };
    let mut beside = Vec::with_capacity(commit.beside.len());
    for one in &commit.beside {
        beside.push((one.parent.clone(), contents.get(&one.blob)?));
    }
    let mut content = |id: &Option<BlobId>| id.as_ref().map(|id| contents.get(id)).transpose();
    let parted = commit.parted.iter().map(&mut content).collect::<Result<_, Failure>>()?;
    let only_passes_on = commit.only_passes_on();
    Ok(Some(Merge { first: first.clone(), beside, parted, only_passes_on }))
}

/// The revision whose values hold where the time asked for begins: the newest before it that can be read, or that deleted
/// the file. On the line of the first parents: what lies next in time may be on another one.
fn start(
    session: &Session,
    commits: &Commits,
    file: &SetupFile,
    wanted: &[Wanted],
) -> Result<Option<Entry>, Failure> {
    if commits.since.is_none() || wanted.is_empty() {
        return Ok(None);
    }
    let ledger = session.ledger()?;
    let mut contents = Contents::new(session.catalogue(), ledger, &commits.all);
    let mut alone = |commit: &HistoryEntry| -> Result<Option<Entry>, Failure> {
        let after = commit.blob.as_ref().map(|id| contents.get(id)).transpose()?;
        let is_known = after.as_ref().is_none_or(|content| content.setup().is_ok());
        let step = is_known.then(|| Step::alone(stamp(commit), after));
        Ok(step.map(|step| history::entry(session.catalogue(), &step, wanted)))
    };
    if commits.one_line {
        let behind = commits.asked.last().map_or(0, |oldest| oldest + 1);
        return commits.all[behind..].iter().find_map(|commit| alone(commit).transpose()).transpose();
    }
    for commit in ledger.history(file, &HistoryOptions::default())? {
        let commit = commit?;
        if commits.is_before(&commit)
            && let Some(start) = alone(&commit)?
        {
            return Ok(Some(start));
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
    let (git, path) = session.git_typed(&file.path)?;
    let subject = shell_word(&format!("Measure {}", file.name));
    Ok(vec![format!("{git} add {path}"), format!("{git} commit -m {subject}")])
}
