//! `check`: what is unsafe, impossible or missing in the files, each with its place and what to do.

use std::cell::{Cell, RefCell};
use std::collections::{HashMap, HashSet};
use std::path::Path;

use clap::Args;
use rayon::prelude::*;
use serde::ser::{Serialize, SerializeStruct, Serializer};

use crate::check::front_brake::{self, Hands, bike};
use crate::ledger::{Ledger, SetupFile, read_file};
use crate::report;
use crate::setup::checked::{Counts, File, Report, Unread};
use crate::setup::model::Kind;
use crate::setup::read::Successive;

use super::Status;
use super::findings::{LookedAt, Whole, findings_after_others};
use super::newer_sheet::Sheets;
use super::session::{Failure, Session};
use super::since_commit::SinceCommit;
use super::{rolled_since, taken_out, unsettled};

/// What to check.
#[derive(Debug, Args)]
pub struct Arguments {
    /// Setups by name (rowan/race), whole bikes (rowan) or files; all of the ledger if none is named.
    #[arg(value_name = "SETUP")]
    pub setups: Vec<String>,
}

/// How many files are read and held at a time, on all cores: what bounds the memory.
const ROW: usize = 256;

/// How many files one core reads in a row: setups of one bike have most of their text in common.
const RUN: usize = 32;

/// Runs the command. Files are told of as they are checked, so that a ledger may be of any size.
pub fn run(session: &Session, arguments: &Arguments) -> Result<Status, Failure> {
    let asked = asked(session, &arguments.setups)?;
    let beside = beside(session, arguments, &asked);
    let whole = Whole { hands: beside.hands, unmerged: unsettled::of_ledger(session.ledger().ok()) };
    let around = AroundFile { whole: &whole, sheets: &beside.sheets, is_named: !arguments.setups.is_empty() };
    let checked = |run| checked_run(session, &around, run);
    let rows = asked.chunks(ROW).map(|row| row.par_chunks(RUN).flat_map_iter(checked).collect());
    let counts = if session.is_json() { as_json(session, rows)? } else { as_page(session, rows)? };
    if counts.unread > 0 {
        return Ok(Status::Partial);
    }
    Ok(Status::act_if(counts.is_to_act_on()))
}

fn as_page(session: &Session, rows: impl Iterator<Item = Vec<File>>) -> Result<Counts, Failure> {
    let mut counts = Counts::default();
    let mut begun = false;
    for row in rows {
        for file in &row {
            counts.add(file);
        }
        // No file's lines depend on another's: they are laid out on all cores.
        let laid_out = |run: &[File]| {
            let mut page = session.page();
            report::check::files(&mut page, run);
            session.rendered(&page)
        };
        let texts: Vec<String> = row.par_chunks(RUN).map(laid_out).collect();
        for text in texts.iter().filter(|text| !text.is_empty()) {
            session.print(if begun { "\n" } else { "" })?;
            session.print(text)?;
            begun = true;
        }
    }
    let mut page = session.page();
    report::check::closing(&mut page, counts);
    session.print(if begun { "\n" } else { "" })?;
    session.print_page(&page)?;
    Ok(counts)
}

fn as_json(session: &Session, rows: impl Iterator<Item = Vec<File>>) -> Result<Counts, Failure> {
    let report = Streamed { rows: RefCell::new(rows), counts: Cell::default() };
    session.print_json(&report)?;
    Ok(report.counts.get())
}

/// A [`Report`] whose files are checked while it is written.
struct Streamed<R> {
    rows: RefCell<R>,
    counts: Cell<Counts>,
}

impl<R: Iterator<Item = Vec<File>>> Serialize for Streamed<R> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut report = serializer.serialize_struct("Report", 3)?;
        report.serialize_field("schema", Report::SCHEMA)?;
        report.serialize_field("files", &StreamedFiles(self))?;
        report.serialize_field("counts", &self.counts.get())?;
        report.end()
    }
}

struct StreamedFiles<'r, R>(&'r Streamed<R>);

impl<R: Iterator<Item = Vec<File>>> Serialize for StreamedFiles<'_, R> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let Streamed { rows, counts } = self.0;
        let counted = |file: &File| {
            let mut sum = counts.get();
            sum.add(file);
            counts.set(sum);
        };
        serializer.collect_seq(rows.borrow_mut().by_ref().flatten().inspect(counted))
    }
}

/// A file that was asked for, or why there is none.
enum Asked {
    For(SetupFile),
    InVain(String, Failure),
}

impl Asked {
    fn file(&self) -> Option<&SetupFile> {
        match self {
            Asked::For(file) => Some(file),
            Asked::InVain(..) => None,
        }
    }
}

/// What the files of a bike tell of one another.
#[derive(Default)]
struct Beside {
    /// On which hand the bikes have their front brakes; none outside a ledger.
    hands: Option<Hands>,
    sheets: Sheets,
}

/// What counts for each of the files that are checked.
struct AroundFile<'a> {
    whole: &'a Whole,
    sheets: &'a Sheets,
    /// Whether the files were named, and are few.
    is_named: bool,
}

/// What every file in the ledger tells of the bikes that were asked for.
fn beside(session: &Session, arguments: &Arguments, asked: &[Asked]) -> Beside {
    let asked: Vec<&SetupFile> = asked.iter().filter_map(Asked::file).collect();
    if arguments.setups.is_empty() {
        return beside_of(session, &asked, false);
    }
    let bikes: HashSet<Option<&str>> = asked.iter().map(|file| bike(&file.name)).collect();
    let is_asked = |file: &&SetupFile| bikes.contains(&bike(&file.name));
    let setups = session.ledger().ok().and_then(|ledger| ledger.setups().ok());
    setups.map_or_else(Beside::default, |setups| {
        beside_of(session, &setups.iter().filter(is_asked).collect::<Vec<_>>(), true)
    })
}

/// On which hand bikes have their front brakes by these setups.
pub fn hands_of(session: &Session, files: &[&SetupFile]) -> Hands {
    beside_of(session, files, false).hands.unwrap_or_default()
}

/// What these files tell of their bikes. The only one of its bike differs from no other, and is not read for it; nor are
/// those in no bike's folder, unless they are asked for.
fn beside_of(session: &Session, files: &[&SetupFile], of_no_bike: bool) -> Beside {
    let mut setups: HashMap<&str, usize> = HashMap::new();
    for bike in files.iter().filter_map(|file| bike(&file.name)) {
        *setups.entry(bike).or_default() += 1;
    }
    let has_others = |file: &&&SetupFile| bike(&file.name).map_or(of_no_bike, |bike| setups[bike] > 1);
    let files: Vec<&SetupFile> = files.iter().filter(has_others).copied().collect();
    let of_run = |run: &[&SetupFile]| {
        let mut texts = Successive::new(session.catalogue());
        let (mut hands, mut sheets) = (Hands::default(), Sheets::default());
        for file in run {
            let Some(setup) = read_file(&file.path).ok().and_then(|bytes| texts.read(&bytes).setup) else {
                continue;
            };
            match (setup.kind, front_brake::hand(&setup)) {
                (Kind::Found, _) => sheets.add(file, &setup),
                (Kind::Setup, Some(hand)) => hands.add(&file.name, hand.side),
                (Kind::Setup, None) => {}
            }
        }
        (hands, sheets)
    };
    let nothing = || (Hands::default(), Sheets::default());
    let runs = files.par_chunks(RUN).map(of_run);
    let (hands, sheets) = runs.reduce(nothing, |one, other| (one.0.and(other.0), one.1.and(other.1)));
    Beside { hands: Some(hands), sheets }
}

fn checked_run(session: &Session, around: &AroundFile, run: &[Asked]) -> Vec<File> {
    let mut texts = Successive::new(session.catalogue());
    let one = |asked: &Asked| match asked {
        Asked::For(file) => checked(session, around, &mut texts, file),
        Asked::InVain(word, failure) => unread(word.clone(), word.clone(), failure.clone()),
    };
    run.iter().map(one).collect()
}

fn asked(session: &Session, named: &[String]) -> Result<Vec<Asked>, Failure> {
    if named.is_empty() {
        return Ok(session.ledger()?.setups()?.into_iter().map(Asked::For).collect());
    }
    let mut asked = Vec::new();
    let mut seen = HashSet::new();
    for word in named {
        match meant(session, word) {
            // A setup named twice, perhaps once by its bike, is checked once.
            Ok(found) => {
                let new = found.into_iter().filter(|file| seen.insert(file.path.clone()));
                asked.extend(new.map(Asked::For));
            }
            Err(failure) => asked.push(Asked::InVain(word.clone(), failure)),
        }
    }
    Ok(asked)
}

/// The files a word means: one setup or file, or all setups of a bike; both where a setup is called like a bike.
fn meant(session: &Session, word: &str) -> Result<Vec<SetupFile>, Failure> {
    let bike = word.trim_end_matches('/').trim_start_matches("setups/");
    let failure = match session.file(word) {
        Ok(file) => {
            let ledger = session.ledger().ok().filter(|_| !bike.contains('/'));
            let beside = ledger.map_or(Ok(Vec::new()), |ledger| of_bike(ledger, bike))?;
            return Ok([vec![file], beside].concat());
        }
        Err(failure) => failure,
    };
    let Ok(ledger) = session.ledger() else {
        let message =
            format!("There is no file `{word}`, and no ledger here in which a setup could have that name.");
        return Err(Failure::new(message, failure.help));
    };
    let files = of_bike(ledger, bike)?;
    if files.is_empty() { Err(failure) } else { Ok(files) }
}

fn of_bike(ledger: &Ledger, bike: &str) -> Result<Vec<SetupFile>, Failure> {
    let mut files = ledger.setups()?;
    files.retain(|file| file.name.strip_prefix(bike).is_some_and(|name| name.starts_with('/')));
    Ok(files)
}

fn checked(session: &Session, around: &AroundFile, texts: &mut Successive, file: &SetupFile) -> File {
    let AroundFile { whole, sheets, is_named } = *around;
    let path = shown_path(session, &file.path);
    match read_file(&file.path) {
        Ok(bytes) => {
            let working = |base: &SetupFile| read_file(&base.path).ok();
            let looked_at = LookedAt { session, ledger: session.ledger().ok(), hands: whole.hands.as_ref() };
            let mut found = findings_after_others(looked_at, texts, file, &bytes, &working);
            let unmerged = whole.unmerged_of(file);
            found.findings.extend(unmerged.and_then(|unmerged| unsettled::not_marked(unmerged, &bytes)));
            // What was last recorded is asked of git for each: too much where all of a ledger is checked.
            let is_asked = is_named || unmerged.is_some();
            let ledger = session.ledger().ok().filter(|ledger| is_asked && ledger.has_repository());
            let since = ledger.and_then(|ledger| SinceCommit::of(session, ledger, file, &bytes));
            found.findings.extend(since.as_ref().and_then(rolled_since::finding));
            let gone = since.as_ref().and_then(taken_out::of_steering_or_brakes);
            let newer = sheets.newer_than_file(session, file, &bytes);
            found.in_file(path, file.name.clone(), &bytes).found_since(newer).also_keeping(gone)
        }
        Err(error) => unread(path, file.name.clone(), error.into()),
    }
}

fn unread(path: String, setup: String, failure: Failure) -> File {
    let unread = Unread { message: failure.message, help: failure.help };
    File::not_read(path, setup, unread)
}

/// The path as seen from the ledger, where the file lies in it.
fn shown_path(session: &Session, path: &Path) -> String {
    let root = session.ledger().ok().map(|ledger| ledger.root().to_path_buf());
    let below = root.as_deref().and_then(|root| path.strip_prefix(root).ok());
    let below = below.or_else(|| path.strip_prefix(session.here()).ok()).unwrap_or(path);
    below.iter().map(|part| part.to_string_lossy()).collect::<Vec<_>>().join("/").replacen("//", "/", 1)
}
