//! Finished results, rendered: as a page for the terminal, as JSON.
//!
//! A renderer computes nothing: all it shows stands in the result it is given.

pub mod codes;
pub mod diff;
pub mod record;
pub mod restore;
pub mod screen;
pub mod torque;
