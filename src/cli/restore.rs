//! `restore`: the ordered steps back to a recorded setup.

use crate::check::{not_to_ride, on_sheet};
use crate::ledger::shell_word;
use crate::report;
use crate::restore::answer::told_good;
use crate::restore::{self, plan, present};
use crate::setup::model::{Kind, Setup};

use super::Status;
use super::diff::open_sheet;
use super::newer_sheet::{self, InHand};
use super::session::{Failure, Opened, Session};
use super::stop;
use super::today::today;

/// The steps back to the recorded setup: which mark to line up, which tool, which torque, what to check.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// The setup, by name or by path.
    #[arg(value_name = "SETUP")]
    pub setup: String,
    /// Back to how it was at this revision: a tag, a branch, a hash, HEAD~3.
    #[arg(long, value_name = "REV")]
    pub at: Option<String>,
    /// The as-found sheet: only what moved is touched. Without it the steps are a full rebuild.
    #[arg(long, value_name = "SHEET")]
    pub found: Option<String>,
}

/// Why there is no way back, and that nobody is to ride meanwhile, where a merge left undecided what to come back to.
fn with_what_is_open(session: &Session, text: &Opened, failure: Failure) -> Failure {
    let kept = |setup: &Setup| match setup.kind {
        Kind::Setup => stop::kept(session.catalogue(), setup),
        Kind::Found => not_to_ride::in_one_line(&on_sheet::told(setup)),
    };
    match text.setup().ok().filter(|setup| !setup.versions.is_empty()).and_then(kept) {
        Some(why) => Failure::new(failure.message, format!("{} Do not ride: {why}.", failure.help)),
        None => failure,
    }
}

/// Runs it.
pub fn run(session: &Session, arguments: &Arguments) -> Result<Status, Failure> {
    let mut opened = session.open(&arguments.setup, arguments.at.as_deref())?;
    // What is wrong with the bike, and where its lines are drawn, stands in the file as it is now, whatever it is
    // brought back to.
    let now = session.now_beside(&arguments.setup, arguments.at.as_deref());
    if let Some(now) = &now {
        opened.goes_back_from(session.catalogue(), now)?;
    }
    let setup = opened.setup()?;
    let sheet = arguments.found.as_deref().map(|sheet| open_sheet(session, sheet, setup)).transpose()?;
    for text in [Some(&opened), sheet.as_ref()].into_iter().flatten() {
        text.without_faults().map_err(|failure| with_what_is_open(session, text, failure))?;
    }
    let good = match &sheet {
        Some(sheet) => told_good(session.catalogue(), setup, sheet.setup()?, &sheet.bytes),
        None => Vec::new(),
    };
    let in_hand = sheet.as_ref().map(|sheet| sheet.path.clone());
    let sheet = sheet.as_ref().map(|sheet| sheet.setup()).transpose()?;
    let present = now.as_ref().map(Opened::setup).transpose()?;
    let catalogue = session.catalogue();
    let both = present.zip(sheet);
    let known = both.map(|(now, sheet)| present::known(catalogue, setup, now, sheet));
    let (present, told) = (present.unwrap_or(setup), known.as_ref().or(sheet));
    let mut plan = plan(catalogue, setup, told, present, &opened.label, today());
    if let Some((now, sheet)) = both {
        let today = restore::plan(catalogue, now, Some(sheet), now, &opened.label, today());
        plan.headline = present::headline(&today, &plan);
    }
    plan.good = good;
    let in_hand = in_hand.as_deref().zip(sheet).map(|(path, sheet)| InHand { path, day: sheet.day() });
    plan.newer_sheet = newer_sheet::of(session, &arguments.setup, present, in_hand);
    plan.then = arguments.found.as_ref().filter(|_| arguments.at.is_none()).map(|sheet| {
        let [setup, sheet] = [&arguments.setup, sheet].map(|name| shell_word(name));
        // Put back, what was planned would stay planned for ever.
        let back = if plan.planned { "" } else { " --put-back" };
        format!("clampmark record {setup} --found {sheet}{back}")
    });
    session.show(&plan, |page| report::restore::page(page, &plan))?;
    Ok(Status::act_if(
        !plan.is_empty()
            || !plan.read_otherwise.is_empty()
            || plan.newer_sheet.as_ref().is_some_and(|newer| newer.to_act_on)
            || plan.tells_nothing()
            || plan.is_of_no_day_to_trust(),
    ))
}
