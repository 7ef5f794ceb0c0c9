//! Published figures, reproduced: each check names where its expected value comes from.

mod circle;
mod e_n;
mod gum;
mod rotation;
mod segments;
mod torque;
mod units;
