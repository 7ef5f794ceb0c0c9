//! `body`: the rider in the picture.

use clap::Args;

use crate::body::{self, ELBOW_SPAN, elbow};
use crate::check::not_to_ride;
use crate::geometry::state::State;
use crate::metrology::reading::Reading;
use crate::metrology::unit::Unit;
use crate::report::body::BodyReport;
use crate::setup::model::{Recorded, Setup, Value};
use crate::setup::span::Span;

use super::Status;
use super::newest;
use super::session::{Failure, Session};

/// Half the width of an elbow opening that somebody names, degrees.
const ELBOW_TOLERANCE: f64 = 5.0;

/// Where your arm points, and how levers and brakes lie to it.
///
/// Seated, saddle at full height. Lengths come from `rider`, else from stature by the shares of an open survey. A
/// lever away from the arm line is a preference with consequences, never a fault.
#[derive(Debug, Args)]
pub struct Arguments {
    /// The setup.
    pub setup: String,
    /// As it was at this revision.
    #[arg(long, value_name = "REV")]
    pub at: Option<String>,
    /// How far the elbow is opened, in degrees; 180 is a straight arm. Taken as ± 5.
    #[arg(long, value_name = "DEGREES", default_value = "165", allow_negative_numbers = true)]
    pub elbow: f64,
}

/// Runs it.
pub fn run(session: &Session, arguments: &Arguments) -> Result<Status, Failure> {
    let opened = session.open(&arguments.setup, arguments.at.as_deref())?;
    let mut setup = opened.whole()?.clone();
    open_elbow(&mut setup, arguments.elbow)?;
    let recorded = State::recorded(session.catalogue(), opened.whole()?);
    let reads = not_to_ride::by_reading(&recorded).into_iter();
    let by_reading_of: Vec<String> = reads.filter_map(|reads| reads.finding.measure).collect();
    let reasons = not_to_ride::reasons(&recorded, |_| false, |_, _| false);
    let headline = newest::kept(session, &opened, &recorded);
    let is_unridable = headline.is_some();
    let report = BodyReport {
        schema: BodyReport::SCHEMA,
        setup: opened.name.clone(),
        revision: opened.revision.as_ref().map(|revision| revision.id.clone()),
        label: opened.label.clone(),
        findings: opened.faults(),
        body: body::of(&setup).refusing(&opened.read.findings).not_to_ride(reasons, &by_reading_of),
        headline,
    };
    session.show(&report, |page| report.write(page))?;
    Ok(Status::act_if(is_unridable || opened.read.has_fault()))
}

fn open_elbow(setup: &mut Setup, opening: f64) -> Result<(), Failure> {
    let (low, high) = ELBOW_SPAN;
    let reading = Reading::new([opening], [opening.to_string()], Unit::Degree, Unit::Degree, ELBOW_TOLERANCE)
        .filter(|_| (low..=high).contains(&opening))
        .ok_or_else(|| {
            Failure::new(
                format!("An elbow does not open to {opening}°."),
                format!("Give it between {low} and {high}: 180 is a straight arm."),
            )
        })?;
    let value = Value::Reading(reading);
    setup.readings.insert(elbow(), Recorded { value, span: Span::default(), node: Span::default() });
    Ok(())
}
