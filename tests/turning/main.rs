//! What turning the bars does: a bike worked out by hand, laws that hold for any bike, and differences.

mod by_hand;
mod differences;
mod findings;
mod laws;
mod monte_carlo;
mod support;
