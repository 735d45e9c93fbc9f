//! Question 8 in short: whether the process is drifting.
//!
//! In: control charts. Out: the answer for the first screen, names as they were logged.
//! This module never finds a signal.

use super::words::{candidate, departure, flagged_runs, simulated_chance};
use crate::campaign::Campaign;
use crate::drift::{Drifts, Subject};
use crate::report::print::{Brief, and_list, around};

/// What is flagged, what is not, and how often a log without drift shows as much.
pub fn short(campaign: &Campaign, drift: &Drifts, brief: &mut Brief) {
    let name = |subject: &Subject| match subject {
        Subject::Response(name) => campaign.called(name),
        Subject::Titrant(name) => format!("titrant {name}"),
        Subject::Control => "control sample".into(),
    };
    let (mut quiet, mut flags) = (Vec::new(), 0);
    for series in &drift.series {
        let Some((_, explained)) = series.main_signal() else {
            quiet.push(name(&series.subject));
            continue;
        };
        flags += 1;
        let cause = explained.cause.as_ref().map(candidate);
        brief.say(&format!(
            "{} {} at {}{}",
            name(&series.subject),
            departure(series, explained),
            flagged_runs(series, explained),
            around("; first candidate cause: ", &cause.unwrap_or_default(), "")
        ));
    }
    let quiet = and_list(quiet);
    match flags {
        0 => brief.say(&format!("no flag in {quiet}")),
        _ => brief.say(&around("nothing in ", &quiet, "")),
    }
    let likeliest = drift.series.iter();
    let likeliest = likeliest.max_by(|a, b| a.chance_of_any_flag.total_cmp(&b.chance_of_any_flag));
    if let Some(series) = likeliest {
        let chance = simulated_chance(series.chance_of_any_flag);
        brief.say(&format!(
            "without drift up to {chance} of such logs show one"
        ));
    }
}
