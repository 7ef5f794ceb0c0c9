//! What a sheet tells against riding in words, beside what it reads: the damage on it, what its notes forbid, and while a
//! merge is undecided, what either version of it tells so.

use crate::catalogue::{Weight, joint};
use crate::setup::model::Setup;

use super::not_to_ride::{damages, forbidden};

/// All of it.
pub fn told(sheet: &Setup) -> Vec<String> {
    let mut told = damages(sheet, None);
    told.extend(forbidden(sheet).filter(|words| !told.contains(words)).collect::<Vec<_>>());
    told.extend(by_versions(sheet));
    told
}

/// The same without the damage that stands on it as such, for those who tell of that in their own words.
pub fn but_damage(sheet: &Setup) -> Vec<String> {
    let mut told = damages(sheet, Some(sheet));
    told.extend(forbidden(sheet).filter(|words| !told.contains(words)).collect::<Vec<_>>());
    told.extend(by_versions(sheet));
    told
}

/// What a version of it tells that does not stand in it as decided.
fn by_versions(sheet: &Setup) -> Vec<String> {
    let known = of_one(sheet);
    let versions: Vec<Vec<String>> = sheet.versions.iter().map(of_one).collect();
    let mut told: Vec<String> = Vec::new();
    for (one, side) in versions.iter().zip(["ours", "theirs"]) {
        for words in one.iter().filter(|words| !known.contains(words)) {
            let in_both = versions.iter().all(|version| version.contains(words));
            let words = if in_both { words.clone() } else { format!("{words}, as {side} has it") };
            if !told.contains(&words) {
                told.push(words);
            }
        }
    }
    told
}

/// What one version tells: damage, what its notes forbid, and what of steering and brakes was opened and not tightened to
/// a known torque since.
fn of_one(version: &Setup) -> Vec<String> {
    let is_tightened = |name: &str| version.torque(name).is_some_and(|torque| torque.applied.is_some());
    let open = version.opened.iter().map(|opened| opened.value.as_str());
    let open = open.filter(|name| joint::weight(name) == Weight::SteeringAndBrakes && !is_tightened(name));
    let open = open.map(|name| format!("opened, torque unknown: {}", joint::title(name)));
    damages(version, None).into_iter().chain(forbidden(version)).chain(open).collect()
}
