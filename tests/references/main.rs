//! Published figures, reproduced: each check names where its expected value comes from.

mod e_n;
mod gum;
mod units;
