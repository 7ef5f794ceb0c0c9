//! How the dialogue ends: what was kept, what was found, and what to type next.

use std::io::Write;

use crate::catalogue::table::FLOOR;
use crate::cli::Status;
use crate::cli::diff::as_found;
use crate::cli::session::Failure;
use crate::compare::Comparison;
use crate::report::screen::{Label, Piece, piece, plain};
use crate::restore::answer;
use crate::restore::evidence::not_looked_at;
use crate::restore::sheet::{Asked, Question};

use super::{Dialogue, say};

/// What can be typed next.
#[derive(Clone, Debug)]
pub struct Next {
    /// The way back from this sheet.
    pub restore: String,
    /// The rest of the questions.
    pub go_on: String,
}

impl Dialogue<'_> {
    /// What was kept, what nobody looked at, what was found, and the next command.
    pub(super) fn close(&self, is_stopped: bool, output: &mut impl Write) -> Result<Status, Failure> {
        say(output, "\n")?;
        self.kept(output)?;
        self.left(output)?;
        let status = self.found(output)?;
        say(output, "\n")?;
        if self.is_read() {
            self.command("Back to how it is recorded:", &self.next.restore, output)?;
        }
        if is_stopped || !self.is_read() || !self.taken_back.is_empty() {
            let before = if self.written.is_some() { "To go on:" } else { "To begin again:" };
            self.command(before, &self.next.go_on, output)?;
        }
        Ok(status)
    }

    /// Whether the sheet says anything of the bike that it could be put back from.
    fn is_read(&self) -> bool {
        !self.edit.setup().is_blank()
    }

    fn kept(&self, output: &mut impl Write) -> Result<(), Failure> {
        let sheet = self.edit.setup();
        let is_damage = |on: &str| sheet.damages.iter().any(|damage| damage.on.value == on);
        let good = self.questions.iter().filter(|question| match &question.asked {
            Asked::Look(on) => !self.is_open(question) && !is_damage(on),
            _ => false,
        });
        let kept = sheet.readings.len() + sheet.marks.len() + sheet.damages.len() + good.count();
        let where_to =
            if self.written.is_some() { format!(" in {}", self.path.display()) } else { String::new() };
        let answers = if kept == 1 { "answer" } else { "answers" };
        self.tell(output, 0, &[plain(format!("{kept} {answers} kept{where_to}."))])
    }

    /// What nobody looked at.
    fn left(&self, output: &mut impl Write) -> Result<(), Failure> {
        let is_look = |question: &&Question| matches!(question.asked, Asked::Look(_));
        let looks = self.questions.iter().filter(is_look).filter(|question| self.is_open(question));
        let left: Vec<&str> = looks.map(|question| &*question.title).collect();
        if !left.is_empty() {
            let words = format!("Not looked over, so no all-clear: {}.", left.join(", "));
            self.tell(output, 0, &[piece(Label::Care, words)])?;
        }
        let good = self.called_good();
        if !good.is_empty() {
            self.tell(output, 0, &[plain(format!("Looked over and good: {}.", good.join(", ")))])?;
        }
        match not_looked_at(self.catalogue, self.setup, self.edit.setup()).len() {
            0 => Ok(()),
            1 => self.tell(output, 0, &[plain("1 measure was not looked at.")]),
            many => self.tell(output, 0, &[plain(format!("{many} measures were not looked at."))]),
        }
    }

    fn is_open(&self, question: &Question) -> bool {
        answer::on_sheet(&self.edit, &question.asked).is_none()
    }

    /// One line that a tired person can act on.
    fn found(&self, output: &mut impl Write) -> Result<Status, Failure> {
        say(output, "\n")?;
        if !self.is_read() {
            let words = "Nothing was measured on the bike, so nothing is known of what moved.";
            self.tell(output, 0, &[piece(Label::Care, words)])?;
            return Ok(Status::Act);
        }
        let (comparison, headline) = as_found(self.catalogue, self.setup, self.edit.setup());
        let is_to_act_on =
            comparison.is_to_act_on() || headline.is_some() || !comparison.contradictions.is_empty();
        let said: Piece = match headline {
            Some(headline) => piece(Label::Danger, headline),
            None => milder(&comparison),
        };
        self.tell(output, 0, &[said])?;
        if let Some(roll) = &comparison.unknown_roll {
            self.tell(output, 0, &[piece(Label::Care, roll.words.clone())])?;
        }
        if let Some(words) = comparison.unread_ground.words(false) {
            self.tell(output, 0, &[piece(Label::Care, words)])?;
        }
        Ok(Status::act_if(is_to_act_on))
    }

    fn command(&self, before: &str, command: &str, output: &mut impl Write) -> Result<(), Failure> {
        self.tell(output, 0, &[plain(before)])?;
        let mut page = self.page.clone();
        page.raw(vec![plain("  "), piece(Label::Command, command)]);
        say(output, &page.render(self.colour))
    }
}

/// What was found where none of it keeps anybody from riding.
fn milder(comparison: &Comparison) -> Piece {
    let contradictions: Vec<&str> = comparison.contradictions.iter().map(|one| &*one.words).collect();
    if !contradictions.is_empty() {
        return piece(Label::Care, format!("{}. Look at both again.", contradictions.join(". ")));
    }
    let measures =
        comparison.changes.iter().filter(|change| change.verdict.is_move() && change.id.row != FLOOR);
    let marks = comparison.marks.iter().filter(|mark| mark.verdict.is_move());
    let mut moved: Vec<String> = measures.map(|change| change.title.clone()).collect();
    moved.extend(marks.map(|mark| format!("what mark {} is on", mark.mark)));
    if !moved.is_empty() {
        return piece(Label::Care, format!("Moved: {}.", moved.join(", ")));
    }
    if let Some(in_doubt) = comparison.ground_in_doubt() {
        return piece(Label::Care, in_doubt);
    }
    if comparison.is_to_act_on() {
        return piece(Label::Care, "Something is to be looked at: the steps tell what.");
    }
    plain("Nothing that was looked at moved.")
}
