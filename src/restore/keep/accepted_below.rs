//! A clamp that is set low on purpose, and that a sheet finds lower still: the file's reason was given for what was applied
//! then. A note forbids to ride so until it is tightened to that again, or somebody takes the note out and so accepts it anew.

use chrono::NaiveDate;

use crate::check::{forbidden, not_to_ride};
use crate::setup::dated;
use crate::setup::edit::{Edit, EditError};
use crate::setup::model::Setup;

use super::add_note;

const TIGHTENED: &str = "tightened to ";
const LESS: &str = " N·m, and less than ";
const ACCEPTED: &str = " N·m was not accepted";

/// Notes it of a joint of which a new torque was written since the file stood as `before`, and takes out the note that this
/// torque answers.
pub fn below_what_was_accepted(
    edit: &mut Edit,
    before: &Setup,
    joint: &str,
    day: Option<NaiveDate>,
) -> Result<(), EditError> {
    let old: Vec<(String, String, f64)> = noted(before, joint).collect();
    let applied = |setup: &Setup| {
        let torque = setup.torque(joint)?;
        Some(torque.applied.as_ref()?.figure.value.newton_metres())
    };
    let was_accepted = || {
        before
            .torque(joint)
            .filter(|torque| not_to_ride::is_accepted_below(before, torque))
            .and(applied(before))
    };
    let least = old.iter().map(|(_, _, least)| *least).reduce(f64::max).or_else(was_accepted);
    let (Some(least), Some(now)) = (least, applied(edit.setup())) else { return Ok(()) };
    for (on, text, _) in old {
        edit.remove_note(&on, &text)?;
    }
    if now >= least - ROUNDED {
        return Ok(());
    }
    let why = forbidden::note(&format!("{TIGHTENED}{}{LESS}{}{ACCEPTED}", written(now), written(least)));
    add_note(edit, &format!("torque.{joint}"), &format!("{}{why}", dated::prefix(day))).map(drop)
}

/// Hundredths of a newton metre: what another unit comes to has more.
fn written(newton_metres: f64) -> f64 {
    (newton_metres * 100.0).round() / 100.0
}

/// Half a hundredth, and what adding up costs.
const ROUNDED: f64 = 0.005 + 1e-9;

/// The notes of a joint that tell so: where each stands, its text, and what was accepted, N·m.
fn noted<'s>(setup: &'s Setup, joint: &'s str) -> impl Iterator<Item = (String, String, f64)> + 's {
    forbidden::noted(setup).filter(move |noted| noted.on() == joint).filter_map(|noted| {
        let (_, least) = noted.why.strip_prefix(TIGHTENED)?.split_once(LESS)?;
        let least = least.trim_end_matches('.').strip_suffix(ACCEPTED)?.parse().ok()?;
        Some((noted.note.on.clone(), noted.note.text.value.clone(), least))
    })
}
