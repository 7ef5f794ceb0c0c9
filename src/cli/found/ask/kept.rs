//! What stands once an answer is taken in: the sheet made anew, without what the answer belies.

use std::collections::BTreeMap;

use crate::cli::session::Failure;
use crate::ledger::write_atomically;
use crate::restore::answer::{self, Answer};
use crate::restore::sheet::Asked;
use crate::setup::edit::{Edit, EditError};

use super::Dialogue;

/// What was called good and taken back, by its written name, and the question whose answer spoke against it.
pub(super) type TakenBack = BTreeMap<String, usize>;

/// What stands once an answer is taken in.
pub(super) struct Kept<'a> {
    edit: Edit<'a>,
    given: BTreeMap<usize, Answer>,
    taken_back: TakenBack,
}

impl<'a> Dialogue<'a> {
    /// The sheet with this answer in place of the one that was given there; one sentence if it cannot stand.
    pub(super) fn with(&self, at: usize, given: &Answer) -> Result<Kept<'a>, String> {
        let mut all = self.given.clone();
        if !matches!(given, Answer::Enter | Answer::Back | Answer::Quit) {
            all.insert(at, given.clone());
        }
        let mut edit = self.opened.clone();
        for (at, given) in &all {
            answer::write(&mut edit, self.setup, &self.questions[*at], given)?;
        }
        let taken_back = self.take_back(&mut edit, at, given).map_err(|error| error.to_string())?;
        Ok(Kept { edit, given: all, taken_back })
    }

    /// Takes back what was called good and is belied. It stays so until it is looked at again, or until that question is
    /// answered with what no longer speaks against it: then the answer was the slip. To skip it takes nothing back.
    fn take_back(&self, edit: &mut Edit<'a>, at: usize, given: &Answer) -> Result<TakenBack, EditError> {
        let belied = answer::take_back_belied(self.catalogue, self.setup, edit)?;
        let mut taken_back = self.taken_back.clone();
        let is_read = matches!(given, Answer::Number(_) | Answer::Choice(_) | Answer::Mark(_));
        let asked = &self.questions[at].asked;
        taken_back.retain(|on, by| {
            let is_answered_anew = is_read && *by == at && !belied.contains(on);
            let is_looked_at = matches!(asked, Asked::Look(looked) if looked == on);
            !is_answered_anew && !is_looked_at
        });
        for on in taken_back.keys().filter(|on| !belied.contains(on)) {
            answer::called_good_no_more(edit, on)?;
        }
        for on in belied {
            taken_back.entry(on).or_insert(at);
        }
        Ok(taken_back)
    }

    /// Writes an answer through to the file.
    pub(super) fn write(&mut self, at: usize, given: &Answer) -> Result<(), Failure> {
        let kept = self
            .with(at, given)
            .map_err(|why| Failure::new(format!("The answer could not be kept: {why}"), "Start it again."))?;
        let bytes = kept.edit.text().as_bytes().to_vec();
        write_atomically(&self.path, self.written.as_deref(), &bytes)?;
        (self.edit, self.given, self.written) = (kept.edit, kept.given, Some(bytes));
        self.taken_back = kept.taken_back;
        Ok(())
    }
}
