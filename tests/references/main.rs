//! Published figures, reproduced: each check names where its expected value comes from.

mod bikes;
mod chain;
mod circle;
mod e_n;
mod gum;
mod monte_carlo;
mod rotation;
mod segments;
mod torque;
mod units;
