//! `check`: what is unsafe, impossible or missing in the files, each with its place and what to do.

use std::cell::{Cell, RefCell};
use std::collections::{HashMap, HashSet};
use std::path::Path;

use clap::Args;
use rayon::prelude::*;
use serde::ser::{Serialize, SerializeStruct, Serializer};

use crate::check::front_brake::{self, Hands, bike};
use crate::ledger::{SetupFile, read_file};
use crate::report;
use crate::setup::checked::{Counts, File, Report, Unread};
use crate::setup::model::Kind;
use crate::setup::read::Successive;

use super::Status;
use super::findings::{LookedAt, Whole, findings_after_others};
use super::session::{Failure, Session};
use super::unsettled;

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
    let whole = Whole {
        hands: hands(session, arguments, &asked),
        unmerged: unsettled::of_ledger(session.ledger().ok()),
    };
    let checked = |run| checked_run(session, &whole, run);
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

/// On which hand the bikes that were asked for have their front brakes, by every setup of theirs in the ledger.
fn hands(session: &Session, arguments: &Arguments, asked: &[Asked]) -> Option<Hands> {
    let asked: Vec<&SetupFile> = asked.iter().filter_map(Asked::file).collect();
    if arguments.setups.is_empty() {
        return Some(hands_of(session, &asked));
    }
    let bikes: HashSet<&str> = asked.iter().filter_map(|file| bike(&file.name)).collect();
    let is_asked = |file: &&SetupFile| bike(&file.name).is_some_and(|bike| bikes.contains(bike));
    let setups = session.ledger().ok()?.setups().ok()?;
    Some(hands_of(session, &setups.iter().filter(is_asked).collect::<Vec<_>>()))
}

/// The same by these setups. The only one of its bike differs from no other, and is not read for it.
pub fn hands_of(session: &Session, files: &[&SetupFile]) -> Hands {
    let mut setups: HashMap<&str, usize> = HashMap::new();
    for bike in files.iter().filter_map(|file| bike(&file.name)) {
        *setups.entry(bike).or_default() += 1;
    }
    let has_others = |file: &&&SetupFile| bike(&file.name).is_some_and(|bike| setups[bike] > 1);
    let files: Vec<&SetupFile> = files.iter().filter(has_others).copied().collect();
    let side = |texts: &mut Successive, file: &SetupFile| {
        let setup =
            texts.read(&read_file(&file.path).ok()?).setup.filter(|setup| setup.kind == Kind::Setup)?;
        front_brake::hand(&setup).map(|hand| hand.side)
    };
    let of_run = |run: &[&SetupFile]| {
        let mut texts = Successive::new(session.catalogue());
        let mut hands = Hands::default();
        for file in run {
            if let Some(side) = side(&mut texts, file) {
                hands.add(&file.name, side);
            }
        }
        hands
    };
    files.par_chunks(RUN).map(of_run).reduce(Hands::default, Hands::and)
}

fn checked_run(session: &Session, whole: &Whole, run: &[Asked]) -> Vec<File> {
    let mut texts = Successive::new(session.catalogue());
    let one = |asked: &Asked| match asked {
        Asked::For(file) => checked(session, whole, &mut texts, file),
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

/// The files a word means: one setup or file, or all setups of a bike.
fn meant(session: &Session, word: &str) -> Result<Vec<SetupFile>, Failure> {
    let failure = match session.file(word) {
        Ok(file) => return Ok(vec![file]),
        Err(failure) => failure,
    };
    let Ok(ledger) = session.ledger() else {
        let message =
            format!("There is no file `{word}`, and no ledger here in which a setup could have that name.");
        return Err(Failure::new(message, failure.help));
    };
    let bike = format!("{}/", word.trim_end_matches('/').trim_start_matches("setups/"));
    let of_bike: Vec<SetupFile> =
        ledger.setups()?.into_iter().filter(|file| file.name.starts_with(&bike)).collect();
    if of_bike.is_empty() { Err(failure) } else { Ok(of_bike) }
}

fn checked(session: &Session, whole: &Whole, texts: &mut Successive, file: &SetupFile) -> File {
    let path = shown_path(session, &file.path);
    match read_file(&file.path) {
        Ok(bytes) => {
            let working = |base: &SetupFile| read_file(&base.path).ok();
            let looked_at = LookedAt { session, ledger: session.ledger().ok(), hands: whole.hands.as_ref() };
            let mut found = findings_after_others(looked_at, texts, file, &bytes, &working);
            let unmerged = whole.unmerged_of(file);
            found.findings.extend(unmerged.and_then(|unmerged| unsettled::not_marked(unmerged, &bytes)));
            found.in_file(path, file.name.clone(), &bytes)
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
