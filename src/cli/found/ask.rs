//! The questions of a sheet, one at a time. Every answer is in the file before the next question is asked.

mod end;
mod kept;

use std::collections::BTreeMap;
use std::io::{BufRead, ErrorKind, Write};
use std::path::PathBuf;

use chrono::NaiveDate;

use crate::catalogue::Catalogue;
use crate::catalogue::code::Severity;
use crate::catalogue::joint::{self, Occasion};
use crate::ledger::read_file;
use crate::metrology::unit::Unit;
use crate::report::screen::{Label, Page, Piece, piece, plain};
use crate::restore::answer::{self, Answer};
use crate::restore::sheet::{self, Asked, Question};
use crate::setup::edit::Edit;
use crate::setup::model::{Kind, Setup};
use crate::setup::read::read;

use super::super::Status;
use super::super::session::{Failure, Session, placed};
pub use end::Next;
use kept::TakenBack;

/// A sheet being asked for.
pub struct Dialogue<'a> {
    catalogue: &'static Catalogue,
    setup: &'a Setup,
    questions: Vec<Question>,
    /// The sheet as it was opened.
    opened: Edit<'a>,
    /// What was answered since, by the question's place: an answer given again takes the place of the one before.
    given: BTreeMap<usize, Answer>,
    /// What was called good and taken back, by its written name, and the question whose answer spoke against it.
    taken_back: TakenBack,
    /// The sheet with these answers.
    edit: Edit<'a>,
    path: PathBuf,
    /// An empty page of the terminal's width.
    page: Page,
    colour: bool,
    /// What can be typed when all is said.
    next: Next,
    /// The day on which it is asked.
    date: NaiveDate,
    /// What the file holds; none if it is not there yet.
    written: Option<Vec<u8>>,
}

impl<'a> Dialogue<'a> {
    /// Opens the sheet where it was left, or a new one.
    pub fn open(
        session: &Session,
        setup: &'a Setup,
        after: Option<Occasion>,
        date: NaiveDate,
        path: PathBuf,
        next: Next,
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
            let findings = read(catalogue, text.as_bytes(), Some(setup)).findings;
            let first = findings.iter().find(|finding| finding.severity == Severity::Fault);
            let why = first.map_or_else(|| format!(": {error}"), |first| placed(first, text.as_bytes()));
            Failure::new(
                format!("{} cannot be filled in: it has a fault{why}", path.display()),
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
        let mut questions = sheet::looks(setup, after);
        questions.extend(sheet::questions(catalogue, setup, after));
        Ok(Dialogue {
            catalogue,
            setup,
            questions,
            opened: edit.clone(),
            given: BTreeMap::new(),
            taken_back: TakenBack::new(),
            edit,
            path,
            page: session.page(),
            colour: session.is_coloured(),
            next,
            date,
            written,
        })
    }

    /// Asks until all is answered, or until told to stop, or until nobody answers any more.
    pub fn run(mut self, input: &mut impl BufRead, output: &mut impl Write) -> Result<Status, Failure> {
        let words =
            "`back` goes to the question before, `quit` stops, `?` helps. Every answer is kept at once.";
        let name = piece(Label::Title, self.setup.name.value.clone());
        self.tell(output, 0, &[name, plain(format!(": {words}"))])?;
        self.says_that_it_goes_on(output)?;
        let mut at = 0;
        // A question gone back to is asked again, answered or not; its answer stands until there is another.
        let mut again = None;
        let mut stretch = None;
        while at < self.questions.len() {
            let question = self.questions[at].clone();
            let answered = self.answered(at);
            if answered.is_some() && again != Some(at) {
                at += 1;
                continue;
            }
            self.head(&question, &mut stretch, output)?;
            match self.ask(&question, at, answered.as_deref(), input, output)? {
                Answer::Quit => break,
                Answer::Back if at == 0 => self.tell(output, 2, &[plain("This is the first question.")])?,
                Answer::Back => {
                    at -= 1;
                    again = Some(at);
                }
                given => {
                    self.take(&question, at, given, answered, output)?;
                    at += 1;
                }
            }
        }
        self.close(at < self.questions.len(), output)
    }

    /// A sheet that was begun before keeps its day, whenever the rest is read.
    fn says_that_it_goes_on(&self, output: &mut impl Write) -> Result<(), Failure> {
        let answered = (0..self.questions.len()).filter(|at| self.answered(*at).is_some()).count();
        if answered == 0 {
            return Ok(());
        }
        let sheet = self.edit.setup();
        let day = sheet.day();
        let of = day.map(|day| format!(" of {day}")).unwrap_or_default();
        let answers =
            if answered == 1 { "1 answer stands".to_owned() } else { format!("{answered} answers stand") };
        let mut words = format!("The sheet{of} goes on: {answers} on it. `back` leads to them.");
        if day.is_some_and(|day| day != self.date) {
            words.push_str(
                " What is read now will count as of that day; for another day, name another file with --to.",
            );
        }
        self.tell(output, 0, &[plain(words)])?;
        for damage in &sheet.damages {
            let words = format!("Kept as damage: {}: {}", joint::title(&damage.on.value), damage.text.value);
            self.tell(output, 2, &[piece(Label::Danger, words)])?;
        }
        Ok(())
    }

    /// What was answered to the question at that place; `same mark` stands on the sheet as a word on the mark.
    fn answered(&self, at: usize) -> Option<String> {
        let asked = &self.questions[at].asked;
        match (asked, self.given.get(&at)) {
            (Asked::Measure(_), Some(Answer::Mark(_))) => Some("same mark".to_owned()),
            (_, Some(given)) if understood(&self.questions[at], given).is_some() => {
                understood(&self.questions[at], given)
            }
            _ => answer::on_sheet(&self.edit, asked),
        }
    }

    /// What is to be typed, wherever that changes.
    fn head(
        &self,
        question: &Question,
        stretch: &mut Option<bool>,
        output: &mut impl Write,
    ) -> Result<(), Failure> {
        let is_look = matches!(question.asked, Asked::Look(_));
        if *stretch == Some(is_look) {
            return Ok(());
        }
        *stretch = Some(is_look);
        let (title, words) = if is_look {
            (
                "Look these over.",
                " `good` or `y`: it is so. `apart`: it is off, or was opened. Else say what you see: it is kept as damage. \
                 `skip`: not looked at.",
            )
        } else {
            (
                "Measure.",
                " Type what you read, or `same mark` where the mark lines up. Enter or `skip`: not looked at.",
            )
        };
        say(output, "\n")?;
        self.tell(output, 0, &[piece(Label::Title, title), plain(words)])
    }

    /// One answer that can be understood; silence is the end.
    fn ask(
        &self,
        question: &Question,
        at: usize,
        answered: Option<&str>,
        input: &mut impl BufRead,
        output: &mut impl Write,
    ) -> Result<Answer, Failure> {
        self.put(question, at, answered, output)?;
        let prompt = prompt(question);
        let mut doubted = None;
        loop {
            say(output, &format!(" {prompt} > "))?;
            let mut line = String::new();
            match input.read_line(&mut line) {
                Ok(0) => return Ok(Answer::Quit),
                // The end of the input, with no Enter before it.
                Ok(_) if !line.ends_with('\n') => say(output, "\n")?,
                Ok(_) => {}
                // Not to be taken for an empty line, which lets an answer stand.
                Err(error) if error.kind() == ErrorKind::InvalidData => {
                    self.tell(output, 2, &[plain("That is not UTF-8: type it again.")])?;
                    continue;
                }
                Err(error) => {
                    return Err(Failure::new(
                        format!("The answer could not be read: {error}."),
                        "Start it again.",
                    ));
                }
            }
            let checked = answer::parse(question, line.trim()).and_then(|given| {
                if given == Answer::Enter && answered.is_none() && matches!(question.asked, Asked::Look(_)) {
                    // An Enter too many is not to vouch for a brake.
                    return Err(answer::NOT_SAID.to_owned());
                }
                if let Some(why) = answer::too_wide(self.catalogue, question, &given) {
                    return Err(why);
                }
                let doubt = answer::doubt(self.catalogue, self.setup, question, &given);
                match doubt.filter(|_| doubted.as_ref() != Some(&given)) {
                    Some(doubt) => {
                        doubted = Some(given);
                        Err(doubt)
                    }
                    None => self.with(at, &given).map(|_| given),
                }
            });
            match checked {
                Ok(given) => return Ok(given),
                Err(why) => self.tell(output, 2, &[plain(why)])?,
            }
        }
    }

    /// Puts the question.
    fn put(
        &self,
        question: &Question,
        at: usize,
        answered: Option<&str>,
        output: &mut impl Write,
    ) -> Result<(), Failure> {
        let by = answer::by(question.instrument.as_deref().filter(|_| question.was_read));
        let recorded =
            question.recorded.as_ref().map(|value| format!(" Recorded {value}{by}.")).unwrap_or_default();
        let title = format!("{}/{} {}.", at + 1, self.questions.len(), question.title);
        say(output, "\n")?;
        self.tell(output, 0, &[piece(Label::Title, title), plain(recorded)])?;
        self.tell(output, 2, &[plain(question.how.clone())])?;
        match answered {
            Some(answered) => {
                let words = format!("Answered: {answered}. Enter leaves it so, `skip` takes it back.");
                self.tell(output, 2, &[plain(words)])
            }
            None => Ok(()),
        }
    }

    /// Takes an answer in, and says what it means.
    fn take(
        &mut self,
        question: &Question,
        at: usize,
        given: Answer,
        answered: Option<String>,
        output: &mut impl Write,
    ) -> Result<(), Failure> {
        match (given, answered) {
            (Answer::Enter, Some(answered)) => self.tell(output, 2, &[plain(format!("stays: {answered}"))]),
            (Answer::Enter, None) => self.tell(output, 2, &[plain("skipped: not looked at")]),
            (Answer::Skip, answered) => {
                if answered.is_some() {
                    self.write(at, &Answer::Skip)?;
                }
                self.tell(output, 2, &[plain("skipped: not looked at")])
            }
            (given, _) => self.keep(question, at, &given, output),
        }
    }

    /// Writes an answer through to the file and says what it means.
    fn keep(
        &mut self,
        question: &Question,
        at: usize,
        given: &Answer,
        output: &mut impl Write,
    ) -> Result<(), Failure> {
        let before = self.edit.setup().clone();
        let called_good = self.called_good();
        self.write(at, given)?;
        let now = self.edit.setup();
        let now_good = self.called_good();
        let is_belied = *given == Answer::Good && !now_good.contains(&question.title);
        let verdict = if is_belied {
            "not kept as good: what the sheet reads there says otherwise, do not ride before it is put right"
                .to_owned()
        } else {
            let verdict = answer::verdict(self.catalogue, self.setup, now, &question.asked);
            match understood(question, given) {
                Some(understood) => format!("{understood}: {verdict}"),
                None => verdict,
            }
        };
        let label = if verdict.contains("do not ride") { Label::Danger } else { Label::Plain };
        self.tell(output, 2, &[piece(label, verdict)])?;
        let is_this = |title: &String| *title == question.title;
        for title in now_good.iter().filter(|title| !is_this(title) && !called_good.contains(title)) {
            self.tell(output, 2, &[plain(format!("The {title} stands as good again."))])?;
        }
        for title in called_good.into_iter().filter(|title| !is_this(title) && !now_good.contains(title)) {
            let words = format!(
                "The {title} was called good, and this says otherwise: that is taken back. Look at it again."
            );
            self.tell(output, 2, &[piece(Label::Danger, words)])?;
        }
        for words in answer::newly_contradicted(self.catalogue, self.setup, &before, now) {
            let words = format!("{words}. `back` leads to the other one, too.");
            self.tell(output, 2, &[piece(Label::Danger, words)])?;
        }
        Ok(())
    }

    /// What was looked over and stands as good, by its title.
    fn called_good(&self) -> Vec<String> {
        let is_good = |question: &&Question| {
            matches!(question.asked, Asked::Look(_))
                && answer::on_sheet(&self.edit, &question.asked).as_deref() == Some("good")
        };
        self.questions.iter().filter(is_good).map(|question| question.title.clone()).collect()
    }

    /// Words wrapped to the terminal.
    fn tell(&self, output: &mut impl Write, indent: usize, pieces: &[Piece]) -> Result<(), Failure> {
        let mut page = self.page.clone();
        page.paragraph(indent, 2, pieces);
        say(output, &page.render(self.colour))
    }
}

/// What was understood of numbers that are more than one.
fn understood(question: &Question, given: &Answer) -> Option<String> {
    match given {
        Answer::Number(figures) => figures.in_words(question),
        _ => None,
    }
}

/// What can be typed: the words, or the unit of a plain number as the file writes it and as it is shown.
fn prompt(question: &Question) -> String {
    let takes = match (&question.asked, question.unit) {
        (Asked::Look(on), _) if joint::apart_at(on).is_some() => "good, apart, or what you see".to_owned(),
        (Asked::Look(_), _) => "good, or what you see".to_owned(),
        _ if !question.choices.is_empty() => question.choices.join(", "),
        (_, Some(unit)) if unit != Unit::One && unit.sign().trim() != unit.word() => {
            format!("{} or {}", unit.sign().trim(), unit.word())
        }
        (_, Some(unit)) if unit != Unit::One => unit.word().to_owned(),
        _ => return String::new(),
    };
    format!(" [{takes}]")
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
