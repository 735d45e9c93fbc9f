//! Yields, titrants and budgets as data.
//!
//! In: runs. Out: what stands under `yields`, `titrants` and `budgets`.
//! This module never rounds.

use crate::decide::Budget;
use crate::measured::Share;
use crate::report::reasons::no_result;
use crate::result::{self, BudgetShare, CrossCheck, FirstSource, Measured, Named};
use crate::runs::{Outcome, RunResult, Runs, TitrantResult};

/// One entry a run.
pub fn yields(runs: &Runs) -> Vec<result::Yield> {
    let results = runs.results.iter();
    results.map(|run| one_yield(runs, run)).collect()
}

fn one_yield(runs: &Runs, run: &RunResult) -> result::Yield {
    let figures: [(&str, &Outcome); 9] = [
        ("gross", &run.gross),
        ("assay_adjusted", &run.assay_adjusted),
        ("contained", &run.contained),
        ("contained_fresh", &run.contained_fresh),
        ("purity", &run.purity),
        ("closure", &run.balance.closure),
        ("unaccounted", &run.balance.unaccounted),
        ("theory_fresh", &run.theory_fresh),
        ("theory_total", &run.theory_total),
    ];
    let missing = figures.iter().filter_map(|(name, outcome)| {
        let reason = outcome.as_ref().err()?;
        Some((name.to_string(), no_result(reason)))
    });
    let reasons: Named<String> = missing.collect();
    result::Yield {
        run: run.run.clone(),
        lot: run.lot.clone(),
        date: run.date.clone(),
        set_aside: run.set_aside.clone(),
        gross: known(&run.gross),
        assay_adjusted: known(&run.assay_adjusted),
        contained: known(&run.contained),
        contained_fresh: known(&run.contained_fresh),
        purity: known(&run.purity),
        closure: known(&run.balance.closure),
        unaccounted: known(&run.balance.unaccounted),
        theory_fresh: known(&run.theory_fresh),
        theory_total: known(&run.theory_total),
        reason: reasons.0.first().map(|(_, reason)| reason.clone()),
        reasons,
        balance: result::Balance {
            crops: known(&run.balance.crops),
            liquor: known(&run.balance.liquor),
            residue: known(&run.balance.residue),
        },
        oxidant_excess: run.oxidant_excess,
        crops: run
            .crops
            .iter()
            .map(|crop| result::Crop {
                crop: crop.crop,
                mass: Measured::from(&crop.mass),
                purity: known(&crop.purity),
            })
            .collect(),
        budget: budget(&run.budget),
        effective_df: effective_df(runs, run),
        residue_assay: run.residue_assay.as_ref().map(Measured::from),
        residue_by_difference: run.residue_by_difference,
        cross_check: cross_check(run),
        of_ceiling: run.of_ceiling.as_ref().and_then(known),
    }
}

fn known(outcome: &Outcome) -> Option<Measured> {
    outcome.as_ref().ok().map(Measured::from)
}

/// Effective degrees of freedom of the contained yield; None where they are infinite.
fn effective_df(runs: &Runs, run: &RunResult) -> Option<f64> {
    let contained = run.contained.as_ref().ok()?;
    let degrees = runs.sources.effective_degrees_of_freedom(contained);
    degrees.is_finite().then_some(degrees)
}

fn cross_check(run: &RunResult) -> Option<CrossCheck> {
    let check = run.cross_check.as_ref()?;
    Some(CrossCheck {
        value: check.value,
        u: check.uncertainty,
        interval: [check.low, check.high],
        trials: check.trials,
        tolerance: check.tolerance,
        apart: check.apart,
        agrees: check.agrees,
        stable: check.stable,
    })
}

fn budget(shares: &[Share]) -> Vec<BudgetShare> {
    shares
        .iter()
        .map(|share| BudgetShare {
            source: share.source.clone(),
            share: share.share,
            stated: share.share.is_some(),
        })
        .collect()
}

/// Where the ± comes from, for the campaign and for each lot.
pub fn budgets(budgets: &[Budget]) -> Vec<result::Budget> {
    budgets
        .iter()
        .map(|of| result::Budget {
            lot: of.lot.clone(),
            runs: of.runs,
            u: of.uncertainty,
            sources: budget(&of.shares),
            first: of.first().map(|first| FirstSource {
                source: first.source,
                share: first.share,
                u_without: first.uncertainty_without,
            }),
        })
        .collect()
}

/// One entry a titrant.
pub fn titrants(titrants: &[TitrantResult]) -> Vec<result::Titrant> {
    titrants
        .iter()
        .map(|titrant| result::Titrant {
            titrant: titrant.titrant.clone(),
            concentration: Measured::from(&titrant.concentration),
            budget: budget(&titrant.budget),
            rows: titrant
                .rows
                .iter()
                .map(|row| result::TitrantRow {
                    date: row.date.clone(),
                    concentration: Measured::from(&row.concentration),
                })
                .collect(),
        })
        .collect()
}
