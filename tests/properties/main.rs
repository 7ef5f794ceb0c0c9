//! Laws that hold for any input, tried on many.

mod carry;
mod clearance;
mod compare;
mod generator;
mod edit;
mod hose;
mod metrology;
mod restore;
mod syntax;
mod torque;
mod trial;
