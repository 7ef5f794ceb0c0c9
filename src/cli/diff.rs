//! `diff`: what physically changed between two revisions, two files, or a setup and the bike as found.

use std::borrow::Cow;
use std::collections::BTreeSet;
use std::path::Path;

use clap::Args;

use crate::catalogue::code::Severity;
use crate::catalogue::{Catalogue, caution};
use crate::check::dates::of_sheet;
use crate::check::forgotten::remembered;
use crate::check::{carbon, not_to_ride};
use crate::compare::{self, Change, Comparison, Point, Relation, Report};
use crate::geometry::state::State;
use crate::ledger::{HistoryOptions, LedgerError, Revision, SetupFile, shell_word};
use crate::report;
use crate::restore::answer::told_good;
use crate::restore::evidence::{Evidence, read_before_open, telling, told_of, weigh};
use crate::restore::record::points_along;
use crate::setup::model::{Kind, Setup};
use crate::setup::read::read;
use crate::setup::span::{LineIndex, Span};

use super::Status;
use super::between::older_than_the_roll;
use super::newest;
use super::session::{Failure, NOW, Opened, Session};
use super::today::today;
use super::unsettled;

/// What to compare.
#[derive(Debug, Args)]
pub struct Arguments {
    /// A setup's name (rowan/race) or file.
    #[arg(value_name = "SETUP")]
    pub setup: String,
    /// From: a revision (hash, tag, branch, HEAD~3) or `now`; the last recorded revision if not given. Or another
    /// file or setup to compare with.
    #[arg(value_name = "FROM")]
    pub from: Option<String>,
    /// To: a revision, or `now` (the working file), which it is if not given.
    #[arg(value_name = "TO")]
    pub to: Option<String>,
    /// An as-found sheet: compare the recorded setup with the bike as it was found.
    #[arg(long, value_name = "SHEET", conflicts_with = "to")]
    pub found: Option<String>,
    /// List everything, also what differs within reading and every derived value.
    #[arg(long)]
    pub all: bool,
}

/// Runs the command.
pub fn run(session: &Session, arguments: &Arguments) -> Result<Status, Failure> {
    let (from, to, another) = sides(session, arguments)?;
    let relation = if is_sheet(&to)? && !is_sheet(&from)? {
        Relation::AsFound
    } else if another && from.setup()?.name.value != to.setup()?.name.value {
        Relation::Setups
    } else {
        Relation::Revisions
    };
    let report = compare_opened(session, &from, &to, relation)?;
    session.show(&report, |page| report::diff::page(page, &report, arguments.all))?;
    // A fault may hide the very difference that was looked for.
    Ok(Status::act_if(report.is_to_act_on() || report.blank || !report.findings.is_empty()))
}

/// Both sides, opened, and whether they are two files.
fn sides(session: &Session, arguments: &Arguments) -> Result<(Opened, Opened, bool), Failure> {
    if let Some(sheet) = &arguments.found {
        let mut from = session.open(&arguments.setup, arguments.from.as_deref())?;
        if let Some(now) = session.now_beside(&arguments.setup, arguments.from.as_deref()) {
            from.goes_back_from(session.catalogue(), &now)?;
        }
        let to = open_sheet(session, sheet, from.setup()?)?;
        return Ok((from, by_name(to), false));
    }
    match (&arguments.from, &arguments.to) {
        (Some(other), None) if is_another_setup(session, other)? => {
            let from = by_name(session.open(&arguments.setup, None)?);
            let to = session.open(other, None)?;
            let to = if is_sheet(&to)? { open_sheet(session, other, from.setup()?)? } else { to };
            Ok((from, by_name(to), true))
        }
        (Some(from), to) => {
            let file = session.file(&arguments.setup)?;
            let from = session.open_file(&file, Some(from))?;
            Ok((from, session.open_file(&file, to.as_deref())?, false))
        }
        (None, _) => {
            let from = last_recorded(session, &arguments.setup)?;
            Ok((from, session.open(&arguments.setup, None)?, false))
        }
    }
}

fn is_sheet(opened: &Opened) -> Result<bool, Failure> {
    Ok(opened.setup()?.kind == Kind::Found)
}

/// Of two different files each is told by its name: both are as they are now.
fn by_name(opened: Opened) -> Opened {
    Opened { label: opened.name.clone(), ..opened }
}

/// Whether a word names another file or setup rather than a revision.
fn is_another_setup(session: &Session, word: &str) -> Result<bool, Failure> {
    if word == NOW {
        return Ok(false);
    }
    if Path::new(word).extension().is_some_and(|ending| ending == "kdl") {
        return Ok(true);
    }
    let unknown = matches!(
        session.ledger()?.revision(word),
        Err(LedgerError::UnknownRevision { .. } | LedgerError::NoRepository { .. } | LedgerError::NoCommits)
    );
    Ok(unknown && session.file(word).is_ok())
}

fn last_recorded(session: &Session, named: &str) -> Result<Opened, Failure> {
    let file = session.file(named)?;
    let Some(revision) = session.ledger()?.last_recorded(&file)? else {
        if unsettled::is_deleted_by_one_side(session, &file) {
            return Err(Failure::new(
                format!(
                    "In a merge one side deleted {} and the other changed it: until that is settled HEAD holds nothing to \
                     compare with.",
                    file.name
                ),
                report::history::KEEP_OR_LET_GO,
            ));
        }
        if let Some(deleted) = deleted_before(session, &file)? {
            return Err(deleted);
        }
        return Err(Failure::new(
            format!("{} has never been recorded in git, so there is nothing to compare with.", file.name),
            "Record it (git add, git commit), or name another file to compare with.",
        ));
    };
    session.open_at(&file, revision)
}

/// That git held the setup once and no longer does, with the last revision that had it.
fn deleted_before(session: &Session, file: &SetupFile) -> Result<Option<Failure>, Failure> {
    let ledger = session.ledger()?;
    if ledger.last_change(file)?.is_none() {
        return Ok(None);
    }
    for commit in ledger.history(file, &HistoryOptions::default())? {
        let commit = commit?;
        if commit.blob.is_some() {
            let last = &commit.revision;
            let message = format!(
                "{} was deleted in git earlier, and is here again, not recorded yet. The last revision that had it is {} \
                 of {}.",
                file.name,
                last.label,
                last.date.date_naive()
            );
            let help =
                format!("To compare with it: clampmark diff {} {}", shell_word(&file.name), last.label);
            return Ok(Some(Failure::new(message, help)));
        }
    }
    Ok(None)
}

/// An as-found sheet; it inherits the setup's instruments.
pub fn open_sheet(session: &Session, named: &str, base: &Setup) -> Result<Opened, Failure> {
    let mut sheet = session.open(named, None)?;
    sheet.read = read(session.catalogue(), &sheet.bytes, Some(base));
    if !is_sheet(&sheet)? {
        return Err(Failure::new(
            format!("{} is a setup, not an as-found sheet.", sheet.name),
            "To compare two setups name both: clampmark diff ONE OTHER.",
        ));
    }
    let belongs_to = &sheet.setup()?.name.value;
    if *belongs_to != base.name.value {
        return Err(Failure::new(
            format!("{} was written for {belongs_to}, not for {}.", sheet.name, base.name.value),
            "Name the setup the sheet belongs to, or correct the name in its first line.",
        ));
    }
    Ok(sheet)
}

/// Compares two opened texts; an as-found sheet stands on the setup it is compared with.
pub fn compare_opened(
    session: &Session,
    from: &Opened,
    to: &Opened,
    relation: Relation,
) -> Result<Report, Failure> {
    let catalogue = session.catalogue();
    let is_found = relation == Relation::AsFound;
    let known = if is_found {
        remembered(catalogue, from.setup()?, to.setup()?)
    } else {
        Cow::Borrowed(from.setup()?)
    };
    let was = State::recorded(catalogue, &known);
    let sheet = if is_found { Some(telling(catalogue, &known, to.setup()?)) } else { None };
    let evidence =
        sheet.as_ref().map_or_else(Evidence::default, |sheet| weigh(catalogue, was.setup(), sheet));
    let mut turns = evidence.turns.clone();
    turns.extend(sheet.iter().flat_map(|sheet| points_along(&was, sheet, &evidence.turns)));
    let backwards = relation == Relation::Revisions && newest::is_backwards(from, to);
    // A history that cannot be read tells nothing more than the two do.
    let old_angles = match relation {
        Relation::Revisions => older_than_the_roll(session, from, to).unwrap_or_default(),
        Relation::AsFound | Relation::Setups => BTreeSet::new(),
    };
    let now = match &sheet {
        Some(sheet) => was.found(sheet, Some(&turns)),
        None => State::recorded(catalogue, to.setup()?),
    };
    let (was, now) = if backwards {
        (was.with_old_angles(&old_angles), now)
    } else {
        (was, now.with_old_angles(&old_angles))
    };
    let mut comparison = evidence.settled(compare::compare(was, now), &now);
    if backwards {
        comparison.told_backwards();
    }
    if is_found {
        comparison.read_before_the_roll =
            compare::read_before_its_own_roll(catalogue, was.setup(), to.setup()?);
    }
    let headline = match relation {
        Relation::Setups => {
            compare::dangerous_differences(&comparison, (&was, &from.label), (&now, &to.label))
                .map(|said| format!("Different on steering or brakes: {said}."))
        }
        Relation::AsFound => found(&comparison, &now),
        Relation::Revisions if backwards => {
            revisions(&comparison, &now, newest::kept(session, from, &was), true)
        }
        Relation::Revisions => revisions(&comparison, &now, newest::kept(session, to, &now), false),
    };
    let faults = |opened: &Opened| {
        opened
            .read
            .findings
            .iter()
            .filter(|finding| finding.severity == Severity::Fault)
            .map(|finding| format!("{} {}", at(opened, finding.span), finding.message))
            .collect::<Vec<_>>()
    };
    let cautions = cautions(&comparison, relation, opened_on_carbon(&comparison, &now));
    // The headline has it from what the file keeps against riding.
    if relation == Relation::Revisions && !backwards {
        comparison.damages = compare::new_damages(was.setup(), now.setup());
    }
    Ok(Report {
        schema: "clampmark.diff/1",
        setup: from.name.clone(),
        from: point(from),
        to: point(to),
        relation,
        backwards,
        cautions,
        sheet_day: if is_found { of_sheet(catalogue, from.setup()?, to.setup()?, today()) } else { None },
        blank: is_found && to.setup()?.is_blank(),
        good: if is_found { told_good(catalogue, from.setup()?, to.setup()?, &to.bytes) } else { Vec::new() },
        headline,
        opened_before: if is_found { compare::opened_before(&comparison, was.setup()) } else { Vec::new() },
        read_before_open: if is_found {
            read_before_open(catalogue, from.setup()?, to.setup()?)
        } else {
            Vec::new()
        },
        findings: [faults(from), faults(to)].concat(),
        comparison,
    })
}

/// Where a fault stands: the file as it was named, and the line.
fn at(opened: &Opened, span: Option<Span>) -> String {
    let named = if opened.label == opened.name || opened.label == NOW {
        opened.name.clone()
    } else {
        format!("{} ({})", opened.name, opened.label)
    };
    let text = std::str::from_utf8(&opened.bytes).unwrap_or_default();
    match span {
        Some(span) => format!("{named}, line {}:", LineIndex::new(text).line_column(span.start).0),
        None => format!("{named}:"),
    }
}

/// What an as-found sheet says against its setup, and the line to act on.
pub fn as_found(catalogue: &Catalogue, setup: &Setup, sheet: &Setup) -> (Comparison, Option<String>) {
    told_of(catalogue, setup, sheet, found)
}

/// Why a bike that was found so is not to be ridden; what its file keeps against that counts, too.
fn found(comparison: &Comparison, now: &State) -> Option<String> {
    let mut said: Vec<String> = compare::dangerous_moves(comparison, now).into_iter().collect();
    let moved = |measure: &str| comparison.says_dangerous(measure);
    let kept = not_to_ride::reasons(now, moved, |joint, day| comparison.tells_torque_of(joint, day));
    // What the sheet finds again is told by it.
    let is_news = |kept: &String| !comparison.narrower.as_ref().is_some_and(|bar| bar.is_told_by(kept));
    said.extend(kept.into_iter().filter(is_news));
    not_to_ride::verdict(&said)
}

/// What the newer side keeps against riding, and what changed that is dangerous.
fn revisions(comparison: &Comparison, now: &State, kept: Option<String>, backwards: bool) -> Option<String> {
    // What is not decided is kept, and told with that.
    let decided = kept.as_ref().filter(|_| !backwards).map(|_| comparison.without_undecided());
    let moved = compare::dangerous_moves(decided.as_ref().unwrap_or(comparison), now);
    let word = if backwards { "Different" } else { "Changed" };
    let moved = moved.map(|moved| format!("{word} on steering or brakes: {moved}."));
    // Where it is to stand nobody knows any more: whoever takes out a whole conflict takes out both versions.
    let gone = comparison.no_longer_recorded().filter(|_| !backwards);
    let gone = gone.map(|gone| format!("No longer recorded, on steering or brakes: {gone}."));
    let said: Vec<String> = kept.into_iter().chain(moved).chain(gone).collect();
    (!said.is_empty()).then(|| said.join(" "))
}

/// Whether a clamp on carbon was opened, or is told to have been tightened.
fn opened_on_carbon(comparison: &Comparison, now: &State) -> bool {
    let tightened = comparison.tightened.iter().map(|found| found.joint.as_str());
    let mut opened = comparison.opened().into_iter().chain(tightened);
    opened.any(|joint| carbon::clamped_at(now, joint).is_some())
}

fn cautions(comparison: &Comparison, relation: Relation, on_carbon: bool) -> Vec<&'static str> {
    // That a figure got less tells of no wear where it is another setup's.
    let is_told = |change: &&Change| relation != Relation::Setups || change.delta.is_none();
    let dangerous = comparison.dangerous().filter(is_told);
    let mut cautions: Vec<&str> = dangerous.filter_map(|change| change.caution).collect();
    let is_dangerous = comparison.dangerous().next().is_some()
        || comparison.opened_steering_or_brakes()
        || comparison.dangerous_marks().next().is_some()
        || comparison.is_open_on_steering_or_brakes()
        || !comparison.damages.is_empty()
        || !comparison.tightened.is_empty();
    let carbon = on_carbon || !comparison.damages.is_empty() || !comparison.torque.is_empty();
    if carbon && !cautions.contains(&caution::CARBON) {
        cautions.push(caution::CARBON);
    }
    if is_dangerous || !comparison.torque.is_empty() {
        cautions.extend([caution::MAKER, caution::LOWER_LIMIT, caution::MECHANIC]);
        // Nobody opened anything between two setups.
        if relation != Relation::Setups {
            cautions.extend(caution::STANDING_CHECKS);
        }
    }
    cautions
}

fn point(opened: &Opened) -> Point {
    let date = |revision: &Revision| revision.date.format("%Y-%m-%d").to_string();
    let measured = || Some(opened.read.setup.as_ref()?.measured.as_ref()?.date.to_string());
    Point {
        label: opened.label.clone(),
        revision: opened.revision.as_ref().map(|revision| revision.id.clone()),
        date: opened.revision.as_ref().map(date).or_else(measured),
        planned: opened.read.setup.as_ref().is_some_and(Setup::is_planned),
    }
}
