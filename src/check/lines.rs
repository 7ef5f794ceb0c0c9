//! What a line across a control's own clamp stands for.
//!
//! Such a line lies on the bar. A gauge beside it reads the control's turn on the bar and the bar's roll together, so that
//! the line stands for the angle at which it was drawn less the roll of that day. On a bar that was rolled since, its
//! halves meet at the drawn angle and what the bar was rolled by. Whoever holds a line against an angle asks here.
//!
//! The roll of that day is what the line says; of one that does not say it, the roll in the file, unless that was read on a
//! later day than the line was drawn: then nobody knows whether the bar was rolled in between.

use chrono::NaiveDate;

use crate::catalogue::table::BAR_ROLL;
use crate::catalogue::{Absent, Catalogue, MeasureId, joint};
use crate::metrology::reading::Reading;
use crate::metrology::show::plain;
use crate::metrology::verdict::{Verdict, judge};
use crate::metrology::{COVERAGE_FACTOR, NEGLIGIBLE};
use crate::setup::model::{Mark, Recorded, Setup, Value};
use crate::setup::span::Span;

/// By how much the bar was rolled since a line was drawn, + = forward, in degrees.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Rolled {
    /// The roll as it is recorded less that of the day.
    pub degrees: f64,
    /// The half-widths of both in quadrature; 0 where they are one reading.
    pub half_width: f64,
}

impl Rolled {
    /// U = 2·a/√3 of a half-width a.
    pub fn expanded_uncertainty(self) -> f64 {
        COVERAGE_FACTOR * self.half_width / 3.0_f64.sqrt()
    }

    /// Whether by more than reading explains.
    pub fn is_beyond_reading(self) -> bool {
        judge(self.degrees, self.expanded_uncertainty()) == Verdict::Moved
    }
}

/// What is known of the bar since a line was drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Since {
    /// It was rolled by so much.
    Rolled(Rolled),
    /// Its roll was read on a later day than the line was drawn, and the line does not say at which.
    Unknown {
        /// The line's day.
        drawn: NaiveDate,
        /// The roll's day.
        read: NaiveDate,
    },
}

/// The bar's roll.
pub fn roll() -> MeasureId {
    MeasureId::bike(BAR_ROLL)
}

/// Whether a line was drawn at an angle that goes along with the bar.
pub fn is_on_the_bar(mark: &Mark) -> bool {
    mark.drawn.iter().any(|(id, _)| joint::is_control_angle(id.row))
}

/// What is known of the bar since a line was drawn that stands at this measure: nothing of what does not go along with it.
pub fn since(catalogue: &Catalogue, setup: &Setup, mark: &Mark, id: &MeasureId) -> Since {
    let none = Since::Rolled(Rolled::default());
    if !joint::is_control_angle(id.row) {
        return none;
    }
    let now = setup.recorded(&roll()).map(|recorded| &recorded.value);
    match (said(mark), now) {
        (Some(then), _) => since_roll(catalogue, setup, then).map_or(none, Since::Rolled),
        (None, Some(Value::Reading(now))) => match mark.drawn_on.or(setup.day()).zip(setup.day_of(Some(now)))
        {
            Some((drawn, read)) if read > drawn => Since::Unknown { drawn, read },
            _ => none,
        },
        // What nobody knows of the bar today is no reason to take it for rolled.
        _ => none,
    }
}

/// By how much the bar was rolled since the line was drawn; by nothing where nobody knows.
pub fn rolled(catalogue: &Catalogue, setup: &Setup, mark: &Mark, id: &MeasureId) -> Rolled {
    match since(catalogue, setup, mark, id) {
        Since::Rolled(rolled) => rolled,
        Since::Unknown { .. } => Rolled::default(),
    }
}

/// How far what is written beside a line may lie from the reading of which it is: a mean is written as it is rounded.
pub fn rounded(written: &Reading, reading: &Reading) -> f64 {
    let last_place = 0.1_f64.powi(i32::try_from(written.decimals()).unwrap_or(i32::MAX));
    let half_a_place = if reading.digits().len() > 1 { last_place / 2.0 } else { 0.0 };
    half_a_place + NEGLIGIBLE
}

/// By how much the bar was rolled since it stood so; none where nobody knows how it stands.
pub fn since_roll(catalogue: &Catalogue, setup: &Setup, then: &Reading) -> Option<Rolled> {
    roll_now(catalogue, setup).map(|now| between(then, &now))
}

/// The roll at which a line says it was drawn.
pub fn said(mark: &Mark) -> Option<&Reading> {
    match &mark.roll.as_ref()?.value {
        Value::Reading(reading) => Some(reading),
        Value::Choice(_) | Value::Unmeasured => None,
    }
}

/// The line with the roll of its day written beside it, as the file knows it; none where it does not.
pub fn with_its_roll(catalogue: &Catalogue, setup: &Setup, mark: &Mark) -> Option<Mark> {
    let angle = mark.drawn.iter().map(|(id, _)| id).find(|id| joint::is_control_angle(id.row));
    let Some(angle) = angle.filter(|_| mark.roll.is_none()) else { return Some(mark.clone()) };
    if matches!(since(catalogue, setup, mark, angle), Since::Unknown { .. }) {
        return None;
    }
    let recorded = setup.recorded(&roll()).cloned().or_else(|| natural(catalogue, setup));
    Some(Mark { roll: recorded, ..mark.clone() })
}

/// The roll as it is recorded, or what an absent one counts as.
pub fn roll_now(catalogue: &Catalogue, setup: &Setup) -> Option<Reading> {
    match setup.recorded(&roll()) {
        Some(_) => setup.reading(&roll()).cloned(),
        None => match natural(catalogue, setup)?.value {
            Value::Reading(natural) => Some(natural),
            Value::Choice(_) | Value::Unmeasured => None,
        },
    }
}

/// What an absent roll counts as.
fn natural(catalogue: &Catalogue, setup: &Setup) -> Option<Recorded> {
    let measure = catalogue.measure(BAR_ROLL);
    let Absent::Counts(natural) = measure.absent else { return None };
    let digits = plain(natural, 0);
    let reading = Reading::new([natural], [digits], measure.unit(), measure.unit(), measure.tolerance());
    let reading = reading.filter(|_| !setup.undecided.contains_key(&roll()))?;
    Some(Recorded { value: Value::Reading(reading), span: Span::default(), node: Span::default() })
}

fn between(then: &Reading, now: &Reading) -> Rolled {
    let degrees = now.value() - then.value();
    if degrees.abs() <= rounded(then, now) {
        return Rolled::default();
    }
    Rolled { degrees, half_width: now.half_width().hypot(then.half_width()) }
}
