//! `clampmark` alone: the ledger at a glance.

use chrono::NaiveDate;

use crate::catalogue::code;
use crate::check::dates::of_sheet;
use crate::compare::compare;
use crate::compare::overview::{Gone, Known, Line, Overview, Sheet, Standing};
use crate::geometry::derived::{All, find};
use crate::geometry::state::State;
use crate::ledger::{SetupFile, Unmerged};
use crate::report;
use crate::setup::checked::Counts;
use crate::setup::model::{Kind, Setup};

use super::Status;
use super::check::hands_of;
use super::findings::{Whole, findings_beside};
use super::session::{Failure, Opened, Session};
use super::stop;
use super::today::today;
use super::unsettled;

/// Runs it.
pub fn run(session: &Session) -> Result<Status, Failure> {
    let overview = overview(session)?;
    session.show(&overview, |page| report::overview::page(page, &overview, &session.ledger_option()))?;
    if overview.setups.iter().any(|line| line.unread.is_some()) {
        return Ok(Status::Partial);
    }
    Ok(Status::act_if(overview.wants_attention()))
}

fn overview(session: &Session) -> Result<Overview, Failure> {
    let ledger = session.ledger()?;
    let mut setups = Vec::new();
    let mut found = Vec::new();
    let files = ledger.setups()?;
    let whole = Whole {
        hands: Some(hands_of(session, &files.iter().collect::<Vec<_>>())),
        unmerged: unsettled::of_ledger(Some(ledger)),
    };
    let gone = if ledger.has_repository() { ledger.gone(&files)? } else { Vec::new() };
    for file in files {
        match session.open_now(&file) {
            Ok(opened) if is_sheet(&opened) => found.push((file, opened)),
            Ok(opened) => setups.push(line(session, &whole, &file, &opened)),
            Err(failure) => setups.push(unread(&file, &failure)),
        }
    }
    let mut stray_sheets = Vec::new();
    // What one sheet of a setup tells another may have looked at since.
    let all: Vec<Setup> = found.iter().filter_map(|(_, opened)| opened.read.setup.clone()).collect();
    for (at, ((file, opened), own)) in found.iter().zip(&all).enumerate() {
        let others = all.iter().enumerate().filter(|(other, _)| *other != at).map(|(_, other)| other);
        let others: Vec<&Setup> = others.filter(|other| other.name.value == own.name.value).collect();
        let sheet = sheet(session, &whole, file, opened, (own, &others));
        match setups.iter_mut().find(|line| line.setup == own.name.value) {
            Some(line) => line.sheets.push(sheet),
            None => stray_sheets.push(sheet),
        }
    }
    Ok(Overview {
        schema: "clampmark.ledger/1",
        ledger: ledger.root().display().to_string(),
        repository: ledger.has_repository(),
        setups,
        stray_sheets,
        gone: gone.into_iter().map(|file| lost(session, file)).collect::<Result<_, _>>()?,
        // What git's configuration does not tell is no fault of a setup.
        adopted_earlier: ledger.has_repository() && ledger.merges_as_told_earlier().unwrap_or_default(),
        adopted_elsewhere: ledger.has_repository() && ledger.is_adopted_elsewhere().unwrap_or_default(),
        passed_over: ledger.passed_over()?,
    })
}

fn lost(session: &Session, file: SetupFile) -> Result<Gone, Failure> {
    let (git, path) = session.git_typed(&file.path)?;
    Ok(Gone { setup: file.name, bring_back: format!("{git} restore -- {path}") })
}

fn line(session: &Session, whole: &Whole, file: &SetupFile, opened: &Opened) -> Line {
    let setup = opened.read.setup.as_ref();
    Line {
        setup: file.name.clone(),
        measured: setup.and_then(measured_on),
        last_read: setup.and_then(last_read).map(|day| day.to_string()),
        empty: opened.bytes.trim_ascii().is_empty(),
        purpose: setup.and_then(|setup| setup.purpose.as_ref()).map(|purpose| purpose.value.clone()),
        stop: match setup {
            Some(setup) => stop::kept(session.catalogue(), setup),
            None => stop::between(session.catalogue(), &opened.bytes),
        },
        grip_reach: setup.and_then(|setup| known(session, setup, "grip-reach")),
        grip_stack: setup.and_then(|setup| known(session, setup, "grip-stack")),
        findings: counts(session, whole, file, opened),
        recorded: standing(session, whole, file, opened),
        sheets: Vec::new(),
        unread: None,
    }
}

fn unread(file: &SetupFile, failure: &Failure) -> Line {
    Line {
        setup: file.name.clone(),
        measured: None,
        last_read: None,
        empty: false,
        purpose: None,
        stop: None,
        grip_reach: None,
        grip_stack: None,
        findings: Counts::default(),
        recorded: Standing::Unknown { why: failure.message.clone() },
        sheets: Vec::new(),
        unread: Some(failure.message.clone()),
    }
}

fn is_sheet(opened: &Opened) -> bool {
    opened.read.setup.as_ref().is_some_and(|setup| setup.kind == Kind::Found)
}

/// What is told of a sheet beside the other sheets of its setup.
fn sheet(
    session: &Session,
    whole: &Whole,
    file: &SetupFile,
    opened: &Opened,
    (found, others): (&Setup, &[&Setup]),
) -> Sheet {
    let base =
        session.ledger().and_then(|ledger| session.open_now(&ledger.setup_named(&found.name.value))).ok();
    let setup = base.as_ref().and_then(|base| base.setup().ok());
    Sheet {
        name: file.name.clone(),
        measured: opened.read.setup.as_ref().and_then(measured_on),
        stop: setup.map_or_else(
            || stop::says_alone(session.catalogue(), found),
            |setup| stop::stop(session, file, setup, found, others),
        ),
        day: setup.and_then(|setup| of_sheet(session.catalogue(), setup, found, today())),
        findings: counts(session, whole, file, opened),
    }
}

fn measured_on(setup: &Setup) -> Option<String> {
    setup.measured.as_ref().map(|measured| measured.date.to_string())
}

/// The day of the newest reading, where it was read after the day the file was measured.
fn last_read(setup: &Setup) -> Option<NaiveDate> {
    let newest = setup.readings.keys().filter_map(|id| setup.reading(id)?.read()).max();
    newest.filter(|newest| setup.measured.as_ref().is_none_or(|measured| *newest > measured.date))
}

fn counts(session: &Session, whole: &Whole, file: &SetupFile, opened: &Opened) -> Counts {
    let (findings, accepted) = findings_beside(session, whole, file, &opened.bytes);
    Counts {
        files: 1,
        accepted: accepted.len(),
        ..Counts::of(findings.iter().map(|finding| finding.severity))
    }
}

fn known(session: &Session, setup: &Setup, name: &str) -> Option<Known> {
    let (place, _) = find(name)?;
    let (propagated, ..) = State::recorded(session.catalogue(), setup).propagate(&All);
    let output = propagated.output(place)?;
    Some(Known { value: output.value, uncertainty: output.expanded_uncertainty() })
}

fn standing(session: &Session, whole: &Whole, file: &SetupFile, now: &Opened) -> Standing {
    stand(session, whole, file, now).unwrap_or_else(|failure| Standing::Unknown { why: failure.message })
}

fn stand(session: &Session, whole: &Whole, file: &SetupFile, now: &Opened) -> Result<Standing, Failure> {
    let ledger = session.ledger()?;
    if !ledger.has_repository() {
        return Ok(Standing::NoRepository);
    }
    let unmerged = whole.unmerged_of(file);
    let is_marked = || now.read.findings.iter().any(|finding| finding.code == &code::UNRESOLVED_CONFLICT);
    if unmerged.is_some_and(Unmerged::is_deleted_by_one_side) {
        return Ok(Standing::OneSideDeleted);
    }
    if let Some(unmerged) = unmerged.filter(|_| !is_marked()) {
        return Ok(Standing::Unmerged { ours_alone: unsettled::is_ours_alone(unmerged, &now.bytes) });
    }
    let Some(revision) = ledger.last_recorded(file)? else {
        let before = ledger.was_recorded(file)?;
        return Ok(if before { Standing::DeletedBefore } else { Standing::NeverRecorded });
    };
    let recorded = session.open_at(file, revision)?;
    if recorded.bytes == now.bytes {
        return Ok(Standing::Same);
    }
    let state = |setup| State::recorded(session.catalogue(), setup);
    let comparison = compare(state(recorded.setup()?), state(now.setup()?));
    Ok(Standing::of(&comparison))
}
