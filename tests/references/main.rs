//! Published figures, reproduced: each check names where its expected value comes from.

mod circle;
mod e_n;
mod floors;
mod gum;
mod moved;
mod rotation;
mod segments;
mod units;
