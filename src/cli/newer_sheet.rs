//! As-found sheets that tell what neither their setup nor another sheet has since: somebody found the bike otherwise, and it was
//! neither written in nor put back. Whether one forbids riding is asked where the overview asks it.
//!
//! A sheet lies beside its setup, in the folder of its bike: it is found in the pass over that folder which is made anyway.

use std::collections::HashMap;
use std::path::Path;

use chrono::NaiveDate;

use crate::catalogue::Catalogue;
use crate::check::dates::not_ahead;
use crate::check::front_brake::bike;
use crate::ledger::{SetupFile, read_file, shell_word};
use crate::restore::record::{Options, fold};
use crate::restore::since::last_seen;
use crate::setup::checked::NewerSheet;
use crate::setup::edit::Edit;
use crate::setup::model::{Kind, Setup};
use crate::setup::read::{Successive, read};

use super::session::Session;
use super::stop::{self, Left};
use super::today::today;

/// The sheets of a ledger, by the setup that each was written for.
#[derive(Default)]
pub struct Sheets(HashMap<String, Vec<Found>>);

/// A sheet.
struct Found {
    file: SetupFile,
    /// The last day of which it tells.
    last: Option<NaiveDate>,
}

/// The sheet that somebody goes by already.
#[derive(Clone, Copy)]
pub struct InHand<'a> {
    /// Where it is.
    pub path: &'a Path,
    /// Its day.
    pub day: Option<NaiveDate>,
}

/// A setup, and what it is written in.
struct Base<'a> {
    name: &'a str,
    setup: &'a Setup,
    bytes: &'a [u8],
}

impl Sheets {
    /// Takes note of a sheet.
    pub fn add(&mut self, file: &SetupFile, sheet: &Setup) {
        let found = Found { file: file.clone(), last: last_seen(sheet) };
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

    /// The sheet of a working file that tells most against it and is not written in.
    pub fn newer_than_file(&self, session: &Session, file: &SetupFile, bytes: &[u8]) -> Option<NewerSheet> {
        self.0.get(&file.name)?;
        let setup = read(session.catalogue(), bytes, None).setup?;
        let base = Base { name: &file.name, setup: &setup, bytes };
        (setup.kind == Kind::Setup).then(|| self.newer(session, &base, None)).flatten()
    }

    /// The same of a setup, beside the sheet in hand: what forbids riding first, then the newest.
    fn newer(&self, session: &Session, base: &Base, in_hand: Option<InHand>) -> Option<NewerSheet> {
        let catalogue = session.catalogue();
        // What is older than its setup in all that it tells is history.
        let is_news = |found: &&Found| found.last.zip(base.setup.day()).is_none_or(|(last, day)| last >= day);
        let sheet =
            |found: &Found| read(catalogue, &read_file(&found.file.path).ok()?, Some(base.setup)).setup;
        let known = self.0.get(base.name)?.iter().filter(is_news);
        let (files, sheets): (Vec<&Found>, Vec<Setup>) =
            known.filter_map(|found| Some((found, sheet(found)?))).unzip();
        let is_in_hand = |found: &Found| in_hand.is_some_and(|hand| hand.path == found.file.path);
        let told = files.iter().zip(&sheets).enumerate().filter(|(_, (found, _))| !is_in_hand(found));
        let told = told.filter_map(|(at, (found, sheet))| {
            let others = sheets.iter().enumerate().filter(|(other, _)| *other != at);
            let others: Vec<&Setup> = others.map(|(_, other)| other).collect();
            told_by(catalogue, base, &found.file, (sheet, &others))
        });
        // Whoever goes by a sheet of that day or later knows of it.
        let told = told.filter(|newer| in_hand.is_none_or(|hand| newer.day > hand.day));
        told.max_by_key(|newer| (newer.not_to_ride, newer.to_act_on, newer.day))
    }
}

/// What is told of one sheet, if it tells anything that is not written in.
fn told_by(
    catalogue: &Catalogue,
    base: &Base,
    file: &SetupFile,
    (sheet, others): (&Setup, &[&Setup]),
) -> Option<NewerSheet> {
    let news = stop::news(catalogue, base.setup, sheet, others);
    let not_to_ride = stop::on_setup(catalogue, base.setup, sheet, others).is_some();
    let day = news.as_ref().and_then(last_seen).or_else(|| last_seen(sheet));
    let left = news.as_ref().map_or(Left::Nothing, |news| stop::left(catalogue, base.setup, news));
    let is_steering = matches!(left, Left::SteeringOrBrakes);
    let is_plain = || {
        let is_past = day.is_some_and(|day| not_ahead(day, today()));
        is_past && news.as_ref().is_some_and(|news| is_written(catalogue, base, news))
    };
    if !not_to_ride && (matches!(left, Left::Nothing) || !is_plain()) {
        return None;
    }
    let [setup, found] = [base.name, &file.name].map(shell_word);
    Some(NewerSheet {
        sheet: file.name.clone(),
        day,
        not_to_ride,
        to_act_on: not_to_ride || is_steering,
        command: format!("clampmark diff {setup} --found {found}"),
    })
}

/// Whether `record` would have anything to write, or holds back what contradicts itself; a file with a fault it does not touch.
fn is_written(catalogue: &Catalogue, base: &Base, news: &Setup) -> bool {
    let edit = std::str::from_utf8(base.bytes).ok().and_then(|text| Edit::new(catalogue, text, None).ok());
    let recording = edit.and_then(|mut edit| fold(catalogue, &mut edit, news, &Options::default()).ok());
    recording.is_none_or(|recording| recording.has_written() || !recording.held_back.is_empty())
}

/// The newer sheet of one setup that was asked for by its name.
pub fn of(session: &Session, named: &str, setup: &Setup, in_hand: Option<InHand>) -> Option<NewerSheet> {
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
    let bytes = read_file(&file.path).ok()?;
    sheets.newer(session, &Base { name: &file.name, setup, bytes: &bytes }, in_hand)
}
