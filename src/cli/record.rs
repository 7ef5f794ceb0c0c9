//! `record`: folds an as-found sheet into the setup file, in place.

use crate::catalogue::{MeasureId, code};
use crate::check::{check_with_accepted, damage, dates, plain_number};
use crate::compare;
use crate::geometry::state::State;
use crate::ledger::{Ledger, LedgerError, SetupFile, read_file, shell_word, write_atomically};
use crate::report;
use crate::restore::answer::told_good;
use crate::restore::record::{Options, Recording, fold};
use crate::restore::{NotPutBack, OpenedNote, PutBack, TorqueKept, put_back};
use crate::setup::checked::{File, Report};
use crate::setup::edit::{Edit, EditError};
use crate::trial::measure;

use super::Status;
use super::diff::open_sheet;
use super::findings::findings;
use super::session::{Failure, Opened, Session, placed};
use super::today::today;

/// Writes what an as-found sheet reads into the setup file; comments, order and spacing stay.
#[expect(clippy::struct_excessive_bools, reason = "each is a switch of its own")]
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// The setup, by name or by path.
    #[arg(value_name = "SETUP")]
    pub setup: String,
    /// The as-found sheet.
    #[arg(long, value_name = "SHEET")]
    pub found: String,
    /// Write everything that the sheet reads, with its day: also what differs only within reading, or not at all.
    #[arg(long)]
    pub all: bool,
    /// The marks were drawn anew at the new positions: write that, too. Also those that had no line any more, where the
    /// sheet reads all that they show.
    #[arg(long)]
    pub mark: bool,
    /// Write this measure even where by its reading nobody is to ride: without this it is held back. May be given again.
    #[arg(long, value_name = "MEASURE")]
    pub even_so: Vec<String>,
    /// The bike stands as recorded again: what was tightened, damage and notes are written, and no reading.
    #[arg(long, conflicts_with_all = ["all", "even_so"])]
    pub put_back: bool,
    /// Commit the setup file, and only that, if it has no fault; needs a message, -m TEXT. It is checked as the gate
    /// before a commit checks it. No other hook runs.
    #[arg(long, requires = "message")]
    pub commit: bool,
    /// The commit's message, with --commit.
    #[arg(short, long, value_name = "TEXT", requires = "commit")]
    pub message: Option<String>,
}

/// Runs it.
pub fn run(session: &Session, arguments: &Arguments) -> Result<Status, Failure> {
    let opened = session.open(&arguments.setup, None)?;
    let sheet = open_sheet(session, &arguments.found, opened.setup()?)?;
    sheet.without_faults()?;
    same_bike(&opened, &sheet)?;
    of_a_day(session, &sheet)?;
    on_known_places(&opened, &sheet)?;
    in_known_units(session, &opened, &sheet)?;
    let text = std::str::from_utf8(&opened.bytes)
        .map_err(|_| Failure::new(format!("{} is not UTF-8.", opened.name), "Save it as UTF-8."))?;
    let mut edit = Edit::new(session.catalogue(), text, None).map_err(|error| refused(&opened, &error))?;
    let even_so = meant(session, &arguments.even_so)?;
    let now = if arguments.put_back { Some(as_put_back(session, &opened, &sheet)?) } else { None };
    let unread = now.as_ref().map(|now| now.unread.clone()).unwrap_or_default();
    let Arguments { all, mark: redraw, put_back, .. } = *arguments;
    let untold = now.as_ref().map(|now| now.untold.clone()).unwrap_or_default();
    let options = Options { all, redraw, even_so, put_back, unread, untold };
    let told = now.as_ref().map_or_else(|| sheet.setup(), |now| Ok(&now.sheet))?;
    let mut recording =
        fold(session.catalogue(), &mut edit, told, &options).map_err(|error| refused(&opened, &error))?;
    recording.put_back = arguments.put_back;
    recording.good = told_good(session.catalogue(), opened.setup()?, sheet.setup()?, &sheet.bytes);
    recording.setup.clone_from(&opened.name);
    if recording.has_written() {
        recording.sheet_day = dates::of_sheet(session.catalogue(), opened.setup()?, sheet.setup()?, today());
    }
    let changed = edit.text() != text;
    let file = session.file(&arguments.setup)?;
    let bytes = edit.text().as_bytes();
    // A file that was written before and kept out of the history by a fault goes in when it is mended.
    let mut due = false;
    if arguments.commit && !recording.held_back.is_empty() {
        recording.not_committed =
            Some("the sheet contradicts itself. Look again, mend the sheet, and record it again");
    } else if arguments.commit {
        // Asked before anything is written: who cannot commit is to find the file as it was.
        let ledger = session.ledger()?;
        ledger.may_commit(&file)?;
        due = ledger.would_commit(&file, bytes)?;
    }
    let carried_too = not_committed_before(session, &file, &opened);
    if changed {
        write_atomically(&opened.path, Some(&opened.bytes), bytes)?;
    }
    if let Some(message) = arguments.message.as_ref().filter(|_| due) {
        recording.stopped = faults(session, &file, bytes);
        if recording.stopped.is_none() {
            let committed = session.ledger()?.commit_file(&file, bytes, message);
            let committed = committed.map_err(|error| not_committed(&opened, changed, error));
            recording.revision = Some(committed?.label);
            recording.branch = session.ledger()?.branch()?;
        }
    } else if changed && session.ledger().is_ok_and(Ledger::has_repository) {
        recording.command = Some(command(session, &opened, &recording));
    }
    if recording.revision.is_some() || recording.command.is_some() {
        recording.carried_too = carried_too;
    }
    session.show(&recording, |page| report::record::page(page, &recording))?;
    Ok(Status::act_if(recording.is_to_act_on()))
}

/// What the file has otherwise than the last revision before anything is recorded, in words: a commit carries that, too.
fn not_committed_before(session: &Session, file: &SetupFile, opened: &Opened) -> Vec<String> {
    let last = || session.ledger().ok()?.last_recorded(file).ok()?;
    let Some(before) = last().and_then(|last| session.open_at(file, last).ok()) else { return Vec::new() };
    if before.bytes == opened.bytes {
        return Vec::new();
    }
    let other = "other lines of the file".to_owned();
    let (Ok(was), Ok(now)) = (before.setup(), opened.setup()) else { return vec![other] };
    let catalogue = session.catalogue();
    let between = compare::as_written(State::recorded(catalogue, was), State::recorded(catalogue, now));
    let none = || "not recorded".to_owned();
    let told = between.changes.iter().map(|change| {
        let (was, now) = (change.was_written.clone(), change.now_written.clone());
        format!("{} was {}, now {}", change.title, was.unwrap_or_else(none), now.unwrap_or_else(none))
    });
    let mut told: Vec<String> = told.collect();
    told.extend(between.torque.iter().map(|change| format!("torque of the {}", change.title)));
    told.extend(between.marks.iter().map(|change| format!("mark {}", change.mark)));
    if !between.notes.is_empty() {
        told.push("notes".to_owned());
    }
    if told.is_empty() {
        told.push(other);
    }
    told
}

/// What the sheet would tell now that the bike stands as recorded again.
fn as_put_back(session: &Session, opened: &Opened, sheet: &Opened) -> Result<PutBack, Failure> {
    put_back(session.catalogue(), opened.setup()?, sheet.setup()?).map_err(|why| match why {
        NotPutBack::Contradiction(words) => Failure::new(
            format!("{words}. Nobody knows what was to be put back: nothing was written."),
            "Look at both again and mend the sheet.",
        ),
        NotPutBack::NoStep(title) => Failure::new(
            format!("The {title} on the sheet is not put back by setting anything: nothing was written."),
            "Once the recorded part is fitted or a mechanic has put it right, read it again and write that on the sheet; and \
             say there what was opened for it, as in `opened \"stem-face\"`.",
        ),
    })
}

/// The measures that are meant whatever they read.
fn meant(session: &Session, paths: &[String]) -> Result<Vec<MeasureId>, Failure> {
    paths.iter().map(|path| Ok(measure(session.catalogue(), path)?)).collect()
}

/// What keeps the file out of the history, by the rules of the gate; none if it may be committed.
fn faults(session: &Session, file: &SetupFile, bytes: &[u8]) -> Option<Report> {
    let working = |base: &SetupFile| read_file(&base.path).ok();
    let (findings, accepted) = findings(session, file, bytes, &working);
    let path = format!("setups/{}.kdl", file.name);
    let report = Report::of(vec![File::checked(path, file.name.clone(), bytes, &findings, &accepted)]);
    (report.counts.fault > 0).then_some(report)
}

/// A sheet of one setup is not written into another: a slip of the name would overwrite sound readings.
fn same_bike(setup: &Opened, sheet: &Opened) -> Result<(), Failure> {
    let (ours, theirs) = (&setup.setup()?.name.value, &sheet.setup()?.name.value);
    if ours == theirs {
        return Ok(());
    }
    Err(Failure::new(
        format!("The sheet is of `{theirs}`, not of `{ours}`: nothing was written."),
        format!("Record it into {theirs}, or name the right setup in the sheet."),
    ))
}

/// A reading without a day, or of a day to come, could never be told from newer ones.
fn of_a_day(session: &Session, sheet: &Opened) -> Result<(), Failure> {
    if sheet.setup()?.measured.is_none() {
        return Err(Failure::new(
            "The sheet does not say on which day it was read: nothing was written.",
            "Add the day to the sheet, as a line of its own: measured \"YYYY-MM-DD\"",
        ));
    }
    let (findings, _) = check_with_accepted(session.catalogue(), &sheet.read, None, Some(today()));
    match findings.iter().find(|finding| finding.code == &code::DATE_AHEAD) {
        Some(ahead) => Err(Failure::new(
            format!("On the sheet: {} Nothing was written.", ahead.message),
            code::DATE_AHEAD.remedy,
        )),
        None => Ok(()),
    }
}

/// A note on damage that names no place would stop all work for ever, and nobody could say where to look.
fn on_known_places(setup: &Opened, sheet: &Opened) -> Result<(), Failure> {
    match damage::unknown(sheet.setup()?, setup.setup()?).first() {
        Some(strange) => Err(Failure::new(
            format!("{}{} Nothing was written.", sheet.name, placed(strange, &sheet.bytes)),
            strange.help.clone(),
        )),
        None => Ok(()),
    }
}

/// A plain number counts as the table has it. One that looks like the recorded figure in another unit would be written as a
/// pressure or a length that nobody read.
fn in_known_units(session: &Session, setup: &Opened, sheet: &Opened) -> Result<(), Failure> {
    let (catalogue, read) = (session.catalogue(), sheet.setup()?);
    let text = String::from_utf8_lossy(&sheet.bytes);
    let doubtful = plain_number::doubtful(setup.setup()?, read, &text);
    let Some((_, recorded)) = doubtful.first() else { return Ok(()) };
    let said: Vec<String> = doubtful.iter().map(|one| plain_number::said(catalogue, read, *one)).collect();
    let (own, plain) = (recorded.unit().word(), recorded.default_unit().word());
    Err(Failure::new(
        format!("On the sheet {} Nothing was written.", said.join(" ")),
        format!("Put the unit that you read before each such number: ({own}) as recorded, or ({plain})."),
    ))
}

/// The command that makes a revision of the file, to be typed where the program was started.
fn command(session: &Session, opened: &Opened, recording: &Recording) -> String {
    let path = opened.path.strip_prefix(session.here()).unwrap_or(&opened.path);
    let subject = subject(recording);
    let message = shell_word(&format!("{}: {subject}", opened.name));
    format!("git commit -m {message} -- {}", shell_word(&path.to_string_lossy()))
}

/// What was written, in a few words: damage and joints left open, then the first of it, as the page has it.
fn subject(recording: &Recording) -> String {
    let damaged = recording.damages.iter().any(|damage| damage.written).then(|| "damage noted".to_owned());
    let dangers: Vec<String> = damaged.into_iter().chain(left_open(recording)).collect();
    let written = read_or_drawn(recording);
    if dangers.is_empty() && written.is_none() {
        return "notes from the sheet".to_owned();
    }
    dangers.into_iter().chain(written).collect::<Vec<_>>().join("; ")
}

/// Of the joints that were opened the most dangerous first: "stem on steerer and 3 more left open".
fn left_open(recording: &Recording) -> Option<String> {
    let is_new = |one: &&TorqueKept| one.dropped || one.note == Some(OpenedNote::Written);
    let mut open: Vec<&TorqueKept> = recording.tightened.iter().filter(is_new).collect();
    open.sort_by_key(|one| one.found.weight);
    Some(match open.as_slice() {
        [] => return None,
        [one] => format!("{} left open", one.found.title),
        [one, rest @ ..] => format!("{} and {} more left open", one.found.title, rest.len()),
    })
}

/// What was read or drawn, if anything was.
fn read_or_drawn(recording: &Recording) -> Option<String> {
    let what: Vec<&str> = recording.changes.iter().map(|change| change.title.as_str()).collect();
    match what.as_slice() {
        [one] => return Some(format!("{one} as found")),
        [one, rest @ ..] => return Some(format!("{one} and {} more as found", rest.len())),
        [] => {}
    }
    let words = if recording.lost.iter().any(|mark| mark.written) {
        "broken marks struck out"
    } else if recording.freed.iter().any(|line| line.written) {
        "marks struck out"
    } else if !recording.marks.is_empty() {
        "marks drawn anew"
    } else if recording.tightened.iter().any(|torque| torque.written) {
        "torques as applied"
    } else {
        return None;
    };
    Some(words.to_owned())
}

/// Who reads that the commit failed is to know whether the file is as it was.
fn not_committed(opened: &Opened, changed: bool, error: LedgerError) -> Failure {
    let failure = Failure::from(error);
    if !changed {
        return failure;
    }
    Failure::new(
        format!("{} is changed already, but it was not committed. {}", opened.name, failure.message),
        failure.help,
    )
}

fn refused(opened: &Opened, error: &EditError) -> Failure {
    let help = match error {
        EditError::Faulty(_) => format!("Run `clampmark check {}` and mend the file first.", opened.name),
        _ => "The file is sound: look at what the sheet says there, or write it into the file by hand."
            .to_owned(),
    };
    Failure::new(format!("{} was not changed. {error}", opened.name), help)
}
