//! What every command shares: the ledger it works in, the setups it opens, and where its result goes.

use std::fmt;
use std::io::{self, BufWriter, ErrorKind, IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::{Mutex, OnceLock, PoisonError};

use serde::Serialize;

use crate::catalogue::Catalogue;
use crate::catalogue::code::Severity;
use crate::ledger::{Ledger, LedgerError, Revision, SetupFile, read_file, shell_word};
use crate::report::screen::{Label, Page, piece, plain};
use crate::restore::present;
use crate::setup::checked::excerpt;
use crate::setup::finding::Finding;
use crate::setup::model::{Kind, Setup};
use crate::setup::read::{Read, Successive};
use crate::setup::span::LineIndex;

use super::beside::with_its_setup;
use super::{Arguments, Colour, Status};

/// The working file, in place of a revision.
pub const NOW: &str = "now";

/// Why a command could not do its work: exit status 2.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Failure {
    /// What, one sentence.
    pub message: String,
    /// What to do, one sentence.
    pub help: String,
}

impl Failure {
    /// A failure.
    pub fn new(message: impl Into<String>, help: impl Into<String>) -> Failure {
        Failure { message: message.into(), help: help.into() }
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl From<LedgerError> for Failure {
    fn from(error: LedgerError) -> Failure {
        Failure::new(error.to_string(), error.help())
    }
}

/// A file's text as it was at some point, read.
#[derive(Clone, Debug)]
pub struct Opened {
    /// The setup's name, or the path it was given by.
    pub name: String,
    /// Where the file is, or was.
    pub path: PathBuf,
    /// How the user, or the program, named the point: `now`, `HEAD~3`, `v1`.
    pub label: String,
    /// The revision; none for the working file.
    pub revision: Option<Revision>,
    /// The text.
    pub bytes: Vec<u8>,
    /// What was read from it.
    pub read: Read,
}

impl Opened {
    /// The setup; a failure if the text could not be read as one.
    pub fn setup(&self) -> Result<&Setup, Failure> {
        self.read.setup.as_ref().ok_or_else(|| match self.read.findings.first() {
            Some(first) => self.at_fault("cannot be read", first),
            None => Failure::new(
                format!("{} ({}) cannot be read: It holds no setup.", self.name, self.label),
                format!("Run `clampmark check {}` to see what is in it.", self.name),
            ),
        })
    }
}

impl Opened {
    /// Whatever revision a bike is compared with or brought back to, its lines of paint and what limits its clamps are
    /// those of the file as it is now.
    ///
    /// # Errors
    /// If that file cannot be read: what it keeps against riding would go unsaid.
    pub fn goes_back_from(&mut self, catalogue: &Catalogue, now: &Opened) -> Result<(), Failure> {
        let now = now.setup()?;
        if let Some(then) = self.read.setup.as_mut() {
            *then = present::target(catalogue, then, now);
        }
        Ok(())
    }

    /// The setup, for a command that needs all of one: an as-found sheet is refused.
    pub fn whole(&self) -> Result<&Setup, Failure> {
        let setup = self.setup()?;
        if setup.kind == Kind::Found {
            return Err(Failure::new(
                format!("{} is an as-found sheet: it holds only what was looked at.", self.name),
                format!("See what moved: clampmark diff {} --found {}.", setup.name.value, self.name),
            ));
        }
        Ok(setup)
    }

    /// What is at fault in the text, with its place: whoever works from the rest says so.
    pub fn faults(&self) -> Vec<String> {
        let faults = self.read.findings.iter().filter(|finding| finding.severity == Severity::Fault);
        faults.map(|finding| placed(finding, &self.bytes).trim_start_matches([':', ' ']).to_owned()).collect()
    }

    /// A failure if the text has a fault: what follows from half a text is worse than nothing.
    pub fn without_faults(&self) -> Result<(), Failure> {
        if !self.read.has_fault() {
            return Ok(());
        }
        let fault = |finding: &&Finding| finding.severity == Severity::Fault;
        self.read.findings.iter().find(fault).map_or(Ok(()), |first| Err(self.at_fault("has a fault", first)))
    }

    /// The first fault with its place, and what to do about it; how to see the others if there are any.
    fn at_fault(&self, how: &str, first: &Finding) -> Failure {
        let fault = |finding: &&Finding| finding.severity == Severity::Fault;
        let others = match self.read.findings.iter().filter(fault).count() {
            0 | 1 => String::new(),
            _ => format!(" `clampmark check {}` tells the other faults.", self.name),
        };
        Failure::new(
            format!("{} ({}) {how}{}", self.name, self.label, placed(first, &self.bytes)),
            format!("{}{others}", first.help),
        )
    }
}

/// What is wrong and where: " in line 3, column 13, `bar { roll ? }`: …".
pub fn placed(finding: &Finding, bytes: &[u8]) -> String {
    let text = String::from_utf8_lossy(bytes);
    let Some(span) = finding.span else { return format!(": {}", finding.message) };
    let index = LineIndex::new(&text);
    let (line, column) = index.line_column(span.start);
    let (quote, _) = excerpt(index.line_text(line), column, WIDEST_QUOTE);
    format!(" in line {line}, column {column}, `{quote}`: {}", finding.message)
}

/// No more of a line than this many columns is quoted in a sentence.
const WIDEST_QUOTE: usize = 60;

/// One run of the program.
pub struct Session {
    json: bool,
    colour: bool,
    terminal: bool,
    width: usize,
    folder: Option<PathBuf>,
    here: PathBuf,
    ledger: OnceLock<Ledger>,
    /// What a command opens is mostly one setup at two points.
    texts: Mutex<Successive<'static>>,
}

impl Session {
    /// From the command line and the surroundings.
    pub fn new(arguments: &Arguments) -> Session {
        let terminal = io::stdout().is_terminal();
        let colour = match arguments.colour {
            Colour::Always => true,
            Colour::Never => false,
            Colour::Auto => terminal && std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty()),
        };
        Session {
            json: arguments.json,
            colour: colour && !arguments.json,
            terminal,
            width: width(),
            folder: arguments.ledger.clone(),
            here: std::env::current_dir().unwrap_or_else(|_| PathBuf::from(".")),
            ledger: OnceLock::new(),
            texts: Mutex::new(Successive::new(Catalogue::standard())),
        }
    }

    /// The table of measures.
    pub fn catalogue(&self) -> &'static Catalogue {
        Catalogue::standard()
    }

    /// The folder the program was started in.
    pub fn here(&self) -> &Path {
        &self.here
    }

    /// Whether the command line names the ledger to work in.
    pub fn names_ledger(&self) -> bool {
        self.folder.is_some()
    }

    /// The folder in which a new ledger would be made: the one given, or the one the program was started in.
    pub fn ledger_folder(&self) -> PathBuf {
        self.folder.as_ref().map_or_else(|| self.here.clone(), |folder| self.here.join(folder))
    }

    /// The ledger's folder as it was typed; the one the program was started in where none was.
    pub fn ledger_folder_typed(&self) -> PathBuf {
        self.folder.clone().unwrap_or_else(|| PathBuf::from("."))
    }

    /// How git is called for a file of the ledger, and the file's path behind it, both to be typed where the program was
    /// started.
    pub fn git_typed(&self, path: &Path) -> Result<(String, String), Failure> {
        let word = |path: &Path| shell_word(&path.to_string_lossy());
        // With the ledger named, the folder we are in may be in no repository.
        let (git, from) = if self.names_ledger() {
            (format!("git -C {}", word(&self.ledger_folder_typed())), self.ledger()?.root())
        } else {
            ("git".to_owned(), self.here())
        };
        Ok((git, word(path.strip_prefix(from).unwrap_or(path))))
    }

    /// The option that names the ledger's folder, as it is typed behind a command; empty where none was given.
    pub fn ledger_option(&self) -> String {
        let folder = self.folder.as_ref().map(|folder| shell_word(&folder.to_string_lossy()));
        folder.map(|folder| format!(" --ledger {folder}")).unwrap_or_default()
    }

    /// Whether the page is coloured.
    pub fn is_coloured(&self) -> bool {
        self.colour
    }

    /// Whether the result is asked for as JSON.
    pub fn is_json(&self) -> bool {
        self.json
    }

    /// Whether the result goes to a person's terminal.
    pub fn is_terminal(&self) -> bool {
        self.terminal && !self.json
    }

    /// An empty page of the terminal's width.
    pub fn page(&self) -> Page {
        Page::new(self.width)
    }

    /// The ledger, found on first use.
    pub fn ledger(&self) -> Result<&Ledger, Failure> {
        if let Some(ledger) = self.ledger.get() {
            return Ok(ledger);
        }
        let found = match &self.folder {
            Some(folder) => Ledger::open(folder)?,
            None => Ledger::find(&self.here)?,
        };
        Ok(self.ledger.get_or_init(|| found))
    }

    /// The setup's file, by name or path.
    pub fn file(&self, named: &str) -> Result<SetupFile, Failure> {
        match self.ledger() {
            Ok(ledger) => Ok(ledger.resolve(named, &self.here)?),
            Err(failure) => plain_file(&self.here, named).ok_or(failure),
        }
    }

    /// The working file of a setup.
    pub fn open_now(&self, file: &SetupFile) -> Result<Opened, Failure> {
        if !file.exists {
            return Err(Failure::new(
                format!("{} is no longer in the working folder.", file.name),
                "Its revisions are still there: name one, or two to compare.",
            ));
        }
        let bytes = read_file(&file.path)?;
        Ok(self.opened(file, NOW, None, bytes))
    }

    /// A setup at a revision, or `now`.
    pub fn open(&self, named: &str, at: Option<&str>) -> Result<Opened, Failure> {
        self.open_file(&self.file(named)?, at)
    }

    /// The same of a file that is found already.
    pub fn open_file(&self, file: &SetupFile, at: Option<&str>) -> Result<Opened, Failure> {
        match at {
            None | Some(NOW) => self.open_now(file),
            Some(spec) => self.open_at(file, self.ledger()?.revision(spec)?),
        }
    }

    /// The same file as it is now, where it is opened as it was at a revision; none where it is not, or cannot be opened.
    pub fn now_beside(&self, named: &str, at: Option<&str>) -> Option<Opened> {
        at.and_then(|_| self.open(named, None).ok())
    }

    /// A setup at a revision already resolved.
    pub fn open_at(&self, file: &SetupFile, revision: Revision) -> Result<Opened, Failure> {
        let Some(found) = self.ledger()?.read_at(file, &revision)? else {
            return Err(Failure::new(
                format!("{} does not exist at {}.", file.name, revision.label),
                "Name a later revision, or check the setup's name.",
            ));
        };
        let label = revision.label.clone();
        let mut opened = self.opened(file, &label, Some(revision), found.bytes);
        opened.path = PathBuf::from(found.path);
        Ok(opened)
    }

    fn opened(&self, file: &SetupFile, label: &str, revision: Option<Revision>, bytes: Vec<u8>) -> Opened {
        let read = self.texts.lock().unwrap_or_else(PoisonError::into_inner).read(&bytes);
        let read = with_its_setup(self.catalogue(), self.ledger().ok(), revision.as_ref(), &bytes, read);
        Opened {
            name: file.name.clone(),
            path: file.path.clone(),
            label: label.to_owned(),
            revision,
            bytes,
            read,
        }
    }

    /// Prints a result: as JSON if asked, else the page that `write` fills.
    pub fn show(&self, result: &impl Serialize, write: impl FnOnce(&mut Page)) -> Result<(), Failure> {
        let text = if self.json {
            let json = serde_json::to_string_pretty(result).map_err(|error| {
                Failure::new(
                    format!("The result could not be written as JSON: {error}."),
                    "Please report this.",
                )
            })?;
            json + "\n"
        } else {
            let mut page = self.page();
            write(&mut page);
            let text = page.render(self.colour);
            // The process ends after it: to give a long page back piece by piece would be work for nothing.
            std::mem::forget(page);
            text
        };
        self.print(&text)
    }

    /// Prints a page.
    pub fn print_page(&self, page: &Page) -> Result<(), Failure> {
        self.print(&self.rendered(page))
    }

    /// A page as it is printed.
    pub fn rendered(&self, page: &Page) -> String {
        page.render(self.colour)
    }

    /// Prints a text as it is. A reader that went away is no failure.
    pub fn print(&self, text: &str) -> Result<(), Failure> {
        let mut out = io::stdout().lock();
        written(out.write_all(text.as_bytes()).and_then(|()| out.flush()))
    }

    /// Prints a result that is still being worked out, as JSON: piece by piece, so that it may be of any size.
    pub fn print_json(&self, result: &impl Serialize) -> Result<(), Failure> {
        let mut out = BufWriter::new(io::stdout().lock());
        let done = serde_json::to_writer_pretty(&mut out, result).map_err(io::Error::from);
        written(done.and_then(|()| out.write_all(b"\n")).and_then(|()| out.flush()))
    }

    /// Ends the run: a failure goes to standard error (or, with `--json`, out as an object).
    pub fn finish(&self, done: Result<Status, Failure>) -> ExitCode {
        match done {
            Ok(Status::Quiet) => ExitCode::SUCCESS,
            Ok(Status::Act) => ExitCode::from(1),
            Ok(Status::Partial) => ExitCode::from(2),
            Err(failure) => {
                self.complain(&failure);
                ExitCode::from(2)
            }
        }
    }

    /// The failure as one JSON object, where the result would stand.
    pub fn complain_in_json(failure: &Failure) {
        let object = serde_json::json!({
            "schema": "clampmark.failure/1", "message": failure.message, "help": failure.help,
        });
        let _ = io::stdout().lock().write_all(format!("{object:#}\n").as_bytes());
    }

    fn complain(&self, failure: &Failure) {
        if self.json {
            Session::complain_in_json(failure);
            return;
        }
        let mut page = self.page();
        page.paragraph(0, 2, &[piece(Label::Danger, "Stopped:"), plain(format!(" {}", failure.message))]);
        page.paragraph(2, 2, &[plain(failure.help.clone())]);
        let colour = self.colour && io::stderr().is_terminal();
        let _ = io::stderr().lock().write_all(page.render(colour).as_bytes());
    }
}

/// A file that lies in no ledger at all.
fn plain_file(here: &Path, named: &str) -> Option<SetupFile> {
    let path = here.join(named);
    path.is_file().then(|| SetupFile { name: named.to_owned(), path, exists: true })
}

/// The terminal's columns; `COLUMNS` wins, a pipe gets 80, more than 120 are not used.
fn width() -> usize {
    let named = std::env::var("COLUMNS").ok().and_then(|columns| columns.parse::<usize>().ok());
    let seen = terminal_size::terminal_size().map(|(width, _)| usize::from(width.0));
    named.or(seen).unwrap_or(80).clamp(40, 120)
}

/// What became of writing the output.
fn written(done: io::Result<()>) -> Result<(), Failure> {
    match done {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(Failure::new(
            format!("The output could not be written: {error}."),
            "Check where the output goes.",
        )),
        _ => Ok(()),
    }
}
