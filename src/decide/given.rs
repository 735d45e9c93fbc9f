//! What did the runs give, and how well is that known?
//!
//! In: runs on one footing. Out: [`Given`].
//! This module never weights one run more than another.

use super::{Routes, middle};
use crate::measured::{Share, SourceFamily};
use crate::runs::Runs;

/// The yields of all runs that fits may use.
#[derive(Debug, Clone)]
pub struct Given {
    /// Runs with a contained yield.
    pub runs: usize,
    /// Smallest contained yield [fraction].
    pub low: f64,
    /// Middle contained yield [fraction].
    pub middle: f64,
    /// Largest contained yield [fraction].
    pub high: f64,
    /// Run of the smallest.
    pub low_run: String,
    /// Run of the largest.
    pub high_run: String,
    /// Middle gross yield [fraction].
    pub gross_middle: Option<f64>,
    /// Middle purity [mass fraction].
    pub purity_middle: Option<f64>,
    /// Runs with a purity.
    pub purity_runs: usize,
    /// Middle half-width of the interval of one contained yield [fraction].
    pub half_width_middle: f64,
    /// Runs whose yield lies above what their route allows, beyond its interval: something in their entries is wrong.
    pub impossible: Vec<String>,
    /// Sources of these yields whose uncertainty nobody states, so that every ± is a lower bound.
    pub not_stated: Vec<String>,
    /// The source that takes most of the variance, over all runs.
    pub main_source: Option<MainSource>,
    /// The same by route, where declared ceilings differ; else empty.
    pub by_ceiling: Vec<RouteSpread>,
}

/// The yields of one route.
#[derive(Debug, Clone)]
pub struct RouteSpread {
    /// The route.
    pub level: String,
    /// Smallest contained yield [fraction].
    pub low: f64,
    /// Middle contained yield [fraction].
    pub middle: f64,
    /// Largest contained yield [fraction].
    pub high: f64,
    /// Largest fraction of theory that its stoichiometry allows.
    pub ceiling: f64,
}

/// A source of uncertainty with its mean share of the variance.
#[derive(Debug, Clone)]
pub struct MainSource {
    /// Which; sources that differ only in the lot or titrant count together.
    pub family: Family,
    /// Mean share over all runs.
    pub share: f64,
}

/// Sources that count together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Family {
    /// Assays of lots.
    AssayOfLot,
    /// All that makes the strength of a titrant.
    TitrantStrength,
    /// The source of this name.
    Source(String),
}

pub(super) fn given(runs: &Runs, routes: Option<&Routes>, confidence: f64) -> Option<Given> {
    let used = || runs.results.iter().filter(|run| run.set_aside.is_none());
    let mut yields: Vec<Yield> = used()
        .filter_map(|run| {
            let contained = run.contained.as_ref().ok()?;
            Some(Yield {
                value: contained.value(),
                half_width: runs.sources.expanded(contained, confidence),
                run: run.run.clone(),
            })
        })
        .collect();
    yields.sort_by(|a, b| a.value.total_cmp(&b.value));
    let (first, last) = (yields.first()?, yields.last()?);
    let values = |outcome: fn(&crate::runs::RunResult) -> &crate::runs::Outcome| -> Vec<f64> {
        used()
            .filter_map(|run| outcome(run).as_ref().ok().map(|m| m.value()))
            .collect()
    };
    let purities = values(|run| &run.purity);
    Some(Given {
        runs: yields.len(),
        low: first.value,
        high: last.value,
        low_run: first.run.clone(),
        high_run: last.run.clone(),
        middle: middle(yields.iter().map(|y| y.value).collect())?,
        gross_middle: middle(values(|run| &run.gross)),
        purity_runs: purities.len(),
        purity_middle: middle(purities),
        half_width_middle: middle(yields.iter().map(|y| y.half_width).collect())?,
        impossible: used()
            .filter(|run| {
                let part = run.of_ceiling.as_ref().unwrap_or(&run.contained);
                part.as_ref()
                    .is_ok_and(|part| part.value() - runs.sources.expanded(part, confidence) > 1.0)
            })
            .map(|run| run.run.clone())
            .collect(),
        not_stated: not_stated(runs),
        main_source: main_source(runs),
        by_ceiling: routes.map(by_ceiling).unwrap_or_default(),
    })
}

fn by_ceiling(routes: &Routes) -> Vec<RouteSpread> {
    let ceilings: Vec<f64> = routes
        .levels
        .iter()
        .map(|level| level.ceiling.unwrap_or(1.0))
        .collect();
    if ceilings.iter().all(|ceiling| *ceiling == ceilings[0]) {
        return Vec::new();
    }
    routes
        .levels
        .iter()
        .zip(ceilings)
        .filter_map(|(route, ceiling)| {
            Some(RouteSpread {
                level: route.level.clone(),
                low: route.yields.iter().copied().reduce(f64::min)?,
                middle: middle(route.yields.clone())?,
                high: route.yields.iter().copied().reduce(f64::max)?,
                ceiling,
            })
        })
        .collect()
}

struct Yield {
    value: f64,
    half_width: f64,
    run: String,
}

/// Names of the sources without a stated uncertainty, each once, in alphabetical order.
fn not_stated(runs: &Runs) -> Vec<String> {
    let mut names: Vec<String> = runs
        .results
        .iter()
        .filter(|run| run.set_aside.is_none())
        .flat_map(|run| &run.budget)
        .filter(|share| share.share.is_none())
        .map(|share| share.source.clone())
        .collect();
    names.sort();
    names.dedup();
    names
}

fn main_source(runs: &Runs) -> Option<MainSource> {
    let mut families: Vec<MainSource> = Vec::new();
    let mut counted = 0.0;
    let used = runs
        .results
        .iter()
        .filter(|run| run.set_aside.is_none() && !run.budget.is_empty());
    for run in used {
        counted += 1.0;
        for share in &run.budget {
            let Some(part) = share.share else { continue };
            let family = family(share);
            match families.iter_mut().find(|known| known.family == family) {
                Some(known) => known.share += part,
                None => families.push(MainSource {
                    family,
                    share: part,
                }),
            }
        }
    }
    let mut best = families
        .into_iter()
        .max_by(|a, b| a.share.total_cmp(&b.share))?;
    best.share /= counted;
    Some(best)
}

/// What a source of the budget counts together with.
fn family(share: &Share) -> Family {
    match share.family {
        SourceFamily::LotAssay => Family::AssayOfLot,
        SourceFamily::TitrantStrength => Family::TitrantStrength,
        SourceFamily::Other => Family::Source(share.source.clone()),
    }
}
