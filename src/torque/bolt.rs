//! What a bolt carries: preload from torque, against the proof load of its class.
//!
//! F = T/(K·d), d the nominal diameter (Shigley, Mechanical Engineering Design, 9th edition, chapter 8).

use serde::Serialize;

use crate::catalogue::code;
use crate::metrology::NEGLIGIBLE;
use crate::setup::finding::Finding;
use crate::setup::torque::Torque;

use super::allowed::allowed;

/// The torque factor K of a dry bolt (Shigley, table 8-15: zinc-plated 0.20).
pub const DRY: f64 = 0.2;
/// Of its proof load, what a bolt that is used again should not exceed (Shigley, equation 8-31).
pub const REUSED: f64 = 0.75;

/// Thread, nominal diameter in mm, coarse pitch in mm, and proof loads in N of the classes in [`CLASSES`]
/// (ISO 898-1, coarse threads).
const THREADS: &[(&str, f64, &str, [f64; 3])] = &[
    ("M4", 4.0, "0.7", [5100.0, 7290.0, 8520.0]),
    ("M5", 5.0, "0.8", [8230.0, 11800.0, 13800.0]),
    ("M6", 6.0, "1", [11600.0, 16700.0, 19500.0]),
    ("M8", 8.0, "1.25", [21200.0, 30400.0, 35500.0]),
];
/// Property classes, in the table's order.
const CLASSES: [&str; 3] = ["8.8", "10.9", "12.9"];

/// What the bolt carries when it is drawn to the top of the allowed range.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Preload {
    /// In N.
    pub force: f64,
    /// The class's proof load, in N.
    pub proof_load: f64,
    /// Force over proof load.
    pub share: f64,
    /// The torque factor K it was reckoned with.
    #[serde(rename = "k")]
    pub factor: f64,
}

/// Nominal diameter in mm and proof load in N of a bolt; none if the table does not hold it.
pub fn proof_load(thread: &str, class: &str) -> Option<(f64, f64)> {
    let column = CLASSES.iter().position(|known| *known == class)?;
    let (name, pitch) =
        thread.split_once(['x', '×']).map_or((thread, None), |(name, pitch)| (name, Some(pitch)));
    let (_, diameter, coarse, loads) = THREADS.iter().find(|row| row.0 == name)?;
    let coarse = pitch.is_none_or(|pitch| pitch == *coarse || pitch.strip_suffix(".0") == Some(*coarse));
    coarse.then_some((*diameter, loads[column]))
}

/// Preload in N of a torque in N·m on a diameter in mm: F = T/(K·d).
pub fn force(torque: f64, factor: f64, diameter: f64) -> f64 {
    torque * 1000.0 / (factor * diameter)
}

/// The bolt of a joint at the top of its allowed range; none where thread or class is not given or not in the table,
/// or nothing is allowed.
pub fn preload(torque: &Torque) -> Option<Preload> {
    let (thread, class) = (torque.thread.as_ref()?, torque.class.as_ref()?);
    let (diameter, proof_load) = proof_load(&thread.value, &class.value)?;
    let top = allowed(torque)?.ok()?.range.to;
    let factor = torque.factor.as_ref().map_or(DRY, |factor| factor.value);
    let force = force(top, factor, diameter);
    Some(Preload { force, proof_load, share: force / proof_load, factor })
}

/// What is to be said of the bolt.
pub fn findings(torque: &Torque) -> Vec<Finding> {
    unknown(torque).into_iter().chain(too_much(torque)).collect()
}

fn too_much(torque: &Torque) -> Option<Finding> {
    let preload = preload(torque)?;
    let (thread, class) = (torque.thread.as_ref()?, torque.class.as_ref()?);
    let code = if preload.share > 1.0 + NEGLIGIBLE {
        &code::TORQUE_PRELOAD_BEYOND
    } else if preload.share > REUSED + NEGLIGIBLE {
        &code::TORQUE_PRELOAD_HIGH
    } else {
        return None;
    };
    let message = format!(
        "At the top of the range the {} {} bolt carries {:.0} N, {:.0} % of its proof load of {:.0} N.",
        thread.value,
        class.value,
        preload.force,
        preload.share * 100.0,
        preload.proof_load
    );
    Some(Finding::new(code, message).at(thread.span).about(&torque.joint.value))
}

fn unknown(torque: &Torque) -> Option<Finding> {
    let known_thread = |thread: &str| proof_load(thread, CLASSES[0]).is_some();
    let stranger = match (&torque.thread, &torque.class) {
        (Some(thread), _) if !known_thread(&thread.value) => thread,
        (_, Some(class)) if !CLASSES.contains(&class.value.as_str()) => class,
        _ => return None,
    };
    let message =
        format!("`{}` is not in the table of bolts: nothing is said of its preload.", stranger.value);
    Some(Finding::new(&code::TORQUE_BOLT_UNKNOWN, message).at(stranger.span).about(&torque.joint.value))
}
