//! Laws that hold for any input, tried on many.

mod carry;
mod clearance;
mod compare;
mod edit;
mod generator;
mod hose;
mod merge;
mod metrology;
mod restore;
mod syntax;
mod torque;
mod trial;
