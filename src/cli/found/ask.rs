//! The questions of a sheet, one at a time. Every answer is in the file before the next question is asked.

use std::io::{BufRead, ErrorKind, Write};
use std::path::PathBuf;

use chrono::NaiveDate;

use crate::catalogue::Catalogue;
use crate::ledger::{read_file, write_atomically};
use crate::report::screen::{Page, plain};
use crate::restore::answer::{self, Answer};
use crate::restore::sheet::{self, After, Asked, Question};
use crate::setup::edit::Edit;
use crate::setup::model::{Kind, Setup};

use super::super::Status;
use super::super::session::{Failure, Session};

/// A sheet being asked for.
pub struct Dialogue<'a> {
    catalogue: &'static Catalogue,
    setup: &'a Setup,
    questions: Vec<Question>,
    edit: Edit<'a>,
    path: PathBuf,
    /// An empty page of the terminal's width.
    page: Page,
    /// What the file holds; none if it is not there yet.
    written: Option<Vec<u8>>,
}

impl<'a> Dialogue<'a> {
    /// Opens the sheet where it was left, or a new one.
    pub fn open(
        session: &Session,
        setup: &'a Setup,
        after: Option<After>,
        date: NaiveDate,
        path: PathBuf,
    ) -> Result<Self, Failure> {
        let catalogue = session.catalogue();
        let written = if path.exists() { Some(read_file(&path)?) } else { None };
        let text = match &written {
            Some(bytes) if bytes.is_empty() => sheet::empty(setup, date),
            Some(bytes) => String::from_utf8(bytes.clone())
                .map_err(|_| Failure::new("The sheet is not UTF-8.", "Save it as UTF-8."))?,
            None => sheet::empty(setup, date),
        };
        let edit = Edit::new(catalogue, &text, Some(setup)).map_err(|error| {
            Failure::new(
                format!("{} cannot be filled in. {error}", path.display()),
                "Mend it, or name another file with --to.",
            )
        })?;
        if edit.setup().kind != Kind::Found {
            return Err(Failure::new(
                format!("{} is a setup, not an as-found sheet.", path.display()),
                "Name another file with --to.",
            ));
        }
        let of = &edit.setup().name.value;
        if *of != setup.name.value {
            return Err(Failure::new(
                format!("{} is a sheet of {of}.", path.display()),
                "Name another file with --to.",
            ));
        }
        let questions = sheet::questions(catalogue, setup, after);
        Ok(Dialogue { catalogue, setup, questions, edit, path, page: session.page(), written })
    }

    /// Asks until all is answered, or until told to stop, or until nobody answers any more.
    pub fn run(mut self, input: &mut impl BufRead, output: &mut impl Write) -> Result<Status, Failure> {
        let name = &self.setup.name.value;
        self.tell(
            output,
            0,
            &format!("{name}: type what you read. Or: `same mark`, `skip`, `back`, `quit`; `?` helps."),
        )?;
        let total = self.questions.len();
        let mut at = 0;
        // A question gone back to is asked again, answered or not; its answer stands until there is another.
        let mut again = None;
        while at < total {
            let question = self.questions[at].clone();
            if self.is_answered(&question.asked) && again != Some(at) {
                at += 1;
                continue;
            }
            match self.ask(&question, at, input, output)? {
                Answer::Quit => break,
                Answer::Back => {
                    at = at.saturating_sub(1);
                    again = Some(at);
                }
                Answer::Skip => {
                    self.tell(output, 2, "skipped: not looked at")?;
                    at += 1;
                }
                given => {
                    self.keep(&question, &given, output)?;
                    at += 1;
                }
            }
        }
        let kept = self.edit.setup().readings.len() + self.edit.setup().marks.len();
        let where_to =
            if self.written.is_some() { format!(" in {}", self.path.display()) } else { String::new() };
        let answers = if kept == 1 { "answer" } else { "answers" };
        say(output, "\n")?;
        self.tell(output, 0, &format!("{kept} {answers} kept{where_to}."))?;
        Ok(Status::Quiet)
    }

    fn is_answered(&self, asked: &Asked) -> bool {
        let sheet = self.edit.setup();
        match asked {
            Asked::Measure(id) => sheet.recorded(id).is_some(),
            Asked::Mark(name) => sheet.marks.iter().any(|mark| mark.name.value == *name),
        }
    }

    /// One answer that can be understood; silence is the end.
    fn ask(
        &self,
        question: &Question,
        at: usize,
        input: &mut impl BufRead,
        output: &mut impl Write,
    ) -> Result<Answer, Failure> {
        let unit = question.unit.map(|unit| unit.sign().trim().to_owned()).filter(|unit| !unit.is_empty());
        let recorded =
            question.recorded.as_ref().map(|value| format!(" Recorded {value}.")).unwrap_or_default();
        let words = if question.choices.is_empty() {
            unit.map(|unit| format!(" [{unit}]")).unwrap_or_default()
        } else {
            format!(" [{}]", question.choices.join(", "))
        };
        let (number, total) = (at + 1, self.questions.len());
        say(output, "\n")?;
        self.tell(output, 0, &format!("{number}/{total} {}.{recorded}", question.title))?;
        self.tell(output, 2, &question.how)?;
        loop {
            say(output, &format!(" {words} > "))?;
            let mut line = String::new();
            match input.read_line(&mut line) {
                Ok(0) => return Ok(Answer::Quit),
                Ok(_) => {}
                Err(error) if error.kind() == ErrorKind::InvalidData => {}
                Err(error) => {
                    return Err(Failure::new(
                        format!("The answer could not be read: {error}."),
                        "Start it again.",
                    ));
                }
            }
            let line = line.trim();
            let checked = answer::parse(question, line).and_then(|given| match given {
                Answer::Skip | Answer::Back | Answer::Quit => Ok(given),
                given => {
                    let mut attempt = self.edit.clone();
                    answer::write(&mut attempt, self.setup, question, &given).map(|()| given)
                }
            });
            match checked {
                Ok(given) => return Ok(given),
                Err(why) => self.tell(output, 2, &why)?,
            }
        }
    }

    /// Writes an answer through to the file and says what it means.
    fn keep(&mut self, question: &Question, given: &Answer, output: &mut impl Write) -> Result<(), Failure> {
        answer::write(&mut self.edit, self.setup, question, given)
            .map_err(|why| Failure::new(format!("The answer could not be kept: {why}"), "Start it again."))?;
        let bytes = self.edit.text().as_bytes().to_vec();
        write_atomically(&self.path, self.written.as_deref(), &bytes)?;
        self.written = Some(bytes);
        let verdict = answer::verdict(self.catalogue, self.setup, self.edit.setup(), &question.asked);
        self.tell(output, 2, &verdict)
    }

    /// Words wrapped to the terminal.
    fn tell(&self, output: &mut impl Write, indent: usize, words: &str) -> Result<(), Failure> {
        let mut page = self.page.clone();
        page.paragraph(indent, 2, &[plain(words)]);
        say(output, &page.render(false))
    }
}

/// Prints at once. A screen that went away is no failure: the answers are in the file.
fn say(output: &mut impl Write, text: &str) -> Result<(), Failure> {
    match output.write_all(text.as_bytes()).and_then(|()| output.flush()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(Failure::new(
            format!("The question could not be shown: {error}."),
            "Check where the output goes.",
        )),
        _ => Ok(()),
    }
}
