//! The longest time that one campaign may take.
//!
//! In: the work on a campaign, a limit. Out: what the work left, or an entry that names the campaign as ended.
//! This module never ends a thread: one that took too long may put nothing into place and ends with the program.

use std::sync::Arc;
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::thread;
use std::time::Duration;

use residuum::error::{Error, ErrorKind};
use residuum::units::{Dimension, Unit};

use super::find::Place;
use super::seen::Seen;
use super::work::{Round, Turn, known, seen, work};
use crate::cli::faults::too_long;

/// Seconds of the unit that times are counted in.
const SECONDS_OF_A_MINUTE: f64 = 60.0;

/// Longest limit: what takes longer than a year needs none.
const LONGEST: f64 = 366.0 * 86_400.0;

/// A limit as it is written, such as `90 s`, `10 min` or `1.5 h`.
///
/// # Errors
/// What to write instead.
pub(super) fn read(text: &str) -> Result<Duration, String> {
    let hint = "write a time above zero with its unit, such as `90 s`, `10 min` or `1 h`";
    let place = text
        .find(|c: char| !(c.is_ascii_digit() || c == '.'))
        .unwrap_or(text.len());
    let (number, unit) = text.split_at(place);
    let number: Option<f64> = number.parse().ok();
    let unit = Unit::of(unit.trim(), Dimension::Time);
    let seconds = number
        .zip(unit)
        .map(|(number, unit)| unit.to_base(number) * SECONDS_OF_A_MINUTE);
    let seconds = seconds.filter(|seconds| *seconds > 0.0 && *seconds <= LONGEST);
    seconds
        .map(Duration::from_secs_f64)
        .ok_or_else(|| hint.to_string())
}

/// Does one campaign within the limit of the round.
pub(super) fn within(round: &Arc<Round>, place: &Place, before: Option<&Seen>) -> Seen {
    let limit = round.options.limit;
    let turn = Arc::new(Turn::default());
    let (tell, told) = channel();
    let work = {
        let (round, place, before) = (Arc::clone(round), place.clone(), before.cloned());
        let turn = Arc::clone(&turn);
        move || {
            // Nobody listens any more where the limit has passed.
            let _ = tell.send(work(&round, &place, before.as_ref(), &turn));
        }
    };
    if thread::Builder::new().spawn(work).is_err() {
        let what = "the system starts no further thread";
        let error = Error::new(ErrorKind::Unreadable, what);
        return failed(round, place, before, error);
    }
    match told.recv_timeout(limit) {
        Ok(seen) => seen,
        // It is putting its report into place, which is not to be cut off.
        Err(RecvTimeoutError::Timeout) if !turn.take() => told
            .recv()
            .unwrap_or_else(|_| failed(round, place, before, too_long(limit))),
        Err(_) => failed(round, place, before, too_long(limit)),
    }
}

fn failed(round: &Round, place: &Place, before: Option<&Seen>, error: Error) -> Seen {
    let entry = known(&round.options.out, place, before).failed(&error.into());
    seen(round, place, entry)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_time_needs_its_unit_and_is_above_zero() {
        assert_eq!(read("90 s"), Ok(Duration::from_secs(90)));
        assert_eq!(read("10min"), Ok(Duration::from_secs(600)));
        assert_eq!(read("1.5 h"), Ok(Duration::from_secs(5400)));
        for wrong in [
            "",
            "10",
            "0 s",
            "-1 s",
            "10 g",
            "1,5 h",
            "s",
            "1e9 h",
            "9999999 h",
        ] {
            assert!(read(wrong).is_err(), "{wrong}");
        }
    }
}
