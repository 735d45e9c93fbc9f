//! What lies ready for further runs, and the first runs of a campaign.
//!
//! In: a campaign and its logs. Out: [`Bench`]; [`NextRuns`], or the reason why nothing can be planned.
//! This module never decides what is open.

use super::fit_models::{no_model, params_of};
use crate::campaign::Campaign;
use crate::decide::{Bench, LotContent, NextRuns, first_runs};
use crate::error::Faults;
use crate::intake::Logged;
use crate::regression::{ModelParams, ResponseScale};
use crate::runs::unknown_names;

/// Plans the first runs of a campaign whose runs log has no row yet.
///
/// # Errors
/// As [`first_runs`]; [`crate::error::ErrorKind::Campaign`] without `[model]`, and for levels that the file names and does not declare.
pub fn first(campaign: &Campaign, count: usize, seed: u64) -> Result<NextRuns, Faults> {
    let plan = campaign.model.as_ref().ok_or_else(|| no_model(campaign))?;
    Faults::or(unknown_names(campaign, None, &[]), ())?;
    let response = plan.responses.first().map_or("", String::as_str);
    let params = ModelParams {
        scale: ResponseScale::Plain,
        // Without runs nothing is known of the spread of lots, so that they cannot be weighed against runs.
        ..params_of(plan, response, String::new(), Vec::new())
    };
    Ok(first_runs(campaign, &params, None, count, seed)?)
}

/// What lies ready to be charged: the middle feed mass of the runs made, the lots and the residues.
pub(super) fn bench(logged: &Logged) -> Option<Bench> {
    let counted = logged
        .runs
        .rows
        .iter()
        .filter(|row| row.set_aside.is_none());
    let feeds = counted.filter_map(|row| Some(row.feed_mass?.value));
    let residues = logged
        .residues
        .iter()
        .filter_map(|row| Some(row.assay?.value));
    let lots = logged.lots.iter().filter_map(|row| {
        Some(LotContent {
            lot: row.lot.clone(),
            assay: row.assay?.value,
            impurities: row.impurities.clone(),
        })
    });
    Some(Bench {
        feed_mass: middle(feeds.collect())?,
        residue_assay: middle(residues.collect()),
        lots: lots.collect(),
    })
}

/// The middle value; the lower of the two middle ones when there is an even number.
fn middle(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    values.get(values.len().saturating_sub(1) / 2).copied()
}
