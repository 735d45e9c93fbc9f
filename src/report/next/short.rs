//! Question 7 in short: which runs should be made next.
//!
//! In: the plan. Out: the answer for the first screen, names as they were logged.
//! This module never plans a run.

use super::words::{how_many, in_the_log, shares};
use crate::campaign::Campaign;
use crate::decide::{NextRuns, Width};
use crate::report::print::{Brief, Shown, and_list, decimals_for, fixed};
use crate::report::reasons::compared_as;

/// How many runs for what, and what they make known.
pub fn short(campaign: &Campaign, plan: &NextRuns, brief: &mut Brief) {
    let known = in_the_log(plan);
    match plan.runs.is_empty() {
        true => brief.say(&format!(
            "{}; no further one is chosen",
            known.unwrap_or_default()
        )),
        false => {
            brief.say(&format!("{}: {}", how_many(plan), and_list(shares(plan))));
            brief.say(&known.unwrap_or_default());
        }
    }
    if let Some(gained) = gained(campaign, plan) {
        brief.say(&gained);
    }
}

/// What the runs make known: a difference that nobody knows now before one that becomes sharper.
fn gained(campaign: &Campaign, plan: &NextRuns) -> Option<String> {
    let of_response = || plan.widths.iter().filter(|of| of.response == plan.response);
    let of_response = || of_response().filter_map(|width| Some((width, width.after.ok()?)));
    let about = |width: &Width| compared_as(&width.about, |name| campaign.called(name));
    let half = |width: &Width, value: f64| {
        let shown = Shown::of(&width.unit);
        let value = shown.value(value);
        format!(
            "± {} {}",
            fixed(value, decimals_for(value)),
            shown.difference
        )
    };
    if let Some((width, after)) = of_response().find(|(width, _)| width.before.is_none()) {
        let about = about(width);
        return Some(format!(
            "{about}, unknown now, becomes known to {}",
            half(width, after)
        ));
    }
    let share = |(width, after): &(&Width, f64)| after / width.before.unwrap_or(f64::INFINITY);
    let most = of_response().min_by(|a, b| share(a).total_cmp(&share(b)))?;
    let (width, after) = most;
    Some(format!(
        "{} becomes known to {}, now {}",
        about(width),
        half(width, after),
        half(width, width.before?)
    ))
}
