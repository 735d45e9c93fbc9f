//! Which runs to make next, from what the stages before found.
//!
//! In: a campaign, its logs, runs, models and findings. Out: [`NextRuns`], or the reason why nothing can be planned.
//! This module never decides what is open: it hands on what the answers leave open.

use crate::campaign::Campaign;
use crate::decide::{
    Bench, Findings, LotContent, ModelSet, NextRuns, PlanFrom, first_runs, next_runs,
    open_questions,
};
use crate::error::Error;
use crate::intake::Logged;
use crate::regression::{ModelParams, ResponseScale};
use crate::runs::Runs;

/// Plans runs beside those made.
///
/// # Errors
/// As [`next_runs`].
pub(super) fn next(
    campaign: &Campaign,
    runs: &Runs,
    models: &ModelSet,
    findings: &Findings,
    bench: Option<&Bench>,
    count: usize,
    seed: u64,
) -> Result<NextRuns, Error> {
    let standing = PlanFrom {
        campaign,
        runs,
        models,
        open: &open_questions(findings),
        repeats: findings
            .repeatability
            .as_ref()
            .map_or(0, |known| known.degrees_of_freedom),
        bench,
    };
    next_runs(&standing, count, seed)
}

/// Plans the first runs of a campaign whose runs log has no row yet.
///
/// # Errors
/// As [`first_runs`]; [`crate::error::ErrorKind::Campaign`] without `[model]`.
pub fn first(campaign: &Campaign, count: usize, seed: u64) -> Result<NextRuns, Error> {
    let Some(plan) = &campaign.model else {
        return Err(super::fit_models::no_model(campaign));
    };
    let response = plan.responses.first().map_or("", String::as_str);
    let params = ModelParams {
        scale: ResponseScale::Plain,
        // Without runs nothing is known of the spread of lots, so that they cannot be weighed against runs.
        ..super::fit_models::params_of(plan, response, String::new(), Vec::new())
    };
    first_runs(campaign, &params, None, count, seed)
}

/// What lies ready to be charged: the middle feed mass of the runs made, the lots and the residues.
pub(super) fn bench(logged: &Logged) -> Option<Bench> {
    let feeds = logged
        .runs
        .rows
        .iter()
        .filter(|row| row.set_aside.is_none());
    let feed_mass = middle(feeds.filter_map(|row| Some(row.feed_mass?.value)).collect())?;
    let residues = logged.residues.iter();
    Some(Bench {
        feed_mass,
        residue_assay: middle(residues.filter_map(|row| Some(row.assay?.value)).collect()),
        lots: logged
            .lots
            .iter()
            .filter_map(|row| {
                Some(LotContent {
                    lot: row.lot.clone(),
                    assay: row.assay?.value,
                    impurities: row.impurities.clone(),
                })
            })
            .collect(),
    })
}

/// The middle value; the lower of the two middle ones when there is an even number.
fn middle(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    values.get(values.len().saturating_sub(1) / 2).copied()
}
