//! What was looked over and called good, and a reading or a line of the same sheet speaks against.

use std::collections::BTreeSet;

use crate::catalogue::{Catalogue, Weight, joint};
use crate::check::not_to_ride;
use crate::restore::evidence::told_of;
use crate::setup::edit::{Edit, EditError};
use crate::setup::model::Setup;

use super::good;

/// Takes back of a sheet that a joint of steering or brakes is good where the sheet reads otherwise; names those joints.
///
/// # Errors
/// As for every edit.
pub fn take_back_belied(
    catalogue: &Catalogue,
    setup: &Setup,
    edit: &mut Edit,
) -> Result<Vec<String>, EditError> {
    let told = joint::names().iter().filter(|name| edit.has_remark(&good(name)));
    let told: Vec<String> = told.cloned().collect();
    if told.is_empty() {
        return Ok(Vec::new());
    }
    let belied = belied(catalogue, setup, edit.setup());
    let back: Vec<String> = told.into_iter().filter(|name| belied.contains(name)).collect();
    for name in &back {
        edit.drop_remark(&good(name))?;
    }
    Ok(back)
}

/// Takes back that something was called good, though the sheet no longer speaks against it: nobody looked at it again.
///
/// # Errors
/// As for every edit.
pub fn called_good_no_more(edit: &mut Edit, on: &str) -> Result<(), EditError> {
    edit.drop_remark(&good(on))
}

/// The joints of steering and brakes at which something moved, or reads so that nobody is to ride.
pub(super) fn belied(catalogue: &Catalogue, setup: &Setup, sheet: &Setup) -> BTreeSet<String> {
    let (comparison, by_reading) =
        told_of(catalogue, setup, sheet, |_, found| not_to_ride::by_reading(found));
    let mut joints: BTreeSet<String> = comparison.opened().into_iter().map(str::to_owned).collect();
    for reads in by_reading {
        let measure = reads.finding.measure.unwrap_or_default();
        let part = measure.rsplit_once('.').map_or("", |(part, _)| part);
        joints.extend(joint::find(part).map(|_| part.to_owned()));
    }
    joints.retain(|joint| joint::weight(joint) == Weight::SteeringAndBrakes);
    joints
}
