//! The caution that stands at a torque whose limits are those of a part that is gone: how it is written, and how it is
//! found again.

use crate::catalogue::joint;
use crate::setup::model::Written;
use crate::setup::torque::{Ceiling, Torque};

const BEGINS: &str = "Limits of the replaced ";
const ENDS: &str = ": take the new maker's figures before tightening.";
/// What has to follow the parts somewhere, in any case and with any apostrophe.
const THEN: &str = "take the new maker";

/// The caution's text; `parts` in words: "stem and bar".
pub fn caution(parts: &str) -> String {
    format!("{BEGINS}{parts}{ENDS}")
}

/// The parts that such a caution tells of; whatever somebody wrote before, behind or between, it stays what it is.
pub fn told(caution: &str) -> Option<&str> {
    let plain = caution.to_ascii_lowercase();
    let start = plain.find(&BEGINS.to_ascii_lowercase())? + BEGINS.len();
    let end = start + plain[start..].find(THEN)?;
    Some(caution[start..end].trim_end_matches([':', ' ']))
}

/// The parts that the cautions of a torque tell to be gone.
pub fn gone(torque: &Torque) -> impl Iterator<Item = &'static str> {
    let told = torque.cautions.iter().filter_map(|caution| told(&caution.value));
    let words =
        |parts: &str| parts.split(|letter: char| !letter.is_alphabetic()).map(str::to_lowercase).collect();
    let words: Vec<String> = told.flat_map(|parts| -> Vec<String> { words(parts) }).collect();
    joint::parts().filter(move |part| words.iter().any(|word| word == part))
}

/// What of a recorded torque holds for the parts that are on the bike, as far as its own cautions tell.
pub fn of_today(torque: &Torque) -> Torque {
    still_holding(torque, &gone(torque).collect::<Vec<_>>())
}

/// A recorded torque without what the makers of parts say that are not on the bike any more.
pub fn still_holding(recorded: &Torque, gone: &[&str]) -> Torque {
    let mut still = recorded.clone();
    let joint = &recorded.joint.value;
    still.ceilings.retain(|ceiling| !gone.contains(&ceiling.part.value.as_str()));
    if voids_range(gone, joint) {
        still.range = None;
    } else if loses_a_limit(recorded, gone) || is_limited_by_one(gone, joint) {
        // What the range ends with still limits it; how much less the new part allows nobody knows.
        still.ceilings.extend(still.range.take().map(|range| Ceiling {
            part: Written { value: joint::title(joint), span: range.span },
            limit: Written { value: range.value.to().clone(), span: range.span },
        }));
    }
    still
}

/// Whether the part whose maker gives a joint's range is gone.
pub fn voids_range(gone: &[&str], joint: &str) -> bool {
    joint::find(joint).and_then(|(_, joint)| joint.range_of).is_some_and(|part| gone.contains(&part))
}

/// Whether a part is gone whose maker limits a joint, whether that limit was written or not: the range was chosen for it.
pub fn is_limited_by_one(gone: &[&str], joint: &str) -> bool {
    gone.iter().any(|part| joint::is_limited_by(joint, part))
}

/// Whether a part is gone whose maker's limit cut this range.
pub fn loses_a_limit(recorded: &Torque, gone: &[&str]) -> bool {
    recorded.ceilings.iter().any(|ceiling| gone.contains(&ceiling.part.value.as_str()))
}
