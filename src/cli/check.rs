//! `check`: what is unsafe, impossible or missing in the files, each with its place and what to do.

use std::cell::{Cell, RefCell};
use std::collections::{HashMap, HashSet};
use std::path::Path;

use clap::Args;
use rayon::prelude::*;
use serde::ser::{Serialize, SerializeStruct, Serializer};

use crate::carry::parts;
use crate::catalogue::code;
use crate::check::front_brake::{self, Hands, bike};
use crate::check::{self, Around, between_marks, not_to_ride};
use crate::ledger::{Ledger, SetupFile, Unmerged, read_file};
use crate::report;
use crate::setup::checked::{Counts, File, Report, Unread};
use crate::setup::finding::{Acknowledged, Finding};
use crate::setup::model::{Kind, Setup};
use crate::setup::read::{Successive, iso_date, read};

use super::Status;
use super::session::{Failure, Session};
use super::{stop, unsettled};

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

/// What is known of the whole ledger while its files are looked at one by one.
pub struct Whole {
    /// On which hand its bikes have their front brakes.
    pub hands: Option<Hands>,
    /// The merges that git has not settled.
    pub unmerged: Vec<Unmerged>,
}

impl Whole {
    /// What git has not settled of a file.
    pub fn unmerged_of(&self, file: &SetupFile) -> Option<&Unmerged> {
        self.unmerged.iter().find(|unmerged| unmerged.file.path == file.path)
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
        let setup = texts.read(&read_file(&file.path).ok()?).setup?;
        (setup.kind == Kind::Setup).then(|| front_brake::hand(&setup).map(|hand| hand.side))?
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

/// Where the content of another setup comes from: the working folder, or what is staged.
pub type Contents<'a> = dyn Fn(&SetupFile) -> Option<Vec<u8>> + 'a;

/// Everything found in one file of a ledger; an as-found sheet is read on top of the setup it names, which `contents` gives. A box
/// of parts is read as one. With them comes what the file accepts.
pub fn findings(
    session: &Session,
    file: &SetupFile,
    bytes: &[u8],
    contents: &Contents,
) -> (Vec<Finding>, Vec<Acknowledged>) {
    let found = findings_in(session, session.ledger().ok(), file, bytes, contents);
    (found.findings, found.accepted)
}

/// The same beside the other setups of the bike.
pub fn findings_beside(
    session: &Session,
    whole: &Whole,
    file: &SetupFile,
    bytes: &[u8],
) -> (Vec<Finding>, Vec<Acknowledged>) {
    let looked_at = LookedAt { session, ledger: session.ledger().ok(), hands: whole.hands.as_ref() };
    let working = |base: &SetupFile| read_file(&base.path).ok();
    let mut texts = Successive::new(session.catalogue());
    let found = findings_after_others(looked_at, &mut texts, file, bytes, &working);
    (found.findings, found.accepted)
}

/// The page of one file of that ledger in which git has not settled a merge, with what is told of that.
pub fn unmerged_in(
    session: &Session,
    ledger: &Ledger,
    (path, unmerged): (String, &Unmerged),
    bytes: &[u8],
) -> File {
    let file = &unmerged.file;
    let mut texts = Successive::new(session.catalogue());
    let looked_at = LookedAt { session, ledger: Some(ledger), hands: None };
    let working = |base: &SetupFile| read_file(&base.path).ok();
    let mut found = findings_after_others(looked_at, &mut texts, file, bytes, &working);
    let is_marked = found.findings.iter().any(|finding| finding.code == &code::UNRESOLVED_CONFLICT);
    found.findings.insert(0, unsettled::told(unmerged, bytes, is_marked));
    found.in_file(path, file.name.clone(), bytes)
}

/// The same in that ledger, which need not be the one the program was started in.
pub fn findings_in(
    session: &Session,
    ledger: Option<&Ledger>,
    file: &SetupFile,
    bytes: &[u8],
    contents: &Contents,
) -> Found {
    let mut texts = Successive::new(session.catalogue());
    let looked_at = LookedAt { session, ledger, hands: None };
    findings_after_others(looked_at, &mut texts, file, bytes, contents)
}

/// What was found in one file.
#[derive(Default)]
pub struct Found {
    findings: Vec<Finding>,
    accepted: Vec<Acknowledged>,
    /// What the file keeps against riding, in one line.
    not_to_ride: Option<String>,
}

impl Found {
    /// The same of a file that lies there, with what it holds.
    pub fn in_file(self, path: String, name: String, bytes: &[u8]) -> File {
        File::checked(path, name, bytes, &self.findings, &self.accepted).keeping(self.not_to_ride)
    }
}

/// Where a file lies, and what is known around it.
#[derive(Clone, Copy)]
struct LookedAt<'a> {
    session: &'a Session,
    ledger: Option<&'a Ledger>,
    hands: Option<&'a Hands>,
}

/// The same, of one file among several that are read one after another.
fn findings_after_others(
    LookedAt { session, ledger, hands }: LookedAt,
    texts: &mut Successive,
    file: &SetupFile,
    bytes: &[u8],
    contents: &Contents,
) -> Found {
    let catalogue = session.catalogue();
    let mut content = texts.read(bytes);
    if content.setup.is_none() && parts::is_box(bytes) {
        let (parts, mut findings) = parts::read(bytes);
        findings.extend(parts::damaged::cautions(&parts));
        findings.sort_by_key(|finding| finding.span.map_or(0, |span| span.start));
        return Found { findings, ..Found::default() };
    }
    let (mut about_the_setup, mut stands_on) = (None, None);
    if let Some(sheet) = content.setup.as_ref().filter(|setup| setup.kind == Kind::Found) {
        match setup_of((session, ledger), sheet, contents) {
            Ok(base) => {
                content = read(catalogue, bytes, base.as_ref());
                stands_on = base;
            }
            Err(finding) => about_the_setup = Some(finding),
        }
    }
    let around = Around { expected_name: expected_name(ledger, file), today: Some(today()), hands };
    let (mut findings, accepted) = check::check_in(catalogue, &content, around);
    findings.extend(about_the_setup);
    let setup = content.setup.as_ref().filter(|setup| setup.kind == Kind::Setup);
    let not_to_ride = match (setup, &content.setup) {
        (Some(setup), _) => {
            let found = findings.iter().chain(accepted.iter().map(|accepted| &accepted.finding));
            not_to_ride::verdict(&not_to_ride::kept_beside(catalogue, setup, found))
        }
        (None, Some(sheet)) => stop::in_words(catalogue, stands_on.as_ref(), sheet),
        (None, None) => not_to_ride::verdict(&between_marks::reasons(catalogue, bytes)),
    };
    Found { findings, accepted, not_to_ride }
}

/// The variable by which tests fix the day, so that what they see does not vary.
const TODAY: &str = "CLAMPMARK_TODAY";

/// The day here: the rooms below never ask for it.
pub fn today() -> chrono::NaiveDate {
    let fixed = std::env::var(TODAY).ok().and_then(|day| iso_date(&day));
    fixed.unwrap_or_else(|| chrono::Local::now().date_naive())
}

/// The setup a sheet belongs to; none outside a ledger.
fn setup_of(
    (session, ledger): (&Session, Option<&Ledger>),
    sheet: &Setup,
    contents: &Contents,
) -> Result<Option<Setup>, Finding> {
    let Some(ledger) = ledger else { return Ok(None) };
    let file = ledger.setup_named(&sheet.name.value);
    let Some(bytes) = contents(&file) else {
        let message = format!("The sheet is for `{}`, and the ledger holds no such setup.", sheet.name.value);
        let nearest = ledger.resolve(&sheet.name.value, session.here()).err();
        let help =
            nearest.map_or_else(|| "Name the setup that was looked at.".to_owned(), |error| error.help());
        return Err(Finding::new(&code::NAME_DIFFERS, message).at(sheet.name.span).help(help));
    };
    Ok(read(session.catalogue(), &bytes, None).setup)
}

/// The name that the file's place in the ledger gives it.
fn expected_name<'a>(ledger: Option<&Ledger>, file: &'a SetupFile) -> Option<&'a str> {
    let ledger = ledger?;
    (ledger.setup_named(&file.name).path == file.path).then_some(file.name.as_str())
}
