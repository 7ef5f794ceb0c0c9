//! Finished results, rendered: as a page for the terminal, as JSON.
//!
//! A renderer computes nothing: all it shows stands in the result it is given.

pub mod adopt;
pub mod body;
pub mod carry;
pub mod check;
pub mod codes;
pub mod diff;
mod faults;
mod floor_not_read;
pub mod fresh;
pub mod gate;
pub mod grips;
pub mod history;
pub mod listing;
pub mod merge;
pub mod new;
mod newer_sheet;
mod not_looked_at;
mod not_tightened;
pub mod overview;
pub mod pile;
mod planned;
pub mod record;
pub mod reference;
mod replaced;
pub mod restore;
mod said;
pub mod screen;
mod sheet_day;
mod soundings;
pub mod torque;
pub mod tour;
pub mod trial;
pub mod turn;
mod unknown_roll;
