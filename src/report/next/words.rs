//! Question 7 in words: which runs should be made next.
//!
//! In: reasons, settings, widths. Out: the answer, and texts whose names stay raw until whoever prints them makes them harmless.
//! This module never plans a run.

use crate::decide::{NextRun, NextRuns, Reason, Width};
use crate::pipeline::Analysis;
use crate::regression::Proposal;
use crate::report::print::term_words::{proposal, written};
use crate::report::print::{Naming, Shown, and_list, count, decimals_for, fixed};
use crate::report::reasons::compared;

/// What a run is for.
pub fn reason(plan: &NextRuns, run: &NextRun) -> String {
    match &run.reason {
        Reason::Separate(terms) => format!("tells apart {}", written(terms).join(", ")),
        Reason::Settle(about) => format!("settles {}", compared(about)),
        Reason::Repeat => {
            let alike = plan.runs.iter().find(|other| {
                other.order != run.order && other.settings == run.settings && other.lot == run.lot
            });
            match alike {
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

/// Whether any run names a lot.
pub fn any_lot(plan: &NextRuns) -> bool {
    plan.runs.iter().any(|run| run.lot.is_some())
}

/// The masses to weigh in, in g, in the order of [`MASSES`]; empty where not known.
pub fn masses(run: &NextRun) -> [Option<f64>; 3] {
    match run.weighing {
        Some(weighing) => [
            Some(weighing.feed_mass),
            weighing.residue_mass,
            weighing.oxidant_mass,
        ],
        None => [None; 3],
    }
}

/// Columns of the runs log that hold these masses.
pub const MASSES: [&str; 3] = ["feed_mass", "residue_mass", "oxidant_mass"];

/// How many runs there are for each sort of reason: `2 to tell apart heating: kiln, 4 to settle open differences`.
pub fn shares(plan: &NextRuns) -> Vec<String> {
    let number = |kind: &str| {
        let of_kind = |run: &&NextRun| reason_kind(&run.reason) == kind;
        plan.runs.iter().filter(of_kind).count()
    };
    let mut parts = Vec::new();
    let mut add = |kind: &str, purpose: String| {
        let runs = number(kind);
        if runs > 0 {
            parts.push(format!("{runs} {purpose}"));
        }
    };
    add(
        "separate",
        format!("to tell apart {}", written(&plan.separated).join(", ")),
    );
    add("confirm", "to confirm the settings recommended".into());
    add("settle", "to settle open differences".into());
    add("repeat", "to repeat another of them".into());
    add("cover", "to know the whole model better".into());
    parts
}

/// `± 1.2`, or why there is none.
pub fn half(width: Option<f64>, factor: f64) -> String {
    match width {
        Some(width) => {
            let shown = factor * width;
            format!("± {}", fixed(shown, decimals_for(shown)))
        }
        None => "cannot be told".into(),
    }
}

/// The width that shrinks most, of those known before.
pub fn most_gained(plan: &NextRuns) -> Option<&Width> {
    let share = |width: &&Width| Some(width.after? / width.before?);
    let known = plan
        .widths
        .iter()
        .filter(|width| width.response == plan.response && share(width).is_some());
    known.min_by(|a, b| share(a).unwrap_or(1.0).total_cmp(&share(b).unwrap_or(1.0)))
}

/// `8 runs`.
pub fn how_many(plan: &NextRuns) -> String {
    count(plan.runs.len(), "run")
}

/// The answer in a few sentences.
pub fn headline(analysis: &Analysis, plan: &NextRuns, naming: Naming) -> String {
    let parts: Vec<String> = shares(plan).iter().map(|part| naming(part)).collect();
    let gain = most_gained(plan).map_or_else(String::new, |width| {
        let shown = Shown::raw(&width.unit).named(naming);
        format!(
            " The difference they sharpen most in {} is {}: from {} to {} {}.",
            naming(&width.response),
            naming(&compared(&width.about)),
            half(width.before, shown.value(1.0)),
            half(width.after, shown.value(1.0)),
            shown.difference
        )
    });
    let tangled = if plan.still_tangled.is_empty() {
        String::new()
    } else {
        let terms: Vec<String> = written(&plan.still_tangled)
            .iter()
            .map(|t| naming(t))
            .collect();
        format!(
            " No run that may be proposed tells apart {}.",
            and_list(&terms)
        )
    };
    let apart: Vec<String> = separating(analysis, naming);
    let apart = if apart.is_empty() {
        String::new()
    } else {
        format!(
            " To tell apart what cannot be told now: {}.",
            apart.join("; ")
        )
    };
    format!(
        "{}, planned below: {}.{apart}{gain}{tangled}",
        how_many(plan),
        and_list(&parts)
    )
}

/// The first run of each kind that would tell apart what a model cannot.
fn separating(analysis: &Analysis, naming: Naming) -> Vec<String> {
    let mut wanted: Vec<&Proposal> = Vec::new();
    for group in analysis
        .models
        .models()
        .flat_map(|model| &model.not_separable)
    {
        if let Some(run) = group.runs_that_would_separate.first()
            && !wanted.contains(&run)
        {
            wanted.push(run);
        }
    }
    let wanted = wanted.into_iter();
    wanted.map(|run| naming(&proposal(run))).collect()
}
