//! Days to come: nobody has read, drawn or tightened anything on one. And the day of an as-found sheet, against those of
//! the setup that it stands on.
//!
//! What day it is, the caller says.

use chrono::{Days, NaiveDate};
use serde::Serialize;

use crate::catalogue::{Catalogue, code};
use crate::metrology::reading::Reading;
use crate::setup::finding::Finding;
use crate::setup::model::{Setup, Value};
use crate::setup::span::Span;

use super::Context;

/// How far ahead of the day here it may be elsewhere: a sheet filled in east of here may be of tomorrow.
const GRACE: Days = Days::new(1);

/// One day that a file gives.
struct Given {
    day: NaiveDate,
    span: Span,
    about: String,
}

/// What is wrong with the day of a sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Wrong {
    /// It has none.
    Undated,
    /// It is yet to come.
    Ahead,
    /// The setup tells of a later one.
    Older,
}

/// A sheet whose day does not let it speak of the bike as it is now.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct SheetDay {
    /// Why not.
    pub wrong: Wrong,
    /// All of it, in one sentence.
    pub words: String,
}

/// What is wrong with the day of a sheet on that setup, if anything is.
pub fn of_sheet(catalogue: &Catalogue, setup: &Setup, sheet: &Setup, today: NaiveDate) -> Option<SheetDay> {
    let Some(day) = sheet.day() else {
        let words = "The sheet does not say on which day it was read: whether the bike still stands so, it cannot tell.";
        return Some(SheetDay { wrong: Wrong::Undated, words: words.to_owned() });
    };
    if day > last_day(today) {
        let words = format!("The sheet's day, {day}, is yet to come: today is {today}. Mend it.");
        return Some(SheetDay { wrong: Wrong::Ahead, words });
    }
    // A day to come is a slip in the setup, which `check` tells of.
    let days = given(catalogue, setup).into_iter().map(|given| given.day);
    let newest = days.filter(|day| *day <= last_day(today)).max()?;
    let words = format!(
        "The sheet is of {day}, and the setup tells of {newest}: it shows the bike as it was before that. Look again."
    );
    (day < newest).then_some(SheetDay { wrong: Wrong::Older, words })
}

/// Whether a day is not yet to come.
pub fn not_ahead(day: NaiveDate, today: NaiveDate) -> bool {
    day <= last_day(today)
}

fn last_day(today: NaiveDate) -> NaiveDate {
    today.checked_add_days(GRACE).unwrap_or(today)
}

/// Every day in a file that is yet to come.
pub fn ahead(context: &Context) -> Vec<Finding> {
    let Some(today) = context.around.today else { return Vec::new() };
    let last = last_day(today);
    let ahead = given(context.catalogue, context.setup).into_iter().filter(|given| given.day > last);
    ahead
        .map(|given| {
            let message = format!("{} is yet to come: today is {today}.", given.day);
            let finding = Finding::new(&code::DATE_AHEAD, message).at(given.span);
            if given.about.is_empty() { finding } else { finding.about(given.about) }
        })
        .collect()
}

fn given(catalogue: &Catalogue, setup: &Setup) -> Vec<Given> {
    let mut all = Vec::new();
    all.extend(setup.measured.as_ref().map(|measured| Given {
        day: measured.date,
        span: measured.span,
        about: String::new(),
    }));
    all.extend(setup.readings.iter().filter_map(|(id, recorded)| {
        let Value::Reading(reading) = &recorded.value else { return None };
        let day = Reading::read(reading)?;
        Some(Given { day, span: recorded.span, about: catalogue.path(id) })
    }));
    all.extend(setup.marks.iter().filter_map(|mark| {
        let about = format!("mark.{}", mark.name.value);
        Some(Given { day: mark.drawn_on?, span: mark.name.span, about })
    }));
    all.extend(setup.marks.iter().filter_map(|mark| {
        let about = format!("mark.{}", mark.name.value);
        Some(Given { day: mark.seen_on?, span: mark.name.span, about })
    }));
    all.extend(setup.opened.iter().filter_map(|opened| {
        let joint = &opened.joint;
        Some(Given { day: opened.read?, span: joint.span, about: joint.value.clone() })
    }));
    all.extend(setup.damages.iter().filter_map(|damage| {
        Some(Given { day: damage.read?, span: damage.on.span, about: damage.on.value.clone() })
    }));
    all.extend(setup.torques.iter().filter_map(|torque| {
        let applied = torque.applied.as_ref()?;
        Some(Given { day: applied.read?, span: applied.figure.span, about: torque.joint.value.clone() })
    }));
    all
}
