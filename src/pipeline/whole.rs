//! The whole job, stage after stage.
//!
//! In: a checked campaign and its runs on one footing. Out: [`Analysis`].
//! This module never works anything out itself: it hands each stage what those before found.

use super::{Analysis, Models, Normalised, drift, fit, next, side_models};
use crate::campaign::Campaign;
use crate::decide::{Material, ModelSet, RUNS_PLANNED, answers, costs};
use crate::error::Faults;

/// The whole job: runs, models where the campaign asks for them, answers, and as many further runs as are usual.
///
/// # Errors
/// As [`fit`].
pub fn analyse(
    campaign: Campaign,
    normalised: Normalised,
    only: Option<&str>,
    seed: u64,
) -> Result<Analysis, Faults> {
    analyse_and_plan(campaign, normalised, only, RUNS_PLANNED, seed)
}

/// The same with so many further runs planned.
///
/// # Errors
/// As [`fit`].
pub fn analyse_and_plan(
    campaign: Campaign,
    normalised: Normalised,
    only: Option<&str>,
    planned: usize,
    seed: u64,
) -> Result<Analysis, Faults> {
    let bench = next::bench(&normalised.logged);
    let runs = normalised.runs;
    let models = if campaign.model.is_some() {
        fit(&campaign, &runs, only, seed)?
    } else {
        Models::default()
    };
    let comparisons: Vec<_> = models
        .further
        .iter()
        .map(|further| further.comparisons.clone())
        .collect();
    let costs = costs(&campaign, &runs);
    let side = side_models::side_models(&campaign, &runs, costs.as_ref());
    let set = ModelSet::new(models.models, side);
    let material = Material {
        campaign: &campaign,
        runs: &runs,
        models: &set,
        comparisons: &comparisons,
        costs: costs.as_ref(),
        seed,
    };
    // Neither knows the other, so that a second core need not wait.
    let (answers, drift) = std::thread::scope(|scope| {
        let answers = scope.spawn(|| answers(&material));
        let drift = drift(&campaign, &runs, set.models(), only, seed);
        match answers.join() {
            Ok(answers) => (answers, drift),
            Err(panic) => std::panic::resume_unwind(panic),
        }
    });
    let mut caveats = runs.caveats.clone();
    caveats.extend(models.caveats);
    let bench = bench.as_ref();
    let next = (!set.responses.is_empty())
        .then(|| next::next(&campaign, &runs, &set, &answers, bench, planned, seed));
    Ok(Analysis {
        campaign,
        runs,
        models: set,
        further: models.further,
        costs,
        answers,
        next,
        drift,
        caveats,
    })
}
