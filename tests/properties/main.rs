//! Laws that hold for any input, tried on many.

mod clearance;
mod edit;
mod hose;
mod merge;
mod metrology;
mod syntax;
mod torque;
