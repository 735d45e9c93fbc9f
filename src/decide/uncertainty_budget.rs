//! Budgets of uncertainty, and the source to improve first.
//!
//! In: runs with their budgets. Out: [`Budget`]s of each lot and of the campaign.
//! This module never mixes the error of a single run with scatter from run to run.

use std::collections::BTreeSet;

use crate::distributions::middle;
use crate::measured::Share;
use crate::runs::{RunResult, Runs};

/// Where the uncertainty of the contained yields of some runs comes from.
#[derive(Debug, Clone)]
pub struct Budget {
    /// The lot; `None` for all runs together.
    pub lot: Option<String>,
    /// Number of runs.
    pub runs: usize,
    /// Middle standard uncertainty of one contained yield \[fraction\].
    pub uncertainty: f64,
    /// Parts of the variance of these runs, the largest first.
    pub shares: Vec<Share>,
}

impl Budget {
    /// The source to improve first, with what is known of the gain.
    pub fn first(&self) -> Option<Improvement> {
        let first = self.shares.iter().find(|share| share.share.is_some())?;
        let share = first.share?;
        Some(Improvement {
            source: first.source.to_string(),
            share,
            uncertainty_without: self.uncertainty * (1.0 - share).max(0.0).sqrt(),
        })
    }

    /// Sources whose uncertainty nobody states.
    pub fn not_stated(&self) -> Vec<&str> {
        self.sources(|share| share.is_none())
    }

    /// Sources that would change nothing that anybody could see.
    pub fn idle(&self) -> Vec<&str> {
        self.sources(|share| share.is_some_and(|share| share < NOTHING))
    }

    fn sources(&self, counts: impl Fn(Option<f64>) -> bool) -> Vec<&str> {
        let counted = self.shares.iter().filter(|share| counts(share.share));
        counted.map(|share| &*share.source).collect()
    }
}

/// A share below this changes the uncertainty by less than half a percent of itself.
const NOTHING: f64 = 0.01;

/// What the best improvement would bring.
#[derive(Debug, Clone)]
pub struct Improvement {
    /// The source.
    pub source: String,
    /// Its share of the variance.
    pub share: f64,
    /// Standard uncertainty of one yield if that source were perfect \[fraction\].
    pub uncertainty_without: f64,
}

/// Budgets of the campaign and of each lot, the campaign first.
pub fn budgets(runs: &Runs) -> Vec<Budget> {
    let known = runs
        .counted()
        .filter(|run| run.contained.is_ok() && !run.budget.is_empty());
    let known: Vec<&RunResult> = known.collect();
    let lots: BTreeSet<&str> = known.iter().filter_map(|run| run.lot.as_deref()).collect();
    let mut budgets: Vec<Budget> = budget(None, &known).into_iter().collect();
    if lots.len() > 1 {
        budgets.extend(lots.into_iter().filter_map(|lot| {
            let mut of_lot = known.clone();
            of_lot.retain(|run| run.lot.as_deref() == Some(lot));
            budget(Some(lot), &of_lot)
        }));
    }
    budgets
}

/// The budget of some runs: `Σ sᵢⱼ uᵢ² / Σ uᵢ²` for source `j`, with its share `sᵢⱼ` of the variance `uᵢ²` of run `i`.
fn budget(lot: Option<&str>, runs: &[&RunResult]) -> Option<Budget> {
    let mut shares: Vec<Share> = Vec::new();
    let mut total = 0.0;
    let mut uncertainties = Vec::new();
    for run in runs {
        let Ok(contained) = &run.contained else {
            continue;
        };
        let variance = contained.uncertainty().powi(2);
        uncertainties.push(contained.uncertainty());
        total += variance;
        for share in &run.budget {
            let part = share.share.map(|share| share * variance);
            match shares.iter_mut().find(|known| known.source == share.source) {
                Some(known) => {
                    known.share = match (known.share, part) {
                        (Some(a), Some(b)) => Some(a + b),
                        (a, b) => a.or(b),
                    }
                }
                None => shares.push(Share {
                    source: share.source.clone(),
                    family: share.family,
                    share: part,
                }),
            }
        }
    }
    if total <= 0.0 {
        return None;
    }
    for share in &mut shares {
        share.share = share.share.map(|part| part / total);
    }
    let size = |share: &Share| share.share.unwrap_or(f64::NEG_INFINITY);
    shares.sort_by(|a, b| size(b).total_cmp(&size(a)).then(a.source.cmp(&b.source)));
    Some(Budget {
        lot: lot.map(str::to_string),
        runs: uncertainties.len(),
        uncertainty: middle(uncertainties)?,
        shares,
    })
}
