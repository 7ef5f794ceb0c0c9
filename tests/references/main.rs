//! Published figures, reproduced: each check names where its expected value comes from.

mod bikes;
mod body;
mod chain;
mod circle;
mod e_n;
mod floors;
mod gum;
mod monte_carlo;
mod moved;
mod rotation;
mod segments;
mod torque;
mod units;
