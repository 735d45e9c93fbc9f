//! Question 8 in a few sentences: is the process drifting?
//!
//! In: control charts, and how names are made harmless. Out: the answer.
//! This module never decides what is flagged.

use super::aim_words::Naming;
use super::drift_words::{
    candidate, centre_of, departure, flagged_runs, name_of, onset, sd_of, simulated_chance,
};
use super::words::{and_list, capital};
use crate::drift::{Drifts, Explained, Series, Subject};

/// What the charts say, in a few sentences.
pub(super) fn headline(drift: &Drifts, naming: Naming) -> String {
    let (mut flagged, mut quiet) = (Vec::new(), Vec::new());
    for series in &drift.series {
        match main_finding(series, naming) {
            Some(finding) => flagged.push(finding),
            None => quiet.push(format!(
                "{} (centre {}, SD {})",
                naming(&name_of(series)),
                naming(&centre_of(series)),
                naming(&sd_of(series))
            )),
        }
    }
    let mut text = flagged.join(" ");
    if !quiet.is_empty() {
        if !text.is_empty() {
            text.push(' ');
        }
        text.push_str(&format!(
            "Nothing out of the ordinary in {}.",
            and_list(&quiet)
        ));
    }
    text
}

fn main_finding(series: &Series, naming: Naming) -> Option<String> {
    let (_, explained) = series.main_signal()?;
    let cause = match &explained.cause {
        Some(cause) => format!("; first candidate cause: {}", naming(&candidate(cause))),
        None if begins_with_the_log(series, explained) => {
            ", from the start of the log, so there is no change to name".into()
        }
        None => "; nothing in the log changed there".into(),
    };
    let cause = match series.subject {
        Subject::Response(_) => cause,
        Subject::Titrant(_) => String::new(),
    };
    Some(format!(
        "{}: flagged at {}, {} since about {}{cause} (a log of this length without drift has a flag with a chance of {}).",
        capital(&naming(&name_of(series))),
        naming(&flagged_runs(series, explained)),
        naming(&departure(series, explained)),
        naming(onset(series, explained)),
        simulated_chance(series.chance_of_any_flag),
    ))
}

/// Whether a departure was there from the first place charted on.
fn begins_with_the_log(series: &Series, explained: &Explained) -> bool {
    series
        .places
        .first()
        .is_some_and(|first| first.name == onset(series, explained))
}
