//! Laws that hold for any input, tried on many.
#![allow(
    clippy::format_push_string,
    clippy::type_complexity,
    clippy::if_not_else,
    clippy::match_bool,
    clippy::case_sensitive_file_extension_comparisons,
    reason = "generators of random files read better as they are"
)]

mod carry;
mod clearance;
mod compare;
mod edit;
mod edit_records;
mod generator;
mod hose;
mod merge;
mod metrology;
mod record;
mod restore;
mod syntax;
mod torque;
mod trial;
