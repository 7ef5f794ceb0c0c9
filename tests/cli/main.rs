//! The program as a person runs it: screens, JSON and exit status.

mod restore;
mod torque;
