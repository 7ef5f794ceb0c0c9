//! A day on the command line, told from what only looks like one.

use chrono::NaiveDate;

use crate::setup::read::iso_date;

/// What a word means as a day.
#[derive(Debug, PartialEq, Eq)]
pub enum Written {
    /// A day.
    Day(NaiveDate),
    /// Written like a day, but there is none such; why.
    NoDay(String),
    /// Nothing like a day.
    Nothing,
}

/// Reads a word: a day as ISO 8601 writes it. What has three groups of digits was meant as one.
pub fn day(word: &str) -> Written {
    if let Some(day) = iso_date(word) {
        return Written::Day(day);
    }
    let groups: Vec<&str> = word.split(['-', '/', '.']).collect();
    let is_number = |group: &&str| !group.is_empty() && group.bytes().all(|byte| byte.is_ascii_digit());
    let [year, month, day] = groups[..] else { return Written::Nothing };
    if !groups.iter().all(is_number) {
        return Written::Nothing;
    }
    let as_written = year.len() == 4 && month.len() == 2 && day.len() == 2 && word.matches('-').count() == 2;
    Written::NoDay(if !as_written {
        "a day is written as four digits, two and two, with hyphens".to_owned()
    } else if !(1..=12).contains(&month.parse().unwrap_or(0)) {
        format!("there is no month {month}")
    } else {
        format!("that month has no day {day}")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_is_told_from_what_only_looks_like_one_and_from_a_revision() {
        let written =
            |year, month, day| Written::Day(NaiveDate::from_ymd_opt(year, month, day).expect("a day"));
        assert_eq!(day("2031-05-02"), written(2031, 5, 2));
        // 2028 is a leap year, 2031 is none (Gregorian rule).
        assert_eq!(day("2028-02-29"), written(2028, 2, 29));
        let no = |word: &str| match day(word) {
            Written::NoDay(why) => why,
            other => panic!("{word}: {other:?}"),
        };
        assert_eq!(no("2026-13-40"), "there is no month 13");
        assert_eq!(no("2031-02-29"), "that month has no day 29");
        for word in ["26-05-02", "2031-5-2", "02.05.2031", "2031/05/02"] {
            assert!(no(word).contains("four digits"), "{word}");
        }
        for word in ["HEAD~2", "v1.2.3", "venue-1", "2031", "1.2.3.4", "2031-05"] {
            assert_eq!(day(word), Written::Nothing, "{word}");
        }
    }
}
