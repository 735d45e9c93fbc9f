//! Question 7 in words: which runs should be made next.
//!
//! In: reasons, settings, widths. Out: the answer, and pieces of it, names as they were logged.
//! This module never plans a run.

use crate::decide::{NextRun, NextRuns, Reason, Width};
use crate::regression::NoForecast;
use crate::report::print::aim_names::Called;
use crate::report::print::untold_terms::written;
use crate::report::print::{Shown, and_list, capital, count, decimals_for, fixed, joined};
use crate::report::reasons::{compared_as, no_forecast};

/// What a run is for.
pub fn reason(plan: &NextRuns, run: &NextRun, called: Called) -> String {
    match &run.reason {
        Reason::Separate(terms) => format!("tells apart {}", joined(written(terms), ", ")),
        Reason::Settle(about) => format!("settles {}", compared_as(about, called)),
        Reason::Repeat => {
            let mut others = plan.runs.iter().filter(|other| other.order != run.order);
            match others.find(|other| other.settings == run.settings && other.lot == run.lot) {
                Some(other) => format!("repeats number {}", other.order),
                None => "repeats another of these runs".into(),
            }
        }
        Reason::Confirm => "confirms the settings recommended".into(),
        Reason::Cover => "makes the whole model better known".into(),
    }
}

/// The fixed term for a reason in data.
pub fn reason_kind(reason: &Reason) -> &'static str {
    match reason {
        Reason::Separate(_) => "separate",
        Reason::Settle(_) => "settle",
        Reason::Repeat => "repeat",
        Reason::Confirm => "confirm",
        Reason::Cover => "cover",
    }
}

/// Names of the factors that the runs set, in byte order.
pub fn factors(plan: &NextRuns) -> Vec<String> {
    let first = plan.runs.first().into_iter();
    first
        .flat_map(|run| run.settings.iter())
        .map(|(name, _)| name.to_string())
        .collect()
}

/// The masses to weigh in, in g, in the order of [`MASSES`]; empty where not known.
pub fn masses(run: &NextRun) -> [Option<f64>; 3] {
    let of = run.weighing.as_ref();
    [
        of.map(|weighing| weighing.feed_mass),
        of.and_then(|weighing| weighing.residue_mass),
        of.and_then(|weighing| weighing.oxidant_mass),
    ]
}

/// Columns of the runs log that hold these masses.
pub const MASSES: [&str; 3] = ["feed_mass", "residue_mass", "oxidant_mass"];

/// How many runs there are for each sort of reason: `2 to tell apart heating: kiln, 4 to settle open differences`.
pub fn shares(plan: &NextRuns) -> impl Iterator<Item = String> {
    let apart = joined(written(&plan.separated), ", ");
    let purposes = [
        ("separate", format!("to tell apart {apart}")),
        ("confirm", "to confirm the settings recommended".into()),
        ("settle", "to settle what is open".into()),
        ("repeat", "to repeat one".into()),
        (
            "cover",
            "to know the whole model better, as they could settle nothing that is open".into(),
        ),
    ];
    purposes.into_iter().filter_map(move |(kind, purpose)| {
        let of_kind = |run: &&NextRun| reason_kind(&run.reason) == kind;
        let runs = plan.runs.iter().filter(of_kind).count();
        (runs > 0).then(|| format!("{runs} {purpose}"))
    })
}

/// The width that shrinks most, of those known before, in a sentence with a blank before it.
fn most_gained(plan: &NextRuns, called: Called) -> Option<String> {
    let share = |width: &&Width| Some(width.after.ok()? / width.before?);
    let of_response = plan.widths.iter();
    let of_response = of_response.filter(|width| width.response == plan.response);
    let known = of_response.filter(|width| share(width).is_some());
    let most = known.min_by(|a, b| share(a).unwrap_or(1.0).total_cmp(&share(b).unwrap_or(1.0)))?;
    let shown = Shown::of(&most.unit);
    let half = |width: Option<f64>| match width.map(|width| shown.value(1.0) * width) {
        Some(half) => format!("± {}", fixed(half, decimals_for(half))),
        None => "cannot be told".into(),
    };
    Some(format!(
        " The difference they sharpen most in {} is {}: from {} to {} {}.",
        most.response,
        compared_as(&most.about, called),
        half(most.before),
        half(most.after.ok()),
        shown.difference
    ))
}

/// Why widths and chances to come are not said, where the runs made tell too little of the scatter.
pub fn too_little(plan: &NextRuns) -> Option<String> {
    let widths = plan.widths.iter().filter_map(|width| width.after.err());
    let unknown = |why: &NoForecast| matches!(why, NoForecast::ScatterUnknown { .. });
    let mut chances = plan.power.iter().filter_map(|power| power.before.err());
    let why = widths.filter(unknown).chain(chances.find(unknown)).next()?;
    Some(no_forecast(&why))
}

/// `8 runs`.
pub fn how_many(plan: &NextRuns) -> String {
    count(plan.runs.len(), "run")
}

/// Planned runs that are named; more are only counted.
const NAMED: usize = 6;

/// The runs that are planned in the log already: `2 runs are planned in the log already: next-1 and next-2`.
pub fn in_the_log(plan: &NextRuns) -> Option<String> {
    let known = &plan.in_the_log;
    let are = match known.len() {
        0 => return None,
        1 => "is",
        _ => "are",
    };
    let named = known.iter().take(NAMED).cloned();
    let more = known.len().saturating_sub(NAMED);
    let more = (more > 0).then(|| format!("{more} more"));
    let named: Vec<String> = named.chain(more).collect();
    Some(format!(
        "{} {are} planned in the log already: {}",
        count(known.len(), "run"),
        and_list(named)
    ))
}

/// What the runs are for, and what they sharpen most, in a few sentences.
pub fn headline(plan: &NextRuns, called: Called) -> String {
    let known = in_the_log(plan).map(|known| format!("{}.", capital(&known)));
    let planned = match plan.runs.is_empty() {
        true => "No further run is chosen.".into(),
        false => format!("{}: {}.", capital(&how_many(plan)), and_list(shares(plan))),
    };
    let gained = most_gained(plan, called).unwrap_or_default();
    joined([planned + &gained].into_iter().chain(known), " ")
}
