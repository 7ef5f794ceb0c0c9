//! `clampmark` alone: the ledger at a glance.

use chrono::NaiveDate;

use crate::catalogue::{Catalogue, MeasureId, Weight, code, joint};
use crate::check::dates::of_sheet;
use crate::check::not_to_ride::{self, Reads};
use crate::compare::overview::{Gone, Known, Line, Overview, Sheet, Standing};
use crate::compare::{Comparison, compare, dangerous_moves};
use crate::geometry::derived::{All, find};
use crate::geometry::state::{Layer, State};
use crate::ledger::{SetupFile, Unmerged};
use crate::report;
use crate::restore::untold;
use crate::setup::checked::Counts;
use crate::setup::model::{Kind, MarkState, Setup};

use super::Status;
use super::check::{Whole, findings_beside, hands_of, today};
use super::diff::{open_sheet, told_of};
use super::session::{Failure, Opened, Session};
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
    let mut sheets = Vec::new();
    let files = ledger.setups()?;
    let whole =
        Whole { hands: Some(hands_of(session, &files)), unmerged: unsettled::of_ledger(Some(ledger)) };
    let gone = if ledger.has_repository() { ledger.gone(&files)? } else { Vec::new() };
    for file in files {
        match session.open_now(&file) {
            Ok(opened) => match opened.read.setup.as_ref().filter(|setup| setup.kind == Kind::Found) {
                Some(found) => {
                    sheets.push((found.name.value.clone(), sheet(session, &whole, &file, &opened, found)));
                }
                None => setups.push(line(session, &whole, &file, &opened)),
            },
            Err(failure) => setups.push(unread(&file, &failure)),
        }
    }
    let mut stray_sheets = Vec::new();
    for (belongs_to, sheet) in sheets {
        match setups.iter_mut().find(|line| line.setup == belongs_to) {
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
        stop: setup.and_then(|setup| kept(session.catalogue(), setup)),
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

/// What a setup file keeps against riding, and what it says that nobody rides with.
fn kept(catalogue: &Catalogue, setup: &Setup) -> Option<String> {
    let recorded = State::recorded(catalogue, setup);
    let reasons = not_to_ride::reasons(&recorded, |_| false, |_, _| false);
    (!reasons.is_empty()).then(|| reasons.join("; "))
}

/// What a sheet tells against riding, as `diff` has it; one that is older than its setup is history.
fn stop(session: &Session, file: &SetupFile, setup: &Setup, found: &Setup) -> Option<String> {
    let sheet = open_sheet(session, &file.name, setup);
    let Some(found) = sheet.as_ref().ok().and_then(|sheet| sheet.setup().ok()) else {
        return says_alone(session.catalogue(), found);
    };
    let day = |setup: &Setup| setup.measured.as_ref().map(|measured| measured.date);
    if day(setup).zip(day(found)).is_some_and(|(recorded, found)| found < recorded) {
        return None;
    }
    told_of(session.catalogue(), setup, found, found_so).1
}

/// What a sheet tells against riding that is compared with no setup: it has none, or that one bears another name.
fn says_alone(catalogue: &Catalogue, sheet: &Setup) -> Option<String> {
    let damages = sheet.damages.iter().map(|damage| format!("{}: {}", damage.on.value, damage.text.value));
    let opened = sheet.opened.iter().map(|joint| format!("opened: {}", joint::title(&joint.value)));
    let seen = sheet.marks.iter().filter_map(|mark| Some((&mark.name.value, mark.state.as_ref()?.value)));
    let lines = seen.filter(|(_, state)| *state != MarkState::Aligned);
    let lines = lines.map(|(name, _)| format!("mark {name} was not found in line"));
    let open = sheet.in_conflict.iter().map(|one| format!("{} not decided", one.about.replacen('.', " ", 1)));
    let is_dangerous = |id: &&MeasureId| catalogue.measure(id.row).weight == Weight::SteeringAndBrakes;
    let unread = sheet.undecided.keys().filter(is_dangerous);
    let unread = unread.map(|id| format!("{} not decided", catalogue.title(id)));
    let said: Vec<String> = damages.chain(opened).chain(lines).chain(open).chain(unread).collect();
    (!said.is_empty()).then(|| format!("{}; compared with no setup", said.join("; ")))
}

/// Whether the setup holds, as of the sheet's day, every torque of the joints that the sheet shows to have been open: it was
/// recorded from that sheet once all of it was put back. What damage it tells is kept by the setup itself.
fn was_put_back(comparison: &Comparison, now: &State) -> bool {
    let Some(sheet) = now.sheet() else { return false };
    let day = sheet.measured.as_ref().map(|measured| measured.date);
    let is_held = |joint: &&str| {
        let applied = |setup: &Setup| setup.torque(joint).and_then(|torque| torque.applied.clone());
        let (ours, theirs) = (applied(now.setup()), applied(sheet));
        // Of a joint without a recorded torque the file can hold none.
        if now.setup().torque(joint).is_none() && theirs.is_some() {
            return true;
        }
        let same = ours.zip(theirs).filter(|(ours, theirs)| ours.figure.value == theirs.figure.value);
        same.is_some_and(|(ours, theirs)| ours.read == theirs.read.or(day))
    };
    let mut opened = comparison.opened();
    opened.extend(comparison.unknown_roll.iter().map(|roll| roll.joint.as_str()));
    !opened.is_empty() && comparison.contradictions.is_empty() && opened.iter().all(is_held)
}

/// What of steering and brakes no torque tells to be put back, and the sheet still reads otherwise.
fn still_read(comparison: &Comparison) -> Option<String> {
    let untold = untold(comparison).into_iter().filter(|one| one.weight == Weight::SteeringAndBrakes);
    let said: Vec<String> = untold.map(|one| one.in_short()).collect();
    (!said.is_empty()).then(|| said.join("; "))
}

/// What moved on steering and brakes, and what the sheet reads that nobody rides with.
fn found_so(comparison: &Comparison, now: &State) -> Option<String> {
    let is_new = |reads: &Reads| {
        let measure = reads.finding.measure.as_deref();
        let id = measure.and_then(|measure| now.catalogue().find(measure));
        let is_read = id.is_some_and(|id| now.layer(&id) != Layer::Recorded);
        is_read && !measure.is_some_and(|measure| comparison.says_dangerous(measure))
    };
    let read = not_to_ride::by_reading(now).into_iter().filter(is_new).map(|reads| reads.words);
    let moves =
        if was_put_back(comparison, now) { still_read(comparison) } else { dangerous_moves(comparison, now) };
    let said: Vec<String> = moves.into_iter().chain(read).collect();
    (!said.is_empty()).then(|| said.join("; "))
}

fn sheet(session: &Session, whole: &Whole, file: &SetupFile, opened: &Opened, found: &Setup) -> Sheet {
    let base =
        session.ledger().and_then(|ledger| session.open_now(&ledger.setup_named(&found.name.value))).ok();
    let setup = base.as_ref().and_then(|base| base.setup().ok());
    Sheet {
        name: file.name.clone(),
        measured: opened.read.setup.as_ref().and_then(measured_on),
        stop: setup.map_or_else(
            || says_alone(session.catalogue(), found),
            |setup| stop(session, file, setup, found),
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
