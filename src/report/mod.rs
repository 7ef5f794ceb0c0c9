//! Finished results, rendered: as a page for the terminal, as JSON.
//!
//! A renderer computes nothing: all it shows stands in the result it is given.

pub mod check;
pub mod codes;
pub mod diff;
pub mod history;
pub mod merge;
pub mod grips;
pub mod overview;
pub mod screen;
mod soundings;
pub mod torque;
pub mod turn;
