//! The time for the index page.
//!
//! In: the clock. Out: the time in UTC to the minute, for the index page alone.
//! This module never hands a time to anything that goes into a report.

use std::time::{SystemTime, UNIX_EPOCH};

use chrono::{DateTime, Datelike, Timelike};

/// The time now as `2031-01-02 03:04 UTC`; none where the clock stands before 1970.
pub(super) fn now() -> Option<String> {
    let seconds = SystemTime::now().duration_since(UNIX_EPOCH).ok()?.as_secs();
    written(seconds)
}

fn written(seconds: u64) -> Option<String> {
    let time = DateTime::from_timestamp(i64::try_from(seconds).ok()?, 0)?;
    Some(format!(
        "{:04}-{:02}-{:02} {:02}:{:02} UTC",
        time.year(),
        time.month(),
        time.day(),
        time.hour(),
        time.minute()
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn seconds_since_1970_become_a_time() {
        // The billionth second, as `date -u -d @1000000000` of GNU coreutils gives it.
        assert_eq!(
            written(1_000_000_000),
            Some("2001-09-09 01:46 UTC".to_string())
        );
    }
}
