//! `found`: an as-found sheet to fill in, or the questions of one on the terminal.

mod ask;

use std::io;
use std::path::{Path, PathBuf};

use chrono::NaiveDate;
use clap::ValueEnum;

use crate::catalogue::joint::Occasion;
use crate::ledger::{shell_word, write_atomically};
use crate::report::screen::{Label, piece, plain};
use crate::restore::sheet;
use crate::setup::model::Kind;
use crate::setup::read::iso_date;

use super::Status;
use super::session::{Failure, Opened, Session};

/// How several numbers are typed, and which way counts as plus on a mark.
const TYPED: &str = "\
With --ask a second number is the ± of the first: 168.5 0.2. Where that is wider than
a measure is read, it wants its sign: 36 ±5, or 36 tol=5. Two readings: 36, 36.2.

On a mark whose halves stand apart, off= is the millimetres between them: + if the
half on the part that was loosened has turned tip down (lever, remote), forward
(bar) or to the left (stem), - if the other way.";

/// An as-found sheet to fill in: only what can have moved, in the order of a walk round the bike.
#[derive(Debug, clap::Args)]
#[command(after_help = TYPED)]
pub struct Arguments {
    /// The setup, by name or by path.
    #[arg(value_name = "SETUP")]
    pub setup: String,
    /// What happened to the bike; only what is then worth looking at.
    #[arg(long, value_name = "WHAT")]
    pub after: Option<What>,
    /// Ask on the terminal, one measure at a time; every answer is kept at once.
    #[arg(long)]
    pub ask: bool,
    /// Where the sheet goes: a file, or - for the screen (with --json, as `text`). Beside the setup if not given.
    #[arg(long, value_name = "FILE")]
    pub to: Option<PathBuf>,
    /// The day of the readings, year-month-day; today if not given.
    #[arg(long, value_name = "DAY", value_parser = day)]
    pub date: Option<NaiveDate>,
}

/// A day as the files write it.
fn day(typed: &str) -> Result<NaiveDate, String> {
    let wanted = || "write the day as year-month-day, for instance 2026-05-09".to_owned();
    iso_date(typed).ok_or_else(wanted)
}

/// What happened to the bike.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum What {
    /// It was boxed for travel.
    Flight,
    /// Somebody else rode it.
    Loan,
}

/// Runs it.
pub fn run(session: &Session, arguments: &Arguments) -> Result<Status, Failure> {
    let opened = session.open(&arguments.setup, None)?;
    let setup = opened.setup()?;
    if setup.kind == Kind::Found {
        return Err(Failure::new(
            format!("{} is an as-found sheet, not a setup.", opened.name),
            format!("Name the setup it belongs to: clampmark found {}.", shell_word(&setup.name.value)),
        ));
    }
    // A sheet would leave out the very measure that is in doubt, and who fills it in would not know.
    opened.without_faults()?;
    let after = arguments.after.map(|what| match what {
        What::Flight => Occasion::Flight,
        What::Loan => Occasion::Loan,
    });
    let date = arguments.date.unwrap_or_else(|| chrono::Local::now().date_naive());
    let to = arguments.to.clone().unwrap_or_else(|| beside(&opened, date));
    // A sheet on which nothing could be read would be one more file, and look like a bike on which nothing moved.
    if sheet::questions(session.catalogue(), setup, after).is_empty() {
        return nothing_to_look_at(session, &opened, date);
    }
    if arguments.ask {
        if session.is_json() {
            return Err(Failure::new(
                "With --ask a person answers on the terminal, so there is no JSON.",
                "Leave --json out; or leave --ask out and fill the sheet in.",
            ));
        }
        if to == Path::new("-") {
            return Err(Failure::new(
                "With --ask the sheet needs a file, so that no answer is lost.",
                "Name a file with --to, or leave --to out.",
            ));
        }
        let next = next(session, &opened, arguments, &to);
        let to = session.here().join(to);
        let dialogue = ask::Dialogue::open(session, setup, after, date, to, next)?;
        return dialogue.run(&mut io::stdin().lock(), &mut io::stdout().lock());
    }
    let text = sheet::template(session.catalogue(), setup, after, date);
    let on_screen = to == Path::new("-");
    if on_screen && !session.is_json() {
        session.print(&text)?;
        return Ok(Status::Quiet);
    }
    if !on_screen {
        let path = session.here().join(&to);
        // A file without a byte in it holds nothing to lose.
        let is_empty = std::fs::metadata(&path).is_ok_and(|file| file.is_file() && file.len() == 0);
        write_atomically(&path, is_empty.then_some(&[][..]), text.as_bytes())?;
    }
    let short = short(session, &to);
    let result = serde_json::json!({
        "schema": "clampmark.found/1",
        "setup": opened.name,
        "sheet": (!on_screen).then_some(&to),
        "date": date.to_string(),
        "text": text,
    });
    session.show(&result, |page| {
        page.paragraph(0, 2, &[plain("Sheet to fill in: "), piece(Label::Title, short.clone())]);
        page.paragraph(0, 2, &[plain("Then:")]);
        page.raw(vec![plain("  "), piece(Label::Command, restore(session, &opened, &to))]);
    })?;
    Ok(Status::Quiet)
}

/// The way back from a sheet, to be typed where the program was started.
fn restore(session: &Session, opened: &Opened, to: &Path) -> String {
    let ledger = session.ledger_option();
    format!(
        "clampmark restore {}{ledger} --found {}",
        shell_word(&opened.name),
        shell_word(&short(session, to))
    )
}

/// What can be typed when the questions are over. The sheet is named: tomorrow's would be another one.
fn next(session: &Session, opened: &Opened, arguments: &Arguments, to: &Path) -> ask::Next {
    let after = arguments.after.and_then(|what| what.to_possible_value());
    let after = after.map(|what| format!(" --after {}", what.get_name())).unwrap_or_default();
    let path = to.strip_prefix(session.here()).unwrap_or(to).to_string_lossy();
    let (name, ledger) = (shell_word(&opened.name), session.ledger_option());
    ask::Next {
        restore: restore(session, opened, to),
        go_on: format!("clampmark found {name}{ledger} --ask{after} --to {}", shell_word(&path)),
    }
}

/// Says so, and writes no sheet.
fn nothing_to_look_at(session: &Session, opened: &Opened, date: NaiveDate) -> Result<Status, Failure> {
    let result = serde_json::json!({
        "schema": "clampmark.found/1",
        "setup": opened.name,
        "sheet": null,
        "date": date.to_string(),
        "text": "",
    });
    session.show(&result, |page| {
        let words =
            format!("{} has nothing recorded that could have moved, so no sheet was written: ", opened.name);
        page.paragraph(0, 2, &[plain(words), plain("measure the bike and fill the setup in first.")]);
    })?;
    Ok(Status::Act)
}

/// A sheet by the name it has in the ledger, else by its path from here.
fn short(session: &Session, to: &Path) -> String {
    let path = session.here().join(to);
    let setups = session.ledger().ok().map(|ledger| ledger.root().join("setups"));
    let named = setups.as_deref().and_then(|setups| path.strip_prefix(setups).ok());
    let named = named.filter(|path| path.extension().is_some_and(|ending| ending == "kdl"));
    match named {
        Some(named) => named.with_extension("").display().to_string(),
        None => path.strip_prefix(session.here()).unwrap_or(&path).display().to_string(),
    }
}

/// `setups/rowan/race-found-2026-05-09.kdl`.
fn beside(opened: &Opened, date: NaiveDate) -> PathBuf {
    let stem = opened.path.file_stem().and_then(|stem| stem.to_str()).unwrap_or("setup");
    opened.path.with_file_name(format!("{stem}-found-{date}.kdl"))
}
