//! Clampmark: a plain-text ledger of bicycle cockpit setups under git, and what physically changed.
//!
//! The rooms and the direction of the arrows between them are described in `DEVELOPERS.md`.

pub mod body;
pub mod carry;
pub mod catalogue;
pub mod check;
pub mod cli;
pub mod compare;
pub mod geometry;
pub mod history;
pub mod ledger;
pub mod merge;
pub mod metrology;
pub mod report;
pub mod restore;
pub mod setup;
pub mod torque;
pub mod trial;
