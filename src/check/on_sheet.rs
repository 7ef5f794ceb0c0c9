//! What a sheet tells against riding in words, beside what it reads: the damage on it, what its notes forbid, and while a
//! merge is undecided, what either version of it tells so.

use crate::catalogue::{Weight, joint};
use crate::setup::model::Setup;

use super::not_decided::by_version;
use super::not_to_ride::{add_new, damages, forbidden};

/// All of it.
pub fn told(sheet: &Setup) -> Vec<String> {
    with(sheet, damages(sheet, None))
}

/// The same without the damage that stands on it as such, for those who tell of that in their own words.
pub fn but_damage(sheet: &Setup) -> Vec<String> {
    with(sheet, damages(sheet, Some(sheet)))
}

fn with(sheet: &Setup, mut told: Vec<String>) -> Vec<String> {
    add_new(&mut told, forbidden(sheet));
    told.extend(by_version(sheet, of_one));
    told
}

/// What one version tells: damage, what its notes forbid, and what of steering and brakes was opened and not tightened to
/// a known torque since.
fn of_one(version: &Setup) -> Vec<String> {
    let is_tightened = |name: &str| version.torque_since_opened(name).is_some();
    let open = version.opened.iter().map(|opened| opened.joint.value.as_str());
    let open = open.filter(|name| joint::weight(name) == Weight::SteeringAndBrakes && !is_tightened(name));
    let open = open.map(|name| format!("opened, torque unknown: {}", joint::title(name)));
    damages(version, None).into_iter().chain(forbidden(version)).chain(open).collect()
}
