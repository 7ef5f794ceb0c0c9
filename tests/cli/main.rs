//! The real program on real temporary ledgers: every screen as a person sees it, JSON and exit status.

mod harness;
mod texts;

mod check;
mod completions;
mod grips;
mod overview;
mod surroundings;
mod torque;
mod turn;
