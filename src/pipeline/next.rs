//! What lies ready for further runs, and the first runs of a campaign.
//!
//! In: a campaign and its logs. Out: [`Bench`]; [`NextRuns`], or the reason why nothing can be planned.
//! This module never decides what is open.

use std::collections::BTreeMap;

use super::fit_models::{no_model, params_of};
use crate::campaign::{Campaign, FactorKind};
use crate::decide::{Bench, LotContent, NextRun, NextRuns, first_runs};
use crate::error::{Error, ErrorKind, Faults};
use crate::intake::{self, LogFile, Logged};
use crate::regression::{ModelParams, ResponseScale, Setting};
use crate::runs::{PlannedRun, PlannedValue, planned, unknown_names, usual_residue_assay};

/// Plans the first runs of a campaign of which none is made yet, beside those planned in its log.
///
/// # Errors
/// As [`first_runs`]; [`crate::error::ErrorKind::Campaign`] without `[model]`, and for levels that the file names and does not declare.
pub fn first(
    campaign: &Campaign,
    planned: &[PlannedRun],
    count: usize,
    seed: u64,
) -> Result<NextRuns, Faults> {
    let plan = campaign.model.as_ref().ok_or_else(|| no_model(campaign))?;
    Faults::or(unknown_names(campaign, None, &[]), ())?;
    let response = plan.responses.first().map_or("", String::as_str);
    let params = ModelParams {
        scale: ResponseScale::Plain,
        // Without runs nothing is known of the spread of lots, so that they cannot be weighed against runs.
        ..params_of(plan, response, String::new(), Vec::new())
    };
    Ok(first_runs(campaign, &params, planned, count, seed)?)
}

/// Part of a setting, or of its declared range, by which it may be another when it is read back from the log.
const MISSED: f64 = 1e-3;

/// Asks that planned runs that were added to a log are read back from it as what they are.
///
/// # Errors
/// Faults that stop the reading, and the first setting that the log does not keep.
pub fn read_back(
    campaign: &Campaign,
    files: &[LogFile],
    added: &[(&str, &NextRun)],
    log: &str,
) -> Result<(), Faults> {
    let logged = intake::read(campaign, files)?;
    let (planned, _) = planned(campaign, &logged);
    let by_name: BTreeMap<&str, &PlannedRun> = planned
        .iter()
        .map(|plan| (plan.run.as_str(), plan))
        .collect();
    for (name, run) in added {
        let Some(plan) = by_name.get(name) else {
            return Err(Error::new(
                ErrorKind::BadRow,
                format!("a planned run would not be read back from `{log}` as one: `{name}`"),
            )
            .in_file(log)
            .hint("look for a second table, or remarks, in that file; `residuum next --csv` prints the lines to be copied by hand")
            .into());
        };
        for (factor, wanted) in run.settings.iter() {
            let mut settings = plan.settings.iter();
            let read = settings.find(|(known, _)| known == factor);
            if is_kept(
                campaign,
                factor,
                wanted,
                read.and_then(|(_, value)| value.as_ref()),
            ) {
                continue;
            }
            return Err(Error::new(
                ErrorKind::MissingColumn,
                format!("`{log}` has no column that keeps `{factor}` of a planned run"),
            )
            .in_file(log)
            .in_column(factor)
            .hint("add that column, or those that it is worked out from; `residuum next` prints the settings to be written by hand")
            .into());
        }
    }
    Ok(())
}

/// Whether a setting that was read back is the one that was wanted, but for rounding.
fn is_kept(
    campaign: &Campaign,
    factor: &str,
    wanted: &Setting,
    read: Option<&PlannedValue>,
) -> bool {
    match (wanted, read) {
        (Setting::Level(wanted), Some(PlannedValue::Level(read))) => wanted == read,
        (Setting::Amount(wanted), Some(PlannedValue::Amount(read))) => {
            let width = match campaign.factor(factor).map(|plan| &plan.kind) {
                Some(FactorKind::Amount { low, high, .. }) => low.zip(*high),
                _ => None,
            };
            let width = width.map_or(0.0, |(low, high)| high - low);
            (wanted - read).abs() <= MISSED * width.max(wanted.abs())
        }
        _ => false,
    }
}

/// What lies ready to be charged: the middle feed mass of the runs made, the lots and the residues.
pub(super) fn bench(logged: &Logged) -> Option<Bench> {
    let counted = logged
        .runs
        .rows
        .iter()
        .filter(|row| row.set_aside.is_none());
    let feeds = counted.filter_map(|row| Some(row.feed_mass?.value));
    let lots = logged.lots.iter().filter_map(|row| {
        Some(LotContent {
            lot: row.lot.clone(),
            assay: row.assay?.value,
            impurities: row.impurities.clone(),
        })
    });
    Some(Bench {
        feed_mass: middle(feeds.collect())?,
        residue_assay: usual_residue_assay(logged),
        lots: lots.collect(),
    })
}

/// The middle value; the lower of the two middle ones when there is an even number.
fn middle(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    values.get(values.len().saturating_sub(1) / 2).copied()
}
