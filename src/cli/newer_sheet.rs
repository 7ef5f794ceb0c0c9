//! As-found sheets that are newer than all that their setup tells: somebody found the bike otherwise since, and it was
//! neither written in nor put back.
//!
//! A sheet lies beside its setup, in the folder of its bike: it is found in the pass over that folder which is made anyway.

use std::collections::HashMap;

use chrono::NaiveDate;

use crate::check::dates::{newest_day, not_ahead};
use crate::check::front_brake::bike;
use crate::ledger::{SetupFile, read_file, shell_word};
use crate::setup::checked::NewerSheet;
use crate::setup::model::{Kind, Setup};
use crate::setup::read::{Successive, read};

use super::diff::as_found;
use super::session::Session;
use super::today::today;

/// The sheets of a ledger, by the setup that each was written for.
#[derive(Default)]
pub struct Sheets(HashMap<String, Vec<Found>>);

/// A sheet that has a day.
struct Found {
    file: SetupFile,
    day: NaiveDate,
}

impl Sheets {
    /// Takes note of a sheet; one without a day is newer than nothing.
    pub fn add(&mut self, file: &SetupFile, sheet: &Setup) {
        let Some(day) = sheet.day() else { return };
        let found = Found { file: file.clone(), day };
        self.0.entry(sheet.name.value.clone()).or_default().push(found);
    }

    /// These, then others.
    #[must_use]
    pub fn and(mut self, others: Sheets) -> Sheets {
        for (setup, sheets) in others.0 {
            self.0.entry(setup).or_default().extend(sheets);
        }
        self
    }

    /// The newest sheet of a working file that is newer than it and finds the bike otherwise.
    pub fn newer_than_file(&self, session: &Session, file: &SetupFile, bytes: &[u8]) -> Option<NewerSheet> {
        self.0.get(&file.name)?;
        let setup = read(session.catalogue(), bytes, None).setup?;
        (setup.kind == Kind::Setup).then(|| self.newer(session, &file.name, &setup, None)).flatten()
    }

    /// The same of a setup, and newer than that day, too.
    fn newer(
        &self,
        session: &Session,
        name: &str,
        setup: &Setup,
        than: Option<NaiveDate>,
    ) -> Option<NewerSheet> {
        let catalogue = session.catalogue();
        let told = newest_day(catalogue, setup, today()).max(than);
        let is_newer =
            |found: &&Found| told.is_none_or(|told| found.day > told) && not_ahead(found.day, today());
        let mut newer: Vec<&Found> = self.0.get(name)?.iter().filter(is_newer).collect();
        newer.sort_by_key(|found| std::cmp::Reverse(found.day));
        newer.into_iter().find_map(|found| {
            let bytes = read_file(&found.file.path).ok()?;
            let sheet = read(catalogue, &bytes, Some(setup)).setup?;
            let (comparison, headline) = as_found(catalogue, setup, &sheet);
            let finds_otherwise = comparison.is_to_act_on() || !comparison.contradictions.is_empty();
            let [setup, sheet] = [name, &found.file.name].map(shell_word);
            finds_otherwise.then(|| NewerSheet {
                sheet: found.file.name.clone(),
                day: found.day,
                not_to_ride: headline.is_some(),
                command: format!("clampmark diff {setup} --found {sheet}"),
            })
        })
    }
}

/// The newer sheet of one setup that was asked for by its name; newer than `than`, too.
pub fn of(session: &Session, named: &str, setup: &Setup, than: Option<NaiveDate>) -> Option<NewerSheet> {
    let file = session.file(named).ok()?;
    let files = session.ledger().ok()?.setups().ok()?;
    let mut texts = Successive::new(session.catalogue());
    let mut sheets = Sheets::default();
    for beside in files.iter().filter(|beside| bike(&beside.name) == bike(&file.name)) {
        let Some(read) = read_file(&beside.path).ok().and_then(|bytes| texts.read(&bytes).setup) else {
            continue;
        };
        if read.kind == Kind::Found {
            sheets.add(beside, &read);
        }
    }
    sheets.newer(session, &file.name, setup, than)
}
