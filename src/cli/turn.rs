//! `turn`: what turning the bars does, to the frame and to the hoses.

use clap::Args;

use crate::catalogue::MeasureId;
use crate::catalogue::caution;
use crate::catalogue::table::FRAME_STEERING_STOP;
use crate::geometry::state::State;
use crate::geometry::turning::{Steered, steered, turning};
use crate::metrology::unit::Unit;
use crate::report;
use crate::report::turn::{Report, Units};

use super::Status;
use super::newest;
use super::session::{Failure, Opened, Session};

/// What to turn, and how far.
#[derive(Debug, Args)]
pub struct Arguments {
    /// A setup's name (rowan/race) or file.
    #[arg(value_name = "SETUP")]
    pub setup: String,
    /// At this revision: a hash, a tag, a branch, HEAD~3; the working file if not given.
    #[arg(long, value_name = "REV")]
    pub at: Option<String>,
    /// To one steering angle: the clearances and the slack there, and the least on the way. Degrees, positive to the
    /// left, negative to the right.
    #[arg(long, value_name = "DEGREES", allow_negative_numbers = true)]
    pub to: Option<f64>,
}

/// Runs the command.
pub fn run(session: &Session, arguments: &Arguments) -> Result<Status, Failure> {
    let opened = session.open(&arguments.setup, arguments.at.as_deref())?;
    let state = State::recorded(session.catalogue(), opened.whole()?);
    let to = arguments.to.map(|degrees| to(&state, degrees)).transpose()?;
    let headline = newest::kept(session, &opened, &state);
    let report = Report { headline, ..report(&opened, &state, to) };
    let draws = session.is_terminal();
    session.show(&report, |page| report::turn::page(page, &report, draws))?;
    Ok(Status::act_if(report.is_limited() || report.headline.is_some() || opened.read.has_fault()))
}

fn to(state: &State, degrees: f64) -> Result<Steered, Failure> {
    if degrees.is_nan() || degrees.abs() > 180.0 {
        return Err(Failure::new(
            format!("{degrees}° is no steering angle."),
            "Give degrees from straight ahead, from -180 (right) to 180 (left).",
        ));
    }
    match state.value(&MeasureId::bike(FRAME_STEERING_STOP)) {
        Some(stop) if degrees.abs() > stop => Err(Failure::new(
            format!("The frame stops the bars at {stop}°, so they do not turn to {degrees}°."),
            format!("Give an angle from -{stop} (right) to {stop} (left)."),
        )),
        _ => Ok(steered(state, degrees)),
    }
}

fn report(opened: &Opened, state: &State, to: Option<Steered>) -> Report {
    Report {
        schema: "clampmark.turn/1",
        setup: opened.name.clone(),
        label: opened.label.clone(),
        revision: opened.revision.as_ref().map(|revision| revision.id.clone()),
        headline: None,
        units: Units { length: Unit::Millimetre.word(), angle: Unit::Degree.word() },
        turning: turning(state),
        to,
        left_out: &["head tube", "fork crown", "the bar itself"],
        cautions: &[caution::CONTROLS_CLEAR, caution::HOSES_AT_LOCK, caution::MECHANIC],
        findings: opened.read.findings.iter().map(|finding| finding.message.clone()).collect(),
    }
}
