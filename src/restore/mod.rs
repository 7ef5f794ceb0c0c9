//! What a person does next: evidence from witness marks, the way back, sheets to fill in, readings to keep.
//!
//! Works on states and comparisons; refuses to know files, git and screens.

pub mod answer;
mod contradiction;
pub mod evidence;
mod holder;
mod keep;
mod moves;
pub mod plan;
pub mod present;
mod put_back;
pub mod record;
pub mod sheet;
pub mod since;
mod step;

pub use evidence::MarkVerdict;
pub use keep::{DamageKept, MarkLost, NoteKept, OpenedNote, TorqueKept, Trace};
pub use plan::{Blocked, Plan, Reach, plan};
pub use put_back::{NotPutBack, PutBack, Untold, put_back, untold};
pub use step::{Move, Step, StepKind, StepTorque};
