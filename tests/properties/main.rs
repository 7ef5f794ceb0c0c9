//! Laws that hold for any input, tried on many.

mod carry;
mod clearance;
mod hose;
mod metrology;
mod syntax;
mod torque;
mod trial;
