//! The program as a person runs it: screens, JSON and exit status.

mod torque;
//! The real program on real temporary ledgers: every screen as the user sees it.

mod harness;
mod texts;

mod check;
mod completions;
mod grips;
mod overview;
mod surroundings;
