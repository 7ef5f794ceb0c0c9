//! `grips`: where the hands are, how sure that is, and what it rests on.

use clap::Args;

use crate::catalogue::MeasureId;
use crate::geometry::derived::{self, DERIVED, Derived};
use crate::geometry::grips::{Report, UNITS, account};
use crate::geometry::state::State;
use crate::geometry::why::{Why, why};
use crate::report;

use super::Status;
use super::newest;
use super::session::{Failure, Opened, Session};

/// Of which setup, and when.
#[derive(Debug, Args)]
pub struct Arguments {
    /// A setup's name (rowan/race) or file.
    #[arg(value_name = "SETUP")]
    pub setup: String,
    /// As it was at a revision: a hash, a tag, a branch, HEAD~3.
    #[arg(long, value_name = "REV")]
    pub at: Option<String>,
    /// Which readings the ± of one derived value comes from, largest share first: grip-stack, grip.left.z, trail…
    #[arg(long, value_name = "NAME")]
    pub why: Option<String>,
}

/// Runs the command.
pub fn run(session: &Session, arguments: &Arguments) -> Result<Status, Failure> {
    let asked = arguments.why.as_deref().map(named).transpose()?;
    let opened = session.open(&arguments.setup, arguments.at.as_deref())?;
    let state = State::recorded(session.catalogue(), opened.whole()?);
    let why = asked.map(|derived| explained(&state, derived)).transpose()?;
    let headline = newest::kept(session, &opened, &state);
    let report = Report { headline, ..finished(&opened, &state, why) };
    session.show(&report, |page| report::grips::page(page, &report))?;
    Ok(Status::act_if(report.headline.is_some() || opened.read.has_fault()))
}

fn finished(opened: &Opened, state: &State, why: Option<Why>) -> Report {
    let day = |date: &dyn std::fmt::Display| date.to_string();
    Report {
        schema: "clampmark.grips/1",
        setup: opened.name.clone(),
        label: opened.label.clone(),
        revision: opened.revision.as_ref().map(|revision| revision.id.clone()),
        date: opened.revision.as_ref().map(|revision| day(&revision.date.format("%Y-%m-%d"))),
        measured_on: state.setup().measured.as_ref().map(|measured| day(&measured.date)),
        headline: None,
        units: UNITS,
        grips: account(state),
        why,
        findings: opened.read.findings.iter().map(|finding| finding.message.clone()).collect(),
    }
}

/// The derived value of that name; the nearest is suggested.
fn named(name: &str) -> Result<&'static Derived, Failure> {
    if let Some((_, derived)) = derived::find(name) {
        return Ok(derived);
    }
    let slips = |derived: &&Derived| strsim::damerau_levenshtein(derived.name, name);
    let nearest = DERIVED.iter().min_by_key(slips).filter(|derived| slips(derived) <= 4);
    let all = || DERIVED.iter().map(|derived| derived.name).collect::<Vec<_>>().join(", ");
    let help = nearest.map_or_else(
        || format!("The derived values are: {}.", all()),
        |nearest| format!("Did you mean `{}`?", nearest.name),
    );
    Err(Failure::new(format!("There is no derived value `{name}`."), help))
}

fn explained(state: &State, derived: &Derived) -> Result<Why, Failure> {
    why(state, derived.name).ok_or_else(|| {
        let title = |id: &MeasureId| state.catalogue().title(id);
        let lacking = derived.lacking(state);
        let titles: Vec<String> =
            lacking.iter().map(|ids| ids.iter().map(title).collect::<Vec<_>>().join(" or ")).collect();
        let help = if titles.is_empty() {
            "The readings contradict each other: run `clampmark check`.".to_owned()
        } else {
            format!("Missing for it: {}.", titles.join(", "))
        };
        Failure::new(format!("{} cannot be computed from this setup.", derived.name), help)
    })
}
