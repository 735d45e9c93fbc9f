//! Day that a date means.
//!
//! In: the text of a cell. Out: the day, where the text is a date by ISO 8601 and nothing else.
//! This module never guesses which figure is the month.

use chrono::{Datelike, NaiveDate, NaiveTime};

/// Forms of a time of day behind a date.
const TIMES: [&str; 2] = ["%H:%M", "%H:%M:%S%.f"];

/// Bytes of a date: `2025-10-03`.
const DATE: usize = 10;

/// Days since the first day of the year 1; a time of day may follow, with or without its distance from UTC.
pub(super) fn day(text: &str) -> Option<i32> {
    let (date, rest) = text.split_at_checked(DATE)?;
    let day = NaiveDate::parse_from_str(date, "%Y-%m-%d").ok()?;
    // Dates are put in order as text, so `2025-3-5` will not do.
    let sound = day.to_string() == date && (rest.is_empty() || is_time(rest));
    sound.then(|| day.num_days_from_ce())
}

/// The date with day and month exchanged, where that is another date.
pub(super) fn swapped(text: &str) -> Option<(String, i32)> {
    let (date, _) = text.split_at_checked(DATE)?;
    let [year, month, day] = date.split('-').collect::<Vec<_>>().try_into().ok()?;
    let swapped = format!("{year}-{day}-{month}");
    let number = self::day(&swapped).filter(|_| swapped != date)?;
    Some((swapped, number))
}

fn is_time(rest: &str) -> bool {
    let Some(time) = rest.strip_prefix(['T', ' ']) else {
        return false;
    };
    let bare = match time.find(['+', '-']) {
        Some(sign) if is_one_of(&TIMES[..1], &time[sign + 1..]) => &time[..sign],
        Some(_) => return false,
        None => time.strip_suffix('Z').unwrap_or(time),
    };
    is_one_of(&TIMES, bare)
}

fn is_one_of(forms: &[&str], text: &str) -> bool {
    forms
        .iter()
        .any(|form| NaiveTime::parse_from_str(text, form).is_ok())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_time_may_follow_a_date_and_nothing_else() {
        // 2025-03-05 is day 739315: 2024 · 365 + 491 leap days = 739251 to the end of 2024, and 31 + 28 + 5.
        for text in [
            "2025-03-05",
            "2025-03-05T14:30",
            "2025-03-05 14:30:05.5",
            "2025-03-05T14:30Z",
            "2025-03-05T14:30+02:00",
        ] {
            assert_eq!(day(text), Some(739_315), "{text}");
        }
        for text in [
            "5.3.2025",
            "2025-02-30",
            "2025-03-05 or so",
            "2025-03-05T25:00",
            "2025-03-051",
            "2025-3-5",
            "2025-03-0\u{fc}",
        ] {
            assert_eq!(day(text), None, "{text}");
        }
    }
}
