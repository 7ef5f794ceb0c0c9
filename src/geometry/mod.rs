//! Where things are on the bicycle and how near they come: points, turns, distances, arcs.
//!
//! Axes follow ISO 8855: x forward, y to the rider's left, z up. Lengths are millimetres, angles radians.
//! Everything here is a pure function of numbers. It knows no setup, no measure, no file and no severity:
//! what a clearance means for a rider is said further up.

pub mod arc;
pub mod certified;
pub mod clearance;
pub mod cockpit;
pub mod derived;
pub mod grips;
pub mod hose;
pub mod rigid;
pub mod segment;
pub mod state;
pub mod turning;
pub mod vector;
mod wave;
pub mod why;

pub use crate::metrology::propagate::Number;

pub use arc::Arc;
pub use certified::{FirstContact, Minimum, Sample};
pub use clearance::{Capsule, Clearance};
pub use hose::{Extreme, Hose};
pub use segment::{Segment, SegmentDistance};
pub use vector::{Axis, Sweep, Vector};
