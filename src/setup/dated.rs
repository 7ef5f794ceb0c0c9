//! The day that a note begins with: "2026-05-09 damage: scored".

use chrono::NaiveDate;

use super::read::iso_date;

/// The day and the space behind it, as a note begins; nothing where the day is not known.
pub fn prefix(day: Option<NaiveDate>) -> String {
    day.map(|day| format!("{day} ")).unwrap_or_default()
}

/// The day that a text begins with, if it does, and the rest.
pub fn split(text: &str) -> (Option<NaiveDate>, &str) {
    let text = text.trim();
    let dated = text.split_once(' ').and_then(|(day, rest)| Some((iso_date(day)?, rest.trim_start())));
    dated.map_or((None, text), |(day, rest)| (Some(day), rest))
}
