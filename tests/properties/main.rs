//! Laws that hold for any input, tried on many.

mod clearance;
mod compare;
mod generator;
mod hose;
mod metrology;
mod syntax;
mod torque;
