//! The day here: the rooms below never ask for it.

use crate::setup::read::iso_date;

/// The variable by which tests fix the day, so that what they see does not vary.
const TODAY: &str = "CLAMPMARK_TODAY";

/// The day here, or the one that a test fixed.
pub fn today() -> chrono::NaiveDate {
    let fixed = std::env::var(TODAY).ok().and_then(|day| iso_date(&day));
    fixed.unwrap_or_else(|| chrono::Local::now().date_naive())
}
