//! The standing cautions: written once, used by whatever prints a torque, a step or a verdict.

/// The part maker's figure wins.
pub const MAKER: &str = "The part maker's figure wins over this file.";
/// The lower limit holds.
pub const LOWER_LIMIT: &str = "Where two parts of one joint disagree, the lower limit holds.";
/// Carbon.
pub const CARBON: &str = "Carbon: inspect before clamping, use assembly paste where the maker says so, never above the limit; a scored carbon bar is finished until someone competent says otherwise.";
/// A mechanic looks.
pub const MECHANIC: &str = "If in doubt, have a qualified mechanic look before riding.";
/// Local law on the front brake's side.
pub const BRAKE_SIDE: &str = "Which hand pulls the front brake is for local law and the rider's habit: tell whoever rides next. Hoses that change \
     sides are opened and bled: work for a qualified mechanic.";
/// A brake that bites elsewhere.
pub const BITE: &str = "A brake that bites nearer the grip has worn pads, air or a leak, and no adjuster makes up for \
                        that: do not ride, have a qualified mechanic look.";

/// Controls and the frame.
pub const CONTROLS_CLEAR: &str = "Turned right round, every control is clear of the frame.";
/// Hoses at full lock.
pub const HOSES_AT_LOCK: &str = "At full lock no hose or cable pulls tight or catches.";

/// The checks after any work on steering or brakes, in order.
pub static STANDING_CHECKS: &[&str] = &[
    "Steering turns freely from stop to stop without play or a notch.",
    "Each brake bites before its lever reaches the grip.",
    "Nothing on the bar turns under braking force.",
    CONTROLS_CLEAR,
    HOSES_AT_LOCK,
    "Ride slowly, brake hard once on the flat, then check every joint you touched again.",
];
