//! What a person does next: evidence from witness marks, the way back, sheets to fill in, readings to keep.
//!
//! Works on states and comparisons; refuses to know files, git and screens.

pub mod evidence;
pub mod findings;
mod holder;
mod moves;
pub mod plan;
mod step;

use crate::catalogue::{Row, table};

pub use plan::{Blocked, Plan, plan};
pub use step::{Move, Step, StepKind, StepTorque};

/// Whether a measure is a figure of the part itself: a joint holds the part, but no turn of it changes the figure;
/// only another part does.
pub fn is_figure(row: Row) -> bool {
    [
        table::HEADSET_COVER,
        table::STEM_LENGTH,
        table::STEM_ANGLE,
        table::STEM_CLAMP_HEIGHT,
        table::GRIP_LENGTH,
    ]
    .contains(&row)
}
