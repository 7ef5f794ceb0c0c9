//! Laws that hold for any input, tried on many.

mod clearance;
mod metrology;
