//! Days to come: nobody has read, drawn or tightened anything on one.
//!
//! What day it is, the caller says.

use chrono::{Days, NaiveDate};

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

/// Every day in a file that is yet to come.
pub fn ahead(context: &Context) -> Vec<Finding> {
    let Some(today) = context.today else { return Vec::new() };
    let last = today.checked_add_days(GRACE).unwrap_or(today);
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
    all.extend(setup.torques.iter().filter_map(|torque| {
        let applied = torque.applied.as_ref()?;
        Some(Given { day: applied.read?, span: applied.figure.span, about: torque.joint.value.clone() })
    }));
    all
}
